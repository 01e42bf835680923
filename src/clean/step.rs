//! The step from one fix to another: how long, how far, how fast.

use crate::track::{Fix, Position};
use crate::units::Turn;

/// Mean radius of the Earth, m (IUGG mean radius R1; Moritz, Journal of Geodesy 74, 2000).
///
/// On a sphere distances err by up to 0.6 %; limits on speed here are far coarser.
const MEAN_RADIUS_M: f64 = 6_371_008.8;

/// Seconds from `a` to `b`; negative where `b` is the earlier.
pub(super) fn seconds(a: &Fix, b: &Fix) -> f64 {
    b.time.duration_since(a.time).as_secs_f64()
}

/// Metres from `a` to `b`, across the date line the short way.
///
/// On the plane that touches at the middle latitude: fit to tell metres from
/// kilometres, for anything finer see [`geometry`](crate::geometry).
pub(super) fn metres(a: Position, b: Position) -> f64 {
    let east = Turn::new(b.longitude() - a.longitude()).map_or(0.0, Turn::degrees);
    let north = b.latitude() - a.latitude();
    let middle = f64::midpoint(a.latitude(), b.latitude()).to_radians();
    (east * middle.cos()).hypot(north).to_radians() * MEAN_RADIUS_M
}

/// Speed from `a` to `b`, m/s; `None` where no time passes.
pub(super) fn speed_m_s(a: &Fix, b: &Fix) -> Option<f64> {
    let seconds = seconds(a, b);
    (seconds > 0.0).then(|| metres(a.position, b.position) / seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_of_latitude_is_a_nautical_mile_within_the_spheres_error() {
        for (a, b) in [
            ((57.0, 11.0), (57.0 + 1.0 / 60.0, 11.0)),
            ((0.0, 179.0 + 59.5 / 60.0), (0.0, -179.0 - 59.5 / 60.0)),
            ((60.0, 11.0), (60.0, 11.0 + 2.0 / 60.0)),
        ] {
            let at = |(lat, lon): (f64, f64)| Position::new(lat, lon);
            let metres = at(a)
                .zip(at(b))
                .map(|(a, b)| metres(a, b))
                .unwrap_or_default();
            assert!((metres / 1852.0 - 1.0).abs() < 0.006, "{metres}");
        }
    }
}
