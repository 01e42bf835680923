//! How far several results of one quantity lie apart beyond their own errors.
//!
//! Each result `yᵢ` with known variance `vᵢ` is taken as the common mean, plus a deviation of its own
//! with variance `τ²`, plus its error. Sources: `DerSimonian` & Laird (1986), *Controlled Clinical
//! Trials* 7, 177-188; Paule & Mandel (1982), *Journal of Research of the National Bureau of
//! Standards* 87, 377-385; `DerSimonian` & Kacker (2007), *Contemporary Clinical Trials* 28, 105-114.

use serde::Serialize;
use statrs::function::gamma::checked_gamma_ur;

use super::finite;
use super::roots::zero_above;

/// One result, such as a day's: a value and the variance of its error.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Finding {
    /// The value.
    pub value: f64,
    /// The square of its standard error, above 0.
    pub variance: f64,
}

/// How the variance between results is estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum BetweenMethod {
    /// `DerSimonian` & Laird: moments, by the weights of equal effects. Direct, and known to fall
    /// short where results are few and differ much.
    DerSimonianLaird,
    /// Paule & Mandel: the variance at which the weighted squares equal their degrees of freedom.
    PauleMandel,
}

/// The test of whether results differ by more than their errors.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Heterogeneity {
    /// Cochran's `Q = Σ (yᵢ - ȳ)²/vᵢ`, `ȳ` weighted by `1/vᵢ`.
    pub q: f64,
    /// Its degrees of freedom: results less one.
    pub df: f64,
    /// The chance of so large a `Q` without any true difference (chi-square).
    pub p: f64,
}

/// `Σ w`, the weighted mean and the weighted squares about it, with weights `1/(vᵢ + τ²)`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weighted {
    pub(super) total: f64,
    pub(super) mean: f64,
    pub(super) squares: f64,
}

/// See [`Weighted`]; `None` for no results or any that are not usable.
pub(super) fn weighted(findings: &[Finding], tau_squared: f64) -> Option<Weighted> {
    let usable = |f: &Finding| f.value.is_finite() && f.variance.is_finite() && f.variance > 0.0;
    if findings.is_empty() || !findings.iter().all(usable) || tau_squared < 0.0 {
        return None;
    }
    let weights = || findings.iter().map(|f| 1.0 / (f.variance + tau_squared));
    let total = finite(weights().sum())?;
    // About the first value, so that a large common part costs no digits.
    let first = findings.first()?.value;
    let shift: f64 = weights()
        .zip(findings)
        .map(|(w, f)| w * (f.value - first))
        .sum();
    let mean = finite(first + shift / total)?;
    let squares = weights()
        .zip(findings)
        .map(|(w, f)| w * (f.value - mean).powi(2));
    Some(Weighted {
        total,
        mean,
        squares: finite(squares.sum())?,
    })
}

/// Cochran's test; `None` for fewer than two results or a variance not above zero.
pub fn heterogeneity(findings: &[Finding]) -> Option<Heterogeneity> {
    if findings.len() < 2 {
        return None;
    }
    let q = weighted(findings, 0.0)?.squares;
    let df = findings.len() as f64 - 1.0;
    Some(Heterogeneity {
        q,
        df,
        p: chi_square_upper_tail(q, df)?,
    })
}

/// The variance between results `τ²`, at least 0, in the square of their unit.
///
/// `None` for fewer than two results or a variance not above zero.
pub fn between_variance(findings: &[Finding], method: BetweenMethod) -> Option<f64> {
    let plain = heterogeneity(findings)?;
    let beyond = plain.q - plain.df;
    if beyond <= 0.0 {
        return Some(0.0);
    }
    match method {
        BetweenMethod::DerSimonianLaird => {
            let total: f64 = findings.iter().map(|f| 1.0 / f.variance).sum();
            let squares: f64 = findings.iter().map(|f| f.variance.powi(-2)).sum();
            finite(beyond / (total - squares / total))
        }
        BetweenMethod::PauleMandel => {
            // `Q(τ²)` falls all the way, so the zero is the only one. In units of the usual variance, so
            // that the tolerance means the same for speeds and for percent.
            let unit = typical_variance(findings)?;
            let lacking = |tau: f64| weighted(findings, tau * unit).map(|w| plain.df - w.squares);
            finite(unit * zero_above(lacking, 0.0, 1.0, PAULE_MANDEL_TOLERANCE)?)
        }
    }
}

/// `τ²` is found to this share of the typical variance or of itself.
const PAULE_MANDEL_TOLERANCE: f64 = 1e-14;

/// The share of the scatter that is between results, `I² = τ²/(τ² + s²)`, from 0 to 1.
///
/// `s²` is the typical variance of Higgins & Thompson (2002), *Statistics in Medicine* 21, 1539-1558;
/// with `DerSimonian` & Laird's `τ²` this is their `(Q - df)/Q`.
pub fn i_squared(findings: &[Finding], tau_squared: f64) -> Option<f64> {
    let typical = typical_variance(findings)?;
    finite(tau_squared / (tau_squared + typical)).filter(|i| (0.0..=1.0).contains(i))
}

/// `(k - 1) Σw / ((Σw)² - Σw²)` with `w = 1/v`.
fn typical_variance(findings: &[Finding]) -> Option<f64> {
    let total = weighted(findings, 0.0)?.total;
    let squares: f64 = findings.iter().map(|f| f.variance.powi(-2)).sum();
    let typical = finite((findings.len() as f64 - 1.0) * total / (total * total - squares))?;
    (typical > 0.0).then_some(typical)
}

/// The chance that chi-square with `df` degrees of freedom exceeds `x >= 0`.
pub fn chi_square_upper_tail(x: f64, df: f64) -> Option<f64> {
    if !(x >= 0.0 && df > 0.0 && df.is_finite()) {
        return None;
    }
    if x == 0.0 {
        return Some(1.0);
    }
    if x.is_infinite() {
        return Some(0.0);
    }
    checked_gamma_ur(df / 2.0, x / 2.0).ok().and_then(finite)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings(values: &[f64], variance: f64) -> Vec<Finding> {
        let finding = |value: &f64| Finding {
            value: *value,
            variance,
        };
        values.iter().map(finding).collect()
    }

    #[test]
    fn equal_variances_give_the_plain_one() {
        // With equal `v` both methods are the variance of the values less `v`.
        let set = findings(&[1.0, 4.0, 7.0], 2.0);
        for method in [BetweenMethod::DerSimonianLaird, BetweenMethod::PauleMandel] {
            let tau = between_variance(&set, method);
            assert!(tau.is_some_and(|t| (t - 7.0).abs() < 1e-12), "{tau:?}");
        }
        let share = i_squared(&set, 7.0);
        assert!(
            share.is_some_and(|s| (s - 7.0 / 9.0).abs() < 1e-12),
            "{share:?}"
        );
    }

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(heterogeneity(&findings(&[1.0], 1.0)), None);
        assert_eq!(heterogeneity(&findings(&[1.0, 2.0], 0.0)), None);
        assert_eq!(heterogeneity(&findings(&[1.0, f64::NAN], 1.0)), None);
        assert_eq!(chi_square_upper_tail(-1.0, 2.0), None);
        assert_eq!(chi_square_upper_tail(1.0, 0.0), None);
        assert_eq!(chi_square_upper_tail(0.0, 3.0), Some(1.0));
    }
}
