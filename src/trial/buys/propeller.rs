//! Slip of the propeller, and the cube-law check.
//!
//! Apparent slip is `(pitch speed - boat speed) / pitch speed`, pitch speed being the pitch times the
//! turns; "apparent" because the boat's speed stands in for that of the water at the propeller. It may be
//! negative, and is not cut at zero. The boat's speed must be that through the water, so it is the mean
//! of two directions.

use super::Ranged;
use crate::stats::calibration::power_law;
use crate::stats::interval::Estimate;

/// Apparent slip, as a share of the pitch speed: pitch in m, shaft speed in turns a minute, speed in m/s.
///
/// `None` where the propeller does not turn or has no pitch.
///
/// # Example: a ship's slip
/// United States Coast Guard deck examination question: pitch 19.0 ft, 44 turns a minute, 183.5 nautical
/// miles in 24 h; by the nautical mile of 1852 m the slip is 7.38 %.
/// ```
/// use thereback::trial::buys::propeller::slip;
/// let found = slip(19.0 * 0.3048, 44.0, 183.5 * 1852.0 / 86_400.0).unwrap();
/// assert!((100.0 * found - 7.382).abs() < 0.001);
/// ```
pub fn slip(pitch_m: f64, rpm: f64, speed_m_s: f64) -> Option<f64> {
    let pitch_speed = pitch_m * rpm / 60.0;
    let slip = 1.0 - speed_m_s / pitch_speed;
    (pitch_speed > 0.0 && slip.is_finite()).then_some(slip)
}

/// The same with the interval that the speed's gives; the speed as the estimate of its logarithm.
pub fn slip_range(pitch_m: f64, rpm: f64, speed: Estimate) -> Ranged {
    let of = |log: f64| slip(pitch_m, rpm, log.exp());
    Ranged {
        value: of(speed.value),
        // The faster the boat, the less the slip.
        low: of(speed.high),
        high: of(speed.low),
    }
}

/// The exponent of power against speed with its interval; `None` for fewer than two speeds.
///
/// A displacement boat well below its hull speed has one near 3 (Admiralty law; Stokoe, *Reed's Naval
/// Architecture*).
pub fn power_exponent(speeds: &[f64], watts: &[f64], level: f64) -> Option<Ranged> {
    power_law(speeds, watts)?.exponent(level).map(Ranged::plain)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Examination question with a ship faster than her propeller: 115 200 turns of 20 ft against 404.16
    /// miles observed; -6.585 % by the nautical mile of 1852 m.
    #[test]
    fn slip_may_be_negative() {
        let turns_a_minute = 115_200.0 / 1440.0;
        let speed = 404.16 * 1852.0 / 86_400.0;
        let found = slip(20.0 * 0.3048, turns_a_minute, speed).unwrap();
        assert!((100.0 * found + 6.585).abs() < 0.001, "{found}");
        assert_eq!(slip(0.25, 0.0, 1.0), None);
    }

    /// Inches times turns a minute over 1215.2231 are knots (1852/0.0254/60, exact).
    #[test]
    fn pitch_speed_in_knots() {
        let knots = 10.0 * 1000.0 / 1_215.223_097;
        let at_pitch_speed = slip(0.254, 1000.0, knots * 1852.0 / 3600.0).unwrap();
        assert!(at_pitch_speed.abs() < 1e-9);
    }

    #[test]
    fn the_cube_law_is_recognised() {
        let speeds = [1.0, 1.02, 1.5, 1.48, 2.0, 1.99];
        let watts = speeds.map(|v: f64| 40.0 * v.powi(3));
        let found = power_exponent(&speeds, &watts, 0.95).unwrap();
        assert!((found.value.unwrap() - 3.0).abs() < 1e-9);
        assert!(power_exponent(&[1.0], &[40.0], 0.95).is_none());
    }
}
