//! What stands above the axes: leg numbers, and the configurations over their series of legs.

use super::span::Span;
use crate::day::Leg;
use crate::plotter::day::Day;
use crate::plotter::labels::Labels;
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, Ink, NOTE, TICK};
use crate::plotter::text;

/// Upper edge of the first lane of configurations, from the top of the sheet.
pub(crate) const TOP: f64 = 24.0;
/// Height of the lane of configurations.
const CONFIGURATION_LANE: f64 = 24.0;
/// Height of a lane of leg numbers.
const NUMBER_LANE: f64 = 13.0;
/// Lanes of leg numbers at the most.
const MOST_LANES: usize = 4;

/// The lanes above the axes.
pub(crate) struct Lanes {
    /// Their upper edge.
    top: f64,
    /// Leg numbers with the middle of each.
    numbers: Vec<(usize, Pt)>,
    /// Their lower edge: the upper edge of the axes.
    pub(crate) bottom: f64,
}

/// Lays leg numbers into as few lanes as hold them all.
pub(crate) fn lanes(day: &Day, span: Span, [left, right]: [f64; 2], upper: f64) -> Lanes {
    let x = |t: f64| left + (t - span.from) / (span.to - span.from) * (right - left);
    let wanted: Vec<(usize, f64)> = numbered(day)
        .filter_map(|leg| {
            let part = Span::between(leg.start, leg.end).within(span)?;
            Some((leg.leg, x(f64::midpoint(part.from, part.to))))
        })
        .collect();
    let top = upper
        + if has_configurations(day) {
            CONFIGURATION_LANE
        } else {
            0.0
        };
    let mut best = Lanes {
        top: upper,
        numbers: Vec::new(),
        bottom: top,
    };
    for count in 1..=MOST_LANES {
        let bottom = top + count as f64 * NUMBER_LANE + 4.0;
        let mut labels = Labels::within(Area::new(left - 8.0, top, day.layout.width(), bottom));
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
            best = Lanes {
                numbers,
                bottom,
                ..best
            };
        }
        if all {
            break;
        }
    }
    best
}

/// Legs that get a number: those of double runs, or all where there is none.
pub(crate) fn numbered<'a>(day: &Day<'a>) -> impl Iterator<Item = &'a Leg> {
    let legs = &day.analysis.legs;
    let any = legs.iter().any(|leg| leg.double_run.is_some());
    legs.iter()
        .filter(move |leg| leg.double_run.is_some() || !any)
}

/// Whether any leg has a configuration.
pub(crate) fn has_configurations(day: &Day) -> bool {
    day.analysis
        .legs
        .iter()
        .any(|leg| leg.configuration.is_some())
}

/// Numbers, and a bar with its name over each series in one configuration.
pub(crate) fn draw_lanes(sheet: &Sheet, day: &Day, scale: &Scale, lanes: &Lanes) -> Drawn {
    for (leg, at) in &lanes.numbers {
        let letters = Letters::new(NOTE, Align::Middle).leg(*leg);
        sheet.text(&leg.to_string(), at.by(0.0, NOTE * 0.36), letters)?;
    }
    let (times, _) = scale.ranges();
    let shown = Span {
        from: times.start,
        to: times.end,
    };
    let y = lanes.top + 18.0;
    let (left, right) = (scale.area.left - 6.0, day.layout.width());
    let bounds = Area::new(left, lanes.top - 4.0, right, y);
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

/// From the last leg in one configuration to the first in the next.
pub(crate) fn swaps(day: &Day) -> Vec<Span> {
    let series = series(day);
    series
        .windows(2)
        .filter_map(|pair| match pair {
            [before, after] => Some(Span {
                from: before.span.to,
                to: after.span.from,
            }),
            _ => None,
        })
        .filter(|swap| swap.length() > 0.0)
        .collect()
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
