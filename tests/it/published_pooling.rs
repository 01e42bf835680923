//! Results of several days or laboratories pooled; equivalence.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::between::{
    BetweenMethod, Finding, between_variance, heterogeneity, i_squared,
};
use thereback::stats::random_effects::{ErrorMethod, Pooled, pool, pool_as_equal};

use crate::published_check::{
    EIGHT_FIGURES, FIVE_FIGURES, FOUR_FIGURES, SEVEN_FIGURES, SIX_FIGURES, TEN_FIGURES, check,
    check_within,
};

/// Values printed to four decimals.
const FOUR_DECIMALS: f64 = 0.5001e-4;

/// The same, computed there from variances with more digits than printed.
const FOUR_ROUNDED: f64 = 2e-4;

fn findings(values: &[f64], variances: &[f64]) -> Vec<Finding> {
    let both = values.iter().zip(variances);
    both.map(|(value, variance)| Finding {
        value: *value,
        variance: *variance,
    })
    .collect()
}

fn classic(set: &[Finding], method: BetweenMethod) -> Option<Pooled> {
    pool(set, method, ErrorMethod::Normal, 0.95)
}

#[track_caller]
fn check_pooled(pooled: Option<&Pooled>, tau: f64, value: f64, se: f64) {
    check_within(pooled.map(|p| p.tau), tau, FOUR_DECIMALS);
    check_within(pooled.map(|p| p.estimate.value), value, FOUR_DECIMALS);
    check_within(pooled.map(|p| p.estimate.se), se, FOUR_DECIMALS);
}

/// Six trials of aspirin and streptokinase, log odds ratios: `DerSimonian` & Kacker (2007),
/// *Contemporary Clinical Trials* 28, pp. 111-112, tables 3 and 4; further digits recomputed.
#[test]
fn six_trials() {
    let treated = [
        (5, 156),
        (5, 303),
        (12, 565),
        (69, 1570),
        (9, 103),
        (313, 4659),
    ];
    let control = [
        (8, 74),
        (17, 303),
        (9, 477),
        (94, 1565),
        (11, 105),
        (352, 4650),
    ];
    let set: Vec<Finding> = treated
        .iter()
        .zip(control)
        .map(|(t, c)| {
            let [a, b, c, d] = [t.0, t.1 - t.0, c.0, c.1 - c.0].map(f64::from);
            Finding {
                value: (a * d / (b * c)).ln(),
                variance: 1.0 / a + 1.0 / b + 1.0 / c + 1.0 / d,
            }
        })
        .collect();
    let moments = classic(&set, BetweenMethod::DerSimonianLaird);
    check_pooled(moments.as_ref(), 0.2323, -0.3240, 0.1540);
    check(
        moments.as_ref().map(|p| p.tau),
        0.232306477,
        TEN_FIGURES * 10.0,
    );
    check(
        moments.as_ref().map(|p| p.estimate.value),
        -0.323996824,
        TEN_FIGURES * 10.0,
    );
    check(
        moments.as_ref().map(|p| p.estimate.se),
        0.154005057,
        TEN_FIGURES * 10.0,
    );
    check(heterogeneity(&set).map(|h| h.q), 9.677867, SEVEN_FIGURES);
    let exact = classic(&set, BetweenMethod::PauleMandel);
    check_pooled(exact.as_ref(), 0.3681, -0.3811, 0.2060);
}

/// Nine trials of specialist care, days in hospital: Normand (1999), *Statistics in Medicine* 18,
/// 321-359, tables VIII and IX.
#[test]
fn nine_trials() {
    let set = findings(
        &[-20.0, -2.0, -55.0, -71.0, -4.0, 1.0, 11.0, -10.0, 7.0],
        &[
            40.5863, 2.0468, 15.2809, 150.2222, 20.1923, 1.2235, 95.3756, 8.0321, 20.6936,
        ],
    );
    let equal = pool_as_equal(&set, 0.95);
    check_within(equal.map(|e| e.value), -3.4939, FOUR_ROUNDED);
    check_within(equal.map(|e| e.low), -5.0265, FOUR_ROUNDED);
    check_within(equal.map(|e| e.high), -1.9613, FOUR_ROUNDED);
    let pooled = classic(&set, BetweenMethod::DerSimonianLaird);
    check(
        pooled.as_ref().map(|p| p.tau * p.tau),
        218.7216,
        FIVE_FIGURES,
    );
    check_within(
        pooled.as_ref().map(|p| p.estimate.value),
        -14.0972,
        FOUR_ROUNDED,
    );
    check_within(
        pooled.as_ref().map(|p| p.estimate.low),
        -24.4454,
        FOUR_ROUNDED,
    );
    check_within(
        pooled.as_ref().map(|p| p.estimate.high),
        -3.7490,
        FOUR_ROUNDED,
    );
}

/// Hine and others (1989), in the same paper of Normand: no spread between trials at all.
#[test]
fn no_spread() {
    let set = findings(
        &[2.8026, 0.0, 1.9711, 1.7961, 3.5334, 4.4031],
        &[17.7575, 37.5657, 8.1323, 10.8998, 8.0114, 6.1320],
    );
    for method in [BetweenMethod::DerSimonianLaird, BetweenMethod::PauleMandel] {
        assert_eq!(between_variance(&set, method), Some(0.0));
    }
    let pooled = classic(&set, BetweenMethod::DerSimonianLaird);
    check_pooled(pooled.as_ref(), 0.0, 2.9444, 1.3068);
    check_within(
        pooled.as_ref().map(|p| p.estimate.low),
        0.3831,
        2.0 * FOUR_DECIMALS,
    );
    check_within(
        pooled.as_ref().map(|p| p.estimate.high),
        5.5058,
        2.0 * FOUR_DECIMALS,
    );
}

/// Teachers' expectations, 19 experiments: Raudenbush (1985 and 2009, table 16.3), in the tests of R's
/// metafor, which has the Hartung–Knapp figures; further digits recomputed.
#[test]
fn nineteen_experiments() {
    let set = findings(
        &[
            0.03, 0.12, -0.14, 1.18, 0.26, -0.06, -0.02, -0.32, 0.27, 0.80, 0.54, 0.18, -0.02,
            0.23, -0.18, -0.06, 0.30, 0.07, -0.07,
        ],
        &[
            0.0156, 0.0216, 0.0279, 0.1391, 0.1362, 0.0106, 0.0106, 0.0484, 0.0269, 0.0630, 0.0912,
            0.0497, 0.0835, 0.0841, 0.0253, 0.0279, 0.0193, 0.0088, 0.0303,
        ],
    );
    let pooled = classic(&set, BetweenMethod::DerSimonianLaird);
    check_pooled(pooled.as_ref(), 0.025903672_f64.sqrt(), 0.0893, 0.0558);
    check_within(
        pooled.as_ref().map(|p| p.estimate.low),
        -0.0200,
        FOUR_DECIMALS,
    );
    check_within(
        pooled.as_ref().map(|p| p.estimate.high),
        0.1987,
        FOUR_DECIMALS,
    );
    check(heterogeneity(&set).map(|h| h.q), 35.8295, SIX_FIGURES);
    check_within(
        pool_as_equal(&set, 0.95).map(|e| e.value),
        0.0604,
        FOUR_DECIMALS,
    );

    // Here the results scatter by more than the model says, so the floor changes nothing.
    for error in [ErrorMethod::HartungKnapp, ErrorMethod::HartungKnappFloor] {
        let small = pool(&set, BetweenMethod::DerSimonianLaird, error, 0.95);
        let estimate = small.map(|p| p.estimate);
        check(estimate.map(|e| e.se), 0.063575555, EIGHT_FIGURES);
        check(
            estimate.and_then(|e| e.t_against(0.0)),
            1.4050,
            FOUR_FIGURES,
        );
        check(estimate.map(|e| e.low), -0.0442452, SEVEN_FIGURES * 3.0);
        check(estimate.map(|e| e.high), 0.2228894, SEVEN_FIGURES);
    }
}

/// Nine laboratories' measurements: Kacker (2004), *Metrologia* 41, 132-136, table 1, as in statsmodels'
/// tests, with R metafor's Paule–Mandel results. Kacker prints 0.5359 for `DerSimonian` & Laird's; exact is
/// 0.536702.
#[test]
fn nine_laboratories() {
    let set = findings(
        &[
            61.00, 61.40, 62.21, 62.30, 62.34, 62.60, 62.70, 62.84, 65.90,
        ],
        &[
            0.2025, 1.2100, 0.0900, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225,
        ],
    );
    let moments = between_variance(&set, BetweenMethod::DerSimonianLaird);
    check_within(moments.map(f64::sqrt), 0.5359, 1e-3);
    check(moments, 0.28804925, EIGHT_FIGURES);
    let pooled = classic(&set, BetweenMethod::PauleMandel);
    check_pooled(pooled.as_ref(), 0.8399, 62.4076, 0.3380);
    let tau_squared = between_variance(&set, BetweenMethod::PauleMandel);
    // metafor stops its search at 1e-5 or so of τ².
    check(tau_squared, 0.705395309224248, SEVEN_FIGURES);
    check(
        pooled.as_ref().map(|p| p.estimate.value),
        62.4076199113286,
        TEN_FIGURES,
    );
    check(
        pooled.as_ref().map(|p| p.estimate.se),
        0.338030602684471,
        EIGHT_FIGURES,
    );
    check(
        heterogeneity(&set).map(|h| h.q),
        24.801897741835,
        TEN_FIGURES,
    );
    let share = tau_squared.and_then(|t| i_squared(&set, t));
    check(share, 0.837218626490482, EIGHT_FIGURES);
}
