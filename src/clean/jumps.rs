//! Steps of impossible speed: which fixes are false.

use std::iter::successors;

use super::CleanRules;
use crate::track::{Fix, Position};
use crate::units::Turn;

/// Mean radius of the Earth, m (IUGG mean radius R1; Moritz, Journal of Geodesy 74, 2000).
///
/// On a sphere distances err by up to 0.6 %; limits on speed are far coarser.
const MEAN_RADIUS_M: f64 = 6_371_008.8;

/// Bounds that hold the time linear: so many runs of possible steps are remembered, those of the
/// best chains, and so many fixes at either end of a run are tried. A receiver that loses the sky
/// may drift off before it jumps back.
const MOST_RUNS: usize = 32;
const MOST_PASSED_OVER: usize = 16;

/// Seconds from `a` to `b`; negative where `b` is the earlier.
pub(super) fn seconds(a: &Fix, b: &Fix) -> f64 {
    b.time.duration_since(a.time).as_secs_f64()
}

/// Metres east and north from `a` to `b`, across the date line the short way.
///
/// On the plane that touches the sphere at the middle latitude of the two.
pub(super) fn offset_m(a: Position, b: Position) -> [f64; 2] {
    let east = Turn::new(b.longitude() - a.longitude()).map_or(0.0, Turn::degrees);
    let north = b.latitude() - a.latitude();
    let middle = f64::midpoint(a.latitude(), b.latitude()).to_radians();
    [east * middle.cos(), north].map(|degrees| degrees.to_radians() * MEAN_RADIUS_M)
}

/// Metres from `a` to `b`.
pub(super) fn distance_m(a: &Fix, b: &Fix) -> f64 {
    let [east, north] = offset_m(a.position, b.position);
    east.hypot(north)
}

/// Whether a boat can come from `a` to `b` in the time between.
pub(super) fn is_possible(a: &Fix, b: &Fix, rules: &CleanRules) -> bool {
    distance_m(a, b) <= rules.max_speed_m_s * seconds(a, b) + rules.position_slack_m
}

/// Leaves out the fixes that are false by their speed; returns how many. Times must increase.
///
/// What is kept is the chain of possible steps that stands for the most time. Its steps need not
/// be between neighbours, so false fixes are left out on the way out and on the way back, also
/// when a whole run of them agrees with itself. An impossible step costs half of `break_after_s`:
/// a stretch elsewhere, with one on either side, is kept where it lasts longer than that.
pub(super) fn leave_out(fixes: &mut Vec<Fix>, rules: &CleanRules) -> usize {
    let met = fixes.len();
    if !fixes.is_sorted_by(|a, b| is_possible(a, b, rules)) {
        let kept = Chains::new(fixes, rules).best();
        let mut kept = kept.into_iter().rev().peekable();
        let mut index = 0..;
        fixes.retain(|_| kept.next_if(|keep| index.next() == Some(*keep)).is_some());
    }
    met - fixes.len()
}

/// The best chain that ends at each fix.
struct Chains<'a> {
    fixes: &'a [Fix],
    rules: &'a CleanRules,
    /// For how long the fixes of the chain stand less what its impossible steps cost, ms.
    worth: Vec<i64>,
    /// The fix before the last in the chain.
    before: Vec<Option<usize>>,
    /// The last fixes of runs of possible steps, those of the best chains first.
    run_ends: Vec<usize>,
    /// The first fix of the run of possible steps that goes on.
    run_start: usize,
    /// The last fix of the best chain so far.
    best: Option<usize>,
}

impl<'a> Chains<'a> {
    fn new(fixes: &'a [Fix], rules: &'a CleanRules) -> Self {
        Self {
            fixes,
            rules,
            worth: Vec::with_capacity(fixes.len()),
            before: Vec::with_capacity(fixes.len()),
            run_ends: Vec::new(),
            run_start: 0,
            best: None,
        }
    }

    /// The fixes of the best chain of all, last first.
    fn best(mut self) -> Vec<usize> {
        for index in 0..self.fixes.len() {
            self.add(index);
        }
        self.chain(self.best).collect()
    }

    fn chain(&self, end: Option<usize>) -> impl Iterator<Item = usize> {
        successors(end, |&index| self.before.get(index).copied().flatten())
    }

    fn add(&mut self, index: usize) {
        let step_ms = (self.rules.break_after_s / 2.0 * 1e3) as i64;
        let (mut before, mut worth) = (None, 0);
        if let Some(best) = self.best.filter(|best| self.worth(*best) > step_ms) {
            (before, worth) = (Some(best), self.worth(best).saturating_sub(step_ms));
        }
        if let Some(previous) = index.checked_sub(1) {
            if !self.continues(previous, index) {
                self.end_run(previous);
                self.run_start = index;
            } else if self.worth(previous) >= worth {
                (before, worth) = (Some(previous), self.worth(previous));
            }
        }
        let is_near_start = index - self.run_start <= MOST_PASSED_OVER;
        for &end in self.run_ends.iter().filter(|_| is_near_start) {
            let better = self
                .chain(Some(end))
                .take(MOST_PASSED_OVER + 1)
                .take_while(|candidate| self.worth(*candidate) > worth)
                .find(|candidate| self.continues(*candidate, index));
            if let Some(better) = better {
                (before, worth) = (Some(better), self.worth(better));
            }
        }
        self.before.push(before);
        self.worth
            .push(worth.saturating_add(self.stands_for_ms(index)));
        let so_far = self.best.map_or(0, |best| self.worth(best));
        if self.worth(index) > so_far {
            self.best = Some(index);
        }
    }

    /// The time to the nearer neighbour, so that a fix in the middle of a hole counts for little.
    fn stands_for_ms(&self, index: usize) -> i64 {
        let around = self
            .fixes
            .get(index.saturating_sub(1)..)
            .unwrap_or_default();
        let steps = around.windows(2).take(1 + usize::from(index > 0));
        let nearer_s = steps
            .filter_map(|step| Some(seconds(step.first()?, step.last()?)))
            .fold(self.rules.hole_s, f64::min);
        ((nearer_s * 1e3) as i64).max(1)
    }

    fn end_run(&mut self, end: usize) {
        let worth = self.worth(end);
        let place = self
            .run_ends
            .partition_point(|&run| self.worth(run) >= worth);
        self.run_ends.insert(place, end);
        self.run_ends.truncate(MOST_RUNS);
    }

    fn worth(&self, index: usize) -> i64 {
        self.worth.get(index).copied().unwrap_or(0)
    }

    fn continues(&self, from: usize, to: usize) -> bool {
        let pair = self.fixes.get(from).zip(self.fixes.get(to));
        pair.is_some_and(|(from, to)| is_possible(from, to, self.rules))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    /// North at 5 m/s, one fix a second; those in `elsewhere` lie `away_m` to the east.
    fn track(count: i64, elsewhere: impl Fn(i64) -> bool, away_m: f64) -> Vec<Fix> {
        let east_m = |second| if elsewhere(second) { away_m } else { 0.0 };
        (0..count)
            .map(|s| fix(s, 5.0 * s as f64, east_m(s)))
            .collect()
    }

    /// What is left must be all but the fixes in `left_out`.
    #[track_caller]
    fn check(mut fixes: Vec<Fix>, left_out: impl Fn(i64) -> bool) {
        let mut true_fixes = fixes.clone();
        true_fixes.retain(|fix| !left_out(fix.time.as_second()));
        let count = fixes.len() - true_fixes.len();
        assert_eq!(leave_out(&mut fixes, &CleanRules::default()), count);
        assert_eq!(fixes, true_fixes);
    }

    #[test]
    fn false_fixes_and_runs_of_them_are_left_out() {
        for count in [0, 1, 200] {
            check(track(count, |_| false, 0.0), |_| false);
        }
        let cases: [fn(i64) -> bool; 6] = [
            |s| s == 100,
            |s| s % 20 == 7,
            |s| (50..90).contains(&s),
            |s| s < 20,
            |s| s >= 180,
            |s| (20..95).contains(&s),
        ];
        for elsewhere in cases {
            check(track(200, elsewhere, 200_000.0), elsewhere);
        }
        check(track(3, |s| s == 2, 5000.0), |s| s == 2);
    }

    #[test]
    fn what_lasts_elsewhere_is_kept() {
        for away_m in [1000.0, 5000.0, 200_000.0] {
            check(track(800, |s| s >= 400, away_m), |_| false);
            check(track(2000, |s| (600..1400).contains(&s), away_m), |_| false);
            check(track(2000, |s| (600..1100).contains(&s), away_m), |s| {
                (600..1100).contains(&s)
            });
        }
    }

    #[test]
    fn the_true_track_is_found_behind_hundreds_of_false_runs() {
        // Each false fix lies elsewhere: a run of its own.
        let is_false = |s| (1000..1500).contains(&s);
        let away = |s| f64::from(is_false(s)) * (100_000.0 + 20_000.0 * (s % 7) as f64);
        let fixes = (0..2000).map(|s| fix(s, 5.0 * s as f64, away(s)));
        check(fixes.collect(), is_false);
    }

    #[test]
    fn a_slow_drift_before_the_jump_back_costs_the_drift_alone() {
        let drift = |s: i64| f64::from((100..110).contains(&s)) * 20.0 * (s - 99) as f64;
        let mut fixes: Vec<Fix> = (0..300).map(|s| fix(s, 5.0 * s as f64, drift(s))).collect();
        let left_out = leave_out(&mut fixes, &CleanRules::default());
        assert!((4..=10).contains(&left_out), "{left_out}");
        let after = fixes.iter().filter(|f| f.time.as_second() >= 110);
        assert_eq!(after.count(), 190);
    }

    #[test]
    fn rounded_coordinates_and_times_are_no_jumps() {
        // 10 m/s, positions rounded to 11 m.
        let rounded = |m: f64| (m / 11.0).round() * 11.0;
        let at = |s: i64| rounded(7.07 * s as f64);
        check((0..600).map(|s| fix(s, at(s), at(s))).collect(), |_| false);
    }

    #[test]
    fn a_minute_of_latitude_is_a_nautical_mile_within_the_spheres_error() {
        let across = 179.0 + 59.5 / 60.0;
        for (a, b) in [
            ([57.0, 11.0], [57.0 + 1.0 / 60.0, 11.0]),
            ([0.0, across], [0.0, -across]),
            ([60.0, 11.0], [60.0, 11.0 + 2.0 / 60.0]),
        ] {
            let at = |[latitude, longitude]: [f64; 2]| Position::new(latitude, longitude);
            let offset = at(a).zip(at(b)).map(|(a, b)| offset_m(a, b));
            let metres = offset.map_or(0.0, |[east, north]| east.hypot(north));
            assert!((metres / 1852.0 - 1.0).abs() < 0.006, "{metres}");
        }
    }
}
