//! Student's t and the normal distribution: tails, quantiles, critical values.
//!
//! The incomplete beta and gamma functions and the normal quantile come from
//! `statrs` 0.19. Its Student's t and normal tail do not: compared with 40-digit
//! arithmetic, its inverse of t panics at 1000 degrees of freedom and errs by 1e-9
//! well below that, its tail of t loses digits near the centre, and its normal tail
//! errs by 1e-10. The forms here keep 2e-12 relative for `|t|` up to 13 and degrees of freedom from 0.5 to
//! infinity.

use statrs::distribution::{Continuous, ContinuousCDF, Normal, StudentsT};
use statrs::function::beta::checked_beta_reg;
use statrs::function::gamma::checked_gamma_ur;

use super::finite;

/// From here on Hill's expansion is exact to rounding (relative error below 1e-16
/// for `|t| <= 5`, below 2e-12 at 13; compared with 30-digit arithmetic), while
/// the incomplete beta function slowly loses digits with growing degrees of freedom.
const LARGE_DF: f64 = 1000.0;

/// The square of a larger value overflows, and with it the tail.
const LARGEST_T: f64 = 1e150;

/// Enough halvings and Newton steps to pin any f64; eight are usual.
const MAX_STEPS: usize = 200;

/// The chance that Student's t with `df` degrees of freedom exceeds `t`.
///
/// `df` may be any number above zero, infinity included (the normal distribution).
/// `None` for NaN and for `df <= 0`.
pub fn t_upper_tail(t: f64, df: f64) -> Option<f64> {
    if t.is_nan() || df.is_nan() || df <= 0.0 {
        return None;
    }
    if t < 0.0 {
        return Some(1.0 - t_upper_tail(-t, df)?);
    }
    if df.is_infinite() || t.is_infinite() {
        return normal_upper_tail(t);
    }
    if df >= LARGE_DF {
        return normal_upper_tail(hill_deviate(t, df));
    }
    let squared = t * t;
    // Each form where it does not subtract nearly equal numbers: near the centre
    // the share of the beta integral from below, in the tail that from above.
    if t < 0.5 {
        let inside = checked_beta_reg(0.5, df / 2.0, squared / (df + squared)).ok()?;
        finite(0.5 - 0.5 * inside)
    } else {
        let outside = checked_beta_reg(df / 2.0, 0.5, df / (df + squared)).ok()?;
        finite(0.5 * outside)
    }
}

/// The normal deviate with the same tail as `t`.
///
/// Source: Hill (1970), Algorithm 395, *Communications of the ACM* 13, 617-619
/// (from memory; compared with 30-digit arithmetic).
fn hill_deviate(t: f64, df: f64) -> f64 {
    let a = df - 0.5;
    let b = 48.0 * a * a;
    let y = a * (t * t / df).ln_1p();
    let inner = (((-0.4 * y - 3.3) * y - 24.0) * y - 85.5) / (0.8 * y * y + 100.0 + b);
    ((inner + y + 3.0) / b + 1.0) * y.sqrt()
}

/// The value that Student's t stays below with probability `p`, `0 < p < 1`.
///
/// `None` outside that range, for `df <= 0`, and where the value is beyond 1e150.
///
/// # Example: the 97.5 % point with two degrees of freedom
/// ```
/// use thereback::stats::distribution::t_quantile;
/// let t = t_quantile(0.975, 2.0).unwrap();
/// assert!((t - 4.302652729749464).abs() < 1e-12);
/// ```
pub fn t_quantile(p: f64, df: f64) -> Option<f64> {
    if p > 0.5 {
        t_upper_quantile(1.0 - p, df)
    } else {
        t_upper_quantile(p, df).map(|t| 0.0 - t)
    }
}

/// The factor of the standard error that gives a two-sided interval of confidence
/// `level`, `0 < level < 1`.
pub fn t_critical(level: f64, df: f64) -> Option<f64> {
    t_upper_quantile((1.0 - level) / 2.0, df)
}

/// The value that Student's t exceeds with probability `tail`, `0 < tail <= 0.5`.
fn t_upper_quantile(tail: f64, df: f64) -> Option<f64> {
    if !(tail > 0.0 && tail <= 0.5) || df.is_nan() || df <= 0.0 {
        return None;
    }
    if tail >= 0.5 {
        return Some(0.0);
    }
    let density = StudentsT::new(0.0, 1.0, df).ok()?;
    let (mut low, mut high) = (0.0, 1.0);
    while t_upper_tail(high, df)? > tail {
        low = high;
        high = Some(high * 2.0).filter(|h| *h < LARGEST_T)?;
    }
    let mut t = f64::midpoint(low, high);
    for _ in 0..MAX_STEPS {
        let at = t_upper_tail(t, df)?;
        if at > tail {
            low = t;
        } else {
            high = t;
        }
        // On the log of the tail the curve is nearly straight far out, so that
        // Newton's step neither creeps nor overshoots there.
        let step = (at / tail).ln() * at / density.pdf(t);
        let newton = t + step;
        let next = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
        if (next - t).abs() <= f64::EPSILON * t {
            return Some(next);
        }
        t = next;
    }
    Some(t)
}

/// The chance that a standard normal exceeds `z`; `None` for NaN.
///
/// Half the regularised upper incomplete gamma function at `(1/2, z²/2)`.
pub fn normal_upper_tail(z: f64) -> Option<f64> {
    if z < 0.0 {
        return Some(1.0 - normal_upper_tail(-z)?);
    }
    let x = z * z / 2.0;
    if x == 0.0 {
        return Some(0.5);
    }
    if x.is_infinite() {
        return Some(0.0);
    }
    checked_gamma_ur(0.5, x).ok().and_then(|u| finite(0.5 * u))
}

/// The standard normal's cumulative distribution; `None` for NaN.
pub fn normal_cdf(z: f64) -> Option<f64> {
    normal_upper_tail(-z)
}

/// The value that a standard normal stays below with probability `p`, `0 < p < 1`.
pub fn normal_quantile(p: f64) -> Option<f64> {
    (p > 0.0 && p < 1.0).then(|| Normal::standard().inverse_cdf(p))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_tail_falls_everywhere() {
        let mut before = 0.5;
        for step in -600..50 {
            let z = 10_f64.powf(f64::from(step) / 2.0);
            let tail = normal_upper_tail(z);
            assert!(
                tail.is_some_and(|t| (0.0..=before).contains(&t)),
                "{z}: {tail:?}"
            );
            before = tail.unwrap_or(before);
        }
        assert_eq!(normal_upper_tail(f64::NAN), None);
        assert_eq!(normal_cdf(f64::INFINITY), Some(1.0));
    }

    #[test]
    fn the_two_ways_to_the_tail_meet() {
        for df in [0.5, 1.0, 2.5, 9.0, 120.0, 999.0] {
            let [below, above] = [0.499_999_999_9, 0.5].map(|t| t_upper_tail(t, df));
            let near = below
                .zip(above)
                .is_some_and(|(b, a)| b > a && b - a < 1e-10);
            assert!(near, "{df}: {below:?} {above:?}");
        }
        let [below, above] = [999.999_999, 1000.0].map(|df| t_upper_tail(2.3, df));
        let near = below.zip(above).is_some_and(|(b, a)| (b - a).abs() < 1e-12);
        assert!(near, "{below:?} {above:?}");
    }
}
