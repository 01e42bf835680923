//! Speed against local time: what the boat did all day, and which stretches count.

mod span;

mod lanes;

mod bands;

mod key;

mod by_line;

mod panels;

pub(crate) use by_line::chart as by_line;

use geo::Coord;
use jiff::Timestamp;

use crate::plotter::axis;
use crate::plotter::clip;
use crate::plotter::day::{self, Day};
use crate::plotter::layout::NARROW;
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Ink, NOTE, TICK, WIDTH};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::thin;
use crate::plotter::{Chart, PlotError};
use crate::units::ClockFace;
use crate::units::seconds;
use span::{LEAST_GAP_S, Span, unbroken};

/// Left and right edge of the axes; wide, and narrow.
const SIDES: [[f64; 2]; 2] = [[46.0, WIDTH - 10.0], [40.0, NARROW - 10.0]];
/// Height of the axes.
const PLOT_HEIGHT: f64 = 230.0;
/// Room for the axis below, and for each further line of its title.
const FOOT: f64 = 44.0;
const TITLE_LINE: f64 = 14.0;
/// Height of the small chart of the whole track with its words.
const OVERVIEW: f64 = 78.0;
/// The chart shows the trial alone, and the whole track small below, where the trial takes less than
/// this share of the whole.
const SMALL_PART: f64 = 0.6;
/// Time shown before and after the trial, a share of its length.
const AROUND: f64 = 0.04;
/// How far a thinned line may lie from the speeds, units of the chart; wide, and narrow.
const THINNING: [f64; 2] = [0.25, 0.5];

/// The chart; none where there are no speeds to draw, neither of the track nor of legs.
pub(crate) fn chart(day: &Day) -> Result<Option<Chart>, PlotError> {
    let Some(whole) = whole(day) else {
        return Ok(None);
    };
    let trial = trial(day).unwrap_or(whole);
    let overview = trial.length() < SMALL_PART * whole.length();
    let span = if overview {
        trial.padded(AROUND)
    } else {
        whole.padded(0.0)
    };
    let panels = panels::panels(day, span);
    let title = title(day, span);
    let below = panels.last().map_or(0.0, |last| last.plot.bottom) + FOOT - TITLE_LINE
        + title.len() as f64 * TITLE_LINE;
    let key = below + if overview { OVERVIEW } else { 0.0 } + 10.0;
    let height = key + key::key_height(day, span);
    let head = Head {
        name: "time".to_owned(),
        title: "Speed over time".to_owned(),
        alt: alt(day, whole, span),
        legs: day.leg_titles(),
    };
    let svg = sheet::draw(&head, day.layout, height, |sheet| {
        let top = fastest(day, span).unwrap_or(1.0).max(0.1) * 1.06;
        for panel in &panels {
            draw_panel(sheet, day, panel, day.speed(top))?;
        }
        let words = Letters::new(TICK, Align::Start).muted();
        let speeds = format!("speed over the ground ({})", day.unit());
        sheet.text(&speeds, Pt::new(6.0, axis::TITLE), words)?;
        if let Some(last) = panels.last() {
            draw_title(sheet, day, last.plot.bottom, &title)?;
        }
        if overview {
            draw_overview(sheet, day, below, whole, span)?;
        }
        key::draw_key(sheet, day, span, key)
    })?;
    Ok(Some(Chart {
        name: head.name,
        title: head.title,
        caption: caption(day, overview),
        alt: head.alt,
        svg,
        narrow: String::new(),
    }))
}

/// From the first to the last of everything.
fn whole(day: &Day) -> Option<Span> {
    let speeds = &day.analysis.trail().speeds;
    let legs = day
        .analysis
        .legs
        .iter()
        .filter(|leg| day::leg_speed(leg).is_some());
    let leg_ends = legs.flat_map(|leg| [leg.start, leg.end]);
    let times = speeds
        .iter()
        .filter(|s| day::drawable(s.speed_m_s))
        .map(|s| s.time)
        .chain(leg_ends);
    Span::round(times.map(seconds))
}

/// From the first leg of a double run to the last.
fn trial(day: &Day) -> Option<Span> {
    let legs = day.analysis.legs.iter();
    let used = legs.filter(|leg| leg.double_run.is_some());
    Span::round(used.flat_map(|leg| [leg.start, leg.end]).map(seconds))
}

/// The greatest speed in a span, m/s.
fn fastest(day: &Day, span: Span) -> Option<f64> {
    let inside = |time: Timestamp| {
        let t = seconds(time);
        t >= span.from && t <= span.to
    };
    let speeds = day.analysis.trail().speeds.iter();
    let track = speeds.filter(|s| inside(s.time)).map(|s| s.speed_m_s);
    let legs = day.analysis.legs.iter().filter(|leg| inside(leg.end));
    track
        .chain(legs.filter_map(day::leg_speed))
        .filter(|s| day::drawable(*s))
        .reduce(f64::max)
}

fn sides(day: &Day) -> [f64; 2] {
    day.layout.pick(SIDES[0], SIDES[1])
}

/// One part of the time, up to a speed as shown.
fn draw_panel(sheet: &Sheet, day: &Day, panel: &panels::Panel, most: f64) -> Drawn {
    let span = panel.span;
    let scale = sheet.scale(panel.plot, span.from..span.to, 0.0..most)?;
    bands::draw_swaps(sheet, day, &scale, span)?;
    bands::draw_idle(sheet, day, &scale, span)?;
    bands::draw_bands(sheet, day, &scale, span, None)?;
    draw_axes(sheet, day, &scale, span)?;
    draw_speeds(sheet, day, &scale, span, Pen::new(Ink::Text).wide(0.9))?;
    bands::draw_means(sheet, day, &scale, span, None)?;
    lanes::draw_lanes(sheet, day, &scale, &panel.lanes)
}

fn draw_axes(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    let (_, speeds) = scale.ranges();
    let count = scale.area.height() / LEVEL_ROOM;
    let ticks = axis::ticks(speeds.start, speeds.end, count, false);
    axis::draw_level_lines(sheet, scale, &ticks)?;
    // A part of the day that is shorter than the others has room for fewer ticks.
    let [left, right] = sides(day);
    let share = scale.area.width() / (right - left);
    axis::draw_foot(
        sheet,
        scale,
        &axis::time_ticks(
            span.from,
            span.to,
            (ticks_across(day) * share).max(1.0),
            &day.zone,
            day.analysis.clock,
        ),
    )
}

/// Room for a tick of speed.
const LEVEL_ROOM: f64 = 46.0;

/// The title of the axis of time, on as many lines as it takes.
fn title(day: &Day, span: Span) -> Vec<String> {
    let words = format!("local time, {} ({})", date(day, span), day.zone_name);
    text::wrapped(&words, TICK, day.layout.width() - 8.0, 2)
}

fn draw_title(sheet: &Sheet, day: &Day, foot: f64, lines: &[String]) -> Drawn {
    let [left, right] = sides(day);
    for (k, line) in lines.iter().enumerate() {
        let half = (text::width(line, TICK) / 2.0).min(sheet.width / 2.0);
        let x = f64::midpoint(left, right).clamp(half, sheet.width - half);
        let y = foot + axis::FOOT + TICK + k as f64 * TITLE_LINE;
        let letters = Letters::new(TICK, Align::Middle).muted();
        sheet.text(line, Pt::new(x, y), letters)?;
    }
    Ok(())
}

/// The local date, or the first and last where there are several.
fn date(day: &Day, span: Span) -> String {
    let local = |seconds: f64| {
        Timestamp::from_second(seconds as i64)
            .map(|time| day.zone.to_datetime(time).strftime("%-d %B %Y").to_string())
            .unwrap_or_default()
    };
    let (first, last) = (local(span.from), local(span.to));
    if first == last {
        first
    } else {
        format!("{first} to {last}")
    }
}

fn draw_speeds(sheet: &Sheet, day: &Day, scale: &Scale, span: Span, pen: Pen) -> Drawn {
    for run in unbroken(day) {
        let places: Vec<Coord<f64>> = run
            .iter()
            .filter(|(t, _)| *t >= span.from - LEAST_GAP_S && *t <= span.to + LEAST_GAP_S)
            .map(|(t, speed)| scale.at(*t, day.speed(*speed)))
            .map(|p| Coord { x: p.x, y: p.y })
            .collect();
        let thin: Vec<Pt> = thin::thinned(&places, day.layout.pick(THINNING[0], THINNING[1]))
            .into_iter()
            .map(|c| Pt::new(c.x, c.y))
            .collect();
        for part in clip::clipped_path(&thin, scale.area) {
            sheet.path(&part, pen)?;
        }
    }
    Ok(())
}

/// Ticks of time that fit across the chart: `12:30 pm` takes more room than `12:30`.
fn ticks_across(day: &Day) -> f64 {
    match day.analysis.clock {
        ClockFace::Hours24 => day.layout.pick(9.0, 5.0),
        ClockFace::Hours12 => day.layout.pick(7.0, 3.5),
    }
}

fn draw_overview(sheet: &Sheet, day: &Day, top: f64, whole: Span, shown: Span) -> Drawn {
    let [left, right] = sides(day);
    let area = Area::new(left, top + 22.0, right, top + OVERVIEW - 18.0);
    let whole = whole.padded(0.0);
    let fastest = fastest(day, whole).unwrap_or(1.0).max(0.1);
    let scale = sheet.scale(area, whole.from..whole.to, 0.0..day.speed(fastest * 1.05))?;
    if let Some(window) = shown.within(whole) {
        let window = Area::new(
            scale.x(window.from),
            area.top,
            scale.x(window.to),
            area.bottom,
        );
        sheet.rect(window, Pen::new(Ink::Grid))?;
        for x in [window.left, window.right] {
            sheet.line(
                Pt::new(x, area.top),
                Pt::new(x, area.bottom),
                Pen::new(Ink::Muted),
            )?;
        }
    }
    sheet.text(
        "whole track, the part above shaded",
        Pt::new(area.left, area.top - 6.0),
        Letters::new(NOTE, Align::Start).muted(),
    )?;
    draw_speeds(sheet, day, &scale, whole, Pen::new(Ink::Muted).wide(0.8))?;
    axis::draw_foot(
        sheet,
        &scale,
        &axis::time_ticks(
            whole.from,
            whole.to,
            ticks_across(day),
            &day.zone,
            day.analysis.clock,
        ),
    )
}

fn caption(day: &Day, overview: bool) -> String {
    let mut words = String::from(
        "Speed over the ground in means of 10 s. Shaded: the legs, darker over the steady part that was measured, lighter over the approach; the heavy line is the leg's speed, the number its order.",
    );
    if !day.analysis.idle().is_empty() {
        words.push_str(" Hatched: idle drift.");
    }
    if !lanes::swaps(day).is_empty() {
        words.push_str(" Grey between them: the swap from one configuration to the next.");
    }
    if overview {
        words.push_str(" The strip below shows the whole track.");
    }
    words
}

fn alt(day: &Day, whole: Span, shown: Span) -> String {
    let clock = |seconds: f64| {
        Timestamp::from_second(seconds as i64)
            .map(|time| {
                day.zone
                    .to_datetime(time)
                    .strftime(day.analysis.clock.minute())
                    .to_string()
            })
            .unwrap_or_default()
    };
    let mut sentences = vec![format!(
        "The track runs from {} to {} local time on {}.",
        clock(whole.from),
        clock(whole.to),
        date(day, whole)
    )];
    if let Some(fastest) = fastest(day, shown) {
        sentences.push(format!("Speeds up to {}.", day.speed_text(fastest)));
    }
    for leg in day
        .analysis
        .legs
        .iter()
        .filter(|leg| leg.double_run.is_some())
    {
        let span = Span::between(leg.start, leg.end);
        let speed = day::leg_speed(leg).map(|s| day.speed_text(s));
        sentences.push(format!(
            "Leg {}: {} to {}, {}.",
            leg.leg,
            clock(span.from),
            clock(span.to),
            speed.unwrap_or_else(|| "no speed".to_owned())
        ));
    }
    if !day.analysis.idle().is_empty() {
        let idle = day.analysis.idle().len();
        sentences.push(format!(
            "The boat lay idle {}.",
            if idle == 1 {
                "once".to_owned()
            } else {
                format!("{idle} times")
            }
        ));
    }
    sentences.join(" ")
}
