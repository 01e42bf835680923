//! From positions to stretches on one heading: a local plane, evenly sampled motion, and the
//! partition of a track where its heading or, lastingly, its speed changes.

mod held;
mod line;
mod path;
mod plane;
mod stretch;
mod unround;

pub use line::{Motion, Offset};
pub use path::{Clock, PathPoint, Record, Sampled, between};
pub use plane::{PLANE_REACH_M, Plane, PlanePoint};
pub use stretch::{Motions, Stretch, StretchRules, stretches};
