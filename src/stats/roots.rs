//! Where a function of one number crosses zero.

/// Halvings that pin any f64 between two others; a dozen are usual.
const MAX_STEPS: usize = 200;

/// A zero of `f` between `low` and `high`, where its signs differ; `None` where they do
/// not, or where `f` is unknown on the way.
///
/// Inverse quadratic steps where the three last points allow one, else halving: Chandrupatla
/// (1997), *Advances in Engineering Software* 28, 145-149 (from memory). `tolerance` is
/// relative to the zero, and absolute below 1.
pub fn zero_between(
    f: impl Fn(f64) -> Option<f64>,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Option<f64> {
    let (mut a, mut b) = (high, low);
    let (mut fa, mut fb) = (f(a)?, f(b)?);
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || fa.signum() == fb.signum() {
        return None;
    }
    let mut share = 0.5;
    for _ in 0..MAX_STEPS {
        let x = a + share * (b - a);
        let fx = f(x)?;
        let (c, fc);
        if fx.signum() == fa.signum() {
            (c, fc) = (a, fa);
        } else {
            (c, fc) = (b, fb);
            (b, fb) = (a, fa);
        }
        (a, fa) = (x, fx);
        let (best, at_best) = if fa.abs() < fb.abs() {
            (a, fa)
        } else {
            (b, fb)
        };
        let least = 0.5 * tolerance * best.abs().max(1.0) / (b - a).abs();
        if at_best == 0.0 || least > 0.5 {
            return Some(best);
        }
        let xi = (a - b) / (c - b);
        let phi = (fa - fb) / (fc - fb);
        let curved = phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi;
        share = if curved {
            fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        } else {
            0.5
        };
        share = if share.is_finite() {
            share.clamp(least.min(0.5), (1.0 - least).max(0.5))
        } else {
            0.5
        };
    }
    Some(a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zeros_are_found() {
        let near = |found: Option<f64>, want: f64| {
            assert!(
                found.is_some_and(|x| (x - want).abs() < 1e-12 * want.abs().max(1.0)),
                "{found:?} {want}"
            );
        };
        near(
            zero_between(|x| Some(x * x - 2.0), 0.0, 9.0, 1e-14),
            2_f64.sqrt(),
        );
        near(zero_between(|x| Some(2.0 - x), 9.0, 0.0, 1e-14), 2.0);
        near(
            zero_between(|x| Some((x - 1.0).powi(9)), -1.0, 8.0, 1e-14),
            1.0,
        );
        near(zero_between(Some, 0.0, 1.0, 1e-14), 0.0);
    }

    #[test]
    fn no_zero_is_none() {
        assert_eq!(zero_between(|x| Some(x * x + 1.0), -1.0, 1.0, 1e-9), None);
        assert_eq!(zero_between(|_| None, -1.0, 1.0, 1e-9), None);
        assert_eq!(zero_between(|_| Some(f64::NAN), -1.0, 1.0, 1e-9), None);
    }
}
