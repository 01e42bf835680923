//! From the plane the boat moves on to the ellipsoid, to a fraction of a millimetre.

use crate::track::Position;

/// WGS84 semi-major axis, m (NIMA TR8350.2, 3rd ed., table 3.1).
const SEMI_MAJOR: f64 = 6_378_137.0;
/// WGS84 flattening (NIMA TR8350.2, 3rd ed., table 3.1).
const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// A plane of east and north metres around one place.
///
/// Distance and azimuth from that place are those of the geodesic (azimuthal equidistant), to
/// 0.1 mm at 10 km; distances elsewhere within 10 km of it stretch by less than 5e-7.
///
/// # References
/// The point of the ellipsoid above a point of the tangent plane is found in earth-centred
/// axes: with height zero the latitude has the closed form `tan φ = z / ((1 - e²) p)`
/// (Torge, Geodesy, 3rd ed., section 4.1.3; from memory).
#[derive(Debug, Clone)]
pub(super) struct Plane {
    origin: [f64; 3],
    east: [f64; 3],
    north: [f64; 3],
    up: [f64; 3],
    radius: f64,
    latitude: f64,
    longitude: f64,
}

fn squared_eccentricity() -> f64 {
    FLATTENING * (2.0 - FLATTENING)
}

impl Plane {
    /// A plane around a place given in degrees.
    pub(super) fn around(latitude_deg: f64, longitude_deg: f64) -> Self {
        let e2 = squared_eccentricity();
        let (sin_lat, cos_lat) = latitude_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = longitude_deg.to_radians().sin_cos();
        let w = (1.0 - e2 * sin_lat * sin_lat).sqrt();
        let prime_vertical = SEMI_MAJOR / w;
        let meridian = SEMI_MAJOR * (1.0 - e2) / (w * w * w);
        Self {
            origin: [
                prime_vertical * cos_lat * cos_lon,
                prime_vertical * cos_lat * sin_lon,
                prime_vertical * (1.0 - e2) * sin_lat,
            ],
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
            up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
            radius: (prime_vertical * meridian).sqrt(),
            latitude: latitude_deg,
            longitude: longitude_deg,
        }
    }

    /// The place of a point of the plane; the origin itself where the numbers are of no use.
    pub(super) fn position(&self, east: f64, north: f64) -> Option<Position> {
        let e2 = squared_eccentricity();
        let angle = east.hypot(north) / self.radius;
        // The geodesic of this length stands above a point a little nearer: sin x / x.
        let nearer = if angle > 0.0 {
            angle.sin() / angle
        } else {
            1.0
        };
        let (e, n) = (east * nearer, north * nearer);
        let flat: [f64; 3] =
            std::array::from_fn(|i| self.origin[i] + e * self.east[i] + n * self.north[i]);
        // How far down to the ellipsoid: the smaller root of a quadratic.
        let stretch = 1.0 / (1.0 - e2);
        let product =
            |a: &[f64; 3], b: &[f64; 3]| a[0] * b[0] + a[1] * b[1] + stretch * a[2] * b[2];
        let a = product(&self.up, &self.up);
        let b = product(&flat, &self.up);
        let c = product(&flat, &flat) - SEMI_MAJOR * SEMI_MAJOR;
        let down = c / (b + (b * b - a * c).max(0.0).sqrt());
        let point: [f64; 3] = std::array::from_fn(|i| flat[i] - down * self.up[i]);
        let p = point[0].hypot(point[1]);
        let latitude = (point[2] / (1.0 - e2)).atan2(p).to_degrees();
        let longitude = point[1].atan2(point[0]).to_degrees();
        Position::new(latitude, longitude).or_else(|| Position::new(self.latitude, self.longitude))
    }
}

#[cfg(test)]
mod tests {
    use super::super::physics::turn_between;
    use super::*;
    use geo::{Bearing, Distance, Geodesic, Point};

    #[test]
    fn distances_and_azimuths_from_the_origin_are_geodesic() {
        // Independent: Karney's geodesic (crate `geographiclib-rs` through `geo`).
        for (lat, lon) in [(61.6, 25.5), (56.05, -3.0), (0.1, 179.99), (-45.0, 10.0)] {
            let plane = Plane::around(lat, lon);
            let from = Point::new(lon, lat);
            for azimuth in [0.0_f64, 33.0, 90.0, 145.0, 200.0, 301.0] {
                let (s, c) = azimuth.to_radians().sin_cos();
                let place = plane.position(10_000.0 * s, 10_000.0 * c);
                let to = place.map(|p| Point::new(p.longitude(), p.latitude()));
                let distance = to.map(|to| Geodesic.distance(from, to));
                let bearing = to.map(|to| Geodesic.bearing(from, to));
                assert!(
                    distance.is_some_and(|d| (d - 10_000.0).abs() < 1e-3),
                    "{distance:?}"
                );
                assert!(
                    bearing.is_some_and(|b| turn_between(azimuth, b).abs() < 1e-6),
                    "{bearing:?}"
                );
            }
        }
    }
}
