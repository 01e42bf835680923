//! The speed of a leg: the slope of distance made good along the line against time.
//!
//! The slope beats the two figures a person would try first. The mean of the
//! recorded speeds runs high in waves, and the length of the path between fixes
//! runs high with every position error (Ranacher et al. 2016, Int. J. Geogr.
//! Inf. Sci. 30, 316-333); the slope along a line does neither.
//!
//! Its standard error treats the slope as what it is: a weighted mean of the
//! speeds along the leg, neighbouring ones alike because gusts and slow position
//! error last. See [`crate::stats::long_run::low_frequency_variance`].

use serde::Serialize;

use crate::geometry::{Motion, PathPoint, Sampled};
use crate::stats::long_run::{USUAL_COSINES, low_frequency_variance};
use crate::stats::quantile::quantiles;

/// How speeds along a leg are taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpeedRules {
    /// Step of the speeds whose scatter gives the standard error, s.
    pub sample_s: f64,
    /// Length of the means whose range is what a person reads off a screen, s.
    pub held_mean_s: f64,
    /// Lower and upper percentile of those means.
    pub held_percentiles: [f64; 2],
}

impl Default for SpeedRules {
    fn default() -> Self {
        Self {
            sample_s: 5.0,
            held_mean_s: 10.0,
            held_percentiles: [10.0, 90.0],
        }
    }
}

/// What was measured over the steady part of a leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The line fitted to the steady part.
    pub motion: Motion,
    /// Speed along the course, m/s.
    pub speed: f64,
    /// Its standard error, m/s; `None` where too few independent speeds are left.
    pub se: Option<f64>,
    /// Range consistently held, m/s.
    pub held: Option<[f64; 2]>,
    /// Distance from the line, m root mean square.
    pub cross_track_rms: f64,
    /// Fixes used.
    pub fixes: usize,
}

/// Measures the speed over a path; `None` where it has no two different times or no course.
pub fn measure(path: &[PathPoint], rules: &SpeedRules) -> Option<Measured> {
    let motion = Motion::fit(path)?;
    motion.course()?;
    Some(Measured {
        motion,
        speed: motion.speed(),
        se: standard_error(path, &motion, rules),
        held: held(path, &motion, rules),
        cross_track_rms: motion.cross_track_rms(path),
        fixes: path.len(),
    })
}

/// Distances ahead of the steady motion at each bin of an even sampling, plus its step.
fn ahead(path: &[PathPoint], motion: &Motion, step: f64) -> Vec<f64> {
    let sampled = Sampled::new(path, step);
    sampled
        .points
        .iter()
        .enumerate()
        .map(|(index, at)| {
            motion
                .offset(PathPoint {
                    t: sampled.edge(index) + step / 2.0,
                    at: *at,
                })
                .ahead
        })
        .collect()
}

fn standard_error(path: &[PathPoint], motion: &Motion, rules: &SpeedRules) -> Option<f64> {
    let (first, last) = (path.first()?, path.last()?);
    // Speeds between bins shorter than the recorder's own step would be copies of one another.
    let usual = (last.t - first.t) / (path.len() - 1).max(1) as f64;
    let step = rules.sample_s.max(usual);
    let ahead = ahead(path, motion, step);
    let speeds: Vec<f64> = ahead.windows(2).map(|w| (w[1] - w[0]) / step).collect();
    // The slope through n points is the mean of the n - 1 steps with weights i (n - i).
    let n = ahead.len() as f64;
    let weights: Vec<f64> = (1..ahead.len())
        .map(|i| i as f64 * (n - i as f64))
        .collect();
    let sum: f64 = weights.iter().sum();
    let weights: Vec<f64> = weights.into_iter().map(|w| w / sum).collect();
    if speeds.len() < FEWEST_SPEEDS {
        return None;
    }
    low_frequency_variance(&speeds, &weights, USUAL_COSINES).map(|v| v.variance.sqrt())
}

/// Fewest speeds whose scatter tells anything of slow change: two for each cosine.
const FEWEST_SPEEDS: usize = 2 * USUAL_COSINES;

fn held(path: &[PathPoint], motion: &Motion, rules: &SpeedRules) -> Option<[f64; 2]> {
    let step = rules.held_mean_s;
    let speeds: Vec<f64> = ahead(path, motion, step)
        .windows(2)
        .map(|w| motion.speed() + (w[1] - w[0]) / step)
        .collect();
    let [low, high] = rules.held_percentiles;
    quantiles(&speeds, [low / 100.0, high / 100.0])
}
