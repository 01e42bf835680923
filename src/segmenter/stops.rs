//! When the boat lay idle, or was not recorded at all.

use super::rules::TrialRules;
use crate::stats::quantile::median;

/// A time in which the boat lay idle or was not recorded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// From, s.
    pub from: f64,
    /// To, s.
    pub to: f64,
    /// Velocity just before it, m/s east and north; `None` where that was not recorded.
    pub way: Option<[f64; 2]>,
}

impl Stop {
    /// Seconds.
    pub fn duration(&self) -> f64 {
        self.to - self.from
    }
}

/// Whether a boat runs under power rather than lies idle, beside double runs of this speed through
/// the water and this drift: at half their speed or more. Adrift in a current it moves with the
/// water, at anchor it does not: both are idle.
pub(super) fn is_under_way(v: [f64; 2], drift: [f64; 2], speed: f64) -> bool {
    let through = (v[0] - drift[0]).hypot(v[1] - drift[1]);
    v[0].hypot(v[1]).min(through) >= speed / 2.0
}

/// The stops of a day with double runs of these speeds through the water and drifts, in order of
/// time.
pub(super) fn stops(
    velocities: &[(f64, [f64; 2])],
    runs: impl Iterator<Item = (f64, [f64; 2])>,
    rules: &TrialRules,
) -> Vec<Stop> {
    let (speeds, drifts): (Vec<f64>, Vec<[f64; 2]>) = runs.unzip();
    let slowest = speeds
        .into_iter()
        .min_by(f64::total_cmp)
        .unwrap_or(rules.slowest_run_m_s);
    let middle =
        |axis: usize| median(&drifts.iter().map(|d| d[axis]).collect::<Vec<_>>()).unwrap_or(0.0);
    let drift = [middle(0), middle(1)];
    let mut stops: Vec<Stop> = Vec::new();
    let mut before: Option<(f64, [f64; 2])> = None;
    for (t, v) in velocities {
        let unrecorded = before.is_some_and(|(last, _)| t - last > rules.burst_s);
        if unrecorded || !is_under_way(*v, drift, slowest) {
            let begin = before.filter(|_| unrecorded).map_or(*t, |(last, _)| last);
            match stops.last_mut() {
                Some(stop) if begin - stop.to <= rules.burst_s => stop.to = *t,
                _ => stops.push(Stop {
                    from: begin,
                    to: *t,
                    way: before.map(|(_, v)| v),
                }),
            }
        }
        before = Some((*t, *v));
    }
    stops
}

/// The longest stop within a time, s.
pub(super) fn longest_between(stops: &[Stop], from: f64, to: f64) -> f64 {
    let first = stops.partition_point(|stop| stop.to < from);
    (stops.iter().skip(first))
        .take_while(|stop| stop.from < to)
        .map(|stop| stop.to.min(to) - stop.from.max(from))
        .fold(0.0, f64::max)
}
