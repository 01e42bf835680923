//! A local plane of metres east and north, tangent to the WGS84 ellipsoid.
//!
//! The plane is the east-north plane of the standard geodetic transformation
//! (ellipsoid to earth-centred coordinates, then a rotation into east, north,
//! up at the origin; e.g. EPSG Guidance Note 7-2, methods 9602 and 9837). Being
//! a projection of a chord, it shortens lengths by about `d² / 2R²` at a
//! distance `d` from the origin: 3 parts in ten million at 5 km, one in ten
//! thousand at 90 km. It has no seam at the antimeridian and none at the poles.

use serde::Serialize;

use crate::track::Position;
use crate::units::{Bearing, Turn};

/// Semi-major axis of WGS84, metres (NIMA TR8350.2).
const EQUATORIAL_RADIUS_M: f64 = 6_378_137.0;
/// Flattening of WGS84 (NIMA TR8350.2).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// First eccentricity squared.
const ECCENTRICITY_SQUARED: f64 = FLATTENING * (2.0 - FLATTENING);

/// Within this a plane shortens lengths by less than one part in 400,000, m; so far reaches one water.
pub const PLANE_REACH_M: f64 = 14_000.0;

/// A plane tangent to the ellipsoid at its origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    origin: Position,
    centre: [f64; 3],
    sin_lat: f64,
    cos_lat: f64,
    sin_lon: f64,
    cos_lon: f64,
}

/// A point on a [`Plane`], metres from its origin.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct PlanePoint {
    /// Metres east.
    pub east: f64,
    /// Metres north.
    pub north: f64,
}

impl PlanePoint {
    /// Straight distance to another point, metres.
    pub fn distance(self, other: Self) -> f64 {
        (other.east - self.east).hypot(other.north - self.north)
    }
}

impl Plane {
    /// The plane that touches the earth at `origin`.
    pub fn at(origin: Position) -> Self {
        let (sin_lat, cos_lat) = origin.latitude().to_radians().sin_cos();
        let (sin_lon, cos_lon) = origin.longitude().to_radians().sin_cos();
        Self {
            origin,
            centre: earth_centred(sin_lat, cos_lat, sin_lon, cos_lon),
            sin_lat,
            cos_lat,
            sin_lon,
            cos_lon,
        }
    }

    /// Straight distance between the points where two planes touch, m.
    pub fn apart(&self, other: &Self) -> f64 {
        let squares = self.centre.iter().zip(&other.centre);
        squares.map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    }

    /// Where the plane touches.
    pub fn origin(&self) -> Position {
        self.origin
    }

    /// The point of the plane below or above a position.
    pub fn project(&self, position: Position) -> PlanePoint {
        let (sin_lat, cos_lat) = position.latitude().to_radians().sin_cos();
        let (sin_lon, cos_lon) = position.longitude().to_radians().sin_cos();
        let at = earth_centred(sin_lat, cos_lat, sin_lon, cos_lon);
        let [x, y, z] = [
            at[0] - self.centre[0],
            at[1] - self.centre[1],
            at[2] - self.centre[2],
        ];
        PlanePoint {
            east: -self.sin_lon * x + self.cos_lon * y,
            north: -self.sin_lat * (self.cos_lon * x + self.sin_lon * y) + self.cos_lat * z,
        }
    }

    /// The position on the ellipsoid above or below a point of the plane.
    ///
    /// `None` for points farther out than the earth is wide. Good to a micrometre
    /// within 100 km (fixed-point iteration on the height below the plane).
    pub fn position(&self, point: PlanePoint) -> Option<Position> {
        let reach = point.east.hypot(point.north);
        if !reach.is_finite() || reach >= EQUATORIAL_RADIUS_M / 2.0 {
            return None;
        }
        let minor = 1.0 - ECCENTRICITY_SQUARED;
        let mut up = 0.0;
        for _ in 0..MAX_ITERATIONS {
            let [x, y, z] = self.unproject(point, up);
            // How far outside the ellipsoid the point lies, to first order along the plane's normal.
            let radial = (x * x + y * y + z * z / minor).sqrt();
            let step = EQUATORIAL_RADIUS_M - radial;
            up += step;
            if step.abs() < 1e-7 {
                break;
            }
        }
        let [x, y, z] = self.unproject(point, up);
        let latitude = z.atan2(minor * x.hypot(y)).to_degrees();
        let longitude = y.atan2(x).to_degrees();
        Position::new(latitude, longitude)
    }

    /// A direction on the plane as a direction on the earth, at a point of the plane.
    ///
    /// Meridians are not parallel: a quarter degree of longitude to the east the plane's
    /// north is off true north by about `0.25 sin(latitude)` degrees. Within a degree of
    /// a pole, where that formula fails, the direction is returned as it is.
    pub fn true_course(&self, course: Bearing, at: PlanePoint) -> Bearing {
        let Some(place) = self.position(at) else {
            return course;
        };
        if place.latitude().abs() > 89.0 {
            return course;
        }
        let east = place.longitude() - self.origin.longitude();
        let mean = f64::midpoint(place.latitude(), self.origin.latitude());
        Turn::new(east)
            .and_then(|east| Turn::new(east.degrees() * mean.to_radians().sin()))
            .map_or(course, |convergence| course.turned(convergence))
    }

    fn unproject(&self, point: PlanePoint, up: f64) -> [f64; 3] {
        let PlanePoint { east, north } = point;
        let out = self.cos_lat * up - self.sin_lat * north;
        [
            self.centre[0] - self.sin_lon * east + self.cos_lon * out,
            self.centre[1] + self.cos_lon * east + self.sin_lon * out,
            self.centre[2] + self.cos_lat * north + self.sin_lat * up,
        ]
    }
}

/// Enough for any point within half an earth radius; five suffice within 100 km.
const MAX_ITERATIONS: usize = 60;

fn earth_centred(sin_lat: f64, cos_lat: f64, sin_lon: f64, cos_lon: f64) -> [f64; 3] {
    let normal = EQUATORIAL_RADIUS_M / (1.0 - ECCENTRICITY_SQUARED * sin_lat * sin_lat).sqrt();
    [
        normal * cos_lat * cos_lon,
        normal * cos_lat * sin_lon,
        normal * (1.0 - ECCENTRICITY_SQUARED) * sin_lat,
    ]
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may fail loudly")]
mod tests {
    use geo::{Bearing as _, Destination, Distance, Geodesic, Point};

    use super::*;

    fn position(lat: f64, lon: f64) -> Position {
        Position::new(lat, lon).unwrap()
    }

    #[test]
    fn agrees_with_the_geodesic_on_distances_and_courses() {
        for (lat, lon) in [(59.3, 18.1), (-37.8, 144.9), (0.0, 0.0), (71.0, -179.999)] {
            let plane = Plane::at(position(lat, lon));
            for bearing in [0.0, 35.0, 90.0, 200.0, 305.0] {
                for metres in [5.0, 300.0, 5000.0] {
                    let from = Geodesic.destination(Point::new(lon, lat), 77.0, 4000.0);
                    let to = Geodesic.destination(from, bearing, metres);
                    let [a, b] = [from, to].map(|p| plane.project(position(p.y(), p.x())));
                    let geodesic = Geodesic.distance(from, to);
                    assert!((a.distance(b) / geodesic - 1.0).abs() < 2e-6);
                    let grid = Bearing::of_vector(b.east - a.east, b.north - a.north).unwrap();
                    let middle = PlanePoint {
                        east: f64::midpoint(a.east, b.east),
                        north: f64::midpoint(a.north, b.north),
                    };
                    let true_course = plane.true_course(grid, middle);
                    let midpoint = Geodesic.destination(from, bearing, metres / 2.0);
                    let expected = Bearing::new(Geodesic.bearing(midpoint, to)).unwrap();
                    assert!(
                        true_course.apart(expected) < 0.01,
                        "{lat} {bearing} {metres}"
                    );
                }
            }
        }
    }

    #[test]
    fn there_and_back_is_the_same_place_this_side_of_the_horizon() {
        let plane = Plane::at(position(60.0, 179.9));
        for (east, north) in [(0.0, 0.0), (30_000.0, -20_000.0), (-90_000.0, 40_000.0)] {
            let point = PlanePoint { east, north };
            let again = plane.project(plane.position(point).unwrap());
            assert!(again.distance(point) < 1e-6, "{again:?}");
        }
        for east in [9e6, f64::NAN] {
            assert_eq!(plane.position(PlanePoint { east, north: 0.0 }), None);
        }
    }
}
