//! Wind and power logs, true wind, Beaufort, and the drift at stops.

pub mod idle;

pub mod wind_log;

pub mod power_log;

pub mod beaufort;

pub mod true_wind;
