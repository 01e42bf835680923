//! Speed against local time once more for each course line, where there are several: whose legs are whose.

use super::bands;
use super::span::Span;
use super::{draw_speeds, fastest, sides, ticks_across, trial};
use crate::day::CourseLine;
use crate::plotter::axis;
use crate::plotter::day::{self, Day};
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Ink, TICK};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};
use crate::units::Bearing;

/// Height of one line's axes.
const PANEL: f64 = 92.0;
/// Height of a line's name above its axes, and the space above that.
const NAME: f64 = 30.0;
/// Room for the title of the axis of speeds.
const TOP: f64 = 14.0;
/// Room for the axis of time below.
const FOOT: f64 = 44.0;
/// Lines beyond so many are not drawn: nobody ran as many, and the figure would not fit a page.
const MOST_LINES: usize = 8;

/// The chart; none where the double runs lie on a single line.
pub(crate) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let lines = lines(day);
    let (Some(span), true) = (trial(day), lines.len() > 1) else {
        return Ok(None);
    };
    let span = span.padded(super::AROUND);
    let [left, right] = sides(day);
    let foot = TOP + lines.len() as f64 * (NAME + PANEL);
    let head = Head {
        name: "time-by-line".to_owned(),
        title: "Speed over time on each course line".to_owned(),
        alt: alt(day, &lines),
        legs: day.leg_titles(),
    };
    let svg = sheet::draw(&head, day.layout, foot + FOOT, |sheet| {
        for (k, line) in lines.iter().enumerate() {
            let top = TOP + k as f64 * (NAME + PANEL) + NAME;
            let area = Area::new(left, top, right, top + PANEL);
            let most = fastest(day, span).unwrap_or(1.0).max(0.1) * 1.06;
            let scale = sheet.scale(area, span.from..span.to, 0.0..day.speed(most))?;
            draw_panel(sheet, day, &scale, span, line)?;
        }
        let title = format!("speed over the ground ({})", day.unit());
        let words = Letters::new(TICK, Align::Start).muted();
        sheet.text(&title, Pt::new(6.0, TICK + 2.0), words)?;
        let last = Area::new(left, foot - PANEL, right, foot);
        let scale = sheet.scale(last, span.from..span.to, 0.0..1.0)?;
        let zone = &day.zone;
        let ticks = axis::time_ticks(
            span.from,
            span.to,
            ticks_across(day),
            zone,
            day.analysis.clock,
        );
        axis::draw_foot(sheet, &scale, &ticks)?;
        axis::draw_foot_title(
            sheet,
            &scale,
            axis::FOOT,
            &format!("local time ({})", day.zone_name),
        )
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: "The same speeds once for each course line, with the legs run on it; the axes are the same for all. What was run on different lines is never paired.".to_owned(),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

/// The lines that have a double run.
fn lines<'a>(day: &Day<'a>) -> Vec<&'a CourseLine> {
    let runs = &day.analysis.double_runs;
    let lines = day.analysis.lines.iter();
    lines
        .filter(|line| runs.iter().any(|run| run.line == line.line))
        .take(MOST_LINES)
        .collect()
}

fn name(line: &CourseLine) -> String {
    let axis = Bearing::new(line.axis_deg).map_or_else(String::new, |axis| {
        format!(": {axis} / {}", axis.reciprocal())
    });
    format!("line {}{axis}", line.line)
}

fn draw_panel(sheet: &Sheet, day: &Day, scale: &Scale, span: Span, line: &CourseLine) -> Drawn {
    let area = scale.area;
    let (_, speeds) = scale.ranges();
    bands::draw_bands(sheet, day, scale, span, Some(line.line))?;
    for tick in axis::ticks(speeds.start, speeds.end, 2.5, false) {
        let y = scale.y(tick.at);
        let (from, to) = (Pt::new(area.left, y), Pt::new(area.right, y));
        sheet.line(from, to, Pen::new(Ink::Grid))?;
        let label = Pt::new(area.left - 8.0, y + TICK * 0.35);
        sheet.text(&tick.label, label, Letters::new(TICK, Align::End).muted())?;
    }
    draw_speeds(sheet, day, scale, span, Pen::new(Ink::Muted).wide(0.8))?;
    bands::draw_means(sheet, day, scale, span, Some(line.line))?;
    let floor = [
        Pt::new(area.left, area.bottom),
        Pt::new(area.right, area.bottom),
    ];
    sheet.path(&floor, Pen::new(Ink::Muted))?;
    let words = Pt::new(area.left, area.top - 6.0);
    sheet.text(&name(line), words, Letters::new(TICK, Align::Start).bold())
}

fn alt(day: &Day, lines: &[&CourseLine]) -> String {
    let sentences: Vec<String> = lines
        .iter()
        .map(|line| {
            let legs = day.analysis.legs.iter();
            let own = legs
                .filter(|leg| leg.line == Some(line.line) && day::leg_speed(leg).is_some())
                .count();
            format!(
                "{}: {}.",
                text::capital(&name(line)),
                text::count(own, "leg")
            )
        })
        .collect();
    sentences.join(" ")
}
