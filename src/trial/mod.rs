//! The trial: comparison, wind and drift.

mod log_table;

pub mod idle;

pub mod wind_log;

pub mod power_log;

pub mod compare;

pub mod balance;

pub mod changing_drift;

pub mod gauge;

pub mod beaufort;

pub mod true_wind;
