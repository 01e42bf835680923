//! Order in time: repeats and disorder within a segment.

use jiff::Timestamp;

use crate::track::Fix;

/// A segment whose times strictly increase, and what was left out for that.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Ordered {
    pub(super) fixes: Vec<Fix>,
    /// Fixes at a time that an earlier fix has.
    pub(super) repeated: usize,
    /// Fixes whose times run backwards.
    pub(super) backwards: usize,
    /// Whether the segment ran backwards as a whole and was turned round.
    pub(super) turned: bool,
}

/// Brings one segment in order.
///
/// Of fixes at one time the first is kept. Of fixes that run backwards the
/// fewest are left out: the rest is the longest run of increasing times, so that
/// one fix with a clock in the future does not cost the day behind it.
pub(super) fn in_order(mut fixes: Vec<Fix>) -> Ordered {
    let turned = fixes.len() > 2 && fixes.is_sorted_by(|a, b| a.time > b.time);
    if turned {
        fixes.reverse();
    }
    let met = fixes.len();
    fixes.dedup_by_key(|fix| fix.time);
    let mut repeated = met - fixes.len();
    let mut backwards = 0;
    if !fixes.is_sorted_by(|a, b| a.time < b.time) {
        let kept = longest_increasing(&fixes);
        let mut keep = kept.iter().copied().peekable();
        let mut left_out = Vec::new();
        let mut ordered = Vec::with_capacity(kept.len());
        for (index, fix) in fixes.into_iter().enumerate() {
            if keep.next_if_eq(&index).is_some() {
                ordered.push(fix);
            } else {
                left_out.push(fix.time);
            }
        }
        let is_repeat = |time: &Timestamp| ordered.binary_search_by_key(time, |f| f.time).is_ok();
        let repeats = left_out.iter().filter(|time| is_repeat(time)).count();
        repeated += repeats;
        backwards = left_out.len() - repeats;
        fixes = ordered;
    }
    Ordered {
        fixes,
        repeated,
        backwards,
        turned,
    }
}

/// Indices of the longest strictly increasing run of times, not necessarily neighbours.
///
/// Patience sorting, n log n (Fredman, "On computing the length of longest
/// increasing subsequences", Discrete Mathematics 11, 1975). Of equal times the
/// first is kept.
fn longest_increasing(fixes: &[Fix]) -> Vec<usize> {
    // `ends[l]` is the run of length l + 1 that ends soonest: its last index and time.
    let mut ends: Vec<(usize, Timestamp)> = Vec::new();
    let mut before: Vec<Option<usize>> = Vec::with_capacity(fixes.len());
    for (index, fix) in fixes.iter().enumerate() {
        let length = ends.partition_point(|&(_, time)| time < fix.time);
        let previous = length.checked_sub(1).and_then(|shorter| ends.get(shorter));
        before.push(previous.map(|&(index, _)| index));
        match ends.get_mut(length) {
            Some((_, time)) if *time == fix.time => {}
            Some(end) => *end = (index, fix.time),
            None => ends.push((index, fix.time)),
        }
    }
    let mut run = Vec::with_capacity(ends.len());
    let mut next = ends.last().map(|&(index, _)| index);
    while let Some(index) = next {
        run.push(index);
        next = before.get(index).copied().flatten();
    }
    run.reverse();
    run
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::clean::tests::fixes_at;

    #[track_caller]
    fn check(seconds: &[i64], kept: &[i64], repeated: usize, backwards: usize) {
        let ordered = in_order(fixes_at(seconds));
        let times: Vec<i64> = ordered.fixes.iter().map(|f| f.time.as_second()).collect();
        assert_eq!(times, kept, "{seconds:?}");
        assert_eq!(
            (ordered.repeated, ordered.backwards),
            (repeated, backwards),
            "{seconds:?}"
        );
    }

    #[test]
    fn repeats_and_disorder_cost_the_fewest_fixes() {
        check(&[], &[], 0, 0);
        check(&[1, 2, 3], &[1, 2, 3], 0, 0);
        check(&[1, 1, 2, 2, 2, 3], &[1, 2, 3], 3, 0);
        check(&[99, 1, 2, 3], &[1, 2, 3], 0, 1);
        check(&[1, 2, 99, 3, 4], &[1, 2, 3, 4], 0, 1);
        check(&[1, 2, 3, 0, 4], &[1, 2, 3, 4], 0, 1);
        check(&[1, 2, 3, 2, 3, 4], &[1, 2, 3, 4], 2, 0);
        check(&[5, 4, 3], &[3, 4, 5], 0, 0);
        check(&[5, 4], &[4], 0, 1);
    }

    #[test]
    fn the_first_of_equal_times_is_kept() {
        let mut fixes = fixes_at(&[1, 2, 3, 2, 3, 4]);
        if let Some(fix) = fixes.get_mut(3) {
            fix.depth = Some(crate::units::Distance::metres(1.0));
        }
        assert!(in_order(fixes).fixes.iter().all(|f| f.depth.is_none()));
    }

    proptest! {
        #[test]
        fn order_is_strict_and_counts_add_up(seconds in prop::collection::vec(0_i64..40, 0..60)) {
            let ordered = in_order(fixes_at(&seconds));
            prop_assert!(ordered.fixes.is_sorted_by(|a, b| a.time < b.time));
            let counted = ordered.fixes.len() + ordered.repeated + ordered.backwards;
            prop_assert_eq!(counted, seconds.len());
        }
    }
}
