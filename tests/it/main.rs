//! All integration tests, one crate.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

mod report;
mod report_data;
mod report_figures;
mod report_fixture;
mod report_variants;
mod report_words;
