//! Tells whether a change to a small boat made it faster, from nothing but the
//! track the plotter recorded.
//!
//! # The way through
//! ```text
//! parser -> clean -> geometry -> segmenter -> notes -> compare -> trial -> analysis -> plotter, report -> binary
//!           (stats and units know nothing of boats and tracks)
//! ```
//! One way only: a later stage never changes what an earlier one found. After
//! the parser nothing fails on data; each stage returns what it found and what
//! it set aside, with the reason. Only [`parser`] and the binary touch files;
//! only the binary prints, exits or reads the clock.

#[cfg(test)]
extern crate self as thereback;

// Linked for its functions, which take the place of the C library's.
use thereback_maths as _;

pub mod units;

pub mod track;

pub mod parser;

pub mod clean;

pub mod geometry;

pub mod segmenter;

pub mod stats;

pub mod notes;

pub mod day;

pub mod compare;

pub mod gain;

pub mod trial;

pub mod rounding;

pub mod plotter;

pub mod report;

pub mod simulate;

pub mod plan;
