//! The straight line, run at constant velocity, that fits a piece of path best.

use super::path::PathPoint;
use super::plane::PlanePoint;
use crate::units::Bearing;

/// Position as a linear function of time: `at(t) = middle + velocity (t - middle time)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Mean time of the points, seconds.
    pub mid_t: f64,
    /// Mean position.
    pub middle: PlanePoint,
    /// Velocity east, m/s.
    pub east_m_s: f64,
    /// Velocity north, m/s.
    pub north_m_s: f64,
}

/// Where a point lies as seen from a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// Metres ahead of where the motion would have it.
    pub ahead: f64,
    /// Metres to starboard of the line.
    pub abeam: f64,
}

impl Motion {
    /// Least-squares fit to points with `(t, position)`; `None` without two different times.
    pub fn fit(points: &[PathPoint]) -> Option<Self> {
        let n = points.len() as f64;
        let mut mid_t = 0.0;
        let mut middle = PlanePoint::default();
        for point in points {
            mid_t += point.t / n;
            middle.east += point.at.east / n;
            middle.north += point.at.north / n;
        }
        let (mut spread, mut east, mut north) = (0.0, 0.0, 0.0);
        for point in points {
            let t = point.t - mid_t;
            spread += t * t;
            east += t * (point.at.east - middle.east);
            north += t * (point.at.north - middle.north);
        }
        (spread > 0.0).then(|| Self {
            mid_t,
            middle,
            east_m_s: east / spread,
            north_m_s: north / spread,
        })
    }

    /// Speed over the ground, m/s.
    pub fn speed(&self) -> f64 {
        self.east_m_s.hypot(self.north_m_s)
    }

    /// Course made good; `None` at rest.
    pub fn course(&self) -> Option<Bearing> {
        Bearing::of_vector(self.east_m_s, self.north_m_s)
    }

    /// Where the motion is at time `t`.
    pub fn at(&self, t: f64) -> PlanePoint {
        PlanePoint {
            east: self.middle.east + self.east_m_s * (t - self.mid_t),
            north: self.middle.north + self.north_m_s * (t - self.mid_t),
        }
    }

    /// How far a point is from where the motion has it, ahead and abeam.
    pub fn offset(&self, point: PathPoint) -> Offset {
        let speed = self.speed();
        let (east, north) = if speed > 0.0 {
            (self.east_m_s / speed, self.north_m_s / speed)
        } else {
            (0.0, 1.0)
        };
        let there = self.at(point.t);
        let (de, dn) = (point.at.east - there.east, point.at.north - there.north);
        Offset {
            ahead: de * east + dn * north,
            abeam: de * north - dn * east,
        }
    }

    /// Root mean square distance abeam of the line, metres.
    pub fn cross_track_rms(&self, points: &[PathPoint]) -> f64 {
        if points.is_empty() {
            return 0.0;
        }
        let sum: f64 = points.iter().map(|p| self.offset(*p).abeam.powi(2)).sum();
        (sum / points.len() as f64).sqrt()
    }
}
