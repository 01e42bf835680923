//! Double runs as gauges of the wind: when they are refused.

use thereback::trial::gauge::{GaugeRules, GaugedRun, NotGauged, adjusted};
use thereback::units::Bearing;

/// Two configurations at one setting, four double runs each, in 2 m/s with these half differences, m/s.
fn runs(halves: [f64; 8]) -> Vec<GaugedRun> {
    let run = |(place, half): (usize, f64)| GaugedRun {
        configuration: place / 4,
        setting: 0,
        along: 2.0 + half + 0.002 * (place % 3) as f64,
        against: 2.0 - half,
        se: Some(0.005),
        axis: Bearing::new(40.0).unwrap(),
        off_line_deg: 0.0,
    };
    halves.into_iter().enumerate().map(run).collect()
}

fn outcome(halves: [f64; 8]) -> Result<(), NotGauged> {
    adjusted(&runs(halves), 0.95, &GaugeRules::default()).map(|_| ())
}

#[test]
fn a_drift_that_turned_is_no_wind_even_where_its_mean_vanishes() {
    let turned = [0.15, 0.12, 0.09, 0.05, -0.05, -0.09, -0.12, -0.15];
    assert_eq!(outcome(turned), Err(NotGauged::TurnedRound));
    let late = [0.20, 0.18, 0.15, 0.12, 0.08, 0.05, -0.03, -0.06];
    assert_eq!(outcome(late), Err(NotGauged::TurnedRound));
}

#[test]
fn a_drift_that_keeps_its_side_is_a_wind_and_hardly_any_is_none() {
    let growing = [0.10, 0.11, 0.12, 0.13, 0.15, 0.16, 0.17, 0.18];
    assert_eq!(outcome(growing), Ok(()));
    let calm = [
        0.0004, -0.0005, 0.0002, -0.0003, 0.0005, -0.0002, 0.0001, 0.0,
    ];
    assert_eq!(outcome(calm), Err(NotGauged::NoSignal));
}
