//! The studentized range: how far apart the means of equal groups lie by chance.

use super::distribution::{normal_cdf, normal_upper_tail};
use super::finite;
use super::roots::zero_above;
use super::scale_rule::{average, scale_rule};

/// Critical values are found to this, relative.
const TOLERANCE: f64 = 1e-11;

/// How far out from zero a normal deviate is followed: beyond it the chance is below 1e-18.
const FARTHEST: f64 = 9.0;

/// The step of the rule over normal deviates. With it the trapezoidal rule errs by less than 1e-13 for up to 100
/// groups; halving it changes no result by more.
const STEP: f64 = 0.15;

/// More groups than this are no trial.
const MOST_GROUPS: u16 = 100;

/// `e⁻¹ᐟ²ᶻ²/√(2π)`.
pub(super) fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// The deviates and weights of a rule for `∫ φ(z) f(z) dz`.
pub(super) fn normal_rule(step: f64) -> Vec<(f64, f64)> {
    let half = (FARTHEST / step).ceil() as i32;
    (-half..=half)
        .map(|i| {
            let z = f64::from(i) * step;
            (z, step * normal_density(z))
        })
        .collect()
}

/// The chance that the range of `groups` standard normal values stays within `width`:
/// `k ∫ φ(z) (Φ(z) - Φ(z - width))ᵏ⁻¹ dz`, `z` the largest.
fn range_cdf(rule: &[RangeNode], width: f64, groups: u16) -> Option<f64> {
    let mut sum = 0.0;
    for node in rule {
        let low = node.z - width;
        // Each form where it does not subtract nearly equal numbers.
        let within = if low > 0.0 {
            normal_upper_tail(low)? - node.above
        } else {
            node.below - normal_cdf(low)?
        };
        sum += node.weight * within.max(0.0).powi(i32::from(groups) - 1);
    }
    finite(f64::from(groups) * sum)
}

/// A deviate, its weight, and the chances below and above it.
struct RangeNode {
    z: f64,
    weight: f64,
    below: f64,
    above: f64,
}

fn range_rule() -> Option<Vec<RangeNode>> {
    let nodes = normal_rule(STEP).into_iter().map(|(z, weight)| {
        Some(RangeNode {
            z,
            weight,
            below: normal_cdf(z)?,
            above: normal_upper_tail(z)?,
        })
    });
    nodes.collect()
}

/// The chance that the studentized range `q` of `groups` means stays at or below `q`.
///
/// `q` is the difference between the largest and the smallest of `groups` independent means of equal variance over
/// the standard error of one mean, that error having `df` degrees of freedom (0.5 to infinity). Groups: 2 to 100.
/// In `[0, 1]`; errs by less than 1e-11, absolute. Source of the double integral: Tukey (1953), in Miller (1981),
/// *Simultaneous Statistical Inference*, chapter 2; summed by the trapezoidal rule in both variables.
pub fn studentized_range_cdf(q: f64, groups: usize, df: f64) -> Option<f64> {
    let groups = u16::try_from(groups).ok()?;
    if !(2..=MOST_GROUPS).contains(&groups) || q.is_nan() {
        return None;
    }
    let scales = scale_rule(df, 0.0)?;
    if q <= 0.0 {
        return Some(0.0);
    }
    if q.is_infinite() {
        return Some(1.0);
    }
    let rule = range_rule()?;
    average(&scales, |s| range_cdf(&rule, q * s, groups)).map(|p| p.clamp(0.0, 1.0))
}

/// The value that the studentized range stays below with chance `level`, between 0 and 1.
///
/// Over `√2` it is the factor of the standard error of a difference in Tukey's all-pairs intervals.
///
/// # Example: three groups, ten degrees of freedom
/// ```
/// use thereback::stats::studentized_range::studentized_range_quantile;
/// let q = studentized_range_quantile(0.95, 3, 10.0).unwrap();
/// assert!((q - 3.876777).abs() < 1e-6);
/// ```
pub fn studentized_range_quantile(level: f64, groups: usize, df: f64) -> Option<f64> {
    if !(level > 0.0 && level < 1.0) {
        return None;
    }
    let lacking = |q: f64| studentized_range_cdf(q, groups, df).map(|p| p - level);
    zero_above(lacking, 0.0, 4.0, TOLERANCE)
}

#[cfg(test)]
mod tests {
    use super::super::distribution::t_quantile;
    use super::*;

    #[test]
    fn two_groups_are_students() {
        for df in [1.0, 3.5, 20.0, f64::INFINITY] {
            let q = studentized_range_quantile(0.95, 2, df);
            let t = t_quantile(0.975, df).map(|t| t * 2_f64.sqrt());
            let near = q.zip(t).is_some_and(|(q, t)| (q - t).abs() < 1e-9 * t);
            assert!(near, "{df}: {q:?} {t:?}");
        }
    }

    #[test]
    fn impossible_arguments_are_none() {
        assert_eq!(studentized_range_cdf(1.0, 1, 3.0), None);
        assert_eq!(studentized_range_cdf(1.0, 3, 0.0), None);
        assert_eq!(studentized_range_cdf(f64::NAN, 3, 3.0), None);
        assert_eq!(studentized_range_quantile(1.0, 3, 3.0), None);
        assert_eq!(studentized_range_cdf(-1.0, 3, 3.0), Some(0.0));
        assert_eq!(studentized_range_cdf(f64::INFINITY, 3, 3.0), Some(1.0));
    }
}
