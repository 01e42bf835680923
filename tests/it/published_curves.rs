//! Monotone curves, circles, harmonics, arcs.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64Mcg;

use thereback::stats::circle::{TimedPoint, circle, drift_of_turns};
use thereback::stats::circular::resultant;
use thereback::stats::circular_interval::{mean_arc, student_arc};
use thereback::stats::harmonic::harmonic;
use thereback::stats::monotone::monotone_curve;
use thereback::units::Bearing;

use crate::published_check::{CERTIFIED, FIVE_FIGURES, SEVEN_FIGURES, check, check_within};

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

/// Six points of Gander, Golub & Strebel (1994), *BIT* 34, 558-578 (centre 4.7398, 2.9835, radius 4.7142 there, from
/// memory); further digits by `SciPy` 1.17 `least_squares`.
#[test]
fn circle_of_six_points() {
    let found = circle(&[
        (1.0, 7.0),
        (2.0, 6.0),
        (5.0, 8.0),
        (7.0, 7.0),
        (9.0, 5.0),
        (3.0, 7.0),
    ]);
    let found = found.as_ref();
    check(found.map(|c| c.east), 4.7398, FIVE_FIGURES);
    check(found.map(|c| c.east), 4.73978242, SEVEN_FIGURES);
    check(found.map(|c| c.north), 2.98353273, SEVEN_FIGURES);
    check(found.map(|c| c.radius), 4.71422602, SEVEN_FIGURES);
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
        // The velocities over the ground lie on a circle about the drift.
        let velocities: Vec<(f64, f64)> = track
            .windows(2)
            .take(count as usize / 3)
            .map(|w| (w[1].east - w[0].east, w[1].north - w[0].north))
            .collect();
        let hodograph = circle(&velocities);
        check(hodograph.as_ref().map(|c| c.east), 0.3, 1e-6);
        check(hodograph.as_ref().map(|c| c.radius), 1.5, 2e-3);
    }
}

/// Headings in a current and noise: the arcs of the phase hold, also where the phase is hardly known. Our own simulated days,
/// no published source.
#[test]
fn phase_arcs_hold() {
    let mut random = Pcg64Mcg::seed_from_u64(5);
    let headings: Vec<Bearing> = (0..8)
        .filter_map(|i| Bearing::new(f64::from(i) * 45.0 + 7.0))
        .collect();
    let truth = Bearing::new(350.0).unwrap();
    for amplitude in [0.05, 0.1, 0.4] {
        let held = (0..2000).filter(|_| {
            let y: Vec<f64> = headings
                .iter()
                .map(|h| {
                    let error: f64 = random.sample(StandardNormal);
                    2.0 + amplitude * truth.turn_to(*h).degrees().to_radians().cos() + 0.1 * error
                })
                .collect();
            // No arc means that every direction is allowed.
            let arc = harmonic(&headings, &y).and_then(|h| h.phase_arc(0.95));
            arc.is_none_or(|a| a.contains(truth))
        });
        let share = held.count() as f64 / 2000.0;
        assert!((0.94..=0.98).contains(&share), "{amplitude} {share}");
    }
}

/// Trees of Zar (1999), *Biostatistical Analysis*, 26.7: 99° ± 31°, 68° to 130°, from memory.
#[test]
fn arc_of_the_trees() {
    let trees: Vec<Bearing> = [45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0]
        .into_iter()
        .filter_map(Bearing::new)
        .collect();
    let arc = resultant(&trees).and_then(|r| mean_arc(&r, 8, 0.95));
    check_within(arc.map(|a| a.before), 31.0, 0.5);
    check_within(arc.map(|a| a.start().degrees()), 68.0, 0.5);
    check_within(arc.map(|a| a.end().degrees()), 130.0, 0.5);
}

/// Directions scattered about a true one (wrapped normal): how often the arcs hold. Our own simulated sets, no published source.
#[test]
fn arcs_of_means_hold() {
    let mut random = Pcg64Mcg::seed_from_u64(3);
    let truth = Bearing::new(2.0).unwrap();
    for (count, sd, small, large) in [
        (4, 15.0, 0.89, 0.95),
        (8, 15.0, 0.925, 0.95),
        (8, 40.0, 0.95, 0.96),
        (30, 40.0, 0.96, 0.955),
    ] {
        let (mut by_small, mut by_large) = (0, 0);
        for _ in 0..2000 {
            let set: Vec<Bearing> = (0..count)
                .filter_map(|_| {
                    let error: f64 = random.sample(StandardNormal);
                    Bearing::new(2.0 + sd * error)
                })
                .collect();
            let found = resultant(&set).unwrap();
            let holds = |a: thereback::stats::circular_interval::Arc| a.contains(truth);
            by_small += u32::from(mean_arc(&found, count, 0.95).is_none_or(holds));
            by_large += u32::from(student_arc(&found, count, 0.95).is_none_or(holds));
        }
        check_within(f64::from(by_small) / 2000.0, small, 0.015);
        check_within(f64::from(by_large) / 2000.0, large, 0.015);
    }
}
