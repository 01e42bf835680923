//! A double run: two legs there and back, and what they say of the boat and of the drift.

use super::leg::Leg;
use super::trial::{Pair, Version};
use crate::units::Bearing;

/// Two legs there and back in the same configuration and setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Indices of its legs, in order of time.
    pub legs: [usize; 2],
    /// Index of its line.
    pub line: usize,
    /// Direction of the axis, in `[0, 180)` degrees: that of the boat through the water.
    pub axis: Bearing,
    /// Speed through the water, m/s: half of the vector by which the two velocities differ.
    pub speed: f64,
    /// Drift along the axis, m/s.
    pub drift_along: f64,
    /// Drift to starboard of the axis, m/s.
    pub drift_across: f64,
    /// Standard error of speed and drift, m/s, from the two legs.
    pub se: Option<f64>,
    /// Whether the first leg went along the axis rather than against it.
    pub first_along: bool,
    /// When the first leg begins, s.
    pub start: f64,
    /// When the second leg ends, s.
    pub end: f64,
}

impl Run {
    /// The double run of a pair of versions, which are among the legs.
    pub(super) fn of(pair: &Pair, versions: &[Version], legs: &[Leg]) -> Option<Self> {
        let place = |index: usize| {
            let leg = &versions.get(index)?.leg;
            legs.iter()
                .position(|l| l.track == leg.track && l.start.total_cmp(&leg.start).is_eq())
        };
        let [a, b] = pair.legs.map(place);
        let pair_legs = [a?, b?];
        let heading = Bearing::of_vector(pair.way[0], pair.way[1])?;
        let first_along = heading.degrees() < 180.0;
        let axis = if first_along {
            heading
        } else {
            heading.reciprocal()
        };
        let (east, north) = axis.unit();
        let [a, b] = pair_legs.map(|i| legs.get(i)?.measured.as_ref()?.se);
        Some(Self {
            legs: pair_legs,
            line: pair.line,
            axis,
            speed: pair.speed(),
            drift_along: pair.drift[0] * east + pair.drift[1] * north,
            drift_across: pair.drift[0] * north - pair.drift[1] * east,
            se: a.zip(b).map(|(a, b)| a.hypot(b) / 2.0),
            first_along,
            start: pair.start,
            end: pair.end,
        })
    }

    /// Middle in time, s.
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.start, self.end)
    }

    /// What was made good along the axis, m/s: speed through the water and drift.
    pub fn along(&self) -> f64 {
        self.speed + self.drift_along
    }

    /// What was made good against the axis, m/s.
    pub fn against(&self) -> f64 {
        self.speed - self.drift_along
    }

    /// Root mean square of the two: exact for a steady force rather than a steady current.
    pub fn root_mean_square(&self) -> f64 {
        self.speed.hypot(self.drift_along)
    }

    /// Along and against the axis in the order in which they were run, m/s.
    pub fn speeds_in_order(&self) -> [f64; 2] {
        if self.first_along {
            [self.along(), self.against()]
        } else {
            [self.against(), self.along()]
        }
    }

    /// Drift, m/s east and north.
    pub fn drift(&self) -> [f64; 2] {
        let (east, north) = self.axis.unit();
        [
            self.drift_along * east + self.drift_across * north,
            self.drift_along * north - self.drift_across * east,
        ]
    }
}
