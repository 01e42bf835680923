//! How long the runs of a line usually are, and what share of one a leg is.

use super::super::FoundLeg;
use super::super::double_runs::{DoubleRunRules, candidate};
use crate::geometry::ReversalRules;
use crate::stats::quantile::{median, median_absolute_deviation};
use crate::units::Bearing;

/// How long the runs of a line usually are.
#[derive(Debug, Clone, Copy)]
pub(super) struct Usual {
    /// Median duration, s.
    duration: f64,
    /// Median length, m.
    pub(super) length: f64,
    /// Whether durations agree much better than lengths, or the other way round.
    pub(super) kept: Kept,
}

/// What a person kept the same from run to run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kept {
    /// Runs by the clock.
    Duration,
    /// Runs between marks.
    Length,
    /// Cannot be told.
    Either,
}

/// Spreads this many times apart tell clock from marks. At one setting and without a current both
/// agree; two settings a fifth apart or more spread the other one. Source: our own simulated days.
const TOLD_APART: f64 = 3.0;

fn length(leg: &FoundLeg) -> f64 {
    leg.stretch.duration() * leg.stretch.motion.speed()
}

impl Usual {
    /// From the legs that have a neighbour to pair with.
    pub(super) fn of(
        usable: &[usize],
        legs: &[FoundLeg],
        axis: Bearing,
        rules: &DoubleRunRules,
        reversal: &ReversalRules,
    ) -> Option<Self> {
        let mut paired: Vec<usize> = usable
            .windows(2)
            .filter(|w| candidate([w[0], w[1]], legs, axis, rules, reversal).is_some())
            .flatten()
            .copied()
            .collect();
        paired.dedup();
        let values = |value: fn(&FoundLeg) -> f64| -> Vec<f64> {
            paired
                .iter()
                .filter_map(|m| legs.get(*m))
                .map(value)
                .collect()
        };
        let durations = values(|leg| leg.stretch.duration());
        let lengths = values(length);
        let (duration, length) = (median(&durations)?, median(&lengths)?);
        let spread = |values: &[f64], middle: f64| {
            median_absolute_deviation(values).map_or(0.0, |mad| mad / middle)
        };
        let (by_clock, by_marks) = (spread(&durations, duration), spread(&lengths, length));
        let kept = if by_clock * TOLD_APART < by_marks {
            Kept::Duration
        } else if by_marks * TOLD_APART < by_clock {
            Kept::Length
        } else {
            Kept::Either
        };
        Some(Self {
            duration,
            length,
            kept,
        })
    }

    /// What share of a usual run a leg is, with a curve onto the line that was run at its speed: a
    /// run steered to a mark may be cut there.
    pub(super) fn share_with_way_in(&self, index: usize, legs: &[FoundLeg]) -> f64 {
        let Some(leg) = legs.get(index) else {
            return 0.0;
        };
        let way_in = index
            .checked_sub(1)
            .and_then(|before| legs.get(before))
            .filter(|before| {
                let (a, b) = (&before.stretch, &leg.stretch);
                let faster = a.motion.speed() / b.motion.speed();
                b.start - a.end <= WAY_IN_WITHIN_S
                    && a.course.apart(b.course) < WAY_IN_OFF_DEG
                    && faster.ln().abs() < WAY_IN_ALIKE
            });
        let with = |value: fn(&FoundLeg) -> f64| value(leg) + way_in.map_or(0.0, value);
        self.share_of(with(|leg| leg.stretch.duration()), with(length))
    }

    /// What share of a usual run a leg is.
    pub(super) fn share(&self, leg: &FoundLeg) -> f64 {
        self.share_of(leg.stretch.duration(), length(leg))
    }

    fn share_of(&self, duration: f64, length: f64) -> f64 {
        let by_clock = duration / self.duration;
        let by_marks = length / self.length;
        match self.kept {
            Kept::Duration => by_clock,
            Kept::Length => by_marks,
            Kept::Either => by_clock.max(by_marks),
        }
    }
}

/// A curve onto the line ends within this of the run, s, turns by less than this, degrees, and is run
/// at its speed, on the log scale. Source: our own simulated days.
const WAY_IN_WITHIN_S: f64 = 15.0;
/// See [`WAY_IN_WITHIN_S`].
const WAY_IN_OFF_DEG: f64 = 12.0;
/// See [`WAY_IN_WITHIN_S`].
const WAY_IN_ALIKE: f64 = 0.1;
