//! All integration tests, one crate.
