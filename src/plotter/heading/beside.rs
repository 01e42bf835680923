//! Legs that would hide each other, side by side.
//!
//! A few are moved apart by so little that none seems to be on another course. More of them stand side by
//! side in order of time over a bracket, whose tick points to the course they were all run on.

use super::RADIUS;
use crate::day::Leg;
use crate::plotter::day::{self, Day};
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::Scale;
use crate::plotter::spread::spread;
use crate::units::Bearing;

/// Legs nearer to each other than this, in units of the chart, are drawn side by side.
const SIDE_BY_SIDE: f64 = 8.5;
/// Without a bracket no leg stands further from its own course than this, degrees: what a boat steered by
/// hand keeps to (common practice, no source), so that no mark seems to be on another course.
const FARTHEST_DEG: f64 = 4.0;
/// With a bracket half of it is no longer than this, degrees: half the way to the next point of the
/// compass with a name.
const BRACKET_DEG: f64 = 22.5;
/// How far below the legs their bracket lies, units of the chart.
const BELOW: f64 = 5.0;

/// Degrees in units of the chart.
fn units(plot: Area, degrees: f64) -> f64 {
    degrees * plot.width() / 360.0
}

/// A bracket under legs of one course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bracket {
    /// Its ends.
    pub(crate) from: f64,
    /// See [`Self::from`].
    pub(crate) to: f64,
    /// Where its tick points: the mean course of the legs.
    pub(crate) course: f64,
    /// How far down it lies.
    pub(crate) y: f64,
}

/// Where legs are drawn.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Places {
    /// Of each leg, in units of the chart from the left.
    pub(crate) x: Vec<f64>,
    /// Under those that stand off their course.
    pub(crate) brackets: Vec<Bracket>,
}

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

/// Where legs stand that would hide each other.
pub(crate) fn beside(spots: &[LegSpot], plot: Area) -> Places {
    let mut places = Places {
        x: spots.iter().map(|s| s.at.x).collect(),
        brackets: Vec::new(),
    };
    for cluster in clusters(spots) {
        let own: Vec<&LegSpot> = cluster.iter().filter_map(|k| spots.get(*k)).collect();
        let wanted: Vec<f64> = own.iter().map(|s| s.at.x).collect();
        let gaps = (wanted.len() - 1) as f64;
        if gaps * SIDE_BY_SIDE <= 2.0 * units(plot, FARTHEST_DEG) {
            let moved = spread(&wanted, SIDE_BY_SIDE, [plot.left, plot.right]);
            for (k, x) in cluster.into_iter().zip(moved) {
                if let Some(place) = places.x.get_mut(k) {
                    *place = x.clamp(
                        *place - units(plot, FARTHEST_DEG),
                        *place + units(plot, FARTHEST_DEG),
                    );
                }
            }
            continue;
        }
        // Clusters are in order of the legs, which is that of time.
        let gap = SIDE_BY_SIDE.min(2.0 * units(plot, BRACKET_DEG) / gaps);
        let course = wanted.iter().sum::<f64>() / wanted.len() as f64;
        let half = gap * gaps / 2.0;
        let middle = course.clamp(plot.left + half, plot.right - half);
        for (step, k) in cluster.iter().enumerate() {
            if let Some(place) = places.x.get_mut(*k) {
                *place = middle - half + gap * step as f64;
            }
        }
        let lowest = own.iter().map(|s| s.bottom()).fold(0.0, f64::max);
        places.brackets.push(Bracket {
            from: middle - half,
            to: middle + half,
            course,
            y: (lowest + BELOW).min(plot.bottom - 2.0),
        });
    }
    places
}

/// Legs that hide one another, directly or through others; none of a single leg.
fn clusters(spots: &[LegSpot]) -> Vec<Vec<usize>> {
    let mut out = Vec::new();
    let mut seen = vec![false; spots.len()];
    for start in 0..spots.len() {
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
        if cluster.len() > 1 {
            out.push(cluster);
        }
    }
    out
}

fn hide(a: &LegSpot, b: &LegSpot) -> bool {
    (a.at.x - b.at.x).abs() < SIDE_BY_SIDE && a.top() < b.bottom() && b.top() < a.bottom()
}
