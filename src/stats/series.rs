//! The mean of a series whose values hang together, with an interval that knows it.
//! The variance comes from the slowest four cosines of the series ([`super::long_run`]): a fast
//! noise over a slow wander deceives whatever reads the memory off neighbouring values.

use super::interval::Estimate;
use super::long_run::{USUAL_COSINES, low_frequency_variance};
use super::summary::mean;

/// The mean by its slowest four cosines.
pub fn mean_by_cosines(values: &[f64], level: f64) -> Option<Estimate> {
    let weights = vec![1.0 / values.len() as f64; values.len()];
    let found = low_frequency_variance(values, &weights, USUAL_COSINES)?;
    Estimate::new(mean(values)?, found.variance.sqrt(), found.df, level)
}
