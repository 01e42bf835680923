//! The steady balance of thrust, hull drag and wind drag of a boat run there and back.
//!
//! `thrust = hull u^2 + air |a| a_x`: hull drag grows with the square of the speed, wind drag
//! with that of the apparent wind `a`, whose part along the boat is `a_x = u + w cos(off)`
//! for a true wind `w` that blows `off` the bow. Divided by the hull's drag factor, two
//! numbers remain: the drive, that is the speed the thrust alone would give without any air,
//! and the windage, the ratio of the two drag factors, which belongs to the boat. Given the
//! windage, the two speeds of a double run in still water tell both the drive and the wind.
//! The drag laws are the usual ones of naval architecture (quadratic resistance; common
//! practice, no source); lift, leeway and waves are left out.

use crate::stats::roots::zero_between;

/// Winds and speeds are found to this share of themselves.
const TOLERANCE: f64 = 1e-13;

/// A drive is found to this share of itself, which is far below the error of any speed.
const DRIVE_TOLERANCE: f64 = 1e-9;

/// Steps after which a drive is given up: where the boat makes way, a dozen will do.
const MOST_STEPS: usize = 60;

/// Strongest wind considered, m/s: no one runs a trial in more (Beaufort 9).
const STRONGEST_WIND: f64 = 24.0;

/// Speeds of a double run in order of size, and what they were run in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The slower of the two, m/s; positive.
    pub slower: f64,
    /// The faster, m/s.
    pub faster: f64,
}

/// What the balance makes of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Speed that the thrust would give without any air, m/s.
    pub drive: f64,
    /// The true wind that explains the two speeds, m/s.
    pub wind: f64,
}

/// A boat's windage, and how the wind stands to its line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Windage {
    /// Drag factor of the air over that of the hull, from 0 to well below 1: the air is 800 times
    /// thinner, but a boat's hull is much finer than what stands above it.
    pub ratio: f64,
    /// Angle of the true wind off the line, degrees, `[0, 90]`; 0 where it is not known.
    pub off_line_deg: f64,
}

impl Windage {
    /// Drag of the air at boat speed `speed` with the wind against (`towards = 1`) or behind (-1), as
    /// a part of the squared drive.
    fn air(self, speed: f64, wind: f64, towards: f64) -> f64 {
        let (sin, cos) = self.off_line_deg.to_radians().sin_cos();
        let ahead = speed + towards * wind * cos;
        self.ratio * ahead * ahead.hypot(wind * sin)
    }

    /// The drive and wind behind the two speeds; `None` where no wind up to a strong gale explains them.
    pub fn solve(self, pair: Pair) -> Option<Balance> {
        let against = |wind| pair.slower.powi(2) + self.air(pair.slower, wind, 1.0);
        let behind = |wind| pair.faster.powi(2) + self.air(pair.faster, wind, -1.0);
        // More wind always holds the one back more and helps the other more.
        let excess = |wind: f64| against(wind) - behind(wind);
        let wind = zero_between(|wind| Some(excess(wind)), 0.0, STRONGEST_WIND, TOLERANCE)?;
        let drive = against(wind);
        (drive > 0.0).then(|| Balance {
            drive: drive.sqrt(),
            wind,
        })
    }

    /// Mean of the two speeds that a drive gives in a wind, m/s.
    pub fn mean_speed(self, drive: f64, wind: f64) -> Option<f64> {
        Some(f64::midpoint(
            self.speed(drive, wind, 1.0)?,
            self.speed(drive, wind, -1.0)?,
        ))
    }

    /// The drive behind the mean of the two speeds in a known wind, m/s; `None` where the boat would
    /// make no way against it. A current that holds steady over both drops out of the mean.
    pub fn drive(self, mean: f64, wind: f64) -> Option<f64> {
        let mut drive = (mean * mean + self.ratio * (mean * mean + wind * wind)).sqrt();
        // The mean grows about as the drive does, so each step takes out nearly all of the error.
        for _ in 0..MOST_STEPS {
            let factor = mean / self.mean_speed(drive, wind)?;
            drive *= factor;
            if (factor - 1.0).abs() < DRIVE_TOLERANCE {
                return Some(drive);
            }
        }
        None
    }

    /// Speed that a drive gives with the wind against (1) or behind (-1), m/s.
    pub fn speed(self, drive: f64, wind: f64, towards: f64) -> Option<f64> {
        let excess = |u: f64| Some(u * u + self.air(u, wind, towards) - drive * drive);
        zero_between(excess, 0.0, 2.0 * drive + wind, TOLERANCE)
    }
}

/// Speed that a drive gives with a wind straight along the course, against (`towards` = 1) or behind (-1), m/s, in
/// closed form: as [`Windage::speed`] with no angle off the line. `None` where the boat would make no way, or where
/// `ratio` is not below 1.
pub fn speed_along(ratio: f64, drive: f64, wind: f64, towards: f64) -> Option<f64> {
    // `(1 + r) u² + 2 r w u + r w² = d²` with the wind ahead of the boat (w > 0) or slower than it.
    let ahead = towards * wind;
    let root = |a: f64, b: f64, c: f64| -> Option<f64> {
        let inner = b * b - a * c;
        let speed = (inner.sqrt() - b) / a;
        (inner >= 0.0 && speed > 0.0).then_some(speed)
    };
    let push = ratio * wind * wind;
    let slower_wind = root(1.0 + ratio, ratio * ahead, push - drive * drive);
    match slower_wind {
        Some(speed) if speed + ahead >= 0.0 => Some(speed),
        // The wind overtakes the boat and pushes: `(1 - r) u² + 2 r |w| u - r w² = d²`.
        _ if ahead < 0.0 && ratio < 1.0 => root(1.0 - ratio, -ratio * ahead, -push - drive * drive),
        _ => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::float_cmp)]
mod tests {
    use super::*;

    #[test]
    fn the_balance_there_and_back_again() {
        for off_line_deg in [0.0, 40.0] {
            for wind in [0.0, 1.0, 5.0, 9.0] {
                let windage = Windage {
                    ratio: 0.02,
                    off_line_deg,
                };
                let pair = Pair {
                    slower: windage.speed(2.0, wind, 1.0).unwrap(),
                    faster: windage.speed(2.0, wind, -1.0).unwrap(),
                };
                let found = windage.solve(pair).unwrap();
                assert!((found.wind - wind).abs() < 1e-6);
                assert!((found.drive - 2.0).abs() < 1e-9);
                let mean = windage.mean_speed(found.drive, wind).unwrap();
                assert!((mean - f64::midpoint(pair.slower, pair.faster)).abs() < 1e-9);
                assert!((windage.drive(mean, wind).unwrap() - 2.0).abs() < 1e-7);
            }
        }
    }

    /// While the wind is less than the boat's speed, both drags are squares and the mean of the two
    /// follows in closed form: `mean^2 = calm^2 - half difference^2 / ratio`.
    #[test]
    fn in_light_wind_the_mean_follows_in_closed_form() {
        let windage = Windage {
            ratio: 0.03,
            off_line_deg: 0.0,
        };
        let calm = windage.mean_speed(2.0, 0.0).unwrap();
        let mean = windage.mean_speed(2.0, 1.2).unwrap();
        let half = windage.ratio * 1.2 / (1.0 + windage.ratio);
        assert!((calm * calm - half * half / windage.ratio - mean * mean).abs() < 1e-9);
    }

    #[test]
    fn the_closed_form_is_the_balance_along_the_line() {
        for ratio in [0.005, 0.02, 0.2] {
            let windage = Windage {
                ratio,
                off_line_deg: 0.0,
            };
            for wind in [0.0, 0.5, 1.9, 2.0, 2.1, 4.0, 9.0] {
                for towards in [1.0, -1.0] {
                    let long = windage.speed(2.0, wind, towards).filter(|u| *u > 0.0);
                    let short = speed_along(ratio, 2.0, wind, towards);
                    let near = match (long, short) {
                        (Some(a), Some(b)) => (a - b).abs() < 1e-9,
                        (a, b) => a.is_none() && b.is_none(),
                    };
                    assert!(near, "{ratio} {wind} {towards}: {long:?} {short:?}");
                }
            }
        }
        assert_eq!(speed_along(0.5, 0.2, 20.0, 1.0), None);
        assert_eq!(speed_along(1.5, 2.0, 9.0, -1.0), None);
        assert_eq!(speed_along(f64::NAN, 2.0, 9.0, -1.0), None);
    }

    #[test]
    fn a_current_no_wind_could_make_is_refused() {
        let windage = Windage {
            ratio: 0.001,
            off_line_deg: 0.0,
        };
        let pair = Pair {
            slower: 1.0,
            faster: 2.0,
        };
        assert_eq!(windage.solve(pair), None);
        let gale = Windage {
            ratio: 0.5,
            off_line_deg: 0.0,
        };
        assert_eq!(gale.drive(0.2, 20.0), None);
    }
}
