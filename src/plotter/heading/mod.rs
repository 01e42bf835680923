//! Speed against heading: a chart with plain axes for each configuration, all on the same axes, and
//! all configurations as round figures side by side.

mod beside;

mod curve;

mod key;

mod levels;

mod round;

use crate::day::Leg;
use crate::plotter::axis::{self, Tick};
use crate::plotter::clip::clipped_path;
use crate::plotter::day::{self, Day};
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, Ink, NOTE, Shape, TEXT, TICK};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};
use crate::units::Bearing;
use beside::{LegSpot, beside};

/// Where the axes lie. In a narrow chart the settings stand below them.
const WIDE: Area = Area::new(54.0, 44.0, 468.0, 290.0);
const SLIM: Area = Area::new(40.0, 62.0, 316.0, 290.0);
/// Room for ticks and title below the axes.
const FOOT: f64 = 60.0;
/// The least the axis of speeds spans, in the unit shown.
const LEAST_SPEEDS: f64 = 0.2;
/// Radius of a leg's mark.
const RADIUS: f64 = 3.8;

/// Where the axes lie.
fn plot(day: &Day) -> Area {
    day.layout.pick(WIDE, SLIM)
}

/// The charts; none for configurations without a leg that was measured.
pub(crate) fn charts(day: &Day) -> Result<Vec<Chart>, PlotError> {
    let mut charts = Vec::new();
    let range = speeds(day);
    for (place, name) in day.configurations.iter().enumerate() {
        let legs = legs(day, name);
        if !legs.is_empty() {
            charts.push(chart(day, place, name, &legs, range)?);
        }
    }
    charts.extend(round::chart(day)?);
    Ok(charts)
}

/// The round figures alone.
pub(crate) fn round(day: &Day) -> Result<Option<Chart>, PlotError> {
    round::chart(day)
}

/// Legs of a configuration with a speed, in order of time.
fn legs<'a>(day: &Day<'a>, configuration: &str) -> Vec<&'a Leg> {
    day.analysis
        .legs
        .iter()
        .filter(|leg| leg.configuration.as_deref() == Some(configuration))
        .filter(|leg| day::leg_speed(leg).is_some() && leg.course_deg.is_finite())
        .collect()
}

/// The range of speeds that all charts share, in the unit shown.
fn speeds(day: &Day) -> [f64; 2] {
    let all = day.configurations.iter().flat_map(|name| legs(day, name));
    let values = all.flat_map(|leg| {
        let ends = day::leg_interval(leg).into_iter().flatten();
        ends.chain(day::leg_speed(leg))
    });
    let means = day.cells().map(|cell| cell.mean_m_s);
    let shown = values.chain(means).map(|v| day.speed(v));
    axis::padded(shown, 0.08, LEAST_SPEEDS)
}

fn chart(
    day: &Day,
    place: usize,
    name: &str,
    legs: &[&Leg],
    [low, high]: [f64; 2],
) -> Result<Chart, PlotError> {
    let shown = text::clean(name);
    let head = Head {
        name: format!("heading-{}", place + 1),
        title: format!("Speed against heading: {shown}"),
        alt: alt(day, name, legs),
        legs: day.leg_titles(),
    };
    let area = plot(day);
    let own = day.cells().filter(|cell| cell.configuration == name);
    let key = day
        .layout
        .pick(0.0, own.count() as f64 * levels::KEY_LINE + 6.0);
    let svg = sheet::draw(&head, day.layout, area.bottom + FOOT + key, |sheet| {
        let scale = sheet.scale(area, 0.0..360.0, low..high)?;
        draw_axes(sheet, day, &scale, [low, high])?;
        draw_wind(sheet, day, &scale)?;
        draw_name(sheet, day, name)?;
        levels::draw_levels(sheet, day, &scale, name, place)?;
        draw_curves(sheet, day, &scale, name, place)?;
        draw_legs(sheet, day, &scale, legs, place)
    })?;
    Ok(Chart {
        name: head.name,
        title: head.title,
        caption: caption(day, legs),
        alt: head.alt,
        svg,
        narrow: String::new(),
    })
}

/// The configuration's name at the end of the axis title's line, or above that.
fn draw_name(sheet: &Sheet, day: &Day, name: &str) -> Drawn {
    let area = plot(day);
    let room = day.layout.pick(area.width() * 0.6, area.right - LEFT);
    let at = day
        .layout
        .pick(Pt::new(area.right, axis::TITLE), Pt::new(LEFT, axis::TITLE));
    let align = day.layout.pick(Align::End, Align::Start);
    let words = text::fitted(name, TEXT, room);
    sheet.text(&words, at, Letters::new(TEXT, align).bold())
}

/// Left edge of words above the axes.
const LEFT: f64 = 6.0;
/// From the line of a name to that of the title below it.
const NAME_LINE: f64 = 17.0;

fn draw_axes(sheet: &Sheet, day: &Day, scale: &Scale, [low, high]: [f64; 2]) -> Drawn {
    const POINTS: [&str; 9] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW", "N"];
    axis::draw_level_lines(sheet, scale, &axis::ticks(low, high, 6.0, false))?;
    let title = format!("speed over the ground ({})", day.unit());
    let at = Pt::new(LEFT, axis::TITLE + day.layout.pick(0.0, NAME_LINE));
    sheet.text(&title, at, Letters::new(TICK, Align::Start).muted())?;
    let ticks: Vec<Tick> = POINTS
        .iter()
        .enumerate()
        .map(|(k, point)| Tick {
            at: k as f64 * 45.0,
            label: (*point).to_owned(),
        })
        .collect();
    axis::draw_foot(sheet, scale, &ticks)?;
    let degrees = Letters::new(NOTE, Align::Middle).muted();
    for tick in ticks.iter().step_by(2) {
        let at = Pt::new(
            scale.x(tick.at),
            scale.area.bottom + axis::FOOT + NOTE - 1.0,
        );
        sheet.text(&format!("{:.0}°", tick.at), at, degrees)?;
    }
    let below = axis::FOOT + NOTE + 6.0;
    axis::draw_foot_title(sheet, scale, below, "course over the ground, degrees true")
}

fn draw_wind(sheet: &Sheet, day: &Day, scale: &Scale) -> Drawn {
    let wind = &day.analysis.wind;
    let Some(from) = wind.from_deg.and_then(Bearing::new) else {
        return Ok(());
    };
    let (pen, area) = (Pen::new(Ink::Wind), scale.area);
    let reach = wind
        .from_se_deg
        .filter(|se| day::drawable(*se))
        .map_or(0.0, |se| (day::NORMAL_95 * se).clamp(0.0, 180.0));
    // The band goes round the circle: its three copies, cut at the edges.
    for turn in [-360.0, 0.0, 360.0] {
        let low = (from.degrees() - reach + turn).max(0.0);
        let high = (from.degrees() + reach + turn).min(360.0);
        if low < high {
            let band = Area::new(scale.x(low), area.top, scale.x(high), area.bottom);
            sheet.rect(band, pen.opacity(0.14))?;
        }
    }
    let x = scale.x(from.degrees());
    let (top, bottom) = (Pt::new(x, area.top), Pt::new(x, area.bottom));
    sheet.line(top, bottom, pen.wide(1.2).dashed(Dash::Sparse))?;
    marks::arrow_head(sheet, top.by(0.0, -9.0), top.by(0.0, 3.0), 10.0, pen)?;
    let words = format!("wind from {from}");
    let half = text::width(&words, NOTE) / 2.0;
    let middle = x.clamp(area.left + half, area.right - half);
    sheet.text(
        &words,
        Pt::new(middle, area.top - 11.0),
        Letters::new(NOTE, Align::Middle),
    )
}

/// The harmonics fitted through the legs, cut at the edges.
fn draw_curves(sheet: &Sheet, day: &Day, scale: &Scale, name: &str, place: usize) -> Drawn {
    let pen = Pen::new(Ink::Configuration(place)).wide(0.9);
    for fit in curve::fits(day, name) {
        let dash = Dash::of(day.setting(&fit.setting));
        let points: Vec<Pt> = curve::points(fit)
            .map(|(course, m_s)| scale.at(course, day.speed(m_s)))
            .collect();
        for part in clipped_path(&points, scale.area) {
            sheet.path(&part, pen.dashed(dash))?;
        }
    }
    Ok(())
}

fn draw_legs(sheet: &Sheet, day: &Day, scale: &Scale, legs: &[&Leg], place: usize) -> Drawn {
    let pen = Pen::new(Ink::Configuration(place));
    let spots: Vec<LegSpot> = legs
        .iter()
        .filter_map(|leg| LegSpot::of(day, scale, leg))
        .collect();
    let places = beside(&spots, scale.area);
    let muted = Pen::new(Ink::Muted).wide(0.8);
    for bracket in &places.brackets {
        let at = |x: f64| Pt::new(x, bracket.y);
        sheet.line(at(bracket.from), at(bracket.to), muted)?;
        for end in [bracket.from, bracket.to] {
            sheet.line(at(end), at(end).by(0.0, -3.0), muted)?;
        }
        sheet.line(at(bracket.course), at(bracket.course).by(0.0, 7.0), muted)?;
    }
    for (spot, x) in spots.iter().zip(&places.x) {
        let pen = pen
            .leg(spot.leg)
            .opacity(if spot.included { 1.0 } else { 0.45 });
        if let Some([top, bottom]) = spot.bar {
            marks::upright_bar(sheet, Pt::new(*x, top), Pt::new(*x, bottom), pen.wide(1.2))?;
        }
    }
    for (spot, x) in spots.iter().zip(&places.x) {
        let pen = pen
            .leg(spot.leg)
            .opacity(if spot.included { 1.0 } else { 0.45 });
        let (shape, filling) = (Shape::of(spot.setting), Filling::of(spot.setting));
        marks::mark(sheet, shape, filling, Pt::new(*x, spot.at.y), RADIUS, pen)?;
    }
    Ok(())
}

fn caption(day: &Day, legs: &[&Leg]) -> String {
    let mut sentences = vec![
        "Each mark is a leg with its 95\u{a0}% interval; legs that would hide each other stand side by side, within 4° of their course or, where there are many, in order of time over a bracket whose tick points to their course. Level lines are the means of the double runs, in which drift along the line cancels. The axes are the same for every configuration.".to_owned(),
    ];
    if day.settings.len() > 1 {
        sentences.push(format!("Marks: {}.", text::shapes(&day.settings)));
    }
    let curved = |fit: &crate::day::HeadingFit| {
        let of = |leg: &&Leg| leg.configuration.as_ref() == Some(&fit.configuration);
        legs.iter().any(of)
    };
    if day.analysis.headings().iter().any(curved) {
        sentences.push(curve::CAPTION.to_owned());
    }
    if legs.iter().any(|leg| !leg.included) {
        sentences.push("Pale marks were left out of the comparison.".to_owned());
    }
    sentences.join(" ")
}

fn alt(day: &Day, name: &str, legs: &[&Leg]) -> String {
    let mut sentences = vec![format!(
        "{} with {}.",
        text::count(legs.len(), "leg"),
        text::clean(name)
    )];
    for leg in legs {
        let course = Bearing::new(leg.course_deg).map(|c| c.to_string());
        let speed = day::leg_speed(leg).map(|s| day.speed_text(s));
        let setting = leg.setting.as_deref().map(text::clean);
        if let (Some(course), Some(speed)) = (course, speed) {
            let setting = setting.map_or_else(String::new, |s| format!(" at {s}"));
            sentences.push(format!("Leg {}{setting}: {speed} on {course}.", leg.leg));
        }
    }
    for cell in day.cells().filter(|cell| cell.configuration == name) {
        sentences.push(format!(
            "Mean of the double runs at {}: {}.",
            text::clean(&cell.setting),
            day.speed_text(cell.mean_m_s)
        ));
    }
    if let Some(from) = day.analysis.wind.from_deg.and_then(Bearing::new) {
        sentences.push(format!("The wind blew from {from}."));
    }
    sentences.join(" ")
}
