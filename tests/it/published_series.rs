//! Standard errors of series that hang together.

use thereback::stats::autocorrelation::{autocorrelation, effective_size, effective_size_finite};
use thereback::stats::long_run::{
    USUAL_COSINES, automatic_lag, fixed_lag, low_frequency_variance, newey_west_variance,
    weighted_sum_variance,
};
use thereback::stats::summary::standard_deviation;

use crate::published_check::{
    ANOTHER_METHOD, EIGHT_FIGURES, FIVE_FIGURES, ROUNDING, SEVEN_FIGURES, TEN_FIGURES, check,
};
use crate::published_data::{LEW, LH, MAVRO, MICHELSO, NUM_ACC_2, column};

/// The effective size by `r1` and the standard error of the mean it gives.
fn effective(values: &[f64]) -> Option<(f64, f64)> {
    let size = effective_size(values.len(), autocorrelation(values, 1)?)?;
    Some((size, standard_deviation(values)? / size.sqrt()))
}

/// `n(1 - r1)/(1 + r1)`: formula of Zwiers & von Storch (1995), *Journal of Climate* 8,
/// 336-351, and of the NCL function `equiv_sample_size`; recomputed only, on NIST's
/// certified `r1`.
#[test]
fn effective_sizes() {
    let michelso = column(MICHELSO);
    let found = effective(&michelso);
    check(found.map(|f| f.0), 30.276_213_6, TEN_FIGURES * 10.0);
    check(found.map(|f| f.1), 0.014_359_333_8, TEN_FIGURES * 10.0);
    // So few that an interval on them means nothing.
    let mavro = column(MAVRO);
    let found = effective(&mavro);
    check(found.map(|f| f.0), 1.599_875_2, EIGHT_FIGURES);
    check(found.map(|f| f.1), 3.3927e-4, FIVE_FIGURES);
    let finite = |values: &[f64]| effective_size_finite(values.len(), autocorrelation(values, 1)?);
    check(finite(&michelso), 30.737_297_8, EIGHT_FIGURES);
    check(finite(&mavro), 2.283_868_7, EIGHT_FIGURES);
}

/// Negative `r1` never makes a series worth more than its values: the NCL documentation of
/// `equiv_sample_size` says the same.
#[test]
fn never_more_than_the_values() {
    check(effective(&column(LEW)).map(|f| f.0), 200.0, ROUNDING);
    check(effective(&column(NUM_ACC_2)).map(|f| f.0), 1001.0, ROUNDING);
}

/// R `arima(lh, order = c(1, 0, 0))` gives the mean a standard error of 0.1466 by maximum
/// likelihood. Figures for `r1` and the plain standard error recomputed.
#[test]
fn luteinizing_hormone() {
    check(standard_deviation(&LH), 0.551_593_436, TEN_FIGURES * 2.0);
    check(autocorrelation(&LH, 1), 0.575_524_475, TEN_FIGURES * 2.0);
    let found = effective(&LH);
    check(found.map(|f| f.0), 12.932, FIVE_FIGURES);
    check(found.map(|f| f.1), 0.153_385_6, SEVEN_FIGURES);
    check(found.map(|f| f.1), 0.1466, ANOTHER_METHOD);
}

/// The long-run estimates assume no model, and lie between two of them: R's `ar(lh)` takes third order,
/// 0.6534, -0.0636, -0.2269 with variance 0.1959 (the variance from memory), which
/// makes 0.1003; the first-order model above 0.1466.
#[test]
fn between_two_models() {
    let weights = vec![1.0 / 48.0; 48];
    let third_order = (0.1959_f64 / 48.0).sqrt() / (1.0 - 0.6534 + 0.0636 + 0.2269);
    let by_lag = automatic_lag(&LH).and_then(|lag| weighted_sum_variance(&LH, &weights, lag));
    let by_cosines = low_frequency_variance(&LH, &weights, USUAL_COSINES);
    for found in [by_lag, by_cosines] {
        let se = found.map(|v| v.variance.sqrt());
        assert!(
            se.is_some_and(|se| se > third_order && se < 0.1466),
            "{se:?}"
        );
    }
}

/// Newey & West (1987) for a mean: recomputed only, by hand and with `statsmodels`.
#[test]
fn newey_west() {
    let standard_error = |values: &[f64], lag| newey_west_variance(values, lag).map(f64::sqrt);
    for (data, lag, want) in [
        (MICHELSO, 1, 0.009_740_586_429_98),
        (MICHELSO, 4, 0.011_235_965_112_11),
        (MAVRO, 1, 8.363_459_571e-5),
        (MAVRO, 4, 1.253_062_042e-4),
        (LEW, 4, 11.094_968_392_5),
    ] {
        check(standard_error(&column(data), lag), want, TEN_FIGURES);
    }
}

/// Newey & West (1994): 4 (n/100)^(2/9).
#[test]
fn fixed_lags() {
    assert_eq!([50, 100, 200, 1000].map(fixed_lag), [3, 4, 4, 6]);
}
