//! Legs that look like no runs at first and are some: by the legs beside them, or by where they end.

use super::super::FoundLeg;
use super::usual::{Kept, Usual};
use crate::stats::quantile::{median, median_absolute_deviation};
use crate::units::Bearing;

/// A leg that differs in length from the usual run by no more than this, as a ratio, and in speed from a
/// leg beside it by no more than [`AS_FAST`], is a run whatever its heading: who goes back to begin
/// again goes slower, and only as far as was run. Source: our own simulated days.
const AS_LONG: f64 = 1.12;
/// See [`AS_LONG`]; speeds of neighbouring runs at one setting scatter by 2 %.
const AS_FAST: f64 = 1.05;
/// Neighbours in time on a line, to either side: the run back and the next run the same way.
const BESIDE: usize = 2;

/// Whether a leg is as long and as fast as the legs beside it.
pub(super) fn is_else_a_run(
    index: usize,
    whole: &[usize],
    legs: &[FoundLeg],
    usual: &Usual,
) -> bool {
    let as_long = legs
        .get(index)
        .is_some_and(|leg| (1.0 / AS_LONG..AS_LONG).contains(&usual.share(leg)));
    as_long && is_as_fast_as(index, whole, legs, |_| true)
}

/// Whether a leg has the speed of one beside it that is `like` it.
fn is_as_fast_as(
    index: usize,
    whole: &[usize],
    legs: &[FoundLeg],
    like: impl Fn(&FoundLeg) -> bool,
) -> bool {
    let (Some(leg), Some(at)) = (legs.get(index), whole.iter().position(|m| *m == index)) else {
        return false;
    };
    whole
        .iter()
        .enumerate()
        .filter(|(other, _)| *other != at && other.abs_diff(at) <= BESIDE)
        .filter_map(|(_, m)| legs.get(*m))
        .filter(|other| like(other))
        .any(|other| {
            let ratio = other.stretch.motion.speed() / leg.stretch.motion.speed();
            (1.0 / AS_FAST..AS_FAST).contains(&ratio)
        })
}

/// Runs between marks end within this share of a run's length of one another. Source: our own
/// simulated days; a run broken off ends at least twice as far short of the mark.
const AT_THE_MARK: f64 = 0.1;
/// Legs of at least this share of a usual run show where the mark is.
const SHOWS_THE_MARK: f64 = 0.75;

/// Whether a leg ends where the runs of its direction end, at their speed: it was joined late, and not
/// broken off. Runs by the clock end anywhere.
pub(super) fn reaches_the_mark(
    index: usize,
    whole: &[usize],
    legs: &[FoundLeg],
    axis: Bearing,
    usual: &Usual,
) -> bool {
    let (sin, cos) = axis.unit();
    let end = |leg: &FoundLeg| {
        let at = leg.stretch.motion.at(leg.stretch.end);
        at.east * sin + at.north * cos
    };
    let Some(leg) = legs.get(index).filter(|_| usual.kept != Kept::Duration) else {
        return false;
    };
    let same_way = |other: &FoundLeg| other.stretch.course.apart(leg.stretch.course) < 90.0;
    let ends: Vec<f64> = whole
        .iter()
        .filter(|m| **m != index)
        .filter_map(|m| legs.get(*m))
        .filter(|other| same_way(other) && usual.share(other) > SHOWS_THE_MARK)
        .map(end)
        .collect();
    let (Some(mark), Some(spread)) = (median(&ends), median_absolute_deviation(&ends)) else {
        return false;
    };
    let near = AT_THE_MARK * usual.length;
    ends.len() >= 2
        && spread <= near
        && (end(leg) - mark).abs() <= near
        && is_as_fast_as(index, whole, legs, same_way)
}
