//! What a trial is, beyond its track: notes, time zone, wind.

pub mod notes;

pub mod wind_log;

pub mod zone;
