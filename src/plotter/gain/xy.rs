//! A plain figure of one quantity against another, a line style and an ink for each configuration.

use crate::plotter::axis;
use crate::plotter::layout::{Layout, NARROW};
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Dash, Ink, Shape, TICK, WIDTH};
use crate::plotter::svg::Head;
use crate::plotter::text;
use crate::plotter::{Chart, PlotError};

/// Where the data lie; wide, and narrow.
const PLOTS: [Area; 2] = [
    Area::new(62.0, 34.0, WIDTH - 24.0, 300.0),
    Area::new(44.0, 34.0, NARROW - 14.0, 270.0),
];
/// Ticks across, about.
const TICKS_ACROSS: [f64; 2] = [8.0, 5.0];
/// Height of a line of the key.
const KEY_LINE: f64 = 20.0;
/// Radius of a mark.
const RADIUS: f64 = 4.4;
/// Length of the sample of a configuration's line.
const SAMPLE: f64 = 28.0;

/// One configuration.
pub(super) struct Series {
    /// Its place in order.
    pub(super) configuration: usize,
    pub(super) name: String,
    /// Measured.
    pub(super) points: Vec<Spot>,
    /// Fitted; empty for none, then the points are joined.
    pub(super) curve: Vec<[f64; 2]>,
}

/// One measured point.
pub(super) struct Spot {
    /// Place of its setting in order.
    pub(super) setting: usize,
    pub(super) at: [f64; 2],
    /// Ends of the interval upwards.
    pub(super) bar: Option<[f64; 2]>,
}

/// Words of the figure.
pub(super) struct Words {
    pub(super) head: Head,
    pub(super) caption: String,
    pub(super) x: String,
    pub(super) y: String,
    /// Names of settings for the key; empty where the axis names them.
    pub(super) settings: Vec<String>,
}

/// Draws the figure.
pub(super) fn chart(layout: Layout, words: Words, series: &[Series]) -> Result<Chart, PlotError> {
    let key = key(layout, &words.settings, series);
    let plot = layout.pick(PLOTS[0], PLOTS[1]);
    let lines = key.iter().map(|e| e.line + 1).max().unwrap_or(0);
    let height = plot.bottom + axis::FOOT + TICK + 16.0 + lines as f64 * KEY_LINE;
    let svg = sheet::draw(&words.head, layout, height, |sheet| {
        draw(sheet, layout, &words, series, &key)
    })?;
    Ok(Chart {
        name: words.head.name,
        title: words.head.title,
        caption: words.caption,
        alt: words.head.alt,
        svg,
        narrow: String::new(),
    })
}

fn draw(sheet: &Sheet, layout: Layout, words: &Words, series: &[Series], key: &[Entry]) -> Drawn {
    let plot = layout.pick(PLOTS[0], PLOTS[1]);
    let points = || series.iter().flat_map(|s| &s.points);
    let xs = points().map(|p| p.at[0]);
    let ys = points().flat_map(|p| p.bar.into_iter().flatten().chain([p.at[1]]));
    let curve = series.iter().flat_map(|s| &s.curve).map(|c| c[1]);
    let [left, right] = axis::padded(xs, 0.08, 0.2);
    let [low, high] = axis::padded(ys.chain(curve), 0.1, 0.2);
    let scale = sheet.scale(plot, left..right, low..high)?;
    axis::draw_levels(sheet, &scale, &axis::ticks(low, high, 6.0, false), &words.y)?;
    axis::draw_foot(
        sheet,
        &scale,
        &axis::ticks(
            left,
            right,
            layout.pick(TICKS_ACROSS[0], TICKS_ACROSS[1]),
            false,
        ),
    )?;
    axis::draw_foot_title(sheet, &scale, axis::FOOT, &words.x)?;
    for one in series {
        draw_series(sheet, &scale, one)?;
    }
    let top = plot.bottom + axis::FOOT + TICK + 14.0;
    for entry in key {
        let at = Pt::new(entry.x, top + (entry.line as f64 + 0.5) * KEY_LINE);
        match entry.sample {
            Sample::Line(k) => sheet.line(
                at,
                at.by(SAMPLE, 0.0),
                Pen::new(Ink::Configuration(k))
                    .wide(2.2)
                    .dashed(Dash::of(k)),
            )?,
            Sample::Mark(k) => marks::mark(
                sheet,
                Shape::of(k),
                Filling::of(k),
                at.by(SAMPLE / 2.0, 0.0),
                RADIUS,
                Pen::new(Ink::Text),
            )?,
        }
        let words_at = at.by(SAMPLE + 6.0, TICK * 0.35);
        sheet.text(&entry.words, words_at, Letters::new(TICK, Align::Start))?;
    }
    Ok(())
}

fn draw_series(sheet: &Sheet, scale: &Scale, series: &Series) -> Drawn {
    let pen = Pen::new(Ink::Configuration(series.configuration));
    let mut line: Vec<Pt> = series.curve.iter().map(|[x, y]| scale.at(*x, *y)).collect();
    if line.is_empty() {
        let mut points: Vec<[f64; 2]> = series.points.iter().map(|p| p.at).collect();
        points.sort_by(|a, b| a[0].total_cmp(&b[0]));
        line = points.iter().map(|[x, y]| scale.at(*x, *y)).collect();
    }
    sheet.path(&line, pen.wide(2.0).dashed(Dash::of(series.configuration)))?;
    for spot in &series.points {
        let [x, y] = spot.at;
        if let Some([low, high]) = spot.bar {
            marks::upright_bar(sheet, scale.at(x, high), scale.at(x, low), pen.wide(1.4))?;
        }
        let (shape, filling) = (Shape::of(spot.setting), Filling::of(spot.setting));
        marks::mark(sheet, shape, filling, scale.at(x, y), RADIUS, pen)?;
    }
    Ok(())
}

#[derive(Clone, Copy)]
enum Sample {
    /// A configuration's line.
    Line(usize),
    /// A setting's mark.
    Mark(usize),
}

struct Entry {
    sample: Sample,
    words: String,
    x: f64,
    line: usize,
}

/// What lines and marks stand for, in lines that fit the width.
fn key(layout: Layout, settings: &[String], series: &[Series]) -> Vec<Entry> {
    let lines = series
        .iter()
        .map(|s| (Sample::Line(s.configuration), s.name.as_str()));
    let marks = settings
        .iter()
        .enumerate()
        .map(|(k, name)| (Sample::Mark(k), name.as_str()));
    let mut out: Vec<Entry> = Vec::new();
    let (mut x, mut line) = (6.0, 0);
    for (sample, name) in lines.chain(marks) {
        let words = text::fitted(name, TICK, 180.0);
        let width = SAMPLE + 6.0 + text::width(&words, TICK) + 18.0;
        if x + width > layout.width() && x > 6.0 {
            x = 6.0;
            line += 1;
        }
        out.push(Entry {
            sample,
            words,
            x,
            line,
        });
        x += width;
    }
    out
}
