//! How often a change is told, by its size: days rehearsed as marks, the plan's reckoning as a line.

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
use crate::plan::Plan;
use crate::plan::assume::ALPHA;
use crate::plan::rehearsal::{Rehearsal, planned_power};

/// Height of the chart.
const HEIGHT: f64 = 330.0;
/// Where the axes lie; wide, and narrow.
const AXES: [Area; 2] = [
    Area::new(56.0, 30.0, WIDTH - 30.0, HEIGHT - 50.0),
    Area::new(40.0, 30.0, NARROW - 14.0, HEIGHT - 50.0),
];
/// Room beyond the largest change, a share of the axis.
const BEYOND: f64 = 0.06;
/// Points of the reckoned line.
const CURVE_POINTS: usize = 80;

/// The chart of a rehearsal.
///
/// # Errors
/// [`PlotError`] where the drawing library fails.
pub fn power_chart(plan: &Plan, rehearsal: &Rehearsal) -> Result<Chart, PlotError> {
    let head = Head {
        name: "power".to_owned(),
        title: "How often a change of each size is told".to_owned(),
        alt: alt(rehearsal),
        legs: BTreeMap::new(),
    };
    let wide = drawn(&head, Layout::Wide, plan, rehearsal)?;
    let narrow = drawn(&head, Layout::Narrow, plan, rehearsal)?;
    Ok(Chart {
        name: head.name,
        title: head.title,
        caption: "Circles: simulated days, with the 95 % interval of the share; the hollow one, with no change there, is how often one was claimed. Line: what the plan reckons, by the noncentral t distribution. Dashed: the chance wanted and the change worth knowing.".to_owned(),
        alt: head.alt,
        svg: wide,
        narrow,
    })
}

fn drawn(
    head: &Head,
    layout: Layout,
    plan: &Plan,
    rehearsal: &Rehearsal,
) -> Result<String, PlotError> {
    let largest = rehearsal
        .sizes
        .iter()
        .map(|size| size.change)
        .fold(0.01, f64::max)
        * 100.0;
    sheet::draw(head, layout, HEIGHT, |sheet| {
        let span = -BEYOND * largest..largest * (1.0 + BEYOND);
        let scale = sheet.scale(layout.pick(AXES[0], AXES[1]), span.clone(), 0.0..100.0)?;
        let levels = axis::ticks(0.0, 100.0, 5.0, false);
        axis::draw_levels(sheet, &scale, &levels, "days on which it was told (%)")?;
        axis::draw_foot(
            sheet,
            &scale,
            &axis::ticks(span.start, span.end, layout.pick(8.0, 5.0), false),
        )?;
        axis::draw_foot_title(sheet, &scale, axis::FOOT, "true change in speed (%)")?;
        guides(sheet, &scale, rehearsal)?;
        curve(sheet, &scale, plan, largest)?;
        days(sheet, &scale, rehearsal)
    })
}

fn guides(sheet: &Sheet, scale: &Scale, rehearsal: &Rehearsal) -> Drawn {
    let dashed = Pen::new(Ink::Muted).dashed(Dash::Dashed);
    let (wanted, resolve) = (rehearsal.power_wanted * 100.0, rehearsal.resolve * 100.0);
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

fn curve(sheet: &Sheet, scale: &Scale, plan: &Plan, largest: f64) -> Drawn {
    let points: Vec<Pt> = (0..=CURVE_POINTS)
        .filter_map(|step| {
            let percent = largest * step as f64 / CURVE_POINTS as f64;
            // With no change the chance is the rate of false claims.
            let power = planned_power(plan, percent / 100.0).unwrap_or(ALPHA);
            Some(scale.at(percent, power * 100.0)).filter(|_| power.is_finite())
        })
        .collect();
    sheet.path(&points, Pen::new(Ink::Configuration(0)).wide(2.0))
}

fn days(sheet: &Sheet, scale: &Scale, rehearsal: &Rehearsal) -> Drawn {
    let pen = Pen::new(Ink::Configuration(1));
    for size in &rehearsal.sizes {
        let (Some(share), Some([low, high])) = (size.share_told(), size.share_interval()) else {
            continue;
        };
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

fn alt(rehearsal: &Rehearsal) -> String {
    let sizes: Vec<String> = rehearsal
        .sizes
        .iter()
        .filter_map(|size| {
            let share = size.share_told()? * 100.0;
            let change = (size.change * 1000.0).round() / 10.0;
            Some(if size.change == 0.0 {
                format!("no change, claimed on {share:.0} %")
            } else {
                format!("{change} %, told on {share:.0} %")
            })
        })
        .collect();
    format!(
        "Share of the simulated days on which a change was told, by its size: {}.",
        sizes.join("; ")
    )
}
