//! The sheet a chart is drawn on: places, pens, and the marks of SVG they become.
//!
//! A mark carries no colour but the class of its [`Ink`]; the style sheet ([`super::style`]) gives
//! the class its colour. Lengths are written to a tenth of a unit. Drawing cannot fail: what is not
//! a number is drawn at nought, what lies far outside is brought nearer.

use std::fmt::{self, Write as _};

use quick_xml::escape::escape;

use super::style::{Dash, Ink, Width};

/// Coordinates beyond this lie far outside any sheet and are cut.
const FAR: f64 = 1e5;
/// Distance between the lines of a hatching.
const HATCH_STEP: f64 = 8.0;

/// A finished drawing, without its head and style sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Width, in the chart's own units.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// The marks, as elements of SVG.
    pub marks: String,
}

/// A place on a sheet, units from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pt {
    /// To the right.
    pub(crate) x: f64,
    /// Down.
    pub(crate) y: f64,
}

impl Pt {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The place moved.
    pub(crate) fn by(self, x: f64, y: f64) -> Self {
        Self::new(self.x + x, self.y + y)
    }

    /// The place a share of the way to another.
    pub(crate) fn toward(self, other: Self, share: f64) -> Self {
        self.by((other.x - self.x) * share, (other.y - self.y) * share)
    }

    /// The place at a distance in a direction, degrees clockwise from up.
    pub(crate) fn at_bearing(self, degrees: f64, distance: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        self.by(sin * distance, -cos * distance)
    }

    pub(crate) fn distance(self, other: Self) -> f64 {
        (other.x - self.x).hypot(other.y - self.y)
    }
}

impl fmt::Display for Pt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{},{}", Length(self.x), Length(self.y))
    }
}

/// A length as it is written: to a tenth, without a nought behind the point.
struct Length(f64);

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = if self.0.is_nan() { 0.0 } else { self.0 };
        let tenths = (value.clamp(-FAR, FAR) * 10.0).round() as i64;
        let sign = if tenths < 0 { "-" } else { "" };
        write!(f, "{sign}{}", tenths.abs() / 10)?;
        match tenths.abs() % 10 {
            0 => Ok(()),
            rest => write!(f, ".{rest}"),
        }
    }
}

/// A rectangle on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Area {
    pub(crate) const fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            left,
            top,
            right,
            bottom,
        }
    }

    /// The rectangle of a size round a place.
    pub(crate) fn around(middle: Pt, width: f64, height: f64) -> Self {
        let (across, up) = (width / 2.0, height / 2.0);
        Self::new(
            middle.x - across,
            middle.y - up,
            middle.x + across,
            middle.y + up,
        )
    }

    pub(crate) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn middle(self) -> Pt {
        Pt::new(
            f64::midpoint(self.left, self.right),
            f64::midpoint(self.top, self.bottom),
        )
    }

    /// Corners in order round it, the first once more at the end.
    pub(crate) fn outline(self) -> [Pt; 5] {
        let first = Pt::new(self.left, self.top);
        [
            first,
            Pt::new(self.right, self.top),
            Pt::new(self.right, self.bottom),
            Pt::new(self.left, self.bottom),
            first,
        ]
    }
}

/// Axes of data over a part of a sheet.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    /// Where it lies.
    pub(crate) area: Area,
    /// The values at its left and right edge.
    pub(crate) across: [f64; 2],
    /// The values at its lower and upper edge.
    pub(crate) up: [f64; 2],
}

impl Scale {
    /// Axes along the foot alone.
    pub(crate) fn level(area: Area, across: [f64; 2]) -> Self {
        Self {
            area,
            across,
            up: [0.0, 1.0],
        }
    }

    pub(crate) fn x(&self, value: f64) -> f64 {
        let [low, high] = self.across;
        self.area.left + (value - low) / (high - low) * self.area.width()
    }

    pub(crate) fn y(&self, value: f64) -> f64 {
        let [low, high] = self.up;
        self.area.bottom - (value - low) / (high - low) * self.area.height()
    }

    pub(crate) fn at(&self, across: f64, up: f64) -> Pt {
        Pt::new(self.x(across), self.y(up))
    }
}

/// How a line, a mark or an area is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pen {
    pub(crate) ink: Ink,
    /// Of lines; without meaning for areas.
    pub(crate) dash: Dash,
    /// Of lines, in the chart's units.
    pub(crate) width: f64,
    /// From 0 (nothing) to 1.
    pub(crate) opacity: f64,
}

impl Pen {
    /// A solid pen of one unit's width.
    pub(crate) const fn new(ink: Ink) -> Self {
        Self {
            ink,
            dash: Dash::Solid,
            width: 1.0,
            opacity: 1.0,
        }
    }

    pub(crate) fn wide(self, width: f64) -> Self {
        Self { width, ..self }
    }

    pub(crate) fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }

    pub(crate) fn opacity(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }
}

/// Where a word lies to its place.
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
    ink: Ink,
    pub(crate) size: f64,
    align: Align,
    bold: bool,
    halo: bool,
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
        }
    }

    pub(crate) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// In the secondary ink.
    pub(crate) fn muted(self) -> Self {
        Self {
            ink: Ink::Muted,
            ..self
        }
    }

    /// With paper round the letters, so that they read over lines.
    pub(crate) fn halo(self) -> Self {
        Self { halo: true, ..self }
    }
}

/// A sheet under the pen.
#[derive(Debug)]
pub(crate) struct Sheet {
    layout: Width,
    marks: String,
}

impl Sheet {
    /// An empty sheet.
    pub(crate) fn new(layout: Width) -> Self {
        Self {
            layout,
            marks: String::new(),
        }
    }

    /// The drawing, as tall as given.
    pub(crate) fn finish(self, height: f64) -> Drawing {
        Drawing {
            width: self.layout.units(),
            height: height.round(),
            marks: self.marks,
        }
    }

    /// The column it is laid out for.
    pub(crate) fn layout(&self) -> Width {
        self.layout
    }

    /// Its width.
    pub(crate) fn width(&self) -> f64 {
        self.layout.units()
    }

    /// Groups the marks that stand for a leg, for a page to point at, with what to say of it.
    pub(crate) fn leg(&mut self, number: usize, title: &str, draw: impl FnOnce(&mut Self)) {
        let _ = write!(self.marks, "<g class=\"tb-leg\" data-leg=\"{number}\">");
        // Where there is no mouse to rest on a leg, nobody would see its words.
        if self.layout == Width::Wide {
            let _ = write!(self.marks, "<title>{}</title>", escape(title));
        }
        draw(self);
        self.marks.push_str("</g>\n");
    }

    /// A line through places; nothing for fewer than two.
    pub(crate) fn path(&mut self, places: &[Pt], pen: Pen) {
        if places.len() > 1 {
            self.open("polyline", "", pen);
            self.stroke(pen);
            self.points(places);
        }
    }

    /// A line from one place to another.
    pub(crate) fn line(&mut self, from: Pt, to: Pt, pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A filled area.
    pub(crate) fn fill(&mut self, corners: &[Pt], pen: Pen) {
        self.open("polygon", "", pen);
        self.points(corners);
    }

    /// A filled rectangle.
    pub(crate) fn rect(&mut self, area: Area, pen: Pen) {
        self.open("rect", "", pen);
        let _ = writeln!(
            self.marks,
            " x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            Length(area.left),
            Length(area.top),
            Length(area.width().max(0.0)),
            Length(area.height().max(0.0))
        );
    }

    /// Diagonal lines over a rectangle.
    pub(crate) fn hatch(&mut self, area: Area, pen: Pen) {
        let mut path = String::new();
        let mut sum = area.left + area.top + HATCH_STEP / 2.0;
        while sum < area.right + area.bottom {
            // On this line x + y is the same everywhere; it is cut at the edges of the rectangle.
            let left = (sum - area.bottom).max(area.left);
            let right = (sum - area.top).min(area.right);
            let (from, to) = (Pt::new(left, sum - left), Pt::new(right, sum - right));
            let _ = write!(path, "M{from}L{to}");
            sum += HATCH_STEP;
        }
        self.open("path", " tb-line", pen);
        self.stroke(pen);
        let _ = writeln!(self.marks, " d=\"{path}\"/>");
    }

    /// A disc.
    pub(crate) fn disc(&mut self, centre: Pt, radius: f64, pen: Pen) {
        self.open("circle", "", pen);
        self.circle(centre, radius);
    }

    /// A ring.
    pub(crate) fn ring(&mut self, centre: Pt, radius: f64, pen: Pen) {
        self.open("circle", " tb-line", pen);
        self.stroke(pen);
        self.circle(centre, radius);
    }

    /// Words on a base line.
    pub(crate) fn text(&mut self, words: &str, at: Pt, letters: Letters) {
        if words.is_empty() {
            return;
        }
        let halo = if letters.halo { " tb-halo" } else { "" };
        self.open("text", halo, Pen::new(letters.ink));
        match letters.align {
            Align::Start => {}
            Align::Middle => self.marks.push_str(" text-anchor=\"middle\""),
            Align::End => self.marks.push_str(" text-anchor=\"end\""),
        }
        if letters.bold {
            self.marks.push_str(" font-weight=\"600\"");
        }
        let _ = writeln!(
            self.marks,
            " font-size=\"{}\" x=\"{}\" y=\"{}\">{}</text>",
            Length(letters.size),
            Length(at.x),
            Length(at.y),
            escape(words)
        );
    }

    fn open(&mut self, tag: &str, more: &str, pen: Pen) {
        let _ = write!(self.marks, "<{tag} class=\"{}{more}\"", pen.ink.class());
        if pen.opacity < 1.0 {
            let _ = write!(self.marks, " opacity=\"{}\"", pen.opacity);
        }
    }

    fn stroke(&mut self, pen: Pen) {
        let _ = write!(self.marks, " stroke-width=\"{}\"", Length(pen.width));
        if let Some(dashes) = pen.dash.pattern(pen.width) {
            let _ = write!(self.marks, " stroke-dasharray=\"{dashes}\"");
        }
    }

    fn points(&mut self, places: &[Pt]) {
        self.marks.push_str(" points=\"");
        for (k, place) in places.iter().enumerate() {
            let gap = if k == 0 { "" } else { " " };
            let _ = write!(self.marks, "{gap}{place}");
        }
        self.marks.push_str("\"/>\n");
    }

    fn circle(&mut self, centre: Pt, radius: f64) {
        let _ = writeln!(
            self.marks,
            " cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            Length(centre.x),
            Length(centre.y),
            Length(radius)
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_written_to_a_tenth() {
        for (value, written) in [
            (0.0, "0"),
            (0.71, "0.7"),
            (123.4, "123.4"),
            (-5.0, "-5"),
            (-0.31, "-0.3"),
            (-0.04, "0"),
            (f64::NAN, "0"),
            (f64::INFINITY, "100000"),
        ] {
            assert_eq!(Length(value).to_string(), written);
        }
    }

    #[test]
    fn a_hatching_stays_inside_its_rectangle() {
        let mut sheet = Sheet::new(Width::Wide);
        sheet.hatch(Area::new(10.0, 20.0, 30.0, 100.0), Pen::new(Ink::Muted));
        let drawing = sheet.finish(200.0);
        let path = drawing.marks.split('"').find(|part| part.starts_with('M'));
        let numbers = path.unwrap_or_default().split(['M', 'L']).skip(1);
        let mut count = 0;
        for place in numbers {
            let (x, y) = place.split_once(',').unwrap_or_default();
            let [x, y] = [x, y].map(|v| v.parse::<f64>().unwrap_or(f64::NAN));
            assert!((10.0..=30.0).contains(&x) && (20.0..=100.0).contains(&y));
            count += 1;
        }
        assert!(count > 20);
    }
}
