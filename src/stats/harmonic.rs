//! What goes once round with an angle: `y = mean + cosine·cos θ + sine·sin θ`.
//!
//! Such is the speed over the ground against the heading in a current, and to first order against the angle off the
//! wind. With amplitude `a` and phase `φ` it is `mean + a cos(θ - φ)`; the phase is the angle where `y` is largest.

use super::circular_interval::{Arc, arc};
use super::distribution::t_critical;
use super::finite;
use super::interval::Estimate;
use super::least_squares::{LinearFit, ordinary};
use crate::units::Bearing;

/// A fitted first harmonic.
#[derive(Debug, Clone, PartialEq)]
pub struct Harmonic {
    /// The fit: mean, cosine, sine, in this order, with their covariance.
    pub fit: LinearFit,
    /// Half the difference between the highest and the lowest, in the unit of `y`, at least 0.
    pub amplitude: f64,
    /// Where `y` is highest; `None` where the amplitude is zero.
    pub phase: Option<Bearing>,
}

/// Fits a first harmonic to `y` over angles, with equal weights.
///
/// `None` where the lengths differ, anything is not finite, or there are not three different angles.
pub fn harmonic(angles: &[Bearing], y: &[f64]) -> Option<Harmonic> {
    from_fit(ordinary(&columns(angles), y)?)
}

fn columns(angles: &[Bearing]) -> [Vec<f64>; 3] {
    // A bearing's unit vector is (sine, cosine) of its angle.
    let (sines, cosines) = angles.iter().map(|a| a.unit()).unzip();
    [vec![1.0; angles.len()], cosines, sines]
}

fn from_fit(fit: LinearFit) -> Option<Harmonic> {
    let [_, cosine, sine] = *fit.coefficients.as_slice() else {
        return None;
    };
    let amplitude = finite(cosine.hypot(sine))?;
    Some(Harmonic {
        phase: (amplitude > 0.0)
            .then(|| Bearing::of_vector(sine, cosine))
            .flatten(),
        amplitude,
        fit,
    })
}

impl Harmonic {
    /// The mean over all angles with its interval.
    pub fn mean(&self, level: f64) -> Option<Estimate> {
        self.fit.contrast(&[1.0, 0.0, 0.0], level)
    }

    /// The amplitude with its interval by the delta method: the part of the scatter along the phase.
    ///
    /// Good where the amplitude is several times its error. Near zero it is too large on average, since noise has an
    /// amplitude too; see [`Harmonic::phase_arc`] for a test of whether there is any.
    pub fn amplitude_estimate(&self, level: f64) -> Option<Estimate> {
        let (sine, cosine) = self.phase?.unit();
        self.fit.contrast(&[0.0, cosine, sine], level)
    }

    /// The standard error of the phase in degrees, by the delta method: the scatter across the phase over the
    /// amplitude.
    ///
    /// For standard errors up to some 20°; beyond, use [`Harmonic::phase_arc`].
    pub fn phase_se(&self) -> Option<f64> {
        let (sine, cosine) = self.phase?.unit();
        let across = self.fit.contrast(&[0.0, -sine, cosine], 0.5)?;
        finite((across.se / self.amplitude).to_degrees())
    }

    /// The arc of phases that the data allow with confidence `level`; `None` where every direction is allowed, and
    /// where no observation is left over.
    ///
    /// Fieller's (1954) set of the direction `(cosine, sine)`: all phases at which the part across lies within t standard
    /// errors of zero (*Journal of the Royal Statistical Society* B 16, 175-185). Exact for normal errors, also where the
    /// delta method fails. The half of the set on the other side of the circle is left out. That an arc exists says that
    /// the amplitude differs from zero at about that level.
    pub fn phase_arc(&self, level: f64) -> Option<Arc> {
        let phase = self.phase?;
        let t = t_critical(level, self.fit.df as f64)?;
        let across = |turn: f64| {
            let (sine, cosine) = Bearing::new(phase.degrees() + turn)?.unit();
            let e = self.fit.contrast(&[0.0, -sine, cosine], 0.5)?;
            Some(e.value.abs() - t * e.se)
        };
        // From the phase outwards the part across rises to the amplitude at 90°.
        let side = |sign: f64| {
            super::roots::zero_between(|turn| across(sign * turn), 0.0, 90.0, PHASE_TOLERANCE)
        };
        arc(phase, side(-1.0)?, side(1.0)?)
    }
}

/// Bounds of an arc are found to this share of a degree.
const PHASE_TOLERANCE: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    fn angles(degrees: &[f64]) -> Vec<Bearing> {
        degrees.iter().filter_map(|d| Bearing::new(*d)).collect()
    }

    fn noisy(amplitude: f64) -> Option<Harmonic> {
        let at = angles(&[10.0, 55.0, 100.0, 145.0, 190.0, 235.0, 280.0, 325.0]);
        let noise = [0.03, -0.01, -0.04, 0.02, 0.01, -0.02, 0.03, -0.02];
        let y: Vec<f64> = at
            .iter()
            .zip(noise)
            .map(|(a, n)| 2.0 + amplitude * (a.radians() - 1.0).cos() + n)
            .collect();
        harmonic(&at, &y)
    }

    #[test]
    fn an_exact_harmonic_is_found() {
        let at = angles(&[0.0, 80.0, 200.0, 300.0]);
        let y: Vec<f64> = at
            .iter()
            .map(|a| 3.0 + 0.5 * (a.radians() - 1.0).cos())
            .collect();
        let found = harmonic(&at, &y);
        let near = found.is_some_and(|h| {
            (h.amplitude - 0.5).abs() < 1e-12
                && h.phase.is_some_and(|p| (p.radians() - 1.0).abs() < 1e-12)
                && h.fit
                    .coefficients
                    .first()
                    .is_some_and(|m| (m - 3.0).abs() < 1e-12)
        });
        assert!(near);
    }

    #[test]
    fn no_amplitude_no_arc() {
        let found = noisy(0.0);
        assert!(found.is_some_and(|h| h.phase_arc(0.95).is_none()));
        assert!(harmonic(&angles(&[0.0, 90.0, 0.0]), &[1.0, 2.0, 1.0]).is_none());
        assert!(harmonic(&[], &[]).is_none());
    }
}
