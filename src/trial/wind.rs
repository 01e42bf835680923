//! The wind from the way the boat drifts while it lies idle.
//!
//! A boat without way on lies more or less beam-on and is carried downwind at a
//! few percent of the wind's speed (common practice, no source). A current
//! carries it as well: where the boat's drift along the trial's line is the same
//! under way as idle, the water moves, and the idle drift says little of the wind.

use serde::Serialize;

use crate::geometry::Stretch;
use crate::stats::circular::resultant;
use crate::units::Bearing;

/// How the wind is read off the drift.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindRules {
    /// Drifts are cut into parts of about this length, s, whose directions are averaged:
    /// a minute holds a gust or two.
    pub part_s: f64,
    /// Drifts before or after the trial count when within this, s.
    pub near_trial_s: f64,
    /// Least drifting in all, s.
    pub least_s: f64,
    /// A part more than this off the common direction was steered or anchored, degrees.
    pub outlier_deg: f64,
    /// A boat does not drift dead downwind; standard error of that, degrees.
    /// Source: our own simulated days.
    pub downwind_se_deg: f64,
    /// Drift along the line under way over drift along it idle, from which on a current is likely.
    /// In wind alone it stays well below one. Source: our own simulated days.
    pub current_ratio: f64,
}

impl Default for WindRules {
    fn default() -> Self {
        Self {
            part_s: 60.0,
            near_trial_s: 2700.0,
            least_s: 90.0,
            outlier_deg: 50.0,
            downwind_se_deg: 5.0,
            current_ratio: 0.7,
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
        used,
    })
}

/// Mean direction of the parts and its standard error.
fn direction(drifts: &[Stretch], used: &[bool], rules: &WindRules) -> Option<(Bearing, f64)> {
    let mut parts: Vec<Bearing> = Vec::new();
    for (drift, _) in drifts.iter().zip(used).filter(|(_, u)| **u) {
        let count = (drift.duration() / rules.part_s).round().max(1.0) as usize;
        parts.extend(std::iter::repeat_n(drift.course, count));
    }
    let common = resultant(&parts)?;
    let scatter = common.mean_se.unwrap_or(rules.outlier_deg / 2.0);
    Some((common.mean?, scatter.hypot(rules.downwind_se_deg)))
}
