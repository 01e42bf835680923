//! Marks: the shapes of the settings, intervals, arrows.

use super::pen::Pen;
use super::place::Pt;
use super::sheet::{Drawn, Sheet};
use super::style::{Ink, Shape};

/// How a mark is filled: settings differ by it beside their shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Filling {
    /// With paper: an outline.
    Hollow,
    /// With the ink.
    Full,
}

impl Filling {
    /// The filling of a setting, by its place in order: by turns, the slowest hollow.
    pub(crate) fn of(number: usize) -> Self {
        if number.is_multiple_of(2) {
            Self::Hollow
        } else {
            Self::Full
        }
    }
}

/// A mark of about `radius` round a place.
///
/// Full marks have a rim of paper, so that those that overlap can still be counted.
pub(crate) fn mark(
    sheet: &Sheet,
    shape: Shape,
    filling: Filling,
    at: Pt,
    radius: f64,
    pen: Pen,
) -> Drawn {
    let paper = Pen {
        ink: Ink::Paper,
        opacity: 1.0,
        ..pen
    };
    let line = (radius * 0.4).clamp(1.0, 1.8);
    let (inside, rim) = match filling {
        Filling::Hollow => (paper, pen.wide(line)),
        Filling::Full => (pen, paper.wide(1.0)),
    };
    // The rim lies half outside the shape: full shapes are drawn that much larger.
    let radius = match filling {
        Filling::Hollow => radius,
        Filling::Full => radius + line / 2.0 + 0.4,
    };
    if shape == Shape::Circle {
        sheet.disc(at, radius, inside)?;
        return sheet.ring(at, radius, rim);
    }
    let corners = corners(shape, at, radius);
    sheet.fill(&corners, inside)?;
    let closed: Vec<Pt> = corners.iter().chain(corners.first()).copied().collect();
    sheet.path(&closed, rim)
}

/// Corners of a shape with the area of a circle of that radius, roughly.
fn corners(shape: Shape, at: Pt, r: f64) -> Vec<Pt> {
    let unit: &[(f64, f64)] = match shape {
        Shape::Circle | Shape::Square => &[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
        Shape::Triangle => &[(0.0, -1.3), (1.2, 0.85), (-1.2, 0.85)],
        Shape::Dart => &[(0.0, 1.3), (1.2, -0.85), (-1.2, -0.85)],
        Shape::Diamond => &[(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)],
        Shape::Cross => &[
            (-0.4, -1.2),
            (0.4, -1.2),
            (0.4, -0.4),
            (1.2, -0.4),
            (1.2, 0.4),
            (0.4, 0.4),
            (0.4, 1.2),
            (-0.4, 1.2),
            (-0.4, 0.4),
            (-1.2, 0.4),
            (-1.2, -0.4),
            (-0.4, -0.4),
        ],
    };
    unit.iter().map(|(x, y)| at.by(x * r, y * r)).collect()
}

/// A level interval bar with ends.
pub(crate) fn level_bar(sheet: &Sheet, from: Pt, to: Pt, ends: Ends, pen: Pen) -> Drawn {
    sheet.line(from, to, pen)?;
    for (place, end, way) in [(from, ends.left, -1.0), (to, ends.right, 1.0)] {
        let cap = Pen {
            dash: super::style::Dash::Solid,
            ..pen
        };
        match end {
            // On a very short bar the ends would be all there is to see.
            End::Closed if to.x - from.x < 2.0 * CAP => {}
            End::Closed => sheet.line(place.by(0.0, -CAP), place.by(0.0, CAP), cap)?,
            End::Beyond => sheet.fill(
                &[
                    place.by(way * CAP * 1.6, 0.0),
                    place.by(0.0, -CAP),
                    place.by(0.0, CAP),
                ],
                cap,
            )?,
        }
    }
    Ok(())
}

/// Half the length of the end of an interval bar.
const CAP: f64 = 4.0;

/// How the ends of an interval bar look.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ends {
    /// The left one.
    pub(crate) left: End,
    /// The right one.
    pub(crate) right: End,
}

/// One end of an interval bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum End {
    /// It ends there.
    Closed,
    /// It goes on past the edge of the chart.
    Beyond,
}

impl End {
    /// Beyond, if the value was cut.
    pub(crate) fn of(cut: bool) -> Self {
        if cut { Self::Beyond } else { Self::Closed }
    }
}

/// An upright interval bar with ends.
pub(crate) fn upright_bar(sheet: &Sheet, top: Pt, bottom: Pt, pen: Pen) -> Drawn {
    sheet.line(top, bottom, pen)?;
    for place in [top, bottom] {
        sheet.line(place.by(-CAP * 0.7, 0.0), place.by(CAP * 0.7, 0.0), pen)?;
    }
    Ok(())
}

/// An arrow with a shaft, on a strip of paper so that it reads over lines.
pub(crate) fn arrow(sheet: &Sheet, tail: Pt, tip: Pt, pen: Pen) -> Drawn {
    let reach = (tip.x - tail.x).hypot(tip.y - tail.y);
    if reach < ARROW_HEAD {
        return arrow_head(sheet, tail, tip, reach, pen);
    }
    let paper = Pen::new(Ink::Paper);
    let neck = tail.toward(tip, 1.0 - 0.8 * ARROW_HEAD / reach);
    sheet.line(tail, neck, paper.wide(ARROW_SHAFT + 2.4))?;
    sheet.line(tail, neck, pen.wide(ARROW_SHAFT))?;
    arrow_head(sheet, tail, tip, ARROW_HEAD, pen)
}

/// Length of the head of an arrow with a shaft.
const ARROW_HEAD: f64 = 11.0;
/// Width of its shaft.
const ARROW_SHAFT: f64 = 2.2;

/// A filled arrow head with its point at `tip`, coming from `from`; nothing where the two coincide.
pub(crate) fn arrow_head(sheet: &Sheet, from: Pt, tip: Pt, length: f64, pen: Pen) -> Drawn {
    let (dx, dy) = (tip.x - from.x, tip.y - from.y);
    let reach = dx.hypot(dy);
    if reach < 1e-6 {
        return Ok(());
    }
    let (ux, uy) = (dx / reach * length, dy / reach * length);
    let foot = tip.by(-ux, -uy);
    sheet.fill(
        &[
            tip,
            foot.by(-uy * 0.45, ux * 0.45),
            foot.by(uy * 0.45, -ux * 0.45),
        ],
        pen,
    )
}
