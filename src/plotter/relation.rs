//! One quantity against another: what the gain buys, and how often a rehearsal detects a change.
//!
//! Each series has an ink and a line style; points carry their intervals and, where they belong to
//! a setting, its mark.

use super::chart::{Chart, ChartKind};
use super::key::{self, Key, Sample};
use super::sheet::{Align, Area, Letters, Pen, Pt, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, TICK};
use super::{axis, marks, text};

/// Upper edge and height of the axes.
const TOP: f64 = 34.0;
const HEIGHT: f64 = 260.0;
/// Radius of a mark.
const RADIUS: f64 = 4.4;

/// What the chart shows.
#[derive(Debug, Clone, Default)]
pub struct Relation {
    /// Which of the charts it is.
    pub kind: ChartKind,
    /// Its title.
    pub title: String,
    /// What to see.
    pub caption: String,
    /// The text alternative.
    pub alt: String,
    /// Titles of the axes, with units.
    pub across: String,
    /// See [`Self::across`].
    pub up: String,
    /// The axes; `None` to fit what is shown.
    pub range_across: Option<[f64; 2]>,
    /// See [`Self::range_across`].
    pub range_up: Option<[f64; 2]>,
    /// The series.
    pub series: Vec<Series>,
    /// Names of the settings for the key; empty where marks stand for none.
    pub settings: Vec<String>,
    /// A level and an upright dashed line, with their words.
    pub guides: Option<[(f64, String); 2]>,
}

/// Points and a line.
#[derive(Debug, Clone)]
pub struct Series {
    /// Place of its ink and line style in order.
    pub place: usize,
    /// For the key; empty for none.
    pub name: String,
    /// The points.
    pub points: Vec<Point>,
    /// The line, across and up.
    pub line: Vec<[f64; 2]>,
}

/// A point with its interval.
#[derive(Debug, Clone, Copy)]
pub struct Point {
    /// The mark: the place of a setting in order.
    pub mark: usize,
    /// Across and up.
    pub at: [f64; 2],
    /// Lower and upper end of its 95 % interval.
    pub interval: Option<[f64; 2]>,
}

/// The chart.
pub fn chart(input: &Relation) -> Chart {
    let words = [
        input.title.clone(),
        input.caption.clone(),
        input.alt.clone(),
    ];
    Chart::new(input.kind, words, |sheet| draw(sheet, input))
}

/// Draws it and returns its height.
fn draw(sheet: &mut Sheet, input: &Relation) -> f64 {
    let width = sheet.layout();
    let left = width.pick(58.0, 44.0);
    let area = Area::new(left, TOP, sheet.width() - 20.0, TOP + HEIGHT);
    let points = || input.series.iter().flat_map(|series| &series.points);
    let lines = || input.series.iter().flat_map(|series| &series.line);
    let ends = points().flat_map(|p| p.interval.into_iter().flatten());
    let ups = points().map(|p| p.at[1]).chain(lines().map(|l| l[1]));
    let acrosses = points().map(|p| p.at[0]).chain(lines().map(|l| l[0]));
    let scale = Scale {
        area,
        across: (input.range_across).unwrap_or_else(|| axis::padded(acrosses, 0.08, 0.2)),
        up: (input.range_up).unwrap_or_else(|| axis::padded(ups.chain(ends), 0.1, 0.2)),
    };
    let [low, high] = scale.up;
    axis::draw_levels(sheet, &scale, &axis::ticks(low, high, 8, false));
    let letters = Letters::new(TICK, Align::Start).muted();
    sheet.text(&input.up, Pt::new(6.0, axis::TITLE), letters);
    let [low, high] = scale.across;
    let ticks = axis::ticks(low, high, width.pick(10, 6), false);
    axis::draw_foot(sheet, &scale, &ticks);
    axis::draw_foot_title(sheet, area, axis::FOOT, &input.across);
    draw_guides(sheet, input, &scale);
    for series in &input.series {
        draw_series(sheet, series, &scale);
    }
    let mut entries: Vec<(Sample, String)> = (input.series.iter())
        .filter(|series| !series.name.is_empty())
        .map(|series| (Sample::Line(pen(series)), text::clean(&series.name)))
        .collect();
    entries.extend(key::settings(&input.settings));
    let key = Key::new(entries, [6.0, sheet.width() - 8.0]);
    let below = area.bottom + axis::FOOT + TICK + 14.0;
    key.draw(sheet, below);
    below + key.height()
}

fn pen(series: &Series) -> Pen {
    let ink = Ink::Configuration(series.place);
    Pen::new(ink).wide(2.0).dashed(Dash::of(series.place))
}

fn draw_guides(sheet: &mut Sheet, input: &Relation, scale: &Scale) {
    let Some([(level, level_words), (upright, upright_words)]) = &input.guides else {
        return;
    };
    let area = scale.area;
    let pen = Pen::new(Ink::Muted).dashed(Dash::Dashed);
    let (x, y) = (scale.x(*upright), scale.y(*level));
    sheet.line(Pt::new(area.left, y), Pt::new(area.right, y), pen);
    sheet.line(Pt::new(x, area.top), Pt::new(x, area.bottom), pen);
    let letters = Letters::new(NOTE, Align::Start).muted().halo();
    sheet.text(level_words, Pt::new(area.left + 4.0, y - 4.0), letters);
    sheet.text(upright_words, Pt::new(x + 5.0, area.bottom - 6.0), letters);
}

fn draw_series(sheet: &mut Sheet, series: &Series, scale: &Scale) {
    let line: Vec<Pt> = series.line.iter().map(|[x, y]| scale.at(*x, *y)).collect();
    sheet.path(&line, pen(series));
    let pen = Pen::new(Ink::Configuration(series.place));
    for point in &series.points {
        let [x, y] = point.at;
        if let Some([low, high]) = point.interval {
            marks::upright_bar(sheet, scale.at(x, high), scale.at(x, low), pen.wide(1.4));
        }
        marks::mark(sheet, point.mark, scale.at(x, y), RADIUS, pen);
    }
}
