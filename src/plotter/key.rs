//! The key of a chart: samples with their words, in as many lines as the width takes.

use super::marks;
use super::sheet::{Align, Area, Letters, Pen, Pt, Sheet};
use super::style::{Ink, TICK};
use super::text;

/// Width of a sample.
const SAMPLE: f64 = 24.0;
/// From a sample to its words.
const BESIDE: f64 = 6.0;
/// From the end of the words to the next sample.
const APART: f64 = 14.0;
/// Height of a line, and from one line of an entry to the next.
const LINE: f64 = 20.0;
const NEXT_LINE: f64 = 14.0;
/// Radius of a mark.
const RADIUS: f64 = 3.4;

/// What an entry shows.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Sample {
    Line(Pen),
    /// The mark of a setting.
    Mark(usize, Pen),
    /// The same on a line.
    MarkedLine(usize, Pen),
    Shade(Pen),
    Hatch(Pen),
    Arrow(Pen),
}

/// Entries laid out between two edges.
pub(crate) struct Key {
    entries: Vec<Entry>,
    height: f64,
}

struct Entry {
    sample: Sample,
    words: Vec<String>,
    /// Its upper left corner, from that of the key.
    at: Pt,
}

impl Key {
    /// Lays entries out; words too long for a line go on a second one.
    pub(crate) fn new(wanted: Vec<(Sample, String)>, [left, right]: [f64; 2]) -> Self {
        let mut at = Pt::new(left, 0.0);
        let mut height = 0.0_f64;
        let mut entries = Vec::new();
        for (sample, words) in wanted {
            let words = text::wrapped(&words, TICK, right - left - SAMPLE - BESIDE, 2);
            let longest = words.iter().map(|line| text::width(line, TICK));
            let width = SAMPLE + BESIDE + longest.fold(0.0, f64::max);
            if at.x > left && at.x + width > right {
                at = Pt::new(left, height);
            }
            height = height.max(at.y + LINE + (words.len() as f64 - 1.0) * NEXT_LINE);
            entries.push(Entry { sample, words, at });
            at.x += width + APART;
        }
        Self { entries, height }
    }

    pub(crate) fn height(&self) -> f64 {
        self.height
    }

    /// Draws it from `top` down.
    pub(crate) fn draw(&self, sheet: &mut Sheet, top: f64) {
        for entry in &self.entries {
            let left = entry.at.by(0.0, top + LINE / 2.0);
            draw_sample(sheet, entry.sample, left);
            for (k, line) in entry.words.iter().enumerate() {
                let at = left.by(SAMPLE + BESIDE, TICK * 0.35 + k as f64 * NEXT_LINE);
                sheet.text(line, at, Letters::new(TICK, Align::Start));
            }
        }
    }
}

fn draw_sample(sheet: &mut Sheet, sample: Sample, left: Pt) {
    let right = left.by(SAMPLE, 0.0);
    let middle = left.toward(right, 0.5);
    let area = Area::new(left.x, left.y - 6.0, right.x, left.y + 6.0);
    match sample {
        Sample::Line(pen) => sheet.line(left, right, pen),
        Sample::Mark(setting, pen) => marks::mark(sheet, setting, middle, RADIUS, pen),
        Sample::MarkedLine(setting, pen) => {
            sheet.line(left, right, pen);
            marks::mark(sheet, setting, middle, RADIUS, Pen::new(pen.ink));
        }
        Sample::Shade(pen) => sheet.rect(area, pen),
        Sample::Hatch(pen) => sheet.hatch(area, pen),
        Sample::Arrow(pen) => marks::arrow(sheet, left, right, pen),
    }
}

/// Entries for the marks of the settings.
pub(crate) fn settings(names: &[String]) -> impl Iterator<Item = (Sample, String)> {
    names.iter().enumerate().map(|(place, name)| {
        let words = format!("setting {}", text::fitted(name, TICK, 110.0));
        (Sample::Mark(place, Pen::new(Ink::Text)), words)
    })
}
