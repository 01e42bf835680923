//! The wind from the way the boat drifts while it lies idle.
//!
//! A boat without way on lies more or less beam-on and is carried downwind at a
//! few percent of the wind's speed (common practice, no source). A current
//! carries it as well: where the boat's drift along the trial's line is the same
//! under way as idle, the water moves, and the idle drift says little of the wind.

use serde::Serialize;

use crate::geometry::{Motion, PathPoint, Stretch};
use crate::stats::circular::weighted_resultant;
use crate::units::Bearing;

/// How the wind is read off the drift.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindRules {
    /// Drifts before or after the trial count when within this, s.
    pub near_trial_s: f64,
    /// Least drifting in all, s.
    pub least_s: f64,
    /// A drift more than this off the common direction was steered or anchored, degrees. A hull
    /// lying beam-on slants to either side, so anything less takes one side away.
    pub outlier_deg: f64,
    /// A boat does not drift dead downwind; standard error of that, degrees.
    /// Source: our own simulated days.
    pub downwind_se_deg: f64,
    /// A direction known no better than this, degrees, is none: one label is 45 degrees wide.
    pub most_se_deg: f64,
    /// Drift along the line under way over drift along it idle, from which on a current is likely.
    /// In wind alone it stays well below one. Source: our own simulated days.
    pub current_ratio: f64,
    /// A slower drift tells no wind, m/s: at 3-6 % of it (common practice, no source) that is a wind of
    /// half a metre a second, and the receiver's own wander is a part of it.
    pub least_drift_m_s: f64,
    /// A wind keeps a boat moving; one that glides on loses its way. Idle drifts whose second halves are
    /// slower than their first by more than this tell no wind. Source: our own simulated days.
    pub least_kept: f64,
    /// And of the time adrift this share must point within [`Self::outlier_deg`] of the common direction:
    /// in a calm it points anywhere. Source: our own simulated days.
    pub least_agreeing: f64,
}

impl Default for WindRules {
    fn default() -> Self {
        Self {
            near_trial_s: 2700.0,
            least_s: 90.0,
            outlier_deg: 90.0,
            downwind_se_deg: 5.0,
            most_se_deg: 30.0,
            current_ratio: 0.7,
            least_drift_m_s: 0.02,
            // Of 200 days each: without wind one was named on 198, now on 3; in 1 m/s on 173, a quarter of
            // them more than 45 degrees wrong, now on 52; in 2 m/s on 191, now on 186; in 5 m/s on 185 as before.
            least_kept: 0.8,
            least_agreeing: 0.75,
        }
    }
}

/// The boat's idle drift.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// Where to.
    pub toward: Bearing,
    /// Standard error of that direction, degrees.
    pub se_deg: f64,
    /// Speed, m/s.
    pub speed: f64,
    /// Share of the time adrift that agrees on it, 0 to 1.
    pub agreeing: f64,
    /// Which of the drifts were used.
    pub used: Vec<bool>,
}

/// The common drift of the idle stretches near the trial; `None` where there is too little.
///
/// `trial`: start and end of the trial, s; without one every drift counts.
pub fn idle_drift(
    drifts: &[Stretch],
    trial: Option<(f64, f64)>,
    slowest_run_m_s: Option<f64>,
    rules: &WindRules,
) -> Option<Drift> {
    let eligible = |drift: &Stretch, near: bool| {
        let slow = slowest_run_m_s.is_none_or(|run| drift.motion.speed() < 0.6 * run);
        let close = trial.is_none_or(|(from, to)| {
            drift.end >= from - rules.near_trial_s && drift.start <= to + rules.near_trial_s
        });
        slow && (close || !near)
    };
    let within = |near: bool| -> Vec<bool> { drifts.iter().map(|d| eligible(d, near)).collect() };
    let seconds = |used: &[bool]| -> f64 {
        drifts
            .iter()
            .zip(used)
            .filter(|(_, u)| **u)
            .map(|(d, _)| d.duration())
            .sum()
    };
    let mut used = within(true);
    if seconds(&used) < rules.least_s {
        used = within(false);
    }
    let adrift = seconds(&used);
    // Once over all, once more without what points elsewhere.
    let mut common = direction(drifts, &used, rules)?;
    for (drift, used) in drifts.iter().zip(&mut used) {
        *used = *used && drift.course.apart(common.0) <= rules.outlier_deg;
    }
    let total = seconds(&used);
    if total < rules.least_s {
        return None;
    }
    common = direction(drifts, &used, rules)?;
    let speed = drifts
        .iter()
        .zip(&used)
        .filter(|(_, u)| **u)
        .map(|(d, _)| d.motion.speed() * d.duration() / total)
        .sum();
    Some(Drift {
        toward: common.0,
        se_deg: common.1,
        speed,
        agreeing: total / adrift,
        used,
    })
}

/// How much of its speed the boat kept through the used drifts: speed in their second halves over that in
/// their first, both along the drift, weighted by how long each lasted.
///
/// About one before a wind. Under quadratic drag a boat that glides on for two minutes keeps some 0.6.
/// `None` where no half has the fixes for a speed.
pub fn kept(drift: &Drift, drifts: &[Stretch], paths: &[Vec<PathPoint>]) -> Option<f64> {
    let (mut first, mut second) = (0.0, 0.0);
    for (stretch, _) in drifts.iter().zip(&drift.used).filter(|(_, used)| **used) {
        let middle = f64::midpoint(stretch.start, stretch.end);
        let halves = paths.iter().find_map(|path| {
            let early = along(path, stretch.start, middle, stretch.course)?;
            Some((early, along(path, middle, stretch.end, stretch.course)?))
        });
        if let Some((early, late)) = halves {
            first += early * stretch.duration();
            second += late * stretch.duration();
        }
    }
    (first > 0.0).then(|| second / first)
}

/// Speed along a course between two times, m/s; `None` without two fixes between them.
fn along(path: &[PathPoint], from: f64, to: f64, course: Bearing) -> Option<f64> {
    let begin = path.partition_point(|p| p.t < from);
    let end = path.partition_point(|p| p.t <= to);
    let motion = Motion::fit(path.get(begin..end)?)?;
    let (east, north) = course.unit();
    Some(motion.east_m_s * east + motion.north_m_s * north)
}

/// Mean direction of the drifts, each weighing by how long it lasted, and its standard error.
///
/// By its length would favour the broad reaches that a beam-on hull makes to either side.
fn direction(drifts: &[Stretch], used: &[bool], rules: &WindRules) -> Option<(Bearing, f64)> {
    let own: Vec<&Stretch> = drifts
        .iter()
        .zip(used)
        .filter(|(_, used)| **used)
        .map(|(drift, _)| drift)
        .collect();
    let courses: Vec<Bearing> = own.iter().map(|d| d.course).collect();
    let weights: Vec<f64> = own.iter().map(|d| d.duration()).collect();
    let common = weighted_resultant(&courses, &weights)?;
    // One drift alone has no scatter to show; a quarter of what is let pass stands for it.
    let scatter = common.mean_se.unwrap_or(rules.outlier_deg / 4.0);
    Some((common.mean?, scatter.hypot(rules.downwind_se_deg)))
}
