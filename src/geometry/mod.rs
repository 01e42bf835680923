//! Shapes on the water: the local plane, straight stretches, reversals along a line.

mod plane;

pub use plane::{Plane, PlanePoint};
