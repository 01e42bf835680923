//! The key below the round figures.

use super::round::MARK;
use crate::plotter::day::Day;
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Ink, Shape, TICK};
use crate::plotter::text;
use crate::units::Bearing;

/// Height of a line of the key.
pub(super) const KEY_LINE: f64 = 20.0;

/// What an entry of the key shows.
#[derive(Debug, Clone, Copy)]
enum Sample {
    Rings,
    /// Legs at the setting of this place.
    Legs(usize),
    Wind,
}

/// An entry of the key: a sample and its words, from a left edge.
pub(super) struct Entry {
    sample: Sample,
    words: String,
    x: f64,
}

/// The key: what the marks and the arrow stand for, in lines that fit the width.
pub(super) fn key(day: &Day) -> Vec<Vec<Entry>> {
    let rings = format!("rings: speed over the ground ({})", day.unit());
    let mut wanted = vec![(Sample::Rings, rings)];
    wanted.extend(day.settings.iter().enumerate().map(|(k, name)| {
        let words = format!("setting {}", text::fitted(name, TICK, 110.0));
        (Sample::Legs(k), words)
    }));
    if let Some(from) = day.analysis.wind.from_deg.and_then(Bearing::new) {
        wanted.push((Sample::Wind, format!("wind from {from}")));
    }
    let mut lines: Vec<Vec<Entry>> = Vec::new();
    let most = day.layout.width();
    let mut x = most;
    for (sample, words) in wanted {
        let width = 20.0 + text::width(&words, TICK) + 14.0;
        if x + width > most {
            x = 6.0;
            lines.push(Vec::new());
        }
        if let Some(line) = lines.last_mut() {
            line.push(Entry { sample, words, x });
        }
        x += width;
    }
    lines
}

pub(super) fn draw_key_line(sheet: &Sheet, line: &[Entry], top: f64) -> Drawn {
    let middle = top + KEY_LINE / 2.0;
    for entry in line {
        let place = Pt::new(entry.x + 8.0, middle);
        match entry.sample {
            Sample::Rings => sheet.ring(place, 6.0, Pen::new(Ink::Muted))?,
            Sample::Legs(setting) => {
                let (shape, filling) = (Shape::of(setting), Filling::of(setting));
                marks::mark(sheet, shape, filling, place, MARK, Pen::new(Ink::Text))?;
            }
            Sample::Wind => {
                let (tail, tip) = (place.by(-9.0, 0.0), place.by(9.0, 0.0));
                marks::arrow(sheet, tail, tip, Pen::new(Ink::Wind))?;
            }
        }
        let words = Pt::new(entry.x + 20.0, middle + TICK * 0.35);
        sheet.text(&entry.words, words, Letters::new(TICK, Align::Start))?;
    }
    Ok(())
}
