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
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut telling = 0;
    for path in legs {
        let lasted = path.last()?.t - path.first()?.t;
        if lasted < 5.0 * rules.shortest_steady_s {
            continue;
        }
        telling += 1;
        shares_of_speed(path, &mut points);
    }
    if telling < FEWEST_TELLING {
        return None;
    }
    let binned = bins(&points);
    let (mut best, mut least) = (None, f64::INFINITY);
    let mut distance_m = SETTLING_DISTANCES_M.0;
    while distance_m <= SETTLING_DISTANCES_M.1 {
        let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
        for bin in &binned {
            let x = (-bin.distance / distance_m).exp();
            let y = 1.0 - bin.share;
            xy += bin.weight * x * y;
            xx += bin.weight * x * x;
            yy += bin.weight * y * y;
        }
        let missing = if xx > 0.0 { xy / xx } else { 0.0 };
        let misfit = yy - missing * xy;
        if misfit < least {
            least = misfit;
            best = Some(Settling {
                distance_m,
                missing_at_start: missing.clamp(0.0, MOST_MISSING),
            });
        }
        distance_m *= 1.05;
    }
    best
}

/// Fewest legs from which a settling may be read.
const FEWEST_TELLING: usize = 3;

/// Settling distances searched, metres: a canoe to a heavy launch.
const SETTLING_DISTANCES_M: (f64, f64) = (2.0, 60.0);

/// Step of the even sampling for the settling, s.
const SAMPLE_S: f64 = 5.0;

/// Speeds along one leg as shares of the speed of its second half, with the distance run.
fn shares_of_speed(path: &[PathPoint], into: &mut Vec<(f64, f64)>) {
    let Some(course) = Motion::fit(path).and_then(|m| m.course()) else {
        return;
    };
    let sampled = Sampled::new(path, SAMPLE_S);
    let (east, north) = course.unit();
    let along: Vec<f64> = sampled
        .points
        .iter()
        .map(|p| p.east * east + p.north * north)
        .collect();
    let half = along.len() / 2;
    let (Some(first), Some(middle), Some(last)) = (along.first(), along.get(half), along.last())
    else {
        return;
    };
    let steps = (along.len() - 1 - half) as f64;
    let later = (last - middle) / steps.max(1.0);
    if later <= 0.0 {
        return;
    }
    for pair in along.windows(2) {
        let distance = f64::midpoint(pair[0], pair[1]) - first;
        into.push((distance.max(0.0), (pair[1] - pair[0]) / later));
    }
}

struct Bin {
    distance: f64,
    share: f64,
    weight: f64,
}

/// Medians over distance bins, so that one leg's gust or slip does not bend the curve.
fn bins(points: &[(f64, f64)]) -> Vec<Bin> {
    const WIDTH_M: f64 = 6.0;
    const COUNT: usize = 40;
    let mut sorted: Vec<Vec<f64>> = vec![Vec::new(); COUNT];
    for (distance, share) in points {
        if let Some(bin) = sorted.get_mut((distance / WIDTH_M) as usize) {
            bin.push(*share);
        }
    }
    sorted
        .into_iter()
        .enumerate()
        .filter_map(|(index, shares)| {
            Some(Bin {
                distance: (index as f64 + 0.5) * WIDTH_M,
                weight: shares.len() as f64,
                share: median(&shares)?,
            })
        })
        .collect()
}
