//! The trial: comparison, wind and drift.

pub mod compare;
pub mod wind;
pub mod zone;
