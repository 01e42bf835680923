//! The trial: notes, comparison, wind and drift.

pub mod zone;

pub mod notes;

mod log_table;

pub mod wind_log;

pub mod power_log;

pub mod buys;

pub mod compare;

pub mod balance;

pub mod changing_drift;

pub mod gauge;

pub mod beaufort;

pub mod true_wind;
