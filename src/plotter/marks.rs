//! Marks: the shapes of the settings, intervals, arrows.

use super::sheet::{Pen, Pt, Sheet};
use super::style::{Dash, Ink, Shape};

/// Half the length of the end of an interval bar.
const CAP: f64 = 4.0;
/// Length of the head of an arrow with a shaft.
const ARROW_HEAD: f64 = 11.0;
/// Width of its shaft.
const ARROW_SHAFT: f64 = 2.2;

/// The mark of a setting, by its place in order, of about `radius` round a place.
///
/// Settings differ by shape, and by turns are hollow and full. Full marks have a rim of paper, so
/// that those that overlap can still be counted.
pub(crate) fn mark(sheet: &mut Sheet, setting: usize, at: Pt, radius: f64, pen: Pen) {
    let paper = Pen::new(Ink::Paper);
    let line = (radius * 0.4).clamp(1.0, 1.8);
    let hollow = setting.is_multiple_of(2);
    let (inside, rim, radius) = if hollow {
        (paper, pen.wide(line), radius)
    } else {
        // The rim lies half outside the shape: full shapes are drawn that much larger.
        (pen, paper.wide(1.0), radius + line / 2.0 + 0.4)
    };
    let shape = Shape::of(setting);
    if shape == Shape::Circle {
        sheet.disc(at, radius, inside);
        sheet.ring(at, radius, rim);
        return;
    }
    let corners = corners(shape, at, radius);
    sheet.fill(&corners, inside);
    let closed: Vec<Pt> = corners.iter().chain(corners.first()).copied().collect();
    sheet.path(&closed, rim);
}

/// Corners of a shape with the area of a circle of that radius, roughly.
fn corners(shape: Shape, at: Pt, r: f64) -> Vec<Pt> {
    let unit: &[(f64, f64)] = match shape {
        Shape::Circle | Shape::Square => &[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
        Shape::Triangle => &[(0.0, -1.3), (1.2, 0.85), (-1.2, 0.85)],
        Shape::Dart => &[(0.0, 1.3), (1.2, -0.85), (-1.2, -0.85)],
        Shape::Diamond => &[(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)],
    };
    unit.iter().map(|(x, y)| at.by(x * r, y * r)).collect()
}

/// A level interval bar between two distances from the left, cut to `room`: where it goes on
/// beyond, an arrow head says so.
pub(crate) fn level_bar(
    sheet: &mut Sheet,
    [left, right]: [f64; 2],
    room: [f64; 2],
    y: f64,
    pen: Pen,
) {
    let [from, to] = [left.max(room[0]), right.min(room[1])];
    if from > to {
        return;
    }
    sheet.line(Pt::new(from, y), Pt::new(to, y), pen);
    let cap = pen.dashed(Dash::Solid);
    for (x, beyond, way) in [(from, left < room[0], -1.0), (to, right > room[1], 1.0)] {
        let at = Pt::new(x, y);
        let (top, bottom) = (at.by(0.0, -CAP), at.by(0.0, CAP));
        if beyond {
            sheet.fill(&[at.by(way * CAP * 1.6, 0.0), top, bottom], cap);
        } else if to - from >= 2.0 * CAP {
            // On a shorter bar the ends would be all there is to see.
            sheet.line(top, bottom, cap);
        }
    }
}

/// An upright interval bar with ends.
pub(crate) fn upright_bar(sheet: &mut Sheet, top: Pt, bottom: Pt, pen: Pen) {
    sheet.line(top, bottom, pen);
    for place in [top, bottom] {
        sheet.line(place.by(-CAP * 0.7, 0.0), place.by(CAP * 0.7, 0.0), pen);
    }
}

/// An arrow with a shaft, on a strip of paper so that it reads over lines.
pub(crate) fn arrow(sheet: &mut Sheet, tail: Pt, tip: Pt, pen: Pen) {
    let reach = tail.distance(tip);
    let head = ARROW_HEAD.min(reach);
    let neck = tail.toward(tip, 1.0 - 0.8 * head / reach.max(1.0));
    sheet.line(tail, neck, Pen::new(Ink::Paper).wide(ARROW_SHAFT + 2.4));
    sheet.line(tail, neck, pen.wide(ARROW_SHAFT));
    arrow_head(sheet, tail, tip, head, pen);
}

/// A filled arrow head with its point at `tip`, coming from `from`; nothing where the two coincide.
pub(crate) fn arrow_head(sheet: &mut Sheet, from: Pt, tip: Pt, length: f64, pen: Pen) {
    let reach = from.distance(tip);
    if reach < 1e-6 {
        return;
    }
    let foot = tip.toward(from, length / reach);
    let (across_x, across_y) = ((foot.y - tip.y) * 0.45, (tip.x - foot.x) * 0.45);
    let corners = [
        tip,
        foot.by(across_x, across_y),
        foot.by(-across_x, -across_y),
    ];
    sheet.fill(&corners, pen);
}
