//! How often a change is shown, by its size: days rehearsed as marks, what the plan expects as a line.

use std::collections::BTreeMap;

use super::axis;
use super::layout::{Layout, NARROW};
use super::marks::{self, Filling};
use super::pen::Pen;
use super::place::{Area, Pt};
use super::sheet::{self, Align, Drawn, Letters, Scale, Sheet};
use super::style::{Dash, Ink, NOTE, Shape, WIDTH};
use super::svg::Head;
use super::{Chart, PlotError};

/// Height of the chart.
const HEIGHT: f64 = 330.0;
/// Where the axes lie; wide, and narrow.
const AXES: [Area; 2] = [
    Area::new(56.0, 30.0, WIDTH - 30.0, HEIGHT - 50.0),
    Area::new(40.0, 30.0, NARROW - 14.0, HEIGHT - 50.0),
];
/// Room beyond the largest change, a share of the axis.
const BEYOND: f64 = 0.06;

/// What the chart of a rehearsal shows. All shares.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerChart {
    /// The chance wanted.
    pub wanted: f64,
    /// The change worth knowing.
    pub resolve: f64,
    /// Changes, and the chance planned of showing each.
    pub expected: Vec<[f64; 2]>,
    /// What was counted, for each size of change.
    pub shown: Vec<ShownShare>,
}

/// How often a change of one size was shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShownShare {
    /// The change.
    pub change: f64,
    /// Share of the days.
    pub share: f64,
    /// Its 95 % interval.
    pub interval: [f64; 2],
}

/// The chart of a rehearsal.
///
/// # Errors
/// [`PlotError`] where the drawing library fails.
pub fn power_chart(input: &PowerChart) -> Result<Chart, PlotError> {
    let head = Head {
        name: "power".to_owned(),
        title: "How often a change of each size is shown".to_owned(),
        alt: alt(input),
        legs: BTreeMap::new(),
    };
    let wide = drawn(&head, Layout::Wide, input)?;
    let narrow = drawn(&head, Layout::Narrow, input)?;
    Ok(Chart {
        name: head.name,
        title: head.title,
        caption: "Circles: simulated days, with the 95 % interval of the share; the hollow one, with no change there, is how often one was claimed. Line: what the plan expects. Dashed: the chance wanted and the change worth knowing.".to_owned(),
        alt: head.alt,
        svg: wide,
        narrow,
    })
}

fn drawn(head: &Head, layout: Layout, input: &PowerChart) -> Result<String, PlotError> {
    let changes = input.shown.iter().map(|shown| shown.change);
    let largest = changes.fold(0.01, f64::max) * 100.0;
    sheet::draw(head, layout, HEIGHT, |sheet| {
        let span = -BEYOND * largest..largest * (1.0 + BEYOND);
        let scale = sheet.scale(layout.pick(AXES[0], AXES[1]), span.clone(), 0.0..100.0)?;
        let levels = axis::ticks(0.0, 100.0, 5.0, false);
        axis::draw_levels(sheet, &scale, &levels, "days on which it was shown (%)")?;
        axis::draw_foot(
            sheet,
            &scale,
            &axis::ticks(span.start, span.end, layout.pick(8.0, 5.0), false),
        )?;
        axis::draw_foot_title(sheet, &scale, axis::FOOT, "true change in speed (%)")?;
        guides(sheet, &scale, input)?;
        curve(sheet, &scale, input)?;
        days(sheet, &scale, input)
    })
}

fn guides(sheet: &Sheet, scale: &Scale, input: &PowerChart) -> Drawn {
    let dashed = Pen::new(Ink::Muted).dashed(Dash::Dashed);
    let (wanted, resolve) = (input.wanted * 100.0, input.resolve * 100.0);
    let area = scale.area;
    let level = scale.y(wanted);
    sheet.line(
        Pt::new(area.left, level),
        Pt::new(area.right, level),
        dashed,
    )?;
    let upright = scale.x(resolve);
    sheet.line(
        Pt::new(upright, area.top),
        Pt::new(upright, area.bottom),
        dashed,
    )?;
    let words = Letters::new(NOTE, Align::Start).muted().halo();
    sheet.text("wanted", Pt::new(area.left + 4.0, level - 4.0), words)?;
    sheet.text(
        "worth knowing",
        Pt::new(upright + 5.0, area.bottom - 6.0),
        words,
    )
}

fn curve(sheet: &Sheet, scale: &Scale, input: &PowerChart) -> Drawn {
    let points: Vec<Pt> = (input.expected.iter())
        .map(|[change, share]| scale.at(change * 100.0, share * 100.0))
        .collect();
    sheet.path(&points, Pen::new(Ink::Configuration(0)).wide(2.0))
}

fn days(sheet: &Sheet, scale: &Scale, input: &PowerChart) -> Drawn {
    let pen = Pen::new(Ink::Configuration(1));
    for size in &input.shown {
        let (share, [low, high]) = (size.share, size.interval);
        let x = size.change * 100.0;
        sheet.line(
            scale.at(x, low * 100.0),
            scale.at(x, high * 100.0),
            pen.wide(1.6),
        )?;
        let filling = if size.change == 0.0 {
            Filling::Hollow
        } else {
            Filling::Full
        };
        marks::mark(
            sheet,
            Shape::Circle,
            filling,
            scale.at(x, share * 100.0),
            4.5,
            pen,
        )?;
    }
    Ok(())
}

fn alt(input: &PowerChart) -> String {
    let sizes = input.shown.iter().map(|size| {
        let share = size.share * 100.0;
        let change = (size.change * 1000.0).round() / 10.0;
        if size.change == 0.0 {
            format!("no change, claimed on {share:.0} %")
        } else {
            format!("{change} %, shown on {share:.0} %")
        }
    });
    let sizes: Vec<String> = sizes.collect();
    format!(
        "Share of the simulated days on which a change was shown, by its size: {}.",
        sizes.join("; ")
    )
}
