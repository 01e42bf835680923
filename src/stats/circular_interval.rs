//! How sure a mean direction is: arcs instead of intervals.

use crate::units::Bearing;

/// A part of the circle, clockwise from one bearing to another, about a middle one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// The estimate that the arc belongs to.
    pub middle: Bearing,
    /// Degrees from the start of the arc to the middle, counterclockwise, 0 to 180.
    pub before: f64,
    /// Degrees from the middle to the end, clockwise, 0 to 180.
    pub after: f64,
}

/// An arc by how far it reaches from the middle to either side; `None` unless both are in `[0, 180]`.
pub fn arc(middle: Bearing, before: f64, after: f64) -> Option<Arc> {
    let sound = |d: f64| (0.0..=180.0).contains(&d);
    (sound(before) && sound(after)).then_some(Arc {
        middle,
        before,
        after,
    })
}
