//! The key to the shades, lines and marks.

use super::bands::{SHADES, SWAP_SHADE};
use super::lanes::{self, has_configurations};
use super::span::Span;
use crate::day::Leg;
use crate::plotter::day::Day;
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Ink, Shape, TICK};
use crate::plotter::text;

/// What a line of the key shows.
enum Sample {
    Shade(f64),
    Other,
    Swap,
    Hatch,
    Line(Pen),
    Mark(usize),
}

fn key(day: &Day, span: Span) -> Vec<(Sample, String)> {
    let mut key = vec![(Sample::Line(Pen::new(Ink::Text)), "10 s means".to_owned())];
    if !day.analysis.legs.is_empty() {
        key.push((Sample::Shade(SHADES[0]), "approach".to_owned()));
        key.push((Sample::Shade(SHADES[1]), "steady".to_owned()));
    }
    let mut legs = day.analysis.legs.iter();
    if has_configurations(day) && legs.any(|leg| is_other(leg, span)) {
        key.push((Sample::Other, "other leg".to_owned()));
    }
    if is_idle(day, span) {
        key.push((Sample::Hatch, "idle drift".to_owned()));
    }
    if !lanes::swaps(day).is_empty() {
        key.push((Sample::Swap, "swap".to_owned()));
    }
    if has_configurations(day) {
        for (place, name) in day.settings.iter().enumerate() {
            let words = format!("setting {}", text::fitted(name, TICK, 90.0));
            key.push((Sample::Mark(place), words));
        }
    }
    key
}

/// Whether idle drift is seen in a span.
pub(crate) fn is_idle(day: &Day, span: Span) -> bool {
    let mut idle = day.analysis.idle().iter();
    idle.any(|idle| Span::between(idle.start, idle.end).within(span).is_some())
}

/// Whether a leg of no configuration is seen in a span.
fn is_other(leg: &Leg, span: Span) -> bool {
    let seen = Span::between(leg.start, leg.end).within(span).is_some();
    leg.configuration.is_none() && seen
}

/// Width of a sample in the key.
const SAMPLE: f64 = 17.0;
/// Space between a sample, its words and the next sample.
const GAP: f64 = 6.0;
/// Height of a line of the key.
const KEY_LINE: f64 = 20.0;

/// Where each entry of the key stands: its left edge and its line.
fn key_places(day: &Day, key: &[(Sample, String)]) -> Vec<(f64, usize)> {
    let (mut x, mut line) = (6.0, 0);
    key.iter()
        .map(|(_, words)| {
            let width = SAMPLE + GAP + text::width(words, TICK) + GAP;
            if x > 6.0 && x + width > day.layout.width() {
                (x, line) = (6.0, line + 1);
            }
            let place = (x, line);
            x += width;
            place
        })
        .collect()
}

/// Height of the key.
pub(crate) fn key_height(day: &Day, span: Span) -> f64 {
    let places = key_places(day, &key(day, span));
    places
        .last()
        .map_or(0.0, |(_, line)| (line + 1) as f64 * KEY_LINE)
        + 2.0
}

/// Draws the key from `top` down.
pub(crate) fn draw_key(sheet: &Sheet, day: &Day, span: Span, top: f64) -> Drawn {
    let key = key(day, span);
    for ((sample, words), (x, line)) in key.iter().zip(key_places(day, &key)) {
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
            Sample::Other => sheet.rect(area, Pen::new(Ink::Other).opacity(SHADES[1]))?,
            Sample::Swap => sheet.rect(area, Pen::new(Ink::Muted).opacity(SWAP_SHADE))?,
            Sample::Hatch => sheet.rect(area, Pen::new(Ink::Hatch).opacity(0.6))?,
            Sample::Line(pen) => sheet.line(left, right, *pen)?,
            Sample::Mark(setting) => {
                let pen = Pen::new(Ink::Configuration(0));
                sheet.line(left, right, pen.wide(2.6))?;
                let (shape, filling) = (Shape::of(*setting), Filling::of(*setting));
                marks::mark(sheet, shape, filling, left.toward(right, 0.5), 2.7, pen)?;
            }
        }
        let at = Pt::new(x + SAMPLE + GAP, y + TICK * 0.35);
        sheet.text(words, at, Letters::new(TICK, Align::Start))?;
    }
    Ok(())
}
