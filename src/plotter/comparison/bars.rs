//! The bars of the comparison: means with their intervals, changes with their verdicts.

use super::words;
use crate::analysis::{Comparison, Verdict};
use crate::plotter::day;
use crate::plotter::marks::{self, End, Ends};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, TEXT, TICK};
use crate::plotter::text;
use crate::report::rounding::percent_decimals;

/// Left edge of the verdicts.
pub(crate) const VERDICTS: f64 = 500.0;

/// The change, percent.
pub(crate) fn value(change: &Comparison) -> Option<f64> {
    change.percent.value.filter(|value| day::drawable(*value))
}

/// The interval of a change, percent; the legs' own where the scatter between runs is not known.
pub(crate) fn bar(change: &Comparison) -> Option<[f64; 2]> {
    let own = change.within_run_percent.map(|i| [i.low, i.high]);
    change
        .percent
        .low
        .zip(change.percent.high)
        .map(|(low, high)| [low, high])
        .or(own)
        .filter(|[low, high]| day::drawable(*low) && day::drawable(*high))
}

/// Draws a change in percent and writes its verdict.
pub(crate) fn draw_change(
    sheet: &Sheet,
    scale: &Scale,
    middle: f64,
    change: &Comparison,
    pen: Pen,
) -> Drawn {
    let value = value(change);
    let words = Letters::new(TEXT, Align::Start);
    if let Some(value) = value {
        // Dotted where the scatter between runs is missing: the true interval is longer.
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
        let decimals = percent_decimals(&change.percent);
        let number = format!("{}\u{a0}%", text::signed(value, decimals));
        sheet.text(&number, Pt::new(VERDICTS, middle - 1.0), words.bold())?;
    }
    let below = Pt::new(VERDICTS, middle + TICK + 3.0);
    sheet.text(
        words::verdict(change.verdict),
        below,
        Letters::new(TICK, Align::Start),
    )
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
