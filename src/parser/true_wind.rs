//! True wind from the wind felt on board and the boat's own motion.
//!
//! Source: Smith, Bourassa & Sharp (1999), *Journal of Atmospheric and Oceanic
//! Technology* 16, 939-952. True wind is over the ground, and directions are those it
//! blows from, degrees true. The course and the heading are not the same thing: the
//! vane is read from the bow, the motion is along the course.

use serde::Serialize;

use crate::units::{Bearing, Speed, Turn};

/// What is read on board at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observed {
    /// Direction made good over the ground.
    pub course: Bearing,
    /// Speed over the ground.
    pub speed: Speed,
    /// Where the bow points.
    pub heading: Bearing,
    /// Where the wind felt on board comes from, clockwise from the bow.
    pub apparent_off_bow: Bearing,
    /// The speed of the wind felt on board.
    pub apparent_speed: Speed,
}

/// The wind over the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TrueWind {
    /// Where it blows from; `None` in a calm.
    pub from: Option<Bearing>,
    /// How fast.
    pub speed: Speed,
}

/// Below this the wind felt on board is the boat's own motion, to rounding, m/s.
const CALM: f64 = 1e-9;

impl Observed {
    /// Where the wind felt on board comes from, degrees true.
    pub fn apparent_from(&self) -> Bearing {
        Turn::new(self.apparent_off_bow.degrees())
            .map_or(self.heading, |off| self.heading.turned(off))
    }

    /// The wind over the ground; `None` where a speed is negative or not finite.
    ///
    /// # Example: five knots ahead over the bow at five knots is a calm
    /// ```
    /// use thereback::{parser::true_wind::Observed, units::{Bearing, Speed}};
    /// let ahead = Bearing::new(0.0).unwrap();
    /// let five = Speed::metres_per_second(5.0);
    /// let observed = Observed {
    ///     course: ahead, speed: five, heading: ahead, apparent_off_bow: ahead, apparent_speed: five,
    /// };
    /// assert_eq!(observed.true_wind().unwrap().from, None);
    /// ```
    pub fn true_wind(&self) -> Option<TrueWind> {
        let own = self.speed.as_metres_per_second();
        let felt = self.apparent_speed.as_metres_per_second();
        let possible = |speed: f64| speed.is_finite() && speed >= 0.0;
        if !(possible(own) && possible(felt)) {
            return None;
        }
        let (felt_east, felt_north) = self.apparent_from().unit();
        let (own_east, own_north) = self.course.unit();
        // Vectors towards where the wind comes from: the boat's motion makes a wind from ahead.
        let east = felt * felt_east - own * own_east;
        let north = felt * felt_north - own * own_north;
        let speed = Some(east.hypot(north)).filter(|s| s.is_finite())?;
        Some(TrueWind {
            from: (speed >= CALM)
                .then(|| Bearing::of_vector(east, north))
                .flatten(),
            speed: Speed::metres_per_second(speed),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_speeds_have_no_wind() {
        let Some(north) = Bearing::new(0.0) else {
            return;
        };
        for (own, felt) in [(-1.0, 5.0), (1.0, f64::NAN), (f64::MAX, f64::MAX)] {
            let observed = Observed {
                course: north,
                speed: Speed::metres_per_second(own),
                heading: north,
                apparent_off_bow: north.reciprocal(),
                apparent_speed: Speed::metres_per_second(felt),
            };
            assert_eq!(observed.true_wind(), None, "{own} {felt}");
        }
    }
}
