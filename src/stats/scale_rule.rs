//! Sums over the distribution of an estimated standard deviation.
//!
//! A standard deviation estimated with `df` degrees of freedom is the true one times
//! `s = √(χ²/df)`. Distributions of studentised statistics are the mean over `s` of what holds
//! where the standard deviation is known.

use super::finite;

/// A value of `s` and its share; the shares sum to one.
#[derive(Debug, Clone, Copy)]
pub(super) struct ScaleNode {
    /// The estimated over the true standard deviation.
    pub(super) scale: f64,
    /// Its share of the whole.
    pub(super) share: f64,
}

/// Below this the left tail of `ln s` is so long that the rule would need ten thousands of nodes.
pub(super) const LEAST_DF: f64 = 0.5;

/// Nodes whose density is below `e⁻⁴⁰` of the highest add nothing to an f64.
const LEAST_LOG_DENSITY: f64 = -40.0;

/// The widest step in `ln s`, for the functions themselves where `df` is small, and the step
/// per standard deviation of `ln s`, which is near `1/√(2 df)`. Halving both changes no result here by
/// more than 1e-13.
const WIDEST_STEP: f64 = 0.08;
const STEP_OF_WIDTH: f64 = 0.4;

/// The step over the width of the steepest rise of a function averaged: with a normal rise the
/// rule then errs by `e^(-(2π/0.5)²/2)`, some 1e-34.
const STEP_OF_RISE: f64 = 0.5;

/// A finer rule than this is refused: the function then is a cliff.
const MAX_NODES: usize = 200_000;

/// The rule for `df` degrees of freedom (infinite: one node at 1) and functions of `ln s` that
/// rise no faster than a normal distribution of standard deviation `1/steepness`.
///
/// The trapezoidal rule in `u = ln s`, whose density `exp(df(u - e²ᵘ/2))` is
/// analytic and dies away at both ends, where that rule converges faster than any power of the step
/// (Trefethen & Weideman 2014, *SIAM Review* 56, 385-458).
pub(super) fn scale_rule(df: f64, steepness: f64) -> Option<Vec<ScaleNode>> {
    if df == f64::INFINITY {
        return Some(vec![ScaleNode {
            scale: 1.0,
            share: 1.0,
        }]);
    }
    if !(df >= LEAST_DF && steepness.is_finite()) {
        return None;
    }
    let step = WIDEST_STEP
        .min(STEP_OF_WIDTH / df.sqrt())
        .min(STEP_OF_RISE / steepness.abs().max(f64::MIN_POSITIVE));
    let log_density = |u: f64| df * (u - 0.5 * (2.0 * u).exp_m1());
    let mut nodes = Vec::new();
    for direction in [1.0, -1.0] {
        let start = usize::from(direction < 0.0);
        for i in start.. {
            let u = direction * i as f64 * step;
            let log = log_density(u);
            if log < LEAST_LOG_DENSITY {
                break;
            }
            if nodes.len() == MAX_NODES {
                return None;
            }
            nodes.push(ScaleNode {
                scale: u.exp(),
                share: log.exp(),
            });
        }
    }
    let total = finite(nodes.iter().map(|n| n.share).sum())?;
    for node in &mut nodes {
        node.share /= total;
    }
    Some(nodes)
}

/// The mean of `f(s)` by a rule.
pub(super) fn average(rule: &[ScaleNode], f: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let mut sum = 0.0;
    for node in rule {
        sum += node.share * f(node.scale)?;
    }
    finite(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_square_is_one() {
        for df in [0.5, 1.0, 2.0, 7.3, 60.0, 1e4, 1e9, f64::INFINITY] {
            let square = scale_rule(df, 0.0).and_then(|r| average(&r, |s| Some(s * s)));
            assert!(
                square.is_some_and(|m| (m - 1.0).abs() < 1e-12),
                "{df}: {square:?}"
            );
        }
    }

    #[test]
    fn impossible_rules_are_none() {
        for (df, steepness) in [(0.0, 1.0), (f64::NAN, 1.0), (3.0, f64::NAN), (3.0, 1e300)] {
            assert!(scale_rule(df, steepness).is_none());
        }
    }
}
