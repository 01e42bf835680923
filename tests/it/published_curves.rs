//! Monotone curves, circles, harmonics, arcs.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::circle::{TimedPoint, drift_of_turns};

use thereback::stats::monotone::monotone_curve;

use crate::published_check::{CERTIFIED, check, check_within};

/// The radiochemical data of Fritsch & Carlson (1980), from memory, and an uneven set; values by `SciPy` 1.17
/// `PchipInterpolator`.
#[test]
fn monotone() {
    let x = [7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0];
    let y = [
        0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994,
    ];
    let curve = monotone_curve(&x, &y);
    for (at, want) in [
        (8.0, 2.767433863187248e-07),
        (8.14, 0.017697167375919493),
        (8.5, 0.1166325769392755),
        (9.0, 0.33753432684619816),
        (9.7, 0.8285693786523164),
        (11.0, 0.9860433625350502),
        (13.3, 0.9995157938892956),
        (19.0, 0.9999912279493809),
    ] {
        check(curve.as_ref().and_then(|c| c.at(at)), want, CERTIFIED);
    }
    let curve = monotone_curve(&[0.0, 1.0, 3.0, 4.0, 6.0], &[2.0, 1.0, 1.5, 4.0, 3.5]);
    for (at, want) in [
        (0.3, 1.57575),
        (0.9, 1.01525),
        (2.0, 1.125),
        (3.5, 2.8125),
        (4.5, 3.9921875),
        (5.9, 3.5713125),
    ] {
        check(curve.as_ref().and_then(|c| c.at(at)), want, CERTIFIED);
    }
}

/// Two and a half turns in a current of 0.3 m/s towards the east: IMO MSC/Circ.1053 (2002), 3.4.2.5, with our own track.
#[test]
fn drift_of_two_turns() {
    for (rate, period) in [(0.05, 40.0), (-0.03, 66.6667)] {
        let point = |i: i32| {
            let time = f64::from(i);
            let heading = rate * std::f64::consts::PI * time;
            let radius = 1.5 / (rate * std::f64::consts::PI);
            TimedPoint {
                time,
                east: 0.3 * time - radius * heading.cos(),
                north: radius * heading.sin(),
            }
        };
        let count = (2.5 * period) as i32;
        let track: Vec<TimedPoint> = (0..count).map(point).collect();
        let drift = drift_of_turns(&track);
        check(drift.map(|d| d.east), 0.300, 1e-3);
        check_within(drift.map(|d| d.north), 0.0, 3e-4);
        check(drift.map(|d| d.period), period, 1e-3);
        check_within(drift.map(|d| d.turns), 1.5, 0.15);
    }
}
