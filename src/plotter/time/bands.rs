//! The stretches of time on the chart of speed over time: legs, configurations, idle drift, and the key to them.

use super::lanes;
use super::span::Span;
use crate::day::Leg;
use crate::plotter::day::{self, Day};
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::Area;
use crate::plotter::sheet::{Drawn, Scale, Sheet};
use crate::plotter::style::{Ink, Shape};
use crate::units::seconds;

/// Opacity of the shade over an approach and over a steady part.
pub(crate) const SHADES: [f64; 2] = [0.10, 0.26];

/// Opacity of the shade over the time between two configurations.
pub(crate) const SWAP_SHADE: f64 = 0.16;

/// All legs, or those on one course line.
fn legs<'a>(day: &Day<'a>, line: Option<usize>) -> impl Iterator<Item = &'a Leg> + use<'a> {
    let legs = day.analysis.legs.iter();
    legs.filter(move |leg| line.is_none() || leg.line == line)
}

fn ink(day: &Day, leg: &Leg) -> Ink {
    leg.configuration.as_deref().map_or(Ink::Other, |name| {
        Ink::Configuration(day.configuration(name))
    })
}

/// Hatches the stretches of idle drift.
pub(crate) fn draw_idle(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    for idle in day.analysis.idle() {
        if let Some(part) = Span::between(idle.start, idle.end).within(span) {
            let area = column(scale, part);
            sheet.rect(area, Pen::new(Ink::Hatch).opacity(0.6))?;
        }
    }
    Ok(())
}

/// Shades the time between two configurations, in which the part was changed.
pub(crate) fn draw_swaps(sheet: &Sheet, day: &Day, scale: &Scale, span: Span) -> Drawn {
    for swap in lanes::swaps(day) {
        if let Some(part) = swap.within(span) {
            let area = column(scale, part);
            sheet.rect(area, Pen::new(Ink::Muted).opacity(SWAP_SHADE))?;
        }
    }
    Ok(())
}

/// Shades the legs; of one course line only, where one is given.
pub(crate) fn draw_bands(
    sheet: &Sheet,
    day: &Day,
    scale: &Scale,
    span: Span,
    line: Option<usize>,
) -> Drawn {
    for leg in legs(day, line) {
        let pen = Pen::new(ink(day, leg)).leg(leg.leg);
        let whole = Span::between(leg.start, leg.end);
        let settled = leg.steady_from.map_or(whole.to, seconds);
        let approach = Span {
            to: settled,
            ..whole
        };
        let steady = Span {
            from: settled,
            ..whole
        };
        for (part, shade) in [(approach, SHADES[0]), (steady, SHADES[1])] {
            if let Some(part) = part.within(span) {
                sheet.rect(column(scale, part), pen.opacity(shade))?;
            }
        }
    }
    Ok(())
}

/// Draws each leg's speed over its steady part, with its setting's mark.
pub(crate) fn draw_means(
    sheet: &Sheet,
    day: &Day,
    scale: &Scale,
    span: Span,
    line: Option<usize>,
) -> Drawn {
    for leg in legs(day, line) {
        let (Some(settled), Some(speed)) = (leg.steady_from, day::leg_speed(leg)) else {
            continue;
        };
        let Some(part) = Span::between(settled, leg.end).within(span) else {
            continue;
        };
        let pen = Pen::new(ink(day, leg)).leg(leg.leg);
        let (from, to) = (
            scale.at(part.from, day.speed(speed)),
            scale.at(part.to, day.speed(speed)),
        );
        sheet.line(from, to, pen.wide(2.6))?;
        if let Some(setting) = &leg.setting {
            let setting = day.setting(setting);
            let at = from.toward(to, 0.5);
            marks::mark(
                sheet,
                Shape::of(setting),
                Filling::of(setting),
                at,
                2.7,
                pen,
            )?;
        }
    }
    Ok(())
}

fn column(scale: &Scale, part: Span) -> Area {
    Area::new(
        scale.x(part.from),
        scale.area.top,
        scale.x(part.to),
        scale.area.bottom,
    )
}
