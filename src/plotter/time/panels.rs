//! A long day in a narrow chart: one part of it below the other, all to one scale.

use super::lanes::{self, Lanes};
use super::span::Span;
use super::{PLOT_HEIGHT, sides};
use crate::plotter::axis;
use crate::plotter::day::Day;
use crate::plotter::place::Area;

/// So many legs stand side by side in a narrow chart: each is then wide enough for its number.
const LEGS_ABREAST: usize = 14;
/// Parts at the most: what is longer stays crowded rather than fill screen after screen.
const MOST: usize = 4;
/// Height of the axes in a narrow chart; of one part, and of each of several.
const SLIM_HEIGHTS: [f64; 2] = [200.0, 150.0];

/// A part of the time with what stands above its axes.
pub(super) struct Panel {
    pub(super) span: Span,
    pub(super) lanes: Lanes,
    /// Where its axes lie.
    pub(super) plot: Area,
}

/// The parts of a span, from the first to the last: one in a wide chart.
pub(super) fn panels(day: &Day, span: Span) -> Vec<Panel> {
    let parts = parts(day, span);
    let longest = parts.iter().map(|part| part.length()).fold(0.0, f64::max);
    let [left, right] = sides(day);
    let slim = SLIM_HEIGHTS[usize::from(parts.len() > 1)];
    let height = day.layout.pick(PLOT_HEIGHT, slim);
    let mut top = lanes::TOP;
    parts
        .into_iter()
        .map(|part| {
            let right = left + (right - left) * part.length() / longest;
            let lanes = lanes::lanes(day, part, [left, right], top);
            let plot = Area::new(left, lanes.bottom, right, lanes.bottom + height);
            top = plot.bottom + axis::FOOT + 10.0;
            Panel {
                span: part,
                lanes,
                plot,
            }
        })
        .collect()
}

/// A span cut between legs, as evenly as that allows.
fn parts(day: &Day, span: Span) -> Vec<Span> {
    let mut legs: Vec<Span> = lanes::numbered(day)
        .filter_map(|leg| Span::between(leg.start, leg.end).within(span))
        .collect();
    legs.sort_by(|a, b| a.from.total_cmp(&b.from));
    let count = if day.layout.is_narrow() {
        legs.len().div_ceil(LEGS_ABREAST).clamp(1, MOST)
    } else {
        1
    };
    let between: Vec<f64> = legs
        .windows(2)
        .filter_map(|pair| Some(f64::midpoint(pair.first()?.to, pair.get(1)?.from)))
        .collect();
    let mut cuts = vec![span.from];
    for k in 1..count {
        let even = span.from + span.length() * k as f64 / count as f64;
        let last = cuts.last().copied().unwrap_or(span.from);
        let nearest = between
            .iter()
            .copied()
            .filter(|t| *t > last && *t < span.to)
            .min_by(|a, b| (a - even).abs().total_cmp(&(b - even).abs()));
        cuts.extend(nearest);
    }
    cuts.push(span.to);
    cuts.windows(2)
        .filter_map(|pair| {
            Some(Span {
                from: *pair.first()?,
                to: *pair.get(1)?,
            })
        })
        .collect()
}
