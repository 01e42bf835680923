//! Places and rectangles on a sheet, in the chart's own units.

/// Steps plotters gets for each unit of a chart.
pub(crate) const STEPS: f64 = 10.0;
/// Coordinates beyond this (far outside any sheet) are cut, so that they stay whole numbers.
const FAR: f64 = 1e6;

/// A place on a sheet, units from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pt {
    /// To the right.
    pub(crate) x: f64,
    /// Down.
    pub(crate) y: f64,
}

impl Pt {
    /// A place.
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

    /// The same in plotters' whole steps.
    pub(crate) fn steps(self) -> (i32, i32) {
        let whole = |v: f64| (v.clamp(-FAR, FAR) * STEPS).round() as i32;
        (whole(self.x), whole(self.y))
    }
}

/// A rectangle on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    /// Left edge.
    pub(crate) left: f64,
    /// Upper edge.
    pub(crate) top: f64,
    /// Right edge.
    pub(crate) right: f64,
    /// Lower edge.
    pub(crate) bottom: f64,
}

impl Area {
    /// From its edges.
    pub(crate) const fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            left,
            top,
            right,
            bottom,
        }
    }

    /// Width.
    pub(crate) fn width(self) -> f64 {
        self.right - self.left
    }

    /// Height.
    pub(crate) fn height(self) -> f64 {
        self.bottom - self.top
    }

    /// The middle.
    pub(crate) fn middle(self) -> Pt {
        Pt::new(
            f64::midpoint(self.left, self.right),
            f64::midpoint(self.top, self.bottom),
        )
    }

    /// Corners in order round it.
    pub(crate) fn corners(self) -> [Pt; 4] {
        [
            Pt::new(self.left, self.top),
            Pt::new(self.right, self.top),
            Pt::new(self.right, self.bottom),
            Pt::new(self.left, self.bottom),
        ]
    }
}
