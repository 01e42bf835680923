//! Steps of impossible speed: which fixes are false.

use super::CleanRules;
use super::step::{metres, seconds};
use crate::track::Fix;

/// How many runs before a fix are tried for one that it continues.
///
/// Runs are tried longest first, so the true track is found behind any number of
/// short false ones; the bound holds the time linear.
const MOST_RUNS: usize = 32;

/// How many fixes at the end of a run are passed over to find one that the fix continues.
///
/// A receiver that loses the sky may drift off before it jumps back.
const MOST_PASSED_OVER: usize = 16;

/// Which fixes belong to the largest chain without any step of impossible speed.
///
/// Times must increase. A false fix is thus left out on the way out and on the
/// way back, also when a whole run of them agrees with itself; and where the
/// first fixes are the false ones, these.
pub(super) fn largest_chain(fixes: &[Fix], rules: &CleanRules) -> Vec<bool> {
    let mut chain = Chain {
        fixes,
        rules,
        lengths: Vec::new(),
        before: Vec::new(),
        runs: Vec::new(),
    };
    if (1..fixes.len()).all(|index| chain.continues(index - 1, index)) {
        return vec![true; fixes.len()];
    }
    for index in 0..fixes.len() {
        chain.add(index);
    }
    chain.kept()
}

struct Chain<'a> {
    fixes: &'a [Fix],
    rules: &'a CleanRules,
    /// Length of the largest chain that ends at each fix.
    lengths: Vec<usize>,
    /// The fix before it in that chain.
    before: Vec<Option<usize>>,
    /// Last fixes of runs that ended, those of the largest chains first.
    runs: Vec<usize>,
}

impl Chain<'_> {
    fn add(&mut self, index: usize) {
        let (mut length, mut before) = (1, None);
        if let Some(previous) = index.checked_sub(1) {
            if self.continues(previous, index) {
                (length, before) = (self.length(previous) + 1, Some(previous));
            } else {
                self.end_run(previous);
            }
        }
        for &end in &self.runs {
            if self.length(end) < length {
                break;
            }
            let found = self.end_that_continues(end, index, length);
            if let Some(found) = found {
                (length, before) = (self.length(found) + 1, Some(found));
            }
        }
        self.lengths.push(length);
        self.before.push(before);
    }

    /// The last fix of a run, or one shortly before it, that `index` continues to a chain longer
    /// than `length`.
    fn end_that_continues(&self, end: usize, index: usize, length: usize) -> Option<usize> {
        let mut candidate = end;
        for _ in 0..=MOST_PASSED_OVER {
            if self.length(candidate) < length {
                return None;
            }
            if self.continues(candidate, index) {
                return Some(candidate);
            }
            candidate = self.before.get(candidate).copied().flatten()?;
        }
        None
    }

    fn end_run(&mut self, end: usize) {
        let length = self.length(end);
        let place = self.runs.partition_point(|&run| self.length(run) >= length);
        self.runs.insert(place, end);
        self.runs.truncate(MOST_RUNS);
    }

    fn length(&self, index: usize) -> usize {
        self.lengths.get(index).copied().unwrap_or(0)
    }

    fn continues(&self, from: usize, to: usize) -> bool {
        let (Some(from), Some(to)) = (self.fixes.get(from), self.fixes.get(to)) else {
            return false;
        };
        let seconds = seconds(from, to);
        let rules = self.rules;
        let reach_m = rules.max_speed_m_s * seconds + rules.position_slack_m;
        seconds > rules.anywhere_after_s || metres(from.position, to.position) <= reach_m
    }

    fn kept(&self) -> Vec<bool> {
        let mut kept = vec![false; self.fixes.len()];
        let longest = self.lengths.iter().max();
        let mut next = longest.and_then(|longest| self.lengths.iter().position(|l| l == longest));
        while let Some(index) = next {
            if let Some(keep) = kept.get_mut(index) {
                *keep = true;
            }
            next = self.before.get(index).copied().flatten();
        }
        kept
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::clean::tests::fix;

    /// A boat on its way north at 5 m/s, one fix a second; `false_fixes` lie `away_m` to the east.
    fn track(count: i64, false_fixes: impl Fn(i64) -> bool, away_m: f64) -> Vec<Fix> {
        (0..count)
            .map(|second| {
                let north_m = 5.0 * second as f64;
                fix(
                    second,
                    north_m,
                    if false_fixes(second) { away_m } else { 0.0 },
                )
            })
            .collect()
    }

    #[track_caller]
    fn check(count: i64, false_fixes: impl Fn(i64) -> bool + Copy, away_m: f64) {
        let kept = largest_chain(&track(count, false_fixes, away_m), &CleanRules::default());
        let expected: Vec<bool> = (0..count).map(|second| !false_fixes(second)).collect();
        assert_eq!(kept, expected);
    }

    #[test]
    fn a_true_track_is_kept_whole() {
        check(200, |_| false, 0.0);
        check(0, |_| false, 0.0);
        check(1, |_| false, 0.0);
    }

    #[test]
    fn single_false_fixes_and_runs_of_them_are_left_out() {
        check(200, |s| s == 100, 200_000.0);
        check(200, |s| s % 20 == 7, 200_000.0);
        check(200, |s| (50..90).contains(&s), 200_000.0);
        check(200, |s| s < 20, 200_000.0);
        check(200, |s| s >= 180, 200_000.0);
        check(3, |s| s == 2, 5000.0);
    }

    #[test]
    fn the_true_track_is_found_behind_hundreds_of_false_runs() {
        // Each false fix lies elsewhere: a run of its own.
        let mut fixes = track(1000, |_| false, 0.0);
        fixes.extend((1000..1500).map(|s| fix(s, 0.0, 100_000.0 + 20_000.0 * (s % 7) as f64)));
        fixes.extend((1500..2000).map(|s| fix(s, 5.0 * s as f64, 0.0)));
        let kept = largest_chain(&fixes, &CleanRules::default());
        let expected: Vec<bool> = (0..2000).map(|s| !(1000..1500).contains(&s)).collect();
        assert_eq!(kept, expected);
    }

    #[test]
    fn a_slow_drift_before_the_jump_back_costs_the_drift_alone() {
        let mut fixes = track(100, |_| false, 0.0);
        fixes.extend((100..110).map(|s| fix(s, 5.0 * s as f64, 20.0 * (s - 99) as f64)));
        fixes.extend((110..300).map(|s| fix(s, 5.0 * s as f64, 0.0)));
        let kept = largest_chain(&fixes, &CleanRules::default());
        let left_out = kept.iter().filter(|k| !**k).count();
        assert!((4..=10).contains(&left_out), "{left_out}");
        assert!(kept.get(110..).is_some_and(|k| k.iter().all(|k| *k)));
    }

    #[test]
    fn after_an_hour_the_boat_may_be_anywhere() {
        let mut fixes = track(100, |_| false, 0.0);
        fixes.extend((0..100).map(|s| fix(100 + 3601 + s, 5.0 * s as f64, 400_000.0)));
        assert!(
            largest_chain(&fixes, &CleanRules::default())
                .iter()
                .all(|k| *k)
        );
    }

    #[test]
    fn rounded_coordinates_and_times_are_no_jumps() {
        // 10 m/s, positions rounded to 11 m.
        let rounded = |m: f64| (m / 11.0).round() * 11.0;
        let fixes: Vec<Fix> = (0..600)
            .map(|s| fix(s, rounded(7.07 * s as f64), rounded(7.07 * s as f64)))
            .collect();
        assert!(
            largest_chain(&fixes, &CleanRules::default())
                .iter()
                .all(|k| *k)
        );
    }

    proptest! {
        #[test]
        fn what_is_kept_has_no_impossible_step(
            places in prop::collection::vec((1_i64..30, -500.0_f64..500.0, -500.0_f64..500.0), 0..120),
        ) {
            let rules = CleanRules::default();
            let mut second = 0;
            let fixes: Vec<Fix> = places
                .iter()
                .map(|&(wait, north, east)| {
                    second += wait;
                    fix(second, north, east)
                })
                .collect();
            let kept = largest_chain(&fixes, &rules);
            let chain: Vec<&Fix> =
                fixes.iter().zip(&kept).filter(|(_, keep)| **keep).map(|(fix, _)| fix).collect();
            let possible = |a: &Fix, b: &Fix| {
                let reach_m = rules.max_speed_m_s * seconds(a, b) + rules.position_slack_m;
                metres(a.position, b.position) <= reach_m
            };
            let all_possible = chain.windows(2).all(|w| possible(w[0], w[1]));
            prop_assert!(all_possible);
            prop_assert_eq!(chain.is_empty(), fixes.is_empty());
        }
    }
}
