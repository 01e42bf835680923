//! NIST Statistical Reference Datasets: certified means and a certified regression.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::regression::fit_line;
use thereback::stats::summary::mean;

use crate::published_check::{CERTIFIED, ROUNDING, check};
use crate::published_data::{
    LEW, LOTTERY, MAVRO, MICHELSO, NORRIS, NUM_ACC_1, NUM_ACC_2, NUM_ACC_3 as ACC_3,
    NUM_ACC_4 as ACC_4, column, x_and_y,
};

/// NIST `StRD`, Univariate Summary Statistics: data, their number, certified mean.
const UNIVARIATE: [(&str, usize, f64); 8] = [
    (LEW, 200, -177.435),
    (LOTTERY, 218, 518.958715596330),
    (MAVRO, 50, 2.00185600000000),
    (MICHELSO, 100, 299.852400000000),
    (NUM_ACC_1, 3, 10_000_002.0),
    (NUM_ACC_2, 1001, 1.2),
    (ACC_3, 1001, 1_000_000.2),
    (ACC_4, 1001, 10_000_000.2),
];

#[test]
fn univariate() {
    for (data, count, certified) in UNIVARIATE {
        let values = column(data);
        assert_eq!(values.len(), count);
        check(mean(&values), certified, ROUNDING);
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
