//! All integration tests, one crate.

mod cleaning;
mod reading;
mod reading_bad;
