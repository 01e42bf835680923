//! Legs on a line that are no runs of the trial: those broken off, and ways back to the start.

mod beside;
mod usual;

use beside::{is_else_a_run, reaches_the_mark};
use usual::Usual;

use super::double_runs::DoubleRunRules;
use super::{FoundLeg, LeftOut};
use crate::geometry::ReversalRules;
use crate::stats::quantile::{median, median_absolute_deviation};
use crate::units::Bearing;

/// A leg that is no run, and why.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NoRun {
    /// Index of the leg.
    pub leg: usize,
    /// Why.
    pub reason: LeftOut,
}

/// The legs among `members` of one line, in order of time, that are no runs.
pub(super) fn no_runs(
    members: &[usize],
    legs: &[FoundLeg],
    axis: Bearing,
    rules: &DoubleRunRules,
    reversal: &ReversalRules,
) -> Vec<NoRun> {
    let usable = |m: &usize| legs.get(*m).is_some_and(FoundLeg::is_usable);
    let leading = leading(members, legs);
    let members: Vec<usize> = (members.iter().copied())
        .filter(|m| !leading.contains(m))
        .collect();
    let mut out: Vec<NoRun> = (leading.into_iter())
        .map(|leg| NoRun {
            leg,
            reason: LeftOut::OnlyLeads,
        })
        .collect();
    let mut rest: Vec<usize> = members.iter().copied().filter(usable).collect();
    let Some(usual) = Usual::of(&rest, legs, axis, rules, reversal) else {
        return out;
    };
    let short = |m: usize| {
        legs.get(m).is_some_and(|leg| {
            !leg.cut
                && usual.share_with_way_in(m, legs) < rules.broken_off_share
                && !reaches_the_mark(m, &rest, legs, axis, &usual)
        })
    };
    for leg in rest.iter().copied().filter(|m| short(*m)) {
        out.push(NoRun {
            leg,
            reason: LeftOut::BrokenOff,
        });
    }
    for (leg, reason) in ways_back(&members, legs, &usual, rules) {
        if usable(&leg) && out.iter().all(|no_run| no_run.leg != leg) {
            out.push(NoRun { leg, reason });
        }
    }
    rest.retain(|m| out.iter().all(|no_run| no_run.leg != *m));
    for leg in askew(&rest, legs, axis, &usual, rules) {
        out.push(NoRun {
            leg,
            reason: LeftOut::Askew,
        });
    }
    out
}

/// Two legs the same way with so little between them, s, are no two runs of a pair each: the
/// boat did not come back in between. Source: our own simulated days.
const LEADS_WITHIN_S: f64 = 40.0;

/// And the first is no run at all where it lasts less than this share of the other: it is the way
/// onto the line after a turn. Two settings run in one pass last alike.
const LEADING_SHARE: f64 = 0.65;

/// And the way onto a line is run no faster than the run by more than this ratio: what goes over
/// into a slower stretch is a run before the fishing. Source: our own simulated days.
const LEADING_FASTER: f64 = 1.2;

/// Short legs that only lead into the next one the same way, where that is no longer than a run.
fn leading(members: &[usize], legs: &[FoundLeg]) -> Vec<usize> {
    let durations: Vec<f64> = (members.iter())
        .filter_map(|m| legs.get(*m))
        .filter(|leg| leg.is_usable())
        .map(|leg| leg.stretch.duration())
        .collect();
    let Some(usual) = median(&durations) else {
        return Vec::new();
    };
    members
        .windows(2)
        .filter(|w| {
            let (Some(a), Some(b)) = (legs.get(w[0]), legs.get(w[1])) else {
                return false;
            };
            let (a, b) = (&a.stretch, &b.stretch);
            (LEADING_OFF_DEG..90.0).contains(&a.course.apart(b.course))
                && b.start - a.end <= LEADS_WITHIN_S
                && a.duration() < LEADING_SHARE * b.duration()
                && a.motion.speed() < LEADING_FASTER * b.motion.speed()
                && b.duration() < LONGEST_RUN * usual
        })
        .map(|w| w[0])
        .collect()
}

/// And where its course is off that of the other by more than this, degrees: a leg is cut in two on
/// one course where the speed changed, and then either may be the run. Source: our own simulated days.
const LEADING_OFF_DEG: f64 = 8.0;

/// A leg of more than this many times the usual time is no run of the trial, but a way to or from it.
const LONGEST_RUN: f64 = 1.8;

/// Legs that only bring the boat back to begin a broken-off run again: right after one, the other
/// way, followed by a longer one the same way as that; and themselves shorter than a run, or slower
/// and on another heading than the run before.
fn ways_back(
    members: &[usize],
    legs: &[FoundLeg],
    usual: &Usual,
    rules: &DoubleRunRules,
) -> Vec<(usize, LeftOut)> {
    let opposite = |a: &FoundLeg, b: &FoundLeg| a.stretch.course.apart(b.stretch.course) > 90.0;
    let at_once =
        |a: &FoundLeg, b: &FoundLeg| b.stretch.start - a.stretch.end <= rules.longest_turn_s;
    // A run is begun again at the setting it was broken off at; a stretch adrift was no run.
    let alike = |a: &FoundLeg, b: &FoundLeg| {
        let ratio = a.stretch.motion.speed() / b.stretch.motion.speed();
        ratio.ln().abs() < BEGUN_AGAIN_ALIKE
    };
    let whole_share = |at: usize| {
        members
            .get(at)
            .map_or(0.0, |m| usual.share_with_way_in(*m, legs))
    };
    let own: Vec<&FoundLeg> = members.iter().filter_map(|m| legs.get(*m)).collect();
    let is_way_back = |at: usize| -> Option<bool> {
        let [broken, back, again] = [own.get(at)?, own.get(at + 1)?, own.get(at + 2)?];
        let share = usual.share(back);
        let like_a_run = [at.checked_sub(1), Some(at + 3)]
            .into_iter()
            .flatten()
            .filter_map(|other| own.get(other))
            .any(|run| {
                !opposite(run, back)
                    && back.stretch.motion.speed() > LIKE_A_RUN * run.stretch.motion.speed()
                    && back.stretch.course.apart(run.stretch.course) < WAY_BACK_OFF_DEG
            });
        let short = share < rules.way_back_share
            && share * LONGER_AGAIN < usual.share(again)
            && !(share > LIKE_A_RUN_SHARE && like_a_run);
        let idle = at
            .checked_sub(1)
            .and_then(|before| own.get(before))
            .is_some_and(|before| {
                !opposite(before, back)
                    && back.stretch.motion.speed()
                        < rules.way_back_speed * before.stretch.motion.speed()
                    && back.stretch.course.apart(before.stretch.course) > WAY_BACK_OFF_DEG
            });
        Some(
            whole_share(at) < rules.begun_again_share
                && (short || idle)
                && alike(broken, again)
                && opposite(broken, back)
                && opposite(back, again)
                && at_once(broken, back)
                && at_once(back, again),
        )
    };
    let mut out = Vec::new();
    let mut at = 0;
    while at < members.len() {
        if is_way_back(at) == Some(true) {
            out.extend(members.get(at).copied().map(|m| (m, LeftOut::BrokenOff)));
            out.extend(members.get(at + 1).copied().map(|m| (m, LeftOut::WayBack)));
            // The way back is no broken-off run, however short it is.
            at += 1;
        }
        at += 1;
    }
    out
}

/// Speeds of a run broken off and of the same run begun again differ by less than this, on the log
/// scale. Source: our own simulated days.
const BEGUN_AGAIN_ALIKE: f64 = 0.15;

/// A way back goes to a place and not along the line: its course is off by more than this,
/// degrees. Source: our own simulated days.
const WAY_BACK_OFF_DEG: f64 = 2.5;

/// What lasts most of a run, this share, at no less than this share of the speed of a neighbouring
/// run and on its course is a run. Source: our own simulated days.
const LIKE_A_RUN_SHARE: f64 = 0.75;
/// See [`LIKE_A_RUN_SHARE`].
const LIKE_A_RUN: f64 = 0.97;

/// The run begun again is longer than the way back by at least this ratio: runs on one line are
/// alike within a few percent. Source: our own simulated days.
const LONGER_AGAIN: f64 = 1.06;

/// Legs whose course is off that of the others in their direction: ways back to the start.
fn askew(
    whole: &[usize],
    legs: &[FoundLeg],
    axis: Bearing,
    run: &Usual,
    rules: &DoubleRunRules,
) -> Vec<usize> {
    let mut out = Vec::new();
    for direction in [axis, axis.reciprocal()] {
        let own: Vec<(usize, f64)> = whole
            .iter()
            .filter_map(|m| {
                Some((
                    *m,
                    direction.turn_to(legs.get(*m)?.stretch.course).degrees(),
                ))
            })
            .filter(|(_, off)| off.abs() <= 90.0)
            .collect();
        if own.len() < rules.fewest_for_heading {
            continue;
        }
        let offs: Vec<f64> = own.iter().map(|(_, off)| *off).collect();
        let (Some(usual), Some(scatter)) = (median(&offs), median_absolute_deviation(&offs)) else {
            continue;
        };
        let limit = rules.same_heading_deg.max(4.0 * scatter);
        out.extend(
            own.iter()
                .filter(|(m, off)| {
                    (off - usual).abs() > limit && !is_else_a_run(*m, whole, legs, run)
                })
                .map(|(m, _)| *m),
        );
    }
    out
}
