//! Linear and nonlinear models against certified results.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::least_squares::{LinearFit, generalised, ordinary, weighted};
use thereback::stats::nonlinear::{NonlinearFit, least_squares};

use crate::published_check::{CERTIFIED, EIGHT_FIGURES, ROUNDING, SIX_FIGURES, TEN_FIGURES, check};
use crate::published_data::{NORRIS, x_and_y};

/// Longley's columns are so nearly dependent (condition number 5e9) that an f64 keeps some nine figures.
const ILL_CONDITIONED: f64 = 1e-8;

fn errors(fit: Option<&LinearFit>) -> Vec<f64> {
    let covariance = fit.and_then(LinearFit::covariance).unwrap();
    let diagonal = covariance.iter().enumerate();
    diagonal.map(|(i, row)| row[i].sqrt()).collect()
}

/// NIST `StRD`, Linear Regression, Norris: certified values.
#[test]
fn norris() {
    let (x, y) = x_and_y(NORRIS);
    let columns = [vec![1.0; x.len()], x];
    let unit = |i| (0..y.len()).map(|j| f64::from(i == j)).collect();
    let identity: Vec<Vec<f64>> = (0..y.len()).map(unit).collect();
    for fit in [
        ordinary(&columns, &y),
        weighted(&columns, &y, &vec![1.0; y.len()]),
        generalised(&columns, &y, &identity),
    ] {
        let fit = fit.as_ref();
        check(
            fit.map(|f| f.coefficients[0]),
            -0.262323073774029,
            CERTIFIED,
        );
        check(fit.map(|f| f.coefficients[1]), 1.00211681802045, CERTIFIED);
        check(errors(fit)[0], 0.232818234301152, CERTIFIED);
        check(errors(fit)[1], 0.429796848199937e-3, CERTIFIED);
        check(
            fit.and_then(LinearFit::residual_sd),
            0.884796396144373,
            CERTIFIED,
        );
        assert_eq!(fit.map(|f| f.df), Some(34));
    }
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
        (-3482258.63459582, 890420.383607373),
        (15.0618722713733, 84.9149257747669),
        (-0.358191792925910e-1, 0.334910077722432e-1),
        (-2.02022980381683, 0.488399681651699),
        (-1.03322686717359, 0.214274163161675),
        (-0.511041056535807e-1, 0.226073200069370),
        (1829.15146461355, 455.478499142212),
    ];
    let y: Vec<f64> = rows.iter().map(|r| r[0]).collect();
    let mut columns = vec![vec![1.0; 16]];
    columns.extend((1..7).map(|c| rows.iter().map(|r| r[c]).collect::<Vec<_>>()));
    let fit = ordinary(&columns, &y);
    let errors = errors(fit.as_ref());
    for (place, (coefficient, error)) in certified.into_iter().enumerate() {
        check(fit.as_ref().map(|f| f.coefficients[place]), coefficient, ILL_CONDITIONED);
        check(errors[place], error, ILL_CONDITIONED);
    }
    check(fit.as_ref().and_then(LinearFit::residual_sd), 304.854073561965, ILL_CONDITIONED);
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

/// A weighted line by hand, recomputed in fractions: x 0 1 2 with weights 1 2 1 and y 1 2 5.
#[test]
fn weighted_by_hand() {
    let columns = [vec![1.0; 3], vec![0.0, 1.0, 2.0]];
    let fit = weighted(&columns, &[1.0, 2.0, 5.0], &[1.0, 2.0, 1.0]);
    // Weighted means 1 and 2.5; Sxx 2, Sxy 4; left over 0.5² + 2 · 0.5² + 0.5².
    check(fit.as_ref().map(|f| f.coefficients[0]), 0.5, ROUNDING);
    check(fit.as_ref().map(|f| f.coefficients[1]), 2.0, ROUNDING);
    check(fit.as_ref().map(|f| f.residual_squares), 1.0, ROUNDING);
    check(errors(fit.as_ref())[1], 0.5_f64.sqrt(), ROUNDING);
}

struct Nonlinear {
    starts: [&'static [f64]; 2],
    certified: &'static [(f64, f64)],
    squares: f64,
    model: fn(&[f64], f64) -> f64,
    data: &'static [(f64, f64)],
}

/// NIST `StRD`, Nonlinear Regression: data (`y x`) and certified values from memory (that the fit from both of NIST's
/// starts meets them all confirms them).
const NONLINEAR: [Nonlinear; 3] = [
    // Misra1a: dental research, monomolecular adsorption.
    Nonlinear {
        starts: [&[500.0, 0.0001], &[250.0, 0.0005]],
        certified: &[
            (2.3894212918e2, 2.7070075241),
            (5.5015643181e-4, 7.2668688436e-6),
        ],
        squares: 1.2455138894e-1,
        model: |p, x| p[0] * (1.0 - (-p[1] * x).exp()),
        data: &[
            (10.07, 77.6),
            (14.73, 114.9),
            (17.94, 141.1),
            (23.93, 190.8),
            (29.61, 239.9),
            (35.18, 289.0),
            (40.02, 332.8),
            (44.82, 378.4),
            (50.76, 434.8),
            (55.05, 477.3),
            (61.01, 536.8),
            (66.40, 593.1),
            (75.47, 689.1),
            (81.78, 760.0),
        ],
    },
    // BoxBOD: biochemical oxygen demand.
    Nonlinear {
        starts: [&[1.0, 1.0], &[100.0, 0.75]],
        certified: &[
            (2.1380940889e2, 1.2354515176e1),
            (5.4723748542e-1, 1.0455993237e-1),
        ],
        squares: 1.1680088766e3,
        model: |p, x| p[0] * (1.0 - (-p[1] * x).exp()),
        data: &[
            (109.0, 1.0),
            (149.0, 2.0),
            (149.0, 3.0),
            (191.0, 5.0),
            (213.0, 7.0),
            (224.0, 10.0),
        ],
    },
    // Rat43: the growth of onions.
    Nonlinear {
        starts: [&[100.0, 10.0, 1.0, 1.0], &[700.0, 5.0, 0.75, 1.3]],
        certified: &[
            (6.9964151270e2, 1.6302297817e1),
            (5.2771253025, 2.0828735829),
            (7.5962938329e-1, 1.9566123451e-1),
            (1.2792483859, 6.8761936385e-1),
        ],
        squares: 8.7864049080e3,
        model: |p, x| p[0] / (1.0 + (p[1] - p[2] * x).exp()).powf(1.0 / p[3]),
        data: &[
            (16.08, 1.0),
            (33.83, 2.0),
            (65.80, 3.0),
            (97.20, 4.0),
            (191.55, 5.0),
            (326.20, 6.0),
            (386.87, 7.0),
            (520.53, 8.0),
            (590.03, 9.0),
            (651.92, 10.0),
            (724.93, 11.0),
            (699.56, 12.0),
            (689.96, 13.0),
            (637.56, 14.0),
            (717.41, 15.0),
        ],
    },
];

#[test]
fn nonlinear() {
    for set in NONLINEAR {
        for start in set.starts {
            let fit = least_squares(start, |p| {
                Some(
                    set.data
                        .iter()
                        .map(|(y, x)| (set.model)(p, *x) - y)
                        .collect(),
                )
            });
            let errors = fit.as_ref().and_then(NonlinearFit::standard_errors);
            for (place, (parameter, error)) in set.certified.iter().enumerate() {
                let found = fit.as_ref().map(|f| f.parameters[place]);
                check(found, *parameter, EIGHT_FIGURES);
                check(errors.as_ref().map(|e| e[place]), *error, SIX_FIGURES);
            }
            check(
                fit.map(|f| f.linear.residual_squares),
                set.squares,
                TEN_FIGURES,
            );
        }
    }
}
