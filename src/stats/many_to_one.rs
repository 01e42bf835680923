//! Several groups against one: how far the largest t lies out by chance.
//!
//! The differences from a common reference hang together: with variances of the means `v₀` (reference) and `vᵢ` their
//! correlations are `λᵢλⱼ`, `λᵢ = √(v₀/(v₀ + vᵢ))`. That product form turns the many-fold integral into a double one
//! (Dunnett 1955, *Journal of the American Statistical Association* 50, 1096-1121; Dunnett & Sobel 1955,
//! *Biometrika* 42, 258-260), for equal and unequal variances alike.

use super::distribution::normal_cdf;
use super::finite;
use super::power::Sides;
use super::roots::zero_above;
use super::scale_rule::{average, scale_rule};
use super::studentized_range::normal_rule;

/// Critical values are found to this, relative.
const TOLERANCE: f64 = 1e-11;

/// The step over the common deviate, in widths of the steepest rise, at most this for a plain normal density.
const STEP: f64 = 0.2;

/// With a reference known this much worse than the groups (`λ²` above `1 - 1e-3`) the differences are all but
/// the same; a finer rule would change no figure of the critical value that matters.
const LEAST_OWN_SHARE: f64 = 1e-3;

/// More comparisons than this are no trial.
const MOST_COMPARISONS: usize = 100;

/// The loads `λᵢ` of each difference on the reference, from the variances of the means.
///
/// `None` for no groups, more than 100, or a variance that is negative or not finite (one of each pair must be
/// above 0).
pub fn loads(reference_variance: f64, variances: &[f64]) -> Option<Vec<f64>> {
    if variances.is_empty() || variances.len() > MOST_COMPARISONS {
        return None;
    }
    let usable = |v: f64| v.is_finite() && v >= 0.0;
    if !usable(reference_variance) || !variances.iter().all(|v| usable(*v)) {
        return None;
    }
    variances
        .iter()
        .map(|v| finite((reference_variance / (reference_variance + v)).sqrt()))
        .collect()
}

/// The chance that every t (by two sides: every `|t|`) of several groups against one stays at or below `t`.
///
/// `loads` as from [`loads`], each in `[0, 1]` (equal groups: all `√½`); `df` of the shared standard deviation, 0.5
/// to infinity. In `[0, 1]`; errs by less than 1e-10, absolute.
pub fn many_to_one_cdf(t: f64, loads: &[f64], df: f64, sides: Sides) -> Option<f64> {
    if loads.is_empty() || loads.len() > MOST_COMPARISONS || t.is_nan() {
        return None;
    }
    if !loads.iter().all(|l| (0.0..=1.0).contains(l)) {
        return None;
    }
    if sides == Sides::Two && t <= 0.0 {
        return Some(0.0);
    }
    let own = |load: f64| (1.0 - load * load).sqrt();
    let most = (1.0 - LEAST_OWN_SHARE).sqrt();
    let loads = || loads.iter().map(|l| l.min(most));
    let narrowest = loads().map(own).fold(1.0, f64::min);
    let scales = scale_rule(df, 0.0)?;
    if t.is_infinite() {
        return Some(if t > 0.0 { 1.0 } else { 0.0 });
    }
    let rule = normal_rule(STEP * narrowest);
    // Equal loads, the usual case, need one evaluation for all.
    let mut counted: Vec<(f64, i32)> = Vec::new();
    for load in loads() {
        match counted.iter_mut().find(|(l, _)| l.total_cmp(&load).is_eq()) {
            Some((_, count)) => *count += 1,
            None => counted.push((load, 1)),
        }
    }
    let within = |s: f64| {
        let mut sum = 0.0;
        for (y, weight) in &rule {
            let mut product = *weight;
            for (load, count) in &counted {
                let (centre, width) = (load * y, own(*load));
                let mut inside = normal_cdf((centre + t * s) / width)?;
                if sides == Sides::Two {
                    inside -= normal_cdf((centre - t * s) / width)?;
                }
                product *= inside.max(0.0).powi(*count);
            }
            sum += product;
        }
        finite(sum)
    };
    average(&scales, within).map(|p| p.clamp(0.0, 1.0))
}

/// The critical value of simultaneous intervals of several groups against one, with joint confidence `level`.
///
/// # Example: three equal groups against one, twelve degrees of freedom
/// ```
/// use thereback::stats::{many_to_one::many_to_one_critical, power::Sides};
/// let half = 0.5_f64.sqrt();
/// let d = many_to_one_critical(0.95, &[half; 3], 12.0, Sides::Two).unwrap();
/// assert!((d - 2.68).abs() < 0.005);
/// ```
pub fn many_to_one_critical(level: f64, loads: &[f64], df: f64, sides: Sides) -> Option<f64> {
    if !(level > 0.0 && level < 1.0) {
        return None;
    }
    let lacking = |t: f64| many_to_one_cdf(t, loads, df, sides).map(|p| p - level);
    // By one side a low level may lie below zero; so far below that the bracket always holds.
    let low = if sides == Sides::Two { 0.0 } else { -2.0 };
    if lacking(low)? > 0.0 {
        return None;
    }
    zero_above(lacking, low, 3.0, TOLERANCE)
}

#[cfg(test)]
mod tests {
    use super::super::distribution::t_quantile;
    use super::*;

    #[test]
    fn one_group_is_students() {
        for load in [0.0, 0.5, 0.9, 0.999, 1.0] {
            let both = many_to_one_critical(0.95, &[load], 7.0, Sides::Two);
            let one = many_to_one_critical(0.95, &[load], 7.0, Sides::One);
            for (found, p) in [(both, 0.975), (one, 0.95)] {
                let near = found
                    .zip(t_quantile(p, 7.0))
                    .is_some_and(|(d, t)| (d - t).abs() < 1e-8);
                assert!(near, "{load}: {found:?}");
            }
        }
    }

    #[test]
    fn independent_differences_multiply() {
        let all = many_to_one_cdf(2.0, &[0.0; 3], f64::INFINITY, Sides::One);
        let single = normal_cdf(2.0).map(|p| p.powi(3));
        let near = all.zip(single).is_some_and(|(a, b)| (a - b).abs() < 1e-13);
        assert!(near, "{all:?} {single:?}");
    }

    #[test]
    fn impossible_arguments_are_none() {
        assert_eq!(loads(1.0, &[]), None);
        assert_eq!(loads(0.0, &[0.0]), None);
        assert_eq!(loads(1.0, &[-1.0]), None);
        assert_eq!(many_to_one_cdf(1.0, &[1.5], 3.0, Sides::Two), None);
        assert_eq!(many_to_one_cdf(f64::NAN, &[0.5], 3.0, Sides::Two), None);
        assert_eq!(many_to_one_critical(0.0, &[0.5], 3.0, Sides::Two), None);
        assert_eq!(many_to_one_critical(0.95, &[0.5], 0.0, Sides::Two), None);
    }
}
