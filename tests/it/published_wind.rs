//! Beaufort's scale and the true wind.
#![expect(
    clippy::unreadable_literal,
    reason = "published values stand digit for digit as printed"
)]

use thereback::day::beaufort::Force;
use thereback::parser::true_wind::{Observed, TrueWind};
use thereback::units::{Bearing, Speed, SpeedUnit};

use crate::published_check::{
    CERTIFIED, FOUR_FIGURES, PLOT_DEGREES, PLOT_KNOTS, ROUNDING, check, check_within,
};

/// Each force's first and last speed in m/s and in whole knots: WMO table, as printed
/// by the U.S. Office of Naval Research, *Ocean in Motion*.
const FORCES: [(u8, f64, f64, u16, u16); 13] = [
    (0, 0.0, 0.2, 0, 0),
    (1, 0.3, 1.5, 1, 3),
    (2, 1.6, 3.3, 4, 6),
    (3, 3.4, 5.4, 7, 10),
    (4, 5.5, 7.9, 11, 16),
    (5, 8.0, 10.7, 17, 21),
    (6, 10.8, 13.8, 22, 27),
    (7, 13.9, 17.1, 28, 33),
    (8, 17.2, 20.7, 34, 40),
    (9, 20.8, 24.4, 41, 47),
    (10, 24.5, 28.4, 48, 55),
    (11, 28.5, 32.6, 56, 63),
    (12, 32.7, 99.0, 64, 199),
];

fn force(value: f64, unit: SpeedUnit) -> Option<u8> {
    Force::of(Speed::new(value, unit)).map(Force::number)
}

#[test]
fn beaufort_edges() {
    for (number, first, last, first_knots, last_knots) in FORCES {
        for speed in [first, last] {
            assert_eq!(
                force(speed, SpeedUnit::MetresPerSecond),
                Some(number),
                "{speed} m/s"
            );
        }
        for knots in [first_knots, last_knots] {
            // The two columns of the table disagree here: 16 kn is 8.23 m/s, 21 kn 10.80 m/s.
            let expected = number + u8::from(matches!(knots, 16 | 21));
            assert_eq!(
                force(f64::from(knots), SpeedUnit::Knots),
                Some(expected),
                "{knots} kn"
            );
        }
    }
}

#[test]
fn beaufort_formula() {
    for (number, first, ..) in FORCES.into_iter().skip(1) {
        let edge = 0.836 * (f64::from(number) - 0.5).powf(1.5);
        check_within(edge, first, 0.11);
    }
}

fn bearing(degrees: f64) -> Bearing {
    Bearing::new(degrees).unwrap_or_else(|| unreachable!("table angles are finite"))
}

/// All directions in degrees, all speeds in one unit.
fn observe(course: f64, speed: f64, vane: f64, heading: f64, felt: f64) -> Observed {
    Observed {
        course: bearing(course),
        speed: Speed::metres_per_second(speed),
        heading: bearing(heading),
        apparent_off_bow: bearing(vane),
        apparent_speed: Speed::metres_per_second(felt),
    }
}

fn from(wind: Option<TrueWind>) -> Option<f64> {
    wind?.from.map(Bearing::degrees)
}

fn speed(wind: Option<TrueWind>) -> Option<f64> {
    wind.map(|w| w.speed.as_metres_per_second())
}

/// The test table of the WOCE true-wind code (Smith, Bourassa & Remigio 1996-1998; method of Smith,
/// Bourassa & Sharp 1999): course, speed, vane from the bow, heading, speed felt;
/// true direction (`None` in a calm), true speed, apparent direction.
/// North is 360 there and 0 here.
type WoceRow = ([f64; 5], Option<f64>, f64, f64);

const WOCE: [WoceRow; 10] = [
    ([0.0, 0.0, 90.0, 0.0, 5.0], Some(90.0), 5.0, 90.0),
    ([0.0, 0.0, 90.0, 90.0, 5.0], Some(180.0), 5.0, 180.0),
    ([0.0, 5.0, 0.0, 0.0, 5.0], None, 0.0, 0.0),
    ([0.0, 5.0, 0.0, 0.0, 0.0], Some(180.0), 5.0, 0.0),
    ([180.0, 5.0, 180.0, 180.0, 5.0], Some(0.0), 10.0, 0.0),
    (
        [90.0, 5.0, 90.0, 90.0, 5.0],
        Some(225.0),
        7.071067811865475,
        180.0,
    ),
    (
        [90.0, 5.0, 135.0, 45.0, 5.0],
        Some(225.0),
        7.071067811865475,
        180.0,
    ),
    (
        [225.0, 5.0, 270.0, 225.0, 5.0],
        Some(90.0),
        7.071067811865475,
        135.0,
    ),
    (
        [270.0, 3.0, 90.0, 270.0, 4.0],
        Some(36.86989764584405),
        5.0,
        0.0,
    ),
    ([0.0, 0.0, 0.0, 0.0, 0.0], None, 0.0, 0.0),
];

#[test]
fn woce_table() {
    for ([course, own, vane, heading, felt], direction, true_speed, apparent) in WOCE {
        let observed = observe(course, own, vane, heading, felt);
        let wind = observed.true_wind();
        check(speed(wind), true_speed, CERTIFIED);
        let got = wind.and_then(|w| w.from).zip(direction);
        assert_eq!(from(wind).is_some(), direction.is_some());
        check_within(
            got.map_or(0.0, |(got, want)| got.apart(bearing(want))),
            0.0,
            CERTIFIED,
        );
        check_within(
            observed.apparent_from().apart(bearing(apparent)),
            0.0,
            ROUNDING,
        );
    }
}

/// NGA Pub. 1310, *Radar Navigation and Maneuvering Board Manual*: relative wind 30 kn from 040
/// relative, 280 true; answer 315, 20 kn, read from a plot. Own ship 240, 18 kn (from memory).
#[test]
fn maneuvering_board() {
    let wind = observe(240.0, 18.0, 40.0, 240.0, 30.0).true_wind();
    check_within(from(wind), 315.0, PLOT_DEGREES);
    check_within(speed(wind), 20.0, PLOT_KNOTS);
}

/// U.S. Coast Guard deck examination: course 180 at 22 kn, apparent wind 70° on the port bow at 20 kn;
/// 51 true at 24.0 kn. Exact figures recomputed.
#[test]
fn deck_examination() {
    let wind = observe(180.0, 22.0, -70.0, 180.0, 20.0).true_wind();
    check_within(from(wind), 51.0, PLOT_DEGREES);
    check_within(speed(wind), 24.0, PLOT_KNOTS);
    check(from(wind), 51.11, FOUR_FIGURES);
    check(speed(wind), 24.146, FOUR_FIGURES);
}

/// Half an equilateral triangle: 5 kn ahead, 10 kn felt at 60° to starboard, √75 kn abeam.
#[test]
fn abeam() {
    let wind = observe(0.0, 5.0, 60.0, 0.0, 10.0).true_wind();
    check(from(wind), 90.0, CERTIFIED);
    check(speed(wind), 75_f64.sqrt(), CERTIFIED);
}
