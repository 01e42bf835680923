//! The approach: how far a boat runs after a turn until it has its speed again.
//!
//! A boat under constant thrust against a drag that grows with the square of
//! speed closes on its final speed as `v = v_end (1 - a exp(-x / L))` over the
//! distance run `x`, where the settling distance `L = m / 2K` is the boat's own
//! (mass over twice the drag coefficient) and the same at every setting: write
//! `m v dv/dx = T - K v²` and linearise about the end. So the speeds along all
//! legs, each as a share of its own leg's later speed, are laid over one another
//! and one curve is fitted.

use serde::Serialize;

use crate::geometry::{Motion, PathPoint, Sampled};
use crate::stats::quantile::median;

/// How the approach is told from the steady part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ApproachRules {
    /// The approach is over when the speed is within this share of its final value.
    /// Over a leg of ten settling distances 1 % left over at the start biases
    /// the fitted speed by less than 0.1 % (from the formula above).
    pub settled_within: f64,
    /// Shortest approach, s: heading holds take some seconds to steady. Where the track is too poor
    /// to tell how the boat settles, this is the approach.
    pub shortest_s: f64,
    /// Longest approach, s.
    pub longest_s: f64,
    /// Shortest steady part, s: two 10 s means. Legs five times as long tell of the settling.
    pub shortest_steady_s: f64,
}

impl ApproachRules {
    /// Shortest leg, s: less measures nothing once the approach is taken off.
    pub(super) fn shortest_leg_s(&self) -> f64 {
        self.shortest_s + self.shortest_steady_s
    }
}

impl Default for ApproachRules {
    fn default() -> Self {
        Self {
            settled_within: 0.01,
            shortest_s: 15.0,
            longest_s: 120.0,
            shortest_steady_s: 20.0,
        }
    }
}

/// How the boat gathers speed after a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// Distance in which the missing speed falls to 1/e, metres.
    pub distance_m: f64,
    /// Share of the final speed that is missing as a leg begins.
    pub missing_at_start: f64,
}

impl Settling {
    /// Seconds until the speed is within `share` of `speed_m_s`.
    pub fn seconds_until(&self, share: f64, speed_m_s: f64) -> f64 {
        if self.missing_at_start <= share || speed_m_s <= 0.0 {
            return 0.0;
        }
        // dt = dx / v with v from the curve: the distance at full speed plus what
        // the slower start takes longer, summed as a logarithm.
        let distance = self.distance_m * (self.missing_at_start / share).ln();
        let late = self.distance_m
            * ((1.0 - share) / (1.0 - self.missing_at_start.min(MOST_MISSING))).ln();
        (distance + late) / speed_m_s
    }
}

/// A boat that starts a leg from rest: the curve's logarithm needs a bound.
const MOST_MISSING: f64 = 0.95;

/// Fits the settling over all telling legs; `None` where fewer than three tell or no curve shows.
pub fn settling(legs: &[Vec<PathPoint>], rules: &ApproachRules) -> Option<Settling> {
    /// Settling distances searched, a canoe to a heavy launch, m; each so much longer than the last.
    const DISTANCES_M: (f64, f64) = (2.0, 60.0);
    const LONGER: f64 = 1.05;
    let long = |path: &&Vec<PathPoint>| {
        let ends = path.first().zip(path.last());
        ends.is_some_and(|(a, b)| b.t - a.t >= 5.0 * rules.shortest_steady_s)
    };
    let telling: Vec<Vec<(f64, f64)>> = (legs.iter().filter(long))
        .map(|path| shares_of_speed(path).unwrap_or_default())
        .collect();
    if telling.len() < 3 {
        return None;
    }
    let binned = bins(&telling.concat());
    let fit = |distance_m: f64| {
        let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
        for (distance, missing, weight) in &binned {
            let x = (-distance / distance_m).exp();
            xy += weight * x * missing;
            xx += weight * x * x;
            yy += weight * missing * missing;
        }
        let missing = if xx > 0.0 { xy / xx } else { 0.0 };
        let fitted = Settling {
            distance_m,
            missing_at_start: missing.clamp(0.0, MOST_MISSING),
        };
        (yy - missing * xy, fitted)
    };
    std::iter::successors(Some(DISTANCES_M.0), |d| Some(d * LONGER))
        .take_while(|d| *d <= DISTANCES_M.1)
        .map(fit)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, fitted)| fitted)
}

/// Speeds along one leg as shares of the speed of its second half, with the distance run.
fn shares_of_speed(path: &[PathPoint]) -> Option<Vec<(f64, f64)>> {
    const SAMPLE_S: f64 = 5.0;
    let (east, north) = Motion::fit(path)?.course()?.unit();
    let sampled = Sampled::new(path, SAMPLE_S);
    let along = sampled
        .points
        .iter()
        .map(|p| p.east * east + p.north * north);
    let along: Vec<f64> = along.collect();
    let half = along.len() / 2;
    let first = along.first()?;
    let later = (along.last()? - along.get(half)?) / (along.len() - 1 - half).max(1) as f64;
    let share = |pair: &[f64]| {
        let distance = f64::midpoint(pair[0], pair[1]) - first;
        (distance.max(0.0), (pair[1] - pair[0]) / later)
    };
    (later > 0.0).then(|| along.windows(2).map(share).collect())
}

/// Distance, missing share of the speed, and how many say so: medians over bins of the distance, so
/// that one leg's gust or slip does not bend the curve.
fn bins(points: &[(f64, f64)]) -> Vec<(f64, f64, f64)> {
    const WIDTH_M: f64 = 6.0;
    const COUNT: usize = 40;
    let mut sorted: Vec<Vec<f64>> = vec![Vec::new(); COUNT];
    for (distance, share) in points {
        if let Some(bin) = sorted.get_mut((distance / WIDTH_M) as usize) {
            bin.push(*share);
        }
    }
    let of = |(shares, index): (&Vec<f64>, usize)| {
        let middle = (index as f64 + 0.5) * WIDTH_M;
        Some((middle, 1.0 - median(shares)?, shares.len() as f64))
    };
    sorted.iter().zip(0..).filter_map(of).collect()
}
