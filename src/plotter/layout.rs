//! For which column a chart is laid out: a page's, or a phone's.

use super::style::WIDTH;

/// The column a chart is laid out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Layout {
    /// A page, a printed sheet, a file of its own.
    #[default]
    Wide,
    /// A phone: the same marks, fewer ticks, the key below. It stands in a page beside the wide one
    /// and takes title, description and style sheet from there.
    Narrow,
}

/// Width of a narrow chart, in its own units: on a screen 360 px wide one unit is 1.06 pixels, so that the
/// sizes of type stay as they are.
pub(crate) const NARROW: f64 = 340.0;

impl Layout {
    /// Width of the sheet.
    pub(crate) fn width(self) -> f64 {
        self.pick(WIDTH, NARROW)
    }

    /// What goes with it.
    pub(crate) fn pick<T>(self, wide: T, narrow: T) -> T {
        match self {
            Self::Wide => wide,
            Self::Narrow => narrow,
        }
    }

    /// Whether it is the narrow one.
    pub(crate) fn is_narrow(self) -> bool {
        self == Self::Narrow
    }
}
