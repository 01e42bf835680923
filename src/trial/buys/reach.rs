//! How long and how far a charge lasts, and the way home.
//!
//! `hours = usable energy / power`, `distance = speed · usable energy / power`. The usable share is the
//! person's own statement: what a battery may give depends on its kind, age and cold, and nothing is
//! assumed. Power is taken to be what was drawn on the day at that setting, with and against the wind.

use geo::{Bearing as _, Distance as _, Geodesic, Point};

use super::{Ranged, sum_of_logs};
use crate::stats::interval::Estimate;
use crate::track::Position;
use crate::units::Bearing;

/// How long `usable_j` lasts at a power given by its logarithm, s.
pub fn endurance(usable_j: f64, power: Estimate, level: f64) -> Option<Ranged> {
    let log = sum_of_logs(&[(-1.0, power)], level)?;
    Some(Ranged::raised(log).map(|t| t * usable_j))
}

/// How far it takes the boat at a speed given by its logarithm, m.
pub fn reach(usable_j: f64, power: Estimate, speed: Estimate, level: f64) -> Option<Ranged> {
    let log = sum_of_logs(&[(1.0, speed), (-1.0, power)], level)?;
    Some(Ranged::raised(log).map(|metres| metres * usable_j))
}

/// Time over a distance, s.
pub fn time_over(distance_m: f64, speed: Estimate, level: f64) -> Option<Ranged> {
    let log = sum_of_logs(&[(-1.0, speed)], level)?;
    Some(Ranged::raised(log).map(|t| t * distance_m))
}

/// Energy over a distance, J.
pub fn energy_over(
    distance_m: f64,
    power: Estimate,
    speed: Estimate,
    level: f64,
) -> Option<Ranged> {
    let log = sum_of_logs(&[(1.0, power), (-1.0, speed)], level)?;
    Some(Ranged::raised(log).map(|e| e * distance_m))
}

/// Distance and course along the geodesic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Metres.
    pub distance_m: f64,
    /// Course at the start, true; `None` where the two places are one.
    pub course: Option<Bearing>,
}

/// The way from one place to another on the ellipsoid (Karney 2013, as in `geo`).
pub fn way(from: Position, to: Position) -> Way {
    let point = |p: Position| Point::new(p.longitude(), p.latitude());
    let distance_m = Geodesic.distance(point(from), point(to));
    Way {
        distance_m,
        course: (distance_m > 0.0)
            .then(|| Bearing::new(Geodesic.bearing(point(from), point(to))))
            .flatten(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// A short line of `GeodTest.dat` (C. F. F. Karney's test set for geodesics).
    #[test]
    fn the_way_is_the_geodesic() {
        let from = Position::new(36.800_966_049_655, 0.0).unwrap();
        let to = Position::new(36.802_889_529_289_61, 0.002_261_122_427_425_817).unwrap();
        let way = way(from, to);
        assert!((way.distance_m - 293.737_227_3).abs() < 1e-4);
        assert!((way.course.unwrap().degrees() - 43.389_649_034_063).abs() < 1e-4);
        assert_eq!(super::way(from, from).course, None);
    }

    /// 1024 Wh (100 Ah at 12.8 V, 80 %) at 256 W: 4 h, and at 1.5 m/s 21.6 km; a product of units only.
    #[test]
    fn a_charge_lasts_as_long_as_its_energy() {
        let usable = 1024.0 * 3600.0;
        let power = Estimate::new(256_f64.ln(), 0.01, 6.0, 0.95).unwrap();
        let speed = Estimate::new(1.5_f64.ln(), 0.01, 6.0, 0.95).unwrap();
        let hours = endurance(usable, power, 0.95).unwrap().value.unwrap() / 3600.0;
        assert!((hours - 4.0).abs() < 1e-9);
        let far = reach(usable, power, speed, 0.95).unwrap();
        assert!((far.value.unwrap() - 21_600.0).abs() < 1e-6);
        assert!(far.low.unwrap() < 21_600.0 && far.high.unwrap() > 21_600.0);
        let home = energy_over(21_600.0, power, speed, 0.95).unwrap();
        assert!((home.value.unwrap() - usable).abs() < 1.0);
    }
}
