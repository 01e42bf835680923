//! All integration tests, one crate.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod notes;

mod notes_written;
