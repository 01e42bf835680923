//! Spans of time, and speeds without a gap.

use jiff::Timestamp;

use crate::plotter::day::{self, Day};
use crate::units::seconds;

/// Speeds further apart in time than this many of their usual steps are not joined.
const GAP_STEPS: f64 = 3.0;
/// Nor are speeds further apart than this, whatever their usual step, seconds; and none nearer than
/// this counts as a gap: the means are over 10 s.
pub(crate) const LEAST_GAP_S: f64 = 30.0;

/// A span of time, Unix seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    /// From.
    pub(crate) from: f64,
    /// To.
    pub(crate) to: f64,
}

impl Span {
    /// Between two times.
    pub(crate) fn between(from: Timestamp, to: Timestamp) -> Self {
        Self {
            from: seconds(from),
            to: seconds(to),
        }
    }

    /// The part inside another; none where there is none.
    pub(crate) fn within(self, other: Self) -> Option<Self> {
        let both = Self {
            from: self.from.max(other.from),
            to: self.to.min(other.to),
        };
        (both.from < both.to).then_some(both)
    }

    /// Seconds.
    pub(crate) fn length(self) -> f64 {
        self.to - self.from
    }

    /// From the first to the last of some times; none where there are none.
    pub(crate) fn round(times: impl Iterator<Item = f64>) -> Option<Self> {
        let [from, to] = times.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], t| {
            [low.min(t), high.max(t)]
        });
        (from <= to).then_some(Self { from, to })
    }

    /// At least a minute long, with some time round it.
    pub(crate) fn padded(self, share: f64) -> Self {
        let pad = (self.length() * share).max(30.0);
        Self {
            from: self.from - pad,
            to: self.to + pad,
        }
    }
}

/// Times (Unix seconds) and speeds (m/s) in runs without a gap.
pub(crate) fn unbroken(day: &Day) -> Vec<Vec<(f64, f64)>> {
    let speeds: Vec<(f64, f64)> = day
        .analysis
        .trail()
        .speeds
        .iter()
        .filter(|s| day::drawable(s.speed_m_s))
        .map(|s| (seconds(s.time), s.speed_m_s))
        .collect();
    let mut steps: Vec<f64> = speeds
        .windows(2)
        .filter_map(|w| Some(w.get(1)?.0 - w.first()?.0))
        .collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(LEAST_GAP_S);
    let gap = (usual * GAP_STEPS).max(LEAST_GAP_S);
    let mut runs: Vec<Vec<(f64, f64)>> = Vec::new();
    for point in speeds {
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|last| point.0 - last.0 <= gap) => run.push(point),
            _ => runs.push(vec![point]),
        }
    }
    runs
}
