//! All integration tests, one crate.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test may fail loudly"
)]

mod charts;

mod charts_any;

mod charts_days;

mod charts_log;

mod charts_sums;
