//! The trial: comparison, wind and drift.

pub mod beaufort;

pub mod compare;

pub mod true_wind;

pub mod wind;

pub mod zone;
