//! trial

pub mod beaufort;

pub mod true_wind;
