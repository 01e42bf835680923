//! Numbers alone: means, distributions, series that hang together, lines, directions. Nothing
//! here knows of boats and tracks.
//!
//! One rule throughout: a result that is not defined is `None`, never 0 and
//! never NaN. Too few values, a value that is not finite, an impossible level or
//! lag: all give `None`, and nothing panics.

pub mod summary;

pub mod distribution;

pub mod interval;

pub mod quantile;

pub mod long_run;

pub mod series;

pub mod regression;

pub mod least_squares;

pub mod monotone;

pub mod circular;

pub mod circular_interval;

pub mod harmonic;

pub mod circle;

pub mod roots;

pub mod multivariate_normal;

/// `value` where it is finite: the last step of every function here, so that an
/// overflow ends as unknown and not as an infinite result.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}
