//! Linear models against certified results.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::least_squares::ordinary;

use crate::published_check::{CERTIFIED, check};
use crate::published_data::{NORRIS, x_and_y};

/// Longley's columns are so nearly dependent (condition number 5e9) that an f64 keeps some nine figures.
const ILL_CONDITIONED: f64 = 1e-8;

/// NIST `StRD`, Linear Regression, Norris: certified values.
#[test]
fn norris() {
    let (x, y) = x_and_y(NORRIS);
    let columns = [vec![1.0; x.len()], x];
    let fit = ordinary(&columns, &y);
    let of = |place: usize| fit.as_ref().map(|f| f.coefficients[place]);
    check(of(0), -0.262323073774029, CERTIFIED);
    check(of(1), 1.00211681802045, CERTIFIED);
    assert_eq!(fit.as_ref().map(|f| f.df), Some(34));
}

/// NIST `StRD`, Linear Regression, Longley: data as in statsmodels 0.15, certified values from memory (that the fit
/// meets them all confirms them).
#[test]
#[rustfmt::skip]
fn longley() {
    let rows = [
        [60323.0, 83.0, 234289.0, 2356.0, 1590.0, 107608.0, 1947.0],
        [61122.0, 88.5, 259426.0, 2325.0, 1456.0, 108632.0, 1948.0],
        [60171.0, 88.2, 258054.0, 3682.0, 1616.0, 109773.0, 1949.0],
        [61187.0, 89.5, 284599.0, 3351.0, 1650.0, 110929.0, 1950.0],
        [63221.0, 96.2, 328975.0, 2099.0, 3099.0, 112075.0, 1951.0],
        [63639.0, 98.1, 346999.0, 1932.0, 3594.0, 113270.0, 1952.0],
        [64989.0, 99.0, 365385.0, 1870.0, 3547.0, 115094.0, 1953.0],
        [63761.0, 100.0, 363112.0, 3578.0, 3350.0, 116219.0, 1954.0],
        [66019.0, 101.2, 397469.0, 2904.0, 3048.0, 117388.0, 1955.0],
        [67857.0, 104.6, 419180.0, 2822.0, 2857.0, 118734.0, 1956.0],
        [68169.0, 108.4, 442769.0, 2936.0, 2798.0, 120445.0, 1957.0],
        [66513.0, 110.8, 444546.0, 4681.0, 2637.0, 121950.0, 1958.0],
        [68655.0, 112.6, 482704.0, 3813.0, 2552.0, 123366.0, 1959.0],
        [69564.0, 114.2, 502601.0, 3931.0, 2514.0, 125368.0, 1960.0],
        [69331.0, 115.7, 518173.0, 4806.0, 2572.0, 127852.0, 1961.0],
        [70551.0, 116.9, 554894.0, 4007.0, 2827.0, 130081.0, 1962.0],
    ];
    let certified = [
        -3482258.63459582,
        15.0618722713733,
        -0.358191792925910e-1,
        -2.02022980381683,
        -1.03322686717359,
        -0.511041056535807e-1,
        1829.15146461355,
    ];
    let y: Vec<f64> = rows.iter().map(|r| r[0]).collect();
    let mut columns = vec![vec![1.0; 16]];
    columns.extend((1..7).map(|c| rows.iter().map(|r| r[c]).collect::<Vec<_>>()));
    let fit = ordinary(&columns, &y);
    for (place, coefficient) in certified.into_iter().enumerate() {
        check(fit.as_ref().map(|f| f.coefficients[place]), coefficient, ILL_CONDITIONED);
    }
}

/// NIST `StRD`, Linear Regression, Wampler1: a fifth-order polynomial, all coefficients exactly 1.
#[test]
fn wampler() {
    let x: Vec<f64> = (0..=20).map(f64::from).collect();
    let columns: Vec<Vec<f64>> = (0..=5)
        .map(|power| x.iter().map(|x| x.powi(power)).collect())
        .collect();
    let y: Vec<f64> = (0..x.len())
        .map(|i| columns.iter().map(|c| c[i]).sum())
        .collect();
    for coefficient in ordinary(&columns, &y).unwrap().coefficients {
        check(coefficient, 1.0, ILL_CONDITIONED);
    }
}
