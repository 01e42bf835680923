//! All integration tests, one crate.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod notes;

mod notes_written;

mod commands;

mod commands_input;

mod commands_output;

mod commands_notes;
