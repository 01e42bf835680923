//! The Beaufort scale: wind force from wind speed.
//!
//! Source: WMO Manual on Codes (No. 306), code table 1100: force, its name, and the wind speed
//! at 10 m height; the speeds from a published copy, the names and the table's number from memory.

use serde::Serialize;

use crate::units::Speed;

/// The lowest speed of each force from 1 to 12, m/s (WMO code table 1100).
///
/// The table is printed to a tenth: force 1 is `0.3-1.5`, force 2 `1.6-3.3`. A speed in the gap
/// belongs to the force below. The table's knots are a second, whole-numbered
/// reading of the same scale and part from its metres per second at two places: 16 kn
/// (8.23 m/s) stands there under force 4 and 21 kn (10.80 m/s) under force 5; here
/// they are 5 and 6.
pub const LOWEST_SPEEDS: [f64; 12] = [
    0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7,
];

/// Each force's name (WMO code table 1100).
const NAMES: [&str; 13] = [
    "calm",
    "light air",
    "light breeze",
    "gentle breeze",
    "moderate breeze",
    "fresh breeze",
    "strong breeze",
    "near gale",
    "gale",
    "strong gale",
    "storm",
    "violent storm",
    "hurricane",
];

/// A force on the Beaufort scale, 0 to 12.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(transparent)]
pub struct Force(u8);

impl Force {
    /// The force of a wind speed; `None` for a negative one and for NaN.
    ///
    /// # Example
    /// ```
    /// use thereback::{day::beaufort::Force, units::{Speed, SpeedUnit}};
    /// let force = Force::of(Speed::new(11.0, SpeedUnit::Knots)).unwrap();
    /// assert_eq!((force.number(), force.name()), (4, "moderate breeze"));
    /// ```
    pub fn of(speed: Speed) -> Option<Self> {
        let speed = speed.as_metres_per_second();
        let reached = LOWEST_SPEEDS.iter().filter(|lowest| speed >= **lowest);
        (speed >= 0.0).then(|| Self(reached.count() as u8))
    }

    /// The number, 0 to 12.
    pub fn number(self) -> u8 {
        self.0
    }

    /// The name, lower case: `gentle breeze`.
    pub fn name(self) -> &'static str {
        NAMES.get(usize::from(self.0)).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_speeds_have_no_force() {
        for speed in [-0.1, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(Force::of(Speed::metres_per_second(speed)), None);
        }
    }

    #[test]
    fn every_force_has_a_name() {
        for speed in [0.0].into_iter().chain(LOWEST_SPEEDS).chain([1e9]) {
            let force = Force::of(Speed::metres_per_second(speed));
            assert!(force.is_some_and(|f| !f.name().is_empty()), "{speed}");
        }
    }
}
