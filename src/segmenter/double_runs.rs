//! Pairs legs there and back into double runs.
//!
//! On each line the legs are taken in order of time. Two neighbours may pair
//! when they run opposite ways over the same water with no more than a turn
//! between them. Which neighbours do pair is decided for the whole line at once,
//! by the least total cost: a leg left alone costs one; a pair costs little
//! where its two speeds differ by no more than the drift along the line
//! explains, and more than two legs alone where they must be two settings.

use serde::Serialize;

use super::FoundLeg;
use super::no_runs::no_runs;
use crate::geometry::{Line, Relation, ReversalRules, relation};
use crate::stats::quantile::median;
use crate::units::Bearing;

/// When two legs are one double run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubleRunRules {
    /// Longest time between the end of one leg and the start of the way back, s:
    /// a turn takes a minute, and a pause to note a figure a few (common practice, no source).
    pub longest_turn_s: f64,
    /// The longer leg is at most this many times the shorter, in time or in length.
    pub longer_ratio: f64,
    /// A leg of less than this share of its line's other legs was broken off: in time where they
    /// agree in time, in length where they agree in length, else in both.
    pub broken_off_share: f64,
    /// And one of less than this share where a way back and a whole run the same way follow it.
    pub begun_again_share: f64,
    /// A leg after a broken-off one, the other way, of less than this share of the others, is a way
    /// back to begin again. Source: our own simulated days.
    pub way_back_share: f64,
    /// Or one this much slower than the run before, and on another heading: nobody goes back at full
    /// power. Runs at one setting scatter by half as much. Source: our own simulated days.
    pub way_back_speed: f64,
    /// Runs of one direction keep one heading; a leg off it by more than this, degrees, is a way
    /// back to the start of another. Courses of such runs scatter by 1-3 degrees. Source: our own simulated days.
    pub same_heading_deg: f64,
    /// Fewest legs in one direction that have a usual heading.
    pub fewest_for_heading: usize,
    /// Half differences of one line scatter by this share of the speed; a pair of two
    /// settings stands out by several of these. Source: our own simulated days.
    pub drift_scatter: f64,
    /// Pairs within this time of one another share one drift, s: a tide changes little in it.
    pub same_drift_s: f64,
    /// A single pair whose axis no other pair shares within this, degrees, is not part of a trial
    /// that has two pairs or more.
    pub same_axis_deg: f64,
    /// The first or last pair is not part of a trial of more than
    /// [`Self::fewest_for_lonely`] pairs where its speed has this ratio to every other ...
    pub lonely_ratio: f64,
    /// ... and each of those has one within this ratio: fishing there and back at a crawl.
    /// Source: our own simulated days.
    pub company_ratio: f64,
    /// See [`Self::lonely_ratio`].
    pub fewest_for_lonely: usize,
}

impl Default for DoubleRunRules {
    fn default() -> Self {
        Self {
            longest_turn_s: 300.0,
            longer_ratio: 2.2,
            broken_off_share: 0.6,
            begun_again_share: 0.7,
            way_back_share: 0.92,
            way_back_speed: 0.94,
            same_heading_deg: 7.0,
            fewest_for_heading: 4,
            drift_scatter: 0.07,
            same_drift_s: 2400.0,
            same_axis_deg: 25.0,
            lonely_ratio: 1.15,
            company_ratio: 1.08,
            fewest_for_lonely: 4,
        }
    }
}

/// Two legs there and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundDoubleRun {
    /// Indices of the legs, in order of time.
    pub legs: [usize; 2],
    /// Index of the line.
    pub line: usize,
    /// Direction of the line, `[0, 180)` degrees.
    pub axis: Bearing,
    /// Speed of the leg that runs along the axis, m/s.
    pub along: f64,
    /// Speed of the leg that runs against it, m/s.
    pub against: f64,
    /// Whether the first leg ran along the axis.
    pub first_along: bool,
    /// Start of the first leg, s.
    pub start: f64,
    /// End of the second, s.
    pub end: f64,
}

impl FoundDoubleRun {
    /// Mean of the two speeds, m/s.
    pub fn mean(&self) -> f64 {
        f64::midpoint(self.along, self.against)
    }

    /// Root mean square of the two speeds, m/s.
    pub fn root_mean_square(&self) -> f64 {
        f64::midpoint(self.along.powi(2), self.against.powi(2)).sqrt()
    }

    /// The two speeds in order of time, m/s.
    pub fn speeds_in_order(&self) -> [f64; 2] {
        if self.first_along {
            [self.along, self.against]
        } else {
            [self.against, self.along]
        }
    }

    /// Half the difference of the two speeds, m/s, positive along the axis.
    pub fn half_difference(&self) -> f64 {
        (self.along - self.against) / 2.0
    }

    /// Middle of the double run, s.
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.start, self.end)
    }
}

/// Finds the double runs of all lines, in order of time, and leaves out legs that were broken off.
pub fn find_double_runs(
    legs: &mut [FoundLeg],
    lines: &[Line],
    rules: &DoubleRunRules,
    reversal: &ReversalRules,
) -> Vec<FoundDoubleRun> {
    let mut found: Vec<FoundDoubleRun> = Vec::new();
    for (line_index, line) in lines.iter().enumerate() {
        let no_runs = no_runs(&line.members, legs, line.axis, rules, reversal);
        for no_run in no_runs {
            if let Some(leg) = legs.get_mut(no_run.leg) {
                leg.left_out = Some(no_run.reason);
            }
        }
        let whole: Vec<usize> = line
            .members
            .iter()
            .copied()
            .filter(|m| legs.get(*m).is_some_and(FoundLeg::is_usable))
            .collect();
        let pair = |first: usize, second: usize| {
            let mut pair = candidate([first, second], legs, line.axis, rules, reversal)?;
            pair.line = line_index;
            Some(pair)
        };
        let pairs = Pairs {
            next: whole.windows(2).map(|w| pair(w[0], w[1])).collect(),
            over_one: whole.windows(3).map(|w| pair(w[0], w[2])).collect(),
        };
        found.extend(cheapest(&pairs, rules));
    }
    found.sort_by(|a, b| a.start.total_cmp(&b.start));
    without_strays(found, rules)
}

/// Two legs as a double run, where they may be one; its line is not set yet.
pub(super) fn candidate(
    pair: [usize; 2],
    legs: &[FoundLeg],
    axis: Bearing,
    rules: &DoubleRunRules,
    reversal: &ReversalRules,
) -> Option<FoundDoubleRun> {
    let [first, second] = [legs.get(pair[0])?, legs.get(pair[1])?];
    let (a, b) = (&first.stretch, &second.stretch);
    // What was run in between and left out, a leg broken off for one, is no pause.
    let between: f64 = legs
        .get(pair[0] + 1..pair[1])
        .unwrap_or_default()
        .iter()
        .map(|leg| leg.stretch.duration())
        .sum();
    let turn = b.start - a.end - between;
    // Legs between two marks differ in time where the water runs, legs by the clock in length.
    let length = |s: &crate::geometry::Stretch| s.duration() * s.motion.speed();
    let unlike = |a: f64, b: f64| a.max(b) / a.min(b);
    let ratio = unlike(a.duration(), b.duration()).min(unlike(length(a), length(b)));
    if turn > rules.longest_turn_s
        || ratio > rules.longer_ratio
        || relation(a, b, reversal) != Relation::Reversed
    {
        return None;
    }
    let speeds = [first.measured?.speed, second.measured?.speed];
    let first_along = a.course.apart(axis) <= 90.0;
    let [along, against] = if first_along {
        speeds
    } else {
        [speeds[1], speeds[0]]
    };
    Some(FoundDoubleRun {
        legs: pair,
        line: 0,
        axis,
        along,
        against,
        first_along,
        start: a.start,
        end: b.end,
    })
}

/// What may pair with what among the legs of a line, in order of time.
struct Pairs {
    /// Each leg with the next.
    next: Vec<Option<FoundDoubleRun>>,
    /// Each leg with the next but one: a stretch adrift, or half of a run that a hole in the
    /// record cut in two, may lie between.
    over_one: Vec<Option<FoundDoubleRun>>,
}

/// The cheapest choice among the pairs, no leg being used twice.
///
/// Between two series a boat often runs back along the line to where it began; that
/// leg would pair as well as any other. But people begin their double runs at the
/// same end, so both ends are tried, and pairs that begin at the other cost extra.
fn cheapest(pairs: &Pairs, rules: &DoubleRunRules) -> Vec<FoundDoubleRun> {
    let [along, against] = [true, false].map(|first_along| {
        let costs = |own: &[Option<FoundDoubleRun>]| -> Vec<f64> {
            own.iter()
                .map(|pair| {
                    pair.map_or(f64::INFINITY, |p| {
                        let end = if p.first_along == first_along {
                            0.0
                        } else {
                            OTHER_END
                        };
                        cost(&p, &pairs.next, rules) + end
                    })
                })
                .collect()
        };
        chosen(pairs, &costs(&pairs.next), &costs(&pairs.over_one))
    });
    if along.1 <= against.1 {
        along.0
    } else {
        against.0
    }
}

/// What a leg left alone costs, the unit of all costs.
const ALONE: f64 = 1.0;

/// What a double run costs that begins at the other end than the rest.
const OTHER_END: f64 = 0.4;

/// What a double run costs besides that has another leg between its two.
const OVER_ONE: f64 = 0.5;

/// The choice of least cost, and that cost.
fn chosen(pairs: &Pairs, next: &[f64], over_one: &[f64]) -> (Vec<FoundDoubleRun>, f64) {
    // least[n]: cheapest for the first n legs; took[n]: how many of the last of them are a double run.
    let legs = pairs.next.len() + 1;
    let mut least = vec![0.0; legs + 1];
    let mut took = vec![1; legs + 1];
    for n in 1..=legs {
        let with = |legs: usize, costs: &[f64], more: f64| {
            let at = n.checked_sub(legs)?;
            Some(least.get(at)? + costs.get(at)? + more)
        };
        let options = [
            (1, least.get(n - 1).map(|cost| cost + ALONE)),
            (2, with(2, next, 0.0)),
            (3, with(3, over_one, ALONE + OVER_ONE)),
        ];
        let best = options
            .into_iter()
            .filter_map(|(legs, cost)| Some((legs, cost?)))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        if let (Some(slot), Some(legs), Some(best)) = (least.get_mut(n), took.get_mut(n), best) {
            *slot = best.1;
            *legs = best.0;
        }
    }
    let mut chosen = Vec::new();
    let mut n = legs;
    while n > 0 {
        let legs = took.get(n).copied().unwrap_or(1);
        n = n.saturating_sub(legs);
        let pair = match legs {
            2 => pairs.next.get(n),
            3 => pairs.over_one.get(n),
            _ => None,
        };
        chosen.extend(pair.copied().flatten());
    }
    chosen.reverse();
    (chosen, least.last().copied().unwrap_or(0.0))
}

/// How unlike one double run a pair is; two legs left alone cost two.
fn cost(pair: &FoundDoubleRun, all: &[Option<FoundDoubleRun>], rules: &DoubleRunRules) -> f64 {
    let near: Vec<f64> = all
        .iter()
        .flatten()
        .filter(|other| (other.middle() - pair.middle()).abs() <= rules.same_drift_s)
        .map(FoundDoubleRun::half_difference)
        .collect();
    let usual = median(&near).unwrap_or_else(|| pair.half_difference());
    let strange = (pair.half_difference() - usual) / (pair.mean() * rules.drift_scatter);
    0.1 + (strange * strange / 4.0).min(10.0)
}

/// Leaves out single pairs on a heading of their own, where the day has a trial elsewhere, and a
/// pair before or after the trial at a speed that none of it has.
fn without_strays(found: Vec<FoundDoubleRun>, rules: &DoubleRunRules) -> Vec<FoundDoubleRun> {
    let company = |run: &FoundDoubleRun| {
        found
            .iter()
            .filter(|other| {
                let apart = other.axis.apart(run.axis);
                apart.min(180.0 - apart) <= rules.same_axis_deg
            })
            .count()
    };
    let company: Vec<usize> = found.iter().map(company).collect();
    let most = company.iter().copied().max().unwrap_or(0);
    let mut kept: Vec<FoundDoubleRun> = found
        .into_iter()
        .zip(company)
        .filter(|(_, n)| *n >= 2 || most < 2)
        .map(|(run, _)| run)
        .collect();
    while is_lonely(&kept, 0, rules) {
        kept.remove(0);
    }
    while is_lonely(&kept, kept.len().saturating_sub(1), rules) {
        kept.pop();
    }
    kept
}

/// Whether a double run has a speed far from all others, which have one another's.
fn is_lonely(runs: &[FoundDoubleRun], index: usize, rules: &DoubleRunRules) -> bool {
    // To the nearest of the others, as a ratio.
    let nearest = |index: usize, but: Option<usize>| -> f64 {
        let Some(run) = runs.get(index) else {
            return 1.0;
        };
        runs.iter()
            .enumerate()
            .filter(|(other, _)| *other != index && Some(*other) != but)
            .map(|(_, other)| (other.mean() / run.mean()).ln().abs().exp())
            .fold(f64::INFINITY, f64::min)
    };
    runs.len() > rules.fewest_for_lonely
        && nearest(index, None) > rules.lonely_ratio
        && (0..runs.len())
            .filter(|other| *other != index)
            .all(|other| nearest(other, Some(index)) < rules.company_ratio)
}
