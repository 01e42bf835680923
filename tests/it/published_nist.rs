//! NIST Statistical Reference Datasets: certified mean, standard deviation, lag-one
//! autocorrelation, and regression.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::autocorrelation::autocorrelation;
use thereback::stats::regression::{fit_line, fit_through_origin};
use thereback::stats::summary::{mean, standard_deviation};

use crate::published_check::{CERTIFIED, NUM_ACC_3, NUM_ACC_4, ROUNDING, check};
use crate::published_data::{
    LEW, LOTTERY, MAVRO, MICHELSO, NO_INT_1, NORRIS, NUM_ACC_1, NUM_ACC_2, NUM_ACC_3 as ACC_3,
    NUM_ACC_4 as ACC_4, column, x_and_y,
};

struct Univariate {
    data: &'static str,
    n: usize,
    mean: f64,
    sd: f64,
    r1: f64,
    tolerance: f64,
}

/// NIST `StRD`, Univariate Summary Statistics, certified values.
#[rustfmt::skip]
const UNIVARIATE: [Univariate; 8] = [
    Univariate { data: LEW, n: 200, mean: -177.435, sd: 277.332168044316, r1: -0.307304800605679, tolerance: CERTIFIED },
    Univariate { data: LOTTERY, n: 218, mean: 518.958715596330, sd: 291.699727470969, r1: -0.120948622967393, tolerance: CERTIFIED },
    Univariate { data: MAVRO, n: 50, mean: 2.00185600000000, sd: 0.000429123454003053, r1: 0.937989183438248, tolerance: CERTIFIED },
    Univariate { data: MICHELSO, n: 100, mean: 299.852400000000, sd: 0.0790105478190518, r1: 0.535199668621283, tolerance: CERTIFIED },
    Univariate { data: NUM_ACC_1, n: 3, mean: 10_000_002.0, sd: 1.0, r1: -0.5, tolerance: ROUNDING },
    Univariate { data: NUM_ACC_2, n: 1001, mean: 1.2, sd: 0.1, r1: -0.999, tolerance: CERTIFIED },
    Univariate { data: ACC_3, n: 1001, mean: 1_000_000.2, sd: 0.1, r1: -0.999, tolerance: NUM_ACC_3 },
    Univariate { data: ACC_4, n: 1001, mean: 10_000_000.2, sd: 0.1, r1: -0.999, tolerance: NUM_ACC_4 },
];

#[test]
fn univariate() {
    for set in UNIVARIATE {
        let values = column(set.data);
        assert_eq!(values.len(), set.n);
        check(mean(&values), set.mean, ROUNDING);
        check(standard_deviation(&values), set.sd, set.tolerance);
        check(autocorrelation(&values, 1), set.r1, set.tolerance);
    }
}

/// NIST `StRD`, Linear Regression, Norris: certified values.
#[test]
fn norris() {
    let (x, y) = x_and_y(NORRIS);
    assert_eq!(x.len(), 36);
    let line = fit_line(&x, &y);
    let scatter = line.and_then(|l| l.scatter);
    check(line.map(|l| l.intercept), -0.262323073774029, CERTIFIED);
    check(line.map(|l| l.slope), 1.00211681802045, CERTIFIED);
    check(
        scatter.map(|s| s.intercept_se),
        0.232818234301152,
        CERTIFIED,
    );
    check(scatter.map(|s| s.slope_se), 0.429796848199937e-3, CERTIFIED);
    check(scatter.map(|s| s.residual_sd), 0.884796396144373, CERTIFIED);
    check(scatter.map(|s| s.df), 34.0, ROUNDING);
    check(line.and_then(|l| l.r_squared), 0.999993745883712, CERTIFIED);
    check(scatter.and_then(|s| s.f), 5436385.54079785, CERTIFIED);
}

/// NIST `StRD`, Linear Regression, `NoInt1` (through the origin): certified values.
#[test]
fn no_intercept() {
    let (x, y) = x_and_y(NO_INT_1);
    assert_eq!(x.len(), 11);
    let fit = fit_through_origin(&x, &y);
    let scatter = fit.and_then(|f| f.scatter);
    check(fit.map(|f| f.slope), 2.07438016528926, CERTIFIED);
    check(scatter.map(|s| s.slope_se), 0.165289256198347e-1, CERTIFIED);
    check(scatter.map(|s| s.residual_sd), 3.56753034006338, CERTIFIED);
    check(scatter.map(|s| s.df), 10.0, ROUNDING);
}
