//! Legs that would hide each other, side by side within a few degrees.

use super::{PLOT, RADIUS};
use crate::analysis::Leg;
use crate::plotter::day::{self, Day};
use crate::plotter::place::Pt;
use crate::plotter::sheet::Scale;
use crate::plotter::spread::spread;
use crate::units::Bearing;

/// Legs nearer to each other than this, in units of the chart, are drawn side by side.
const SIDE_BY_SIDE: f64 = 8.5;
/// No leg stands further from its own course than this, degrees: what a boat steered by hand keeps to
/// (common practice, no source), so that no mark seems to be on another course.
const FARTHEST_DEG: f64 = 4.0;
/// The same in units of the chart.
const FARTHEST: f64 = FARTHEST_DEG * (PLOT.right - PLOT.left) / 360.0;

/// One leg on the chart.
pub(crate) struct LegSpot {
    /// Its number.
    pub(crate) leg: usize,
    /// Place of its setting in order.
    pub(crate) setting: usize,
    /// Whether it counts in the comparison.
    pub(crate) included: bool,
    /// Where course and speed put it.
    pub(crate) at: Pt,
    /// Upper and lower end of its interval.
    pub(crate) bar: Option<[f64; 2]>,
}

impl LegSpot {
    /// A leg; none where course or speed is not known.
    pub(crate) fn of(day: &Day, scale: &Scale, leg: &Leg) -> Option<Self> {
        let course = Bearing::new(leg.course_deg)?;
        let bar = day::leg_interval(leg)
            .map(|[low, high]| [scale.y(day.speed(high)), scale.y(day.speed(low))]);
        Some(Self {
            leg: leg.leg,
            setting: leg.setting.as_deref().map_or(0, |name| day.setting(name)),
            included: leg.included,
            at: scale.at(course.degrees(), day.speed(day::leg_speed(leg)?)),
            bar,
        })
    }

    fn top(&self) -> f64 {
        self.bar
            .map_or(self.at.y, |bar| bar[0])
            .min(self.at.y - RADIUS)
    }

    fn bottom(&self) -> f64 {
        self.bar
            .map_or(self.at.y, |bar| bar[1])
            .max(self.at.y + RADIUS)
    }
}

/// Where legs stand that would hide each other: side by side, none further than [`FARTHEST_DEG`] from its course.
pub(crate) fn beside(spots: &[LegSpot]) -> Vec<f64> {
    let mut places: Vec<f64> = spots.iter().map(|s| s.at.x).collect();
    let mut seen = vec![false; spots.len()];
    for start in 0..spots.len() {
        // All that hide one another, directly or through others.
        let mut cluster = vec![start];
        let mut next = 0;
        while let Some(&k) = cluster.get(next) {
            next += 1;
            if seen.get(k).copied().unwrap_or(true) {
                continue;
            }
            if let Some(flag) = seen.get_mut(k) {
                *flag = true;
            }
            let near = (0..spots.len()).filter(|j| match (spots.get(k), spots.get(*j)) {
                (Some(a), Some(b)) => hide(a, b),
                _ => false,
            });
            cluster.extend(near.filter(|j| !seen.get(*j).copied().unwrap_or(true)));
        }
        cluster.sort_unstable();
        cluster.dedup();
        let wanted: Vec<f64> = cluster
            .iter()
            .filter_map(|k| spots.get(*k).map(|s| s.at.x))
            .collect();
        if wanted.len() < 2 {
            continue;
        }
        let gap = SIDE_BY_SIDE.min(2.0 * FARTHEST / (wanted.len() - 1) as f64);
        let moved = spread(&wanted, gap, [PLOT.left, PLOT.right]);
        for (k, x) in cluster.into_iter().zip(moved) {
            if let Some(place) = places.get_mut(k) {
                *place = x.clamp(*place - FARTHEST, *place + FARTHEST);
            }
        }
    }
    places
}

fn hide(a: &LegSpot, b: &LegSpot) -> bool {
    (a.at.x - b.at.x).abs() < SIDE_BY_SIDE && a.top() < b.bottom() && b.top() < a.bottom()
}
