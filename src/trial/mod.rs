//! Wind and power logs, true wind, Beaufort, and the drift at stops.

mod log_table;

pub mod idle;

pub mod wind_log;

pub mod power_log;

pub mod beaufort;

pub mod true_wind;
