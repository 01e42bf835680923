//! Of two recorders that were on at one time: whose track is the better one.
//!
//! What a leg's speed needs is, in this order, no gaps, positions that lie
//! where the boat was, and many fixes. Recording at 1 s and at 10 s gives the
//! speed of a leg equally well (our own simulated days), so mere density counts
//! last; and a change from one recorder to the other cuts a leg in two, so the
//! one that already stands gives way only to a clearly better one.

use super::step::{metres, seconds};
use crate::track::{Fix, Position};
use crate::units::Turn;

/// Length of the cells in which fixes are looked for, s.
///
/// Recording up to every 10 s measures a leg as well as every second (our own
/// simulated days); beyond it, fixes are missing.
const CELL_S: i64 = 10;

/// How much more of the time one track must cover to be the better one, as a factor.
///
/// A tenth is beyond what the phase of two clocks makes. Our own judgement.
const FEWER_GAPS: f64 = 1.1;

/// How much rougher a track must be to be the worse one, as a factor.
///
/// Both contain the boat's own motion, so half as much again means a good deal
/// more error: coordinates rounded to 1e-4 degrees, or a receiver under a roof.
/// Our own judgement.
const ROUGHER: f64 = 1.5;

/// Roughness that never counts against a track, m: a good receiver's own noise.
///
/// Our own judgement.
const SMOOTH_M: f64 = 0.5;

/// Fewest places at which roughness is measured before it counts.
///
/// Five minutes of cells; the median of fewer moves with single waves. Common
/// practice, no source.
const FEWEST_PLACES: usize = 30;

/// How much denser a track must be to be the better one, as a factor. Our own judgement.
const DENSER: f64 = 1.5;

/// Why the track that stands does so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Why {
    FewerGaps,
    Smoother,
    Denser,
    First,
}

impl Why {
    /// As the end of a sentence about the better one.
    pub(super) fn clause(self) -> &'static str {
        match self {
            Self::FewerGaps => "it has fewer gaps",
            Self::Smoother => "its positions scatter less",
            Self::Denser => "it has more fixes",
            Self::First => "it is as good and began earlier",
        }
    }
}

/// Which of two stretches over the same time is the better one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Choice {
    /// Whether the new one is, so that the one that stands gives way.
    pub(super) new_stands: bool,
    pub(super) why: Why,
}

/// Chooses between the stretch that stands and a new one.
pub(super) fn choose(standing: &[Fix], new: &[Fix]) -> Choice {
    let by = |why: Why, standing: f64, new: f64, factor: f64| {
        let new_stands = new > factor * standing;
        (new_stands || standing > factor * new).then_some(Choice { new_stands, why })
    };
    let cells = |fixes: &[Fix]| cells(fixes).count() as f64;
    by(Why::FewerGaps, cells(standing), cells(new), FEWER_GAPS)
        .or_else(|| {
            let (standing, new) = (roughness_m(standing)?, roughness_m(new)?);
            // The smoother one is the better one.
            let smoothness = |roughness: f64| 1.0 / roughness.max(SMOOTH_M);
            by(
                Why::Smoother,
                smoothness(standing),
                smoothness(new),
                ROUGHER,
            )
        })
        .or_else(|| {
            let (standing, new) = (standing.len() as f64, new.len() as f64);
            by(Why::Denser, standing, new, DENSER)
        })
        .unwrap_or(Choice {
            new_stands: false,
            why: Why::First,
        })
}

/// The first fix of each cell of time that has any.
fn cells(fixes: &[Fix]) -> impl Iterator<Item = &Fix> {
    let cell = |fix: &Fix| fix.time.as_second().div_euclid(CELL_S);
    fixes
        .chunk_by(move |a, b| cell(a) == cell(b))
        .filter_map(<[Fix]>::first)
}

/// How far fixes some 10 s apart lie from the straight way between their neighbours, m: the median.
fn roughness_m(fixes: &[Fix]) -> Option<f64> {
    let sampled: Vec<&Fix> = cells(fixes).collect();
    let mut off: Vec<f64> = sampled
        .windows(3)
        .filter_map(|three| match three {
            [a, b, c] if seconds(a, c) <= 3.0 * CELL_S as f64 => off_the_way_m(a, b, c),
            _ => None,
        })
        .collect();
    if off.len() < FEWEST_PLACES {
        return None;
    }
    let middle = off.len() / 2;
    let (_, &mut median, _) = off.select_nth_unstable_by(middle, f64::total_cmp);
    Some(median)
}

/// How far `b` lies from where steady motion from `a` to `c` has the boat at its time.
fn off_the_way_m(a: &Fix, b: &Fix, c: &Fix) -> Option<f64> {
    let part = seconds(a, b) / seconds(a, c);
    let (from, to) = (a.position, c.position);
    let east = Turn::new(to.longitude() - from.longitude())?.degrees();
    let longitude = Turn::new(from.longitude() + part * east)?.degrees();
    let latitude = from.latitude() + part * (to.latitude() - from.latitude());
    Some(metres(Position::new(latitude, longitude)?, b.position))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    /// North at 3 m/s, a fix every `every_s`, off by `noise_m` to and fro in an uneven beat.
    fn track(seconds: i64, every_s: usize, noise_m: f64) -> Vec<Fix> {
        (0..seconds)
            .step_by(every_s)
            .map(|s| {
                let sign = if (s / 10) % 3 == 1 { 1.0 } else { -1.0 };
                fix(s, 3.0 * s as f64, sign * noise_m)
            })
            .collect()
    }

    #[track_caller]
    fn check(standing: &[Fix], new: &[Fix], new_stands: bool, why: Why) {
        assert_eq!(choose(standing, new), Choice { new_stands, why });
    }

    #[test]
    fn gaps_count_before_scatter_and_scatter_before_density() {
        let every_second = track(1000, 1, 0.0);
        let every_ten = track(1000, 10, 0.0);
        let every_thirty = track(1000, 30, 0.0);
        let rounded = track(1000, 1, 5.0);
        let with_gap: Vec<Fix> = [&every_second[..400], &every_second[600..]].concat();
        check(&with_gap, &every_ten, true, Why::FewerGaps);
        check(&every_ten, &with_gap, false, Why::FewerGaps);
        check(&every_thirty, &rounded, true, Why::FewerGaps);
        check(&rounded, &every_ten, true, Why::Smoother);
        check(&every_ten, &rounded, false, Why::Smoother);
        check(&every_ten, &every_second, true, Why::Denser);
        check(&every_second, &every_second, false, Why::First);
        check(&every_second, &track(1000, 1, 0.2), false, Why::First);
    }

    #[test]
    fn a_few_fixes_are_judged_by_their_number() {
        let few = track(9, 1, 0.0);
        check(&few[..3], &few, true, Why::Denser);
        check(&few, &few[..8], false, Why::First);
    }
}
