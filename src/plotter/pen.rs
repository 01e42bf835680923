//! Pens, and how one travels through plotters.
//!
//! plotters hands its backend a colour, an opacity and a whole-number width, and
//! nothing else. A chart needs more: the ink's class instead of a fixed colour,
//! the dash, and the leg a mark belongs to. So the 24 bits of the colour carry a
//! pen: five bits of ink, three of dash, sixteen of leg number. The number is
//! read back when the drawing is finished; no reader ever sees it as a colour.

use plotters::style::{Color as _, RGBAColor, RGBColor, ShapeStyle};

use super::style::{Dash, Ink};

/// How a line, a mark or a word is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pen {
    /// Ink.
    pub(crate) ink: Ink,
    /// Dash of lines; without meaning for areas.
    pub(crate) dash: Dash,
    /// Width of lines, in the chart's units.
    pub(crate) width: f64,
    /// From 0 (nothing) to 1.
    pub(crate) opacity: f64,
    /// The leg it stands for.
    pub(crate) leg: Option<usize>,
}

impl Pen {
    /// A solid pen of one unit's width.
    pub(crate) fn new(ink: Ink) -> Self {
        Self {
            ink,
            dash: Dash::Solid,
            width: 1.0,
            opacity: 1.0,
            leg: None,
        }
    }

    /// The same, this wide.
    pub(crate) fn wide(self, width: f64) -> Self {
        Self { width, ..self }
    }

    /// The same with a dash.
    pub(crate) fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }

    /// The same, let through by so much.
    pub(crate) fn opacity(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }

    /// The same, standing for a leg.
    pub(crate) fn leg(self, leg: usize) -> Self {
        Self {
            leg: Some(leg),
            ..self
        }
    }

    /// What plotters is given, with lengths in `steps` of a unit.
    pub(crate) fn style(self, steps: f64) -> ShapeStyle {
        ShapeStyle {
            color: self.color(self.dash.index()),
            filled: true,
            stroke_width: (self.width * steps).round() as u32,
        }
    }

    /// The colour that stands for it; `low` is its dash, or for words whether they have a halo.
    pub(crate) fn color(self, low: u8) -> RGBAColor {
        let ink = (self.ink.index() as u8) << 3 | (low & 7);
        let [high, rest] = self
            .leg
            .and_then(|leg| u16::try_from(leg).ok())
            .unwrap_or(0)
            .to_be_bytes();
        RGBColor(ink, high, rest).mix(self.opacity)
    }
}

/// A pen as read back from the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct PenCode {
    /// Place in the table of tones.
    pub(crate) tone: usize,
    /// Dash, or for words whether they have a halo.
    pub(crate) low: u8,
    /// The leg it stands for.
    pub(crate) leg: Option<usize>,
}

impl PenCode {
    /// From a colour as the backend writes it, `#RRGGBB`.
    pub(crate) fn read(color: &str) -> Option<Self> {
        let bits = u32::from_str_radix(color.strip_prefix('#')?, 16).ok()?;
        let leg = (bits & 0xffff) as usize;
        Some(Self {
            tone: (bits >> 19) as usize,
            low: (bits >> 16 & 7) as u8,
            leg: (leg > 0).then_some(leg),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pen_survives_the_way_through_plotters() {
        for (ink, dash, leg) in [
            (Ink::Text, Dash::Solid, None),
            (Ink::Configuration(3), Dash::Sparse, Some(1)),
            (Ink::Configuration(4), Dash::Alternating, Some(65_535)),
            (Ink::Hatch, Dash::Dotted, Some(300)),
        ] {
            let pen = Pen {
                leg,
                ..Pen::new(ink).dashed(dash)
            };
            let color = pen.style(10.0).color;
            let hex = format!("#{:02X}{:02X}{:02X}", color.0, color.1, color.2);
            assert_eq!(
                PenCode::read(&hex),
                Some(PenCode {
                    tone: ink.index(),
                    low: dash.index(),
                    leg
                })
            );
        }
    }

    #[test]
    fn legs_beyond_sixteen_bits_go_unmarked_not_wrong() {
        let color = Pen::new(Ink::Text).leg(65_537).color(0);
        assert_eq!((color.1, color.2), (0, 0));
    }
}
