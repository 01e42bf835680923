//! Shapes on the water: the local plane, straight stretches, reversals along a line.

mod ends;
mod line;
mod partition;
mod path;
mod pieces;
mod plane;
mod reversal;
mod stretch;
mod unround;

pub use line::{Motion, Offset};
pub use path::{Clock, PathPoint, Sampled, between, path_of};
pub use plane::{Plane, PlanePoint};
pub use reversal::{Line, Relation, ReversalRules, find_lines, mean_axis, relation};
pub use stretch::{Found, Stretch, StretchRules, find_stretches};
