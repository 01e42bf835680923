//! The times at which the boat lay idle, or was not recorded at all.

use serde::Serialize;

use crate::geometry::{PathPoint, Sampled};

/// When a boat counts as lying idle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopRules {
    /// Step of the speeds judged, s: long enough that position error is no speed.
    pub sample_s: f64,
    /// Idle below this share of the slowest double run.
    pub idle_share: f64,
    /// Idle below this speed where there is no double run, m/s.
    pub idle_m_s: f64,
    /// Two stops with less than this between them are one, s: a burst of the motor to hold a place.
    pub burst_s: f64,
}

impl Default for StopRules {
    fn default() -> Self {
        Self {
            sample_s: 15.0,
            idle_share: 0.6,
            idle_m_s: 0.5,
            burst_s: 45.0,
        }
    }
}

/// The stops of a day as (from, to), s, in order of time.
pub fn stops(
    paths: &[Vec<PathPoint>],
    slowest_run_m_s: Option<f64>,
    rules: &StopRules,
) -> Vec<(f64, f64)> {
    let limit = slowest_run_m_s.map_or(rules.idle_m_s, |v| v * rules.idle_share);
    let mut slow: Vec<(f64, f64)> = Vec::new();
    let mut recorded_to: Option<f64> = None;
    for path in paths {
        let (Some(first), Some(last)) = (path.first(), path.last()) else {
            continue;
        };
        if let Some(before) = recorded_to {
            slow.push((before, first.t));
        }
        recorded_to = Some(last.t);
        let sampled = Sampled::new(path, rules.sample_s);
        for (index, pair) in sampled.points.windows(2).enumerate() {
            if pair[0].distance(pair[1]) / rules.sample_s < limit {
                let middle = sampled.edge(index + 1);
                slow.push((middle - rules.sample_s / 2.0, middle + rules.sample_s / 2.0));
            }
        }
    }
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (from, to) in slow {
        match joined.last_mut() {
            Some(last) if from - last.1 <= rules.burst_s => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}
