//! Conversion factors: NIST Special Publication 811 (2008), Appendix B.8.

use thereback::units::{Distance, Speed, SpeedUnit};

use crate::published_check::{ROUNDING, SEVEN_FIGURES, TEN_FIGURES, check};

fn convert(value: f64, from: SpeedUnit, to: SpeedUnit) -> f64 {
    Speed::new(value, from).in_unit(to)
}

#[test]
fn exact_factors() {
    check(
        SpeedUnit::Knots.metres_per_second(),
        1852.0 / 3600.0,
        ROUNDING,
    );
    check(
        SpeedUnit::MilesPerHour.metres_per_second(),
        0.44704,
        ROUNDING,
    );
    check(
        SpeedUnit::KilometresPerHour.metres_per_second(),
        1.0 / 3.6,
        ROUNDING,
    );
    check(SpeedUnit::Knots.long_distance().1, 1852.0, ROUNDING);
    check(
        SpeedUnit::MilesPerHour.long_distance().1,
        1609.344,
        ROUNDING,
    );
    check(SpeedUnit::MilesPerHour.short_distance().1, 0.3048, ROUNDING);
    check(Distance::metres(926.0).as_nautical_miles(), 0.5, ROUNDING);
}

#[test]
fn printed_factors() {
    use SpeedUnit::{KilometresPerHour, Knots, MetresPerSecond, MilesPerHour};
    check(
        convert(1.0, Knots, MetresPerSecond),
        5.144_444e-1,
        SEVEN_FIGURES,
    );
    check(
        convert(1.0, Knots, MilesPerHour),
        1.150_779_448,
        TEN_FIGURES,
    );
    check(convert(1.0, Knots, KilometresPerHour), 1.852, ROUNDING);
    check(
        convert(1.0, MetresPerSecond, Knots),
        1.943_844_492,
        TEN_FIGURES,
    );
    // `022.4` kn, from a published NMEA 0183 RMC sentence; recomputed.
    check(
        convert(22.4, Knots, MetresPerSecond),
        11.523_555_556,
        TEN_FIGURES,
    );
}

/// A mile at 12 kn takes 5 minutes and at 6 kn 10 minutes: elementary.
#[test]
fn a_measured_mile() {
    for (knots, seconds) in [(12.0, 300.0), (6.0, 600.0)] {
        let speed = Speed::new(knots, SpeedUnit::Knots).as_metres_per_second();
        check(1852.0 / speed, seconds, ROUNDING);
    }
}
