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
use super::layout::Layout;
use super::pen::Pen;
use super::place::{Area, Pt, STEPS};
use super::style::Ink;
use super::svg::{self, Head};

/// plotters' SVG backend divides every size of type by this.
const BACKEND_TYPE_RATIO: f64 = 1.24;
/// Values further outside an axis than this many of its lengths are brought nearer.
const FAR_SPANS: f64 = 100.0;

/// The outcome of drawing something.
pub(crate) type Drawn = Result<(), PlotError>;

/// Where a word stands to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Align {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// How words are set. The place given is always on the base line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Letters {
    /// Ink.
    pub(crate) ink: Ink,
    /// Size.
    pub(crate) size: f64,
    /// Alignment.
    pub(crate) align: Align,
    /// Whether set heavier.
    pub(crate) bold: bool,
    /// Whether paper shows round the letters, so that they read over lines.
    pub(crate) halo: bool,
    /// The leg it stands for.
    pub(crate) leg: Option<usize>,
}

impl Letters {
    /// Plain letters in the text's ink.
    pub(crate) fn new(size: f64, align: Align) -> Self {
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
    pub(crate) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The same in the secondary ink.
    pub(crate) fn muted(self) -> Self {
        Self {
            ink: Ink::Muted,
            ..self
        }
    }

    /// The same with paper round the letters.
    pub(crate) fn halo(self) -> Self {
        Self { halo: true, ..self }
    }

    /// The same, standing for a leg.
    pub(crate) fn leg(self, leg: usize) -> Self {
        Self {
            leg: Some(leg),
            ..self
        }
    }
}

/// A sheet under the pen.
pub(crate) struct Sheet<'a> {
    root: DrawingArea<SVGBackend<'a>, Shift>,
    /// Its width.
    pub(crate) width: f64,
}

/// Draws a chart as tall as given, in the width of its layout, and returns the finished SVG.
pub(crate) fn draw(
    head: &Head,
    layout: Layout,
    height: f64,
    ink: impl FnOnce(&Sheet) -> Drawn,
) -> Result<String, PlotError> {
    let mut raw = String::new();
    let size = Pt::new(layout.width(), height);
    let (width, height) = size.steps();
    {
        let extent = (width.unsigned_abs(), height.unsigned_abs());
        let sheet = Sheet {
            root: SVGBackend::with_string(&mut raw, extent).into_drawing_area(),
            width: size.x,
        };
        ink(&sheet)?;
        sheet.root.present()?;
    }
    svg::finish(&raw, head, layout, size)
}

impl<'a> Sheet<'a> {
    /// A line through places; nothing for fewer than two.
    pub(crate) fn path(&self, places: &[Pt], pen: Pen) -> Drawn {
        if places.len() > 1 {
            let steps: Vec<_> = places.iter().map(|p| p.steps()).collect();
            self.root.draw(&PathElement::new(steps, pen.style(STEPS)))?;
        }
        Ok(())
    }

    /// A line from one place to another.
    pub(crate) fn line(&self, from: Pt, to: Pt, pen: Pen) -> Drawn {
        self.path(&[from, to], pen)
    }

    /// A filled area.
    pub(crate) fn fill(&self, corners: &[Pt], pen: Pen) -> Drawn {
        let steps: Vec<_> = corners.iter().map(|p| p.steps()).collect();
        self.root.draw(&Polygon::new(steps, pen.style(STEPS)))?;
        Ok(())
    }

    /// A filled rectangle.
    pub(crate) fn rect(&self, area: Area, pen: Pen) -> Drawn {
        let corners = [
            Pt::new(area.left, area.top).steps(),
            Pt::new(area.right, area.bottom).steps(),
        ];
        self.root.draw(&Rectangle::new(corners, pen.style(STEPS)))?;
        Ok(())
    }

    /// The outline of a rectangle.
    pub(crate) fn frame_line(&self, area: Area, pen: Pen) -> Drawn {
        let [a, b, c, d] = area.corners();
        self.path(&[a, b, c, d, a], pen)
    }

    /// A disc.
    pub(crate) fn disc(&self, centre: Pt, radius: f64, pen: Pen) -> Drawn {
        let radius = (radius * STEPS).round() as i32;
        self.root
            .draw(&Circle::new(centre.steps(), radius, pen.style(STEPS)))?;
        Ok(())
    }

    /// A ring.
    pub(crate) fn ring(&self, centre: Pt, radius: f64, pen: Pen) -> Drawn {
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
    pub(crate) fn text(&self, words: &str, at: Pt, letters: Letters) -> Drawn {
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
    pub(crate) fn scale(
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
pub(crate) struct Scale<'a> {
    plot: DrawingArea<SVGBackend<'a>, Cartesian2d<RangedCoordf64, RangedCoordf64>>,
    /// Where it lies.
    pub(crate) area: Area,
}

impl Scale<'_> {
    /// Where a value lies on the sheet. What lies very far outside is brought nearer: plotters
    /// counts in 32 bits.
    pub(crate) fn at(&self, x: f64, y: f64) -> Pt {
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
    pub(crate) fn x(&self, x: f64) -> f64 {
        self.at(x, self.plot.get_y_range().start).x
    }

    /// How far down a value lies.
    pub(crate) fn y(&self, y: f64) -> f64 {
        self.at(self.plot.get_x_range().start, y).y
    }

    /// The value at a distance from the left edge of the sheet.
    pub(crate) fn value_at(&self, x: f64) -> f64 {
        let range = self.plot.get_x_range();
        range.start + (x - self.area.left) / self.area.width() * (range.end - range.start)
    }

    /// The values shown: to the right, and up.
    pub(crate) fn ranges(&self) -> (Range<f64>, Range<f64>) {
        (self.plot.get_x_range(), self.plot.get_y_range())
    }

    /// Units of the sheet for each unit of data to the right.
    pub(crate) fn per_x(&self) -> f64 {
        let range = self.plot.get_x_range();
        self.area.width() / (range.end - range.start)
    }
}
