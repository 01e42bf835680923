//! Course lines, their directions and the legs' numbers, placed so that they can be read.

use super::map::{GroundLeg, GroundLine, Map};
use crate::plotter::clip;
use crate::plotter::labels::{Labels, Spot};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Sheet};
use crate::plotter::style::{Ink, NOTE};
use crate::plotter::text;
use crate::units::Bearing;

/// How far a course line is drawn beyond its ends, units of the chart.
const BEYOND: f64 = 22.0;
/// How far beyond its ends or beside them its directions are tried, best first.
const NAME_AT: [f64; 5] = [6.0, 20.0, 36.0, 54.0, 74.0];

/// A course line on the sheet, drawn out beyond its ends; none where it lies outside the map.
pub(crate) fn drawn_out(map: &Map, line: &GroundLine) -> Option<[Pt; 2]> {
    let (from, to) = (map.at(line.from), map.at(line.to));
    let share = BEYOND / (to.x - from.x).hypot(to.y - from.y).max(1.0);
    let (start, end) = (to.toward(from, 1.0 + share), from.toward(to, 1.0 + share));
    clip::clipped(start, end, map.area())
}

/// Writes the two directions of a course line at one of its ends.
pub(crate) fn draw_directions(
    sheet: &Sheet,
    map: &Map,
    line: &GroundLine,
    names: &mut Labels,
) -> Drawn {
    let (Some(axis), Some([start, end])) = (Bearing::new(line.axis_deg), drawn_out(map, line))
    else {
        return Ok(());
    };
    let length = (end.x - start.x).hypot(end.y - start.y).max(1.0);
    let (ux, uy) = ((end.x - start.x) / length, (end.y - start.y) / length);
    let words = format!("{axis} / {}", axis.reciprocal());
    let size = Pt::new(text::width(&words, NOTE), NOTE + 2.0);
    let along = size.x / 2.0 * ux.abs() + size.y / 2.0 * uy.abs();
    let beside = size.x / 2.0 * uy.abs() + size.y / 2.0 * ux.abs();
    let places = NAME_AT.iter().flat_map(|gap| {
        let (a, b) = (along + gap, beside + gap);
        [
            end.by(ux * a, uy * a),
            start.by(-ux * a, -uy * a),
            end.by(-uy * b, ux * b),
            end.by(uy * b, -ux * b),
            start.by(-uy * b, ux * b),
            start.by(uy * b, -ux * b),
        ]
    });
    let Some(place) = names.place(size, places) else {
        return Ok(());
    };
    let letters = Letters::new(NOTE, Align::Middle).halo();
    sheet.text(&words, place.at.by(0.0, NOTE * 0.35), letters)
}

/// Where along a leg its number is tried, shares of its length, best first.
const ALONG: [f64; 17] = [
    0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.14, 0.86, 0.08, 0.92, 0.02,
    0.98,
];
/// How far beside the leg its number is tried, units of the chart, best first.
const BESIDE: [f64; 6] = [11.0, 23.0, 35.0, 47.0, 59.0, 71.0];

/// Writes a leg's number beside it, with a line that leads to it where it must stand off.
pub(crate) fn draw_number(sheet: &Sheet, map: &Map, leg: &GroundLeg, names: &mut Labels) -> Drawn {
    let (start, end) = (map.at(leg.start), map.at(leg.end));
    let length = (end.x - start.x).hypot(end.y - start.y);
    if length < 1.0 || clip::clipped(start, end, map.area()).is_none() {
        return Ok(());
    }
    // To starboard first, so that numbers of legs there and back lie on different sides.
    let (right_x, right_y) = (-(end.y - start.y) / length, (end.x - start.x) / length);
    let words = leg.leg.leg.to_string();
    let size = Pt::new(text::width(&words, NOTE), NOTE);
    let spots = BESIDE.iter().flat_map(|beside| {
        [*beside, -*beside].into_iter().flat_map(move |side| {
            ALONG.map(|along| {
                let foot = start.toward(end, along);
                Spot {
                    at: foot.by(right_x * side, right_y * side),
                    foot: (*beside > BESIDE[0]).then_some(foot),
                }
            })
        })
    });
    let Some(spot) = names.place(size, spots) else {
        return Ok(());
    };
    let number = leg.leg.leg;
    if let Some(foot) = spot.foot {
        let reach = (spot.at.x - foot.x).hypot(spot.at.y - foot.y).max(1.0);
        let short = foot.toward(spot.at, 1.0 - NOTE * 0.65 / reach);
        let pen = Pen::new(Ink::Muted).wide(0.6).leg(number);
        sheet.line(foot, short, pen)?;
        sheet.disc(foot, 1.5, Pen::new(Ink::Text).leg(number))?;
    }
    let letters = Letters::new(NOTE, Align::Middle).halo().leg(number);
    let letters = if leg.leg.double_run.is_some() {
        letters.bold()
    } else {
        letters.muted()
    };
    sheet.text(&words, spot.at.by(0.0, NOTE * 0.36), letters)
}
