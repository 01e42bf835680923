//! The mean of one sample and the difference of two: one-sample, paired, pooled
//! and Welch's t interval.
//!
//! Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2 (one sample)
//! and 1.3.5.3 (two samples, equal and unequal variances); Welch (1947),
//! *Biometrika* 34, 28-35, for the degrees of freedom.

use super::finite;
use super::interval::Estimate;
use super::summary::{mean, sum_of_squares};

/// What a t interval needs to know of a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// How many values, at least 1.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, divisor `n - 1`; `None` for a single value.
    pub sd: Option<f64>,
}

impl Sample {
    /// Summarises values; `None` for no values or any that is not finite.
    pub fn of(values: &[f64]) -> Option<Self> {
        let n = values.len();
        let squares = sum_of_squares(values)?;
        Some(Self {
            n,
            mean: mean(values)?,
            sd: (n > 1).then(|| (squares / (n - 1) as f64).sqrt()),
        })
    }

    /// The variance of the mean, `sd²/n`; `None` for a single value.
    fn variance_of_mean(self) -> Option<f64> {
        self.sd.map(|sd| sd * sd / self.n as f64)
    }
}

/// The mean of one sample; `None` for fewer than two values.
pub fn one_sample(sample: &Sample, level: f64) -> Option<Estimate> {
    let se = sample.variance_of_mean()?.sqrt();
    Estimate::new(sample.mean, se, sample.n as f64 - 1.0, level)
}

/// The mean of the differences `a - b` of values that belong together; `None`
/// where the lengths differ or there are fewer than two pairs.
pub fn paired(a: &[f64], b: &[f64], level: f64) -> Option<Estimate> {
    if a.len() != b.len() {
        return None;
    }
    let differences: Vec<f64> = a.iter().zip(b).map(|(a, b)| a - b).collect();
    one_sample(&Sample::of(&differences)?, level)
}

/// The scatter that several samples share about their own means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PooledScatter {
    /// The standard deviation within samples.
    pub sd: f64,
    /// Its degrees of freedom: values less samples.
    pub df: f64,
}

/// Pools the scatter of samples with equal true variance.
///
/// A single value has no scatter and adds nothing; `None` where no sample has two.
pub fn pooled_scatter(samples: &[Sample]) -> Option<PooledScatter> {
    let (mut squares, mut df) = (0.0, 0.0);
    for sample in samples {
        if let Some(sd) = sample.sd {
            let own = sample.n.saturating_sub(1) as f64;
            squares += sd * sd * own;
            df += own;
        }
    }
    let sd = finite((squares / df).sqrt())?;
    Some(PooledScatter { sd, df })
}

/// The difference of means `a - b` where both have one true variance.
///
/// One of the two may be a single value; then the other lends its scatter.
pub fn pooled(a: &Sample, b: &Sample, level: f64) -> Option<Estimate> {
    let scatter = pooled_scatter(&[*a, *b])?;
    let se = scatter.sd * (1.0 / a.n as f64 + 1.0 / b.n as f64).sqrt();
    Estimate::new(a.mean - b.mean, se, scatter.df, level)
}

/// The difference of means `a - b` where the variances may differ.
///
/// Welch's degrees of freedom, not rounded. `None` where either is a single value
/// or neither has any scatter.
pub fn welch(a: &Sample, b: &Sample, level: f64) -> Option<Estimate> {
    let (va, vb) = (a.variance_of_mean()?, b.variance_of_mean()?);
    let total = va + vb;
    // As shares of the total, so that tiny variances do not vanish when squared.
    let (pa, pb) = (va / total, vb / total);
    let df = finite(1.0 / (pa * pa / (a.n as f64 - 1.0) + pb * pb / (b.n as f64 - 1.0)))?;
    Estimate::new(a.mean - b.mean, total.sqrt(), df, level)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_values_are_none() {
        assert_eq!(Sample::of(&[]), None);
        let single = Sample::of(&[2.0]);
        assert_eq!(single.and_then(|s| one_sample(&s, 0.95)), None);
        assert_eq!(single.and_then(|s| pooled(&s, &s, 0.95)), None);
        assert_eq!(single.and_then(|s| welch(&s, &s, 0.95)), None);
        assert_eq!(paired(&[1.0, 2.0], &[1.0], 0.95), None);
        assert_eq!(pooled_scatter(&[]), None);
    }

    #[test]
    fn a_single_value_borrows_the_scatter() {
        let both = Sample::of(&[1.0, 3.0]).zip(Sample::of(&[5.0]));
        let df = both.and_then(|(a, b)| pooled(&a, &b, 0.95)).map(|e| e.df);
        assert_eq!(df, Some(1.0));
    }

    #[test]
    fn no_scatter_has_no_welch() {
        let flat = Sample::of(&[1.0, 1.0]);
        assert_eq!(flat.and_then(|s| welch(&s, &s, 0.95)), None);
    }
}
