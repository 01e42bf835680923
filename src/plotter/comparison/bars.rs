//! The bars of the comparison: means with their intervals, changes with their verdicts.

use super::words;
use crate::compare::{Comparison, Verdict};
use crate::plotter::day;
use crate::plotter::marks::{self, End, Ends};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, TEXT, TICK};
use crate::plotter::text;

/// Left edge of the verdicts.
pub(crate) const VERDICTS: f64 = 500.0;

/// The change, percent.
pub(crate) fn value(change: &Comparison) -> Option<f64> {
    change.percent.value.filter(|value| day::drawable(*value))
}

/// The interval of a change, percent.
pub(crate) fn bar(change: &Comparison) -> Option<[f64; 2]> {
    change
        .percent
        .low
        .zip(change.percent.high)
        .map(|(low, high)| [low, high])
        .filter(|[low, high]| day::drawable(*low) && day::drawable(*high))
}

/// Draws a change in percent.
pub(crate) fn draw_change(
    sheet: &Sheet,
    scale: &Scale,
    middle: f64,
    change: &Comparison,
    pen: Pen,
) -> Drawn {
    if let Some(value) = value(change) {
        // Dotted where the interval rests on what is usual rather than on these runs.
        let dash = match change.verdict {
            Verdict::TooFewRuns => Dash::Dotted,
            _ => Dash::Solid,
        };
        draw_bar(
            sheet,
            scale,
            middle,
            value,
            bar(change),
            pen.wide(2.4).dashed(dash),
        )?;
    }
    Ok(())
}

/// Writes a change and its verdict beside its bar, one below the other.
pub(crate) fn write_beside(
    sheet: &Sheet,
    middle: f64,
    change: &Comparison,
    decimals: usize,
) -> Drawn {
    if let Some(number) = number(change, decimals) {
        let letters = Letters::new(TEXT, Align::Start).bold();
        sheet.text(&number, Pt::new(VERDICTS, middle - 1.0), letters)?;
    }
    let below = Pt::new(VERDICTS, middle + TICK + 3.0);
    let letters = Letters::new(TICK, Align::Start);
    sheet.text(words::verdict(change.verdict), below, letters)
}

/// A change and its verdict on one line: `+5.8 %, faster`.
pub(crate) fn on_one_line(change: &Comparison, decimals: usize) -> String {
    let verdict = words::verdict(change.verdict);
    match number(change, decimals) {
        Some(number) => format!("{number}, {verdict}"),
        None => verdict.to_owned(),
    }
}

fn number(change: &Comparison, decimals: usize) -> Option<String> {
    value(change).map(|value| format!("{}\u{a0}%", text::signed(value, decimals)))
}

/// Draws a mean with its interval.
pub(crate) fn draw_bar(
    sheet: &Sheet,
    scale: &Scale,
    middle: f64,
    value: f64,
    interval: Option<[f64; 2]>,
    pen: Pen,
) -> Drawn {
    if let Some([low, high]) = interval {
        let (left, right) = (scale.x(low), scale.x(high));
        let ends = Ends {
            left: End::of(left < scale.area.left),
            right: End::of(right > scale.area.right),
        };
        let from = Pt::new(left.max(scale.area.left), middle);
        let to = Pt::new(right.min(scale.area.right), middle);
        marks::level_bar(sheet, from, to, ends, pen)?;
    }
    let at = Pt::new(scale.x(value), middle);
    let mean = Pen::new(pen.ink).wide(3.2);
    sheet.line(at.by(0.0, -MEAN), at.by(0.0, MEAN), mean)
}

/// Half the height of the stroke that marks a mean.
const MEAN: f64 = 7.0;
