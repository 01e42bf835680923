//! A leg: a stretch on one heading, with its approach and its steady part measured.
//!
//! Its speed is the slope of distance made good along the line against time. The slope beats the two
//! figures a person would try first. The mean of the recorded speeds runs high in waves, and the
//! length of the path between fixes runs high with every position error (Ranacher et al. 2016, Int.
//! J. Geogr. Inf. Sci. 30, 316-333); the slope along a line does neither.
//!
//! Its standard error treats the slope as what it is: a weighted mean of the speeds along the leg,
//! neighbouring ones alike because gusts and slow position error last. See
//! [`crate::stats::long_run::low_frequency_variance`].

use std::fmt;

use serde::Serialize;

use super::SegmentRules;
use super::approach::Settling;
use crate::geometry::{Motion, PathPoint, Plane, Record, Sampled, between};
use crate::stats::long_run::{USUAL_COSINES, low_frequency_variance};
use crate::stats::quantile::quantiles;
use crate::track::Position;

/// How the range of speeds along a leg is taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpeedRules {
    /// Length of the means whose range is what a person reads off a screen, s. Half as long are the
    /// steps of the speeds whose scatter gives the standard error.
    pub held_mean_s: f64,
    /// Lower and upper percentile of those means.
    pub held_percentiles: [f64; 2],
}

impl Default for SpeedRules {
    fn default() -> Self {
        Self {
            held_mean_s: 10.0,
            held_percentiles: [10.0, 90.0],
        }
    }
}

/// Why a leg is left out; shows as a clause in plain words.
#[derive(Debug, Clone, PartialEq)]
pub enum LeftOut {
    /// It ended before the boat had gathered its speed.
    TooShort {
        /// How long it lasted, s.
        lasted_s: f64,
        /// How long the boat needs, s.
        needed_s: f64,
    },
    /// The notes say so.
    Noted(String),
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooShort { lasted_s, needed_s } => write!(
                f,
                "too short: {lasted_s:.0} s, of which the boat needs {needed_s:.0} s to gather its speed"
            ),
            Self::Noted(reason) => f.write_str(reason),
        }
    }
}

/// A stretch on one steady heading, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Number, from 1, in the order in which legs were found; no correction changes it.
    pub number: usize,
    /// Index of its track.
    pub track: usize,
    /// When it begins, s.
    pub start: f64,
    /// When it ends, s.
    pub end: f64,
    /// Where it begins.
    pub start_position: Position,
    /// Where it ends.
    pub end_position: Position,
    /// A plane that touches where it begins: its motion is given on it.
    pub plane: Plane,
    /// End of the approach, s; `None` where the boat never settled.
    pub steady_from: Option<f64>,
    /// End of the steady part, s.
    pub steady_to: f64,
    /// What was measured over the steady part.
    pub measured: Option<Measured>,
    /// Index of its line.
    pub line: Option<usize>,
    /// Why it is left out; `None` where it is not.
    pub left_out: Option<LeftOut>,
}

impl Leg {
    /// A leg between two times of a record; `None` where there is no record of it.
    pub(super) fn new(
        number: usize,
        track: usize,
        record: &Record,
        [start, end]: [f64; 2],
        settling: Option<Settling>,
        rules: &SegmentRules,
    ) -> Option<Self> {
        let (approach, speed) = (&rules.approach, &rules.speed);
        let start_position = record.position(start)?;
        let plane = Plane::at(start_position);
        let path = record.on(&plane, start, end);
        let rough = Motion::fit(&path)?.speed();
        let seconds = settling.map_or(0.0, |s| s.seconds_until(approach.settled_within, rough));
        let seconds = seconds.clamp(approach.shortest_s, approach.longest_s);
        // The beginning of the turn is known to within half a sample.
        let (steady_from, steady_to) = (start + seconds, end - rules.stretch.sample_s() / 2.0);
        let settled = steady_to - steady_from >= approach.shortest_steady_s;
        let measured = settled
            .then(|| measure(between(&path, steady_from, steady_to), speed))
            .flatten();
        Some(Self {
            number,
            track,
            start,
            end,
            start_position,
            end_position: record.position(end)?,
            plane,
            steady_from: settled.then_some(steady_from),
            steady_to,
            measured,
            line: None,
            left_out: (!settled).then_some(LeftOut::TooShort {
                lasted_s: end - start,
                needed_s: seconds,
            }),
        })
    }

    /// Seconds from start to end.
    pub fn duration(&self) -> f64 {
        self.end - self.start
    }

    /// Velocity over the steady part, m/s east and north.
    pub fn velocity(&self) -> Option<[f64; 2]> {
        let motion = self.measured.as_ref()?.motion;
        Some([motion.east_m_s, motion.north_m_s])
    }

    /// Whether it may enter a double run.
    pub fn is_usable(&self) -> bool {
        self.measured.is_some() && self.left_out.is_none()
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
fn measure(path: &[PathPoint], rules: &SpeedRules) -> Option<Measured> {
    let motion = Motion::fit(path)?;
    motion.course()?;
    // Where distances are ahead of the steady motion, by so much the boat was faster.
    let faster = |step: f64| -> Vec<f64> {
        let sampled = Sampled::new(path, step);
        let ahead: Vec<f64> = (sampled.points.iter().enumerate())
            .map(|(index, at)| {
                let t = sampled.edge(index) + step / 2.0;
                motion.offset(PathPoint { t, at: *at }).ahead
            })
            .collect();
        ahead.windows(2).map(|w| (w[1] - w[0]) / step).collect()
    };
    // Speeds between bins shorter than the recorder's own step would be copies of one another.
    let lasted = path.last()?.t - path.first()?.t;
    let usual = lasted / (path.len() - 1).max(1) as f64;
    let [low, high] = rules.held_percentiles.map(|p| p / 100.0);
    let held = quantiles(&faster(rules.held_mean_s), [low, high]);
    Some(Measured {
        motion,
        speed: motion.speed(),
        se: standard_error(&faster(usual.max(rules.held_mean_s / 2.0))),
        held: held.map(|range| range.map(|v| v + motion.speed())),
        cross_track_rms: motion.cross_track_rms(path),
        fixes: path.len(),
    })
}

/// That of a slope through points between which the speeds are these.
fn standard_error(speeds: &[f64]) -> Option<f64> {
    /// Fewer tell nothing of slow change: two for each cosine.
    const FEWEST: usize = 2 * USUAL_COSINES;
    // The slope through n points is the mean of the n - 1 steps with weights i (n - i).
    let n = speeds.len() + 1;
    let weights: Vec<f64> = (1..n).map(|i| (i * (n - i)) as f64).collect();
    let sum: f64 = weights.iter().sum();
    let weights: Vec<f64> = weights.into_iter().map(|w| w / sum).collect();
    let variance = low_frequency_variance(speeds, &weights, USUAL_COSINES);
    let variance = variance.filter(|_| speeds.len() >= FEWEST);
    variance.map(|v| v.variance.sqrt())
}
