//! zone
use crate::track::Position;
/// z
pub fn at(_p: Position) -> Option<String> {
    None
}
