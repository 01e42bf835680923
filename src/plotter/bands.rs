//! The stretches of time on the chart of speed over time: legs, configurations, idle drift, and the key to them.

use super::day::{self, Day};
use super::labels::Labels;
use super::marks::{self, Filling};
use super::pen::Pen;
use super::sheet::{Align, Area, Drawn, Letters, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, Shape, TICK, WIDTH};
use super::text;
use super::time::Span;
use crate::analysis::Leg;

/// Upper edge of the lane of configurations.
const TOP: f64 = 24.0;
/// Height of the lane of configurations.
const CONFIGURATION_LANE: f64 = 24.0;
/// Height of a lane of leg numbers.
const NUMBER_LANE: f64 = 13.0;
/// Lanes of leg numbers at the most.
const MOST_LANES: usize = 4;

/// The lanes above the axes.
pub(super) struct Lanes {
    /// Leg numbers with the middle of each.
    numbers: Vec<(usize, Pt)>,
    /// Their lower edge: the upper edge of the axes.
    pub(super) bottom: f64,
}

/// Lays leg numbers into as few lanes as hold them all.
pub(super) fn lanes(day: &Day, span: Span, [left, right]: [f64; 2]) -> Lanes {
    let x = |t: f64| left + (t - span.from) / (span.to - span.from) * (right - left);
    let wanted: Vec<(usize, f64)> = numbered(day)
        .filter_map(|leg| {
            let part = Span::between(leg.start, leg.end).within(span)?;
            Some((leg.leg, x(f64::midpoint(part.from, part.to))))
        })
        .collect();
    let top = TOP
        + if has_configurations(day) {
            CONFIGURATION_LANE
        } else {
            0.0
        };
    let mut best = Lanes {
        numbers: Vec::new(),
        bottom: top,
    };
    for count in 1..=MOST_LANES {
        let bottom = top + count as f64 * NUMBER_LANE + 4.0;
        let mut labels = Labels::within(Area::new(left - 8.0, top, WIDTH, bottom));
        let rows: Vec<f64> = (0..count)
            .map(|k| bottom - 4.0 - (k as f64 + 0.5) * NUMBER_LANE)
            .collect();
        let numbers: Vec<(usize, Pt)> = wanted
            .iter()
            .enumerate()
            .filter_map(|(k, (leg, x))| {
                let size = Pt::new(text::width(&leg.to_string(), NOTE), NUMBER_LANE - 4.0);
                // By turns from lane to lane, so that the numbers rise and fall evenly.
                let turns = rows.iter().cycle().skip(k % count).take(count);
                let places = turns.map(|y| Pt::new(*x, *y));
                Some((*leg, labels.place(size, places)?.at))
            })
            .collect();
        let all = numbers.len() == wanted.len();
        if numbers.len() > best.numbers.len() {
            best = Lanes { numbers, bottom };
        }
        if all {
            break;
        }
    }
    best
}

/// Legs that get a number: those of double runs, or all where there is none.
fn numbered<'a>(day: &Day<'a>) -> impl Iterator<Item = &'a Leg> {
    let legs = &day.analysis.legs;
    let any = legs.iter().any(|leg| leg.double_run.is_some());
    legs.iter()
        .filter(move |leg| leg.double_run.is_some() || !any)
}

fn has_configurations(day: &Day) -> bool {
    day.analysis
        .legs
        .iter()
        .any(|leg| leg.configuration.is_some())
}

/// Numbers, and a bar with its name over each series in one configuration.
pub(super) fn draw_lanes(sheet: &Sheet, day: &Day, scale: &Scale, lanes: &Lanes) -> Drawn {
    for (leg, at) in &lanes.numbers {
        let letters = Letters::new(NOTE, Align::Middle).leg(*leg);
        sheet.text(&leg.to_string(), at.by(0.0, NOTE * 0.36), letters)?;
    }
    let (times, _) = scale.ranges();
    let shown = Span {
        from: times.start,
        to: times.end,
    };
    let y = TOP + 18.0;
    let bounds = Area::new(scale.area.left - 6.0, TOP - 4.0, WIDTH, y);
    let mut names = Labels::within(bounds);
    for series in series(day) {
        let Some(part) = series.span.within(shown) else {
            continue;
        };
        let (from, to) = (scale.x(part.from), scale.x(part.to));
        let pen = Pen::new(Ink::Configuration(series.configuration));
        let dash = Dash::of(series.configuration);
        sheet.line(Pt::new(from, y), Pt::new(to, y), pen.wide(3.0).dashed(dash))?;
        let Some(name) = day.configurations.get(series.configuration) else {
            continue;
        };
        // A name may reach beyond its bar a little, not over its neighbours.
        let room = (to - from).max(60.0);
        let words = text::fitted(name, TICK, room);
        let size = Pt::new(text::width(&words, TICK), TICK);
        let middle = f64::midpoint(from, to).clamp(
            bounds.left + size.x / 2.0,
            (bounds.right - size.x / 2.0).max(bounds.left + size.x / 2.0),
        );
        if let Some(spot) = names.place(size, [Pt::new(middle, y - 10.0)]) {
            sheet.text(
                &words,
                spot.at.by(0.0, TICK * 0.35),
                Letters::new(TICK, Align::Middle).bold(),
            )?;
        }
    }
    Ok(())
}

/// Consecutive legs in one configuration.
struct Series {
    configuration: usize,
    span: Span,
}

fn series(day: &Day) -> Vec<Series> {
    let mut found: Vec<Series> = Vec::new();
    for leg in &day.analysis.legs {
        let Some(name) = &leg.configuration else {
            continue;
        };
        let configuration = day.configuration(name);
        let span = Span::between(leg.start, leg.end);
        match found.last_mut() {
            Some(last) if last.configuration == configuration => last.span.to = span.to,
            _ => found.push(Series {
                configuration,
                span,
            }),
        }
    }
    found
}

/// Opacity of the shade over an approach and over a steady part.
const SHADES: [f64; 2] = [0.10, 0.26];

fn ink(day: &Day, leg: &Leg) -> Ink {
    leg.configuration.as_deref().map_or(Ink::Other, |name| {
        Ink::Configuration(day.configuration(name))
    })
}

/// Hatches the stretches of idle drift.
pub(super) fn draw_idle(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    for idle in &day.analysis.idle {
        if let Some(part) = Span::between(idle.start, idle.end).within(span) {
            let area = column(scale, part);
            sheet.rect(area, Pen::new(Ink::Hatch).opacity(0.6))?;
        }
    }
    Ok(())
}

/// Shades the legs.
pub(super) fn draw_bands(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    for leg in &day.analysis.legs {
        let pen = Pen::new(ink(day, leg)).leg(leg.leg);
        let whole = Span::between(leg.start, leg.end);
        let settled = leg.steady_from.map_or(whole.to, day::seconds);
        let approach = Span {
            to: settled,
            ..whole
        };
        let steady = Span {
            from: settled,
            ..whole
        };
        for (part, shade) in [(approach, SHADES[0]), (steady, SHADES[1])] {
            if let Some(part) = part.within(span) {
                sheet.rect(column(scale, part), pen.opacity(shade))?;
            }
        }
    }
    Ok(())
}

/// Draws each leg's speed over its steady part, with its setting's mark.
pub(super) fn draw_means(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    for leg in &day.analysis.legs {
        let (Some(settled), Some(speed)) = (leg.steady_from, day::leg_speed(leg)) else {
            continue;
        };
        let Some(part) = Span::between(settled, leg.end).within(span) else {
            continue;
        };
        let pen = Pen::new(ink(day, leg)).leg(leg.leg);
        let (from, to) = (
            scale.at(part.from, day.speed(speed)),
            scale.at(part.to, day.speed(speed)),
        );
        sheet.line(from, to, pen.wide(2.6))?;
        if let Some(setting) = &leg.setting {
            let setting = day.setting(setting);
            let at = from.toward(to, 0.5);
            marks::mark(
                sheet,
                Shape::of(setting),
                Filling::of(setting),
                at,
                2.7,
                pen,
            )?;
        }
    }
    Ok(())
}

fn column(scale: &Scale, part: Span) -> Area {
    Area::new(
        scale.x(part.from),
        scale.area.top,
        scale.x(part.to),
        scale.area.bottom,
    )
}

/// What a line of the key shows.
enum Sample {
    Shade(f64),
    Hatch,
    Line(Pen),
    Mark(usize),
}

fn key(day: &Day) -> Vec<(Sample, String)> {
    let mut key = vec![(Sample::Line(Pen::new(Ink::Text)), "10 s means".to_owned())];
    if !day.analysis.legs.is_empty() {
        key.push((Sample::Shade(SHADES[0]), "approach".to_owned()));
        key.push((Sample::Shade(SHADES[1]), "steady part".to_owned()));
    }
    if !day.analysis.idle.is_empty() {
        key.push((Sample::Hatch, "idle drift".to_owned()));
    }
    if has_configurations(day) {
        for (place, name) in day.settings.iter().enumerate() {
            let words = format!("leg at {}", text::fitted(name, TICK, 90.0));
            key.push((Sample::Mark(place), words));
        }
    }
    key
}

/// Width of a sample in the key.
const SAMPLE: f64 = 20.0;
/// Height of a line of the key.
const KEY_LINE: f64 = 20.0;

/// Where each entry of the key stands: its left edge and its line.
fn key_places(key: &[(Sample, String)]) -> Vec<(f64, usize)> {
    let (mut x, mut line) = (6.0, 0);
    key.iter()
        .map(|(_, words)| {
            let width = SAMPLE + 7.0 + text::width(words, TICK) + 8.0;
            if x > 6.0 && x + width > WIDTH {
                (x, line) = (6.0, line + 1);
            }
            let place = (x, line);
            x += width;
            place
        })
        .collect()
}

/// Height of the key.
pub(super) fn key_height(day: &Day) -> f64 {
    let places = key_places(&key(day));
    places
        .last()
        .map_or(0.0, |(_, line)| (line + 1) as f64 * KEY_LINE)
        + 2.0
}

/// Draws the key from `top` down.
pub(super) fn draw_key(sheet: &Sheet, day: &Day, top: f64) -> Drawn {
    let key = key(day);
    for ((sample, words), (x, line)) in key.iter().zip(key_places(&key)) {
        let y = top + line as f64 * KEY_LINE + KEY_LINE / 2.0;
        let area = Area::new(x, y - 6.0, x + SAMPLE, y + 6.0);
        let (left, right) = (Pt::new(x, y), Pt::new(x + SAMPLE, y));
        match sample {
            Sample::Shade(shade) => {
                let ink = if has_configurations(day) {
                    Ink::Configuration(0)
                } else {
                    Ink::Other
                };
                sheet.rect(area, Pen::new(ink).opacity(*shade))?;
            }
            Sample::Hatch => sheet.rect(area, Pen::new(Ink::Hatch).opacity(0.6))?,
            Sample::Line(pen) => sheet.line(left, right, *pen)?,
            Sample::Mark(setting) => {
                let pen = Pen::new(Ink::Configuration(0));
                sheet.line(left, right, pen.wide(2.6))?;
                let (shape, filling) = (Shape::of(*setting), Filling::of(*setting));
                marks::mark(sheet, shape, filling, left.toward(right, 0.5), 2.7, pen)?;
            }
        }
        let at = Pt::new(x + SAMPLE + 7.0, y + TICK * 0.35);
        sheet.text(words, at, Letters::new(TICK, Align::Start))?;
    }
    Ok(())
}
