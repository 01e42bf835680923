//! The sheet a chart is drawn on: plotters areas and elements, in units of the chart's own.
//!
//! plotters places marks on whole numbers. A sheet gives it ten steps to the
//! unit, so that a mark stands where it belongs to a tenth of a unit; finishing
//! the drawing ([`super::svg`]) divides again.

use std::ops::Range;

use plotters::coord::Shift;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::{
    Cartesian2d, ChartBuilder, Circle, DrawingArea, IntoDrawingArea, PathElement, Polygon,
    Rectangle, SVGBackend, Text,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontDesc, FontFamily, FontStyle, TextStyle};

use super::PlotError;
use super::pen::Pen;
use super::style::Ink;
use super::svg::{self, Head};

/// Steps plotters gets for each unit of a chart.
pub(super) const STEPS: f64 = 10.0;
/// plotters' SVG backend divides every size of type by this.
const BACKEND_TYPE_RATIO: f64 = 1.24;
/// Coordinates beyond this (far outside any sheet) are cut, so that they stay whole numbers.
const FAR: f64 = 1e6;

/// Values further outside an axis than this many of its lengths are brought nearer.
const FAR_SPANS: f64 = 100.0;

/// The outcome of drawing something.
pub(super) type Drawn = Result<(), PlotError>;

/// A place on a sheet, units from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pt {
    /// To the right.
    pub(super) x: f64,
    /// Down.
    pub(super) y: f64,
}

impl Pt {
    /// A place.
    pub(super) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place moved.
    pub(super) fn by(self, x: f64, y: f64) -> Self {
        Self::new(self.x + x, self.y + y)
    }

    /// The place a share of the way to another.
    pub(super) fn toward(self, other: Self, share: f64) -> Self {
        self.by((other.x - self.x) * share, (other.y - self.y) * share)
    }

    fn steps(self) -> (i32, i32) {
        let whole = |v: f64| (v.clamp(-FAR, FAR) * STEPS).round() as i32;
        (whole(self.x), whole(self.y))
    }
}

/// A rectangle on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    /// Left edge.
    pub(super) left: f64,
    /// Upper edge.
    pub(super) top: f64,
    /// Right edge.
    pub(super) right: f64,
    /// Lower edge.
    pub(super) bottom: f64,
}

impl Area {
    /// From its edges.
    pub(super) const fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            left,
            top,
            right,
            bottom,
        }
    }

    /// Width.
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    /// Height.
    pub(super) fn height(self) -> f64 {
        self.bottom - self.top
    }

    /// The middle.
    pub(super) fn middle(self) -> Pt {
        Pt::new(
            f64::midpoint(self.left, self.right),
            f64::midpoint(self.top, self.bottom),
        )
    }

    /// Corners in order round it.
    pub(super) fn corners(self) -> [Pt; 4] {
        [
            Pt::new(self.left, self.top),
            Pt::new(self.right, self.top),
            Pt::new(self.right, self.bottom),
            Pt::new(self.left, self.bottom),
        ]
    }
}

/// Where a word stands to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// How words are set. The place given is always on the base line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Letters {
    /// Ink.
    pub(super) ink: Ink,
    /// Size.
    pub(super) size: f64,
    /// Alignment.
    pub(super) align: Align,
    /// Whether set heavier.
    pub(super) bold: bool,
    /// Whether paper shows round the letters, so that they read over lines.
    pub(super) halo: bool,
    /// The leg it stands for.
    pub(super) leg: Option<usize>,
}

impl Letters {
    /// Plain letters in the text's ink.
    pub(super) fn new(size: f64, align: Align) -> Self {
        Self {
            ink: Ink::Text,
            size,
            align,
            bold: false,
            halo: false,
            leg: None,
        }
    }

    /// The same, heavier.
    pub(super) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The same in the secondary ink.
    pub(super) fn muted(self) -> Self {
        Self {
            ink: Ink::Muted,
            ..self
        }
    }

    /// The same with paper round the letters.
    pub(super) fn halo(self) -> Self {
        Self { halo: true, ..self }
    }

    /// The same, standing for a leg.
    pub(super) fn leg(self, leg: usize) -> Self {
        Self {
            leg: Some(leg),
            ..self
        }
    }
}

/// A sheet under the pen.
pub(super) struct Sheet<'a> {
    root: DrawingArea<SVGBackend<'a>, Shift>,
}

/// Draws a chart of `size` (width, height) and returns the finished SVG.
pub(super) fn draw(
    head: &Head,
    size: Pt,
    ink: impl FnOnce(&Sheet) -> Drawn,
) -> Result<String, PlotError> {
    let mut raw = String::new();
    let (width, height) = size.steps();
    {
        let extent = (width.unsigned_abs(), height.unsigned_abs());
        let sheet = Sheet {
            root: SVGBackend::with_string(&mut raw, extent).into_drawing_area(),
        };
        ink(&sheet)?;
        sheet.root.present()?;
    }
    svg::finish(&raw, head, size)
}

impl<'a> Sheet<'a> {
    /// A line through places; nothing for fewer than two.
    pub(super) fn path(&self, places: &[Pt], pen: Pen) -> Drawn {
        if places.len() > 1 {
            let steps: Vec<_> = places.iter().map(|p| p.steps()).collect();
            self.root.draw(&PathElement::new(steps, pen.style(STEPS)))?;
        }
        Ok(())
    }

    /// A line from one place to another.
    pub(super) fn line(&self, from: Pt, to: Pt, pen: Pen) -> Drawn {
        self.path(&[from, to], pen)
    }

    /// A filled area.
    pub(super) fn fill(&self, corners: &[Pt], pen: Pen) -> Drawn {
        let steps: Vec<_> = corners.iter().map(|p| p.steps()).collect();
        self.root.draw(&Polygon::new(steps, pen.style(STEPS)))?;
        Ok(())
    }

    /// A filled rectangle.
    pub(super) fn rect(&self, area: Area, pen: Pen) -> Drawn {
        let corners = [
            Pt::new(area.left, area.top).steps(),
            Pt::new(area.right, area.bottom).steps(),
        ];
        self.root.draw(&Rectangle::new(corners, pen.style(STEPS)))?;
        Ok(())
    }

    /// The outline of a rectangle.
    pub(super) fn frame_line(&self, area: Area, pen: Pen) -> Drawn {
        let [a, b, c, d] = area.corners();
        self.path(&[a, b, c, d, a], pen)
    }

    /// A disc.
    pub(super) fn disc(&self, centre: Pt, radius: f64, pen: Pen) -> Drawn {
        let radius = (radius * STEPS).round() as i32;
        self.root
            .draw(&Circle::new(centre.steps(), radius, pen.style(STEPS)))?;
        Ok(())
    }

    /// A ring.
    pub(super) fn ring(&self, centre: Pt, radius: f64, pen: Pen) -> Drawn {
        let radius = (radius * STEPS).round() as i32;
        let style = plotters::style::ShapeStyle {
            filled: false,
            ..pen.style(STEPS)
        };
        self.root
            .draw(&Circle::new(centre.steps(), radius, style))?;
        Ok(())
    }

    /// Words on a base line.
    pub(super) fn text(&self, words: &str, at: Pt, letters: Letters) -> Drawn {
        if words.is_empty() {
            return Ok(());
        }
        let pen = Pen {
            leg: letters.leg,
            ..Pen::new(letters.ink)
        };
        let weight = if letters.bold {
            FontStyle::Bold
        } else {
            FontStyle::Normal
        };
        let font = FontDesc::new(
            FontFamily::SansSerif,
            letters.size * STEPS * BACKEND_TYPE_RATIO,
            weight,
        );
        let anchor = match letters.align {
            Align::Start => HPos::Left,
            Align::Middle => HPos::Center,
            Align::End => HPos::Right,
        };
        let color = pen.color(u8::from(letters.halo));
        let style = TextStyle::from(font)
            .color(&color)
            .pos(Pos::new(anchor, VPos::Bottom));
        self.root.draw(&Text::new(words, at.steps(), style))?;
        Ok(())
    }

    /// Lays axes of data over a rectangle. Both ranges must have a length.
    pub(super) fn scale(
        &self,
        area: Area,
        x: Range<f64>,
        y: Range<f64>,
    ) -> Result<Scale<'a>, PlotError> {
        let steps = |v: f64| (v * STEPS).round() as i32;
        let part = self.root.clone().shrink(
            (steps(area.left), steps(area.top)),
            (steps(area.width()), steps(area.height())),
        );
        let chart = ChartBuilder::on(&part).build_cartesian_2d(x, y)?;
        Ok(Scale {
            plot: chart.plotting_area().clone(),
            area,
        })
    }
}

/// Axes of data over a part of a sheet.
pub(super) struct Scale<'a> {
    plot: DrawingArea<SVGBackend<'a>, Cartesian2d<RangedCoordf64, RangedCoordf64>>,
    /// Where it lies.
    pub(super) area: Area,
}

impl Scale<'_> {
    /// Where a value lies on the sheet. What lies very far outside is brought nearer: plotters
    /// counts in 32 bits.
    pub(super) fn at(&self, x: f64, y: f64) -> Pt {
        let near = |v: f64, range: Range<f64>| {
            let reach = FAR_SPANS * (range.end - range.start).abs();
            v.clamp(
                range.start.min(range.end) - reach,
                range.start.max(range.end) + reach,
            )
        };
        let x = near(x, self.plot.get_x_range());
        let y = near(y, self.plot.get_y_range());
        let (x, y) = self.plot.map_coordinate(&(x, y));
        Pt::new(f64::from(x) / STEPS, f64::from(y) / STEPS)
    }

    /// How far right a value lies.
    pub(super) fn x(&self, x: f64) -> f64 {
        self.at(x, self.plot.get_y_range().start).x
    }

    /// How far down a value lies.
    pub(super) fn y(&self, y: f64) -> f64 {
        self.at(self.plot.get_x_range().start, y).y
    }

    /// The value at a distance from the left edge of the sheet.
    pub(super) fn value_at(&self, x: f64) -> f64 {
        let range = self.plot.get_x_range();
        range.start + (x - self.area.left) / self.area.width() * (range.end - range.start)
    }

    /// The values shown: to the right, and up.
    pub(super) fn ranges(&self) -> (Range<f64>, Range<f64>) {
        (self.plot.get_x_range(), self.plot.get_y_range())
    }

    /// Units of the sheet for each unit of data to the right.
    pub(super) fn per_x(&self) -> f64 {
        let range = self.plot.get_x_range();
        self.area.width() / (range.end - range.start)
    }
}
