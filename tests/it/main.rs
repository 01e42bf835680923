//! All integration tests, one crate.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails by panicking")]

mod report;
mod report_fixture;
