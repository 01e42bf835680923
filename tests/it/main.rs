//! All integration tests, one crate.

mod reading;
mod reading_bad;
