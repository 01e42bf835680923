//! Numbers alone: nothing here knows of boats or tracks.

use serde::Serialize;

/// A range from low to high.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A value with its standard error, degrees of freedom and interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Standard error.
    pub se: f64,
    /// Degrees of freedom.
    pub df: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}
