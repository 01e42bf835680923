//! Two recorders that were on at one time: the better one is used, never both in turn.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use jiff::Timestamp;

use super::jumps::{is_possible, offset_m, seconds};
use super::{CleanRules, RecordingSummary, Source};
use crate::stats::quantile::median;
use crate::track::Fix;

/// The finest step of coordinates that recorders write, seven decimals of a degree, m.
const FINEST_M: f64 = 0.01;

const COVERED: &str = "recorded twice: another track is used at that time";

/// A stretch of the fixes of one of several sources: those from `start` to before `end`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Stretch {
    pub(super) source: usize,
    pub(super) recording: usize,
    pub(super) start: usize,
    pub(super) end: usize,
}

impl Stretch {
    pub(super) fn of<'a>(&self, sources: &'a [Source]) -> &'a [Fix] {
        let source = sources.get(self.source);
        source
            .and_then(|s| s.fixes.get(self.start..self.end))
            .unwrap_or_default()
    }

    /// The part whose times are early, and the rest.
    fn split(self, sources: &[Source], is_early: impl Fn(Timestamp) -> bool) -> (Self, Self) {
        let (mut early, mut rest) = (self, self);
        early.end = self.start + self.of(sources).partition_point(|fix| is_early(fix.time));
        rest.start = early.end;
        (early, rest)
    }
}

/// Settles overlaps in time: over what two sources share, the better one is used.
///
/// Sources are taken in pieces without holes, so that one fills the holes of another. Returns the
/// stretches used, in order of time, no two at one time; the rest goes into the summaries.
pub(super) fn settle(
    sources: &[Source],
    rules: &CleanRules,
    summaries: &mut [RecordingSummary],
) -> Vec<Stretch> {
    // The earliest comes first, of those that begin at one time the one of the first source.
    let mut waiting = BinaryHeap::new();
    let wait = |waiting: &mut BinaryHeap<_>, stretch: Stretch| {
        if let [first, .., last] | [first @ last] = stretch.of(sources) {
            waiting.push(Reverse((first.time, stretch, last.time)));
        }
    };
    let goes_on = |a: &Fix, b: &Fix| seconds(a, b) <= rules.hole_s && is_possible(a, b, rules);
    for (index, source) in sources.iter().enumerate() {
        let mut end = 0;
        for piece in source.fixes.chunk_by(goes_on) {
            let start = end;
            end += piece.len();
            let recording = source.recording;
            wait(
                &mut waiting,
                Stretch {
                    source: index,
                    recording,
                    start,
                    end,
                },
            );
        }
    }
    let mut used: Vec<Stretch> = Vec::with_capacity(waiting.len());
    let mut used_until = Timestamp::MIN;
    let mut gave_way: BTreeMap<(usize, usize, &str), f64> = BTreeMap::new();
    while let Some(Reverse((start, new, new_until))) = waiting.pop() {
        let Some(old) = used.pop_if(|_| start <= used_until) else {
            used.push(new);
            used_until = new_until;
            continue;
        };
        let end = used_until.min(new_until);
        let (alone, old) = old.split(sources, |time| time < start);
        let (old, old_rest) = old.split(sources, |time| time <= end);
        let (new, new_rest) = new.split(sources, |time| time <= end);
        let shared_s = end.duration_since(start).as_secs_f64();
        let (new_is_better, why) = choose(old.of(sources), new.of(sources), shared_s, rules);
        let (better, worse) = if new_is_better {
            (new, old)
        } else {
            (old, new)
        };
        let lost = worse.of(sources).len();
        if let Some(summary) = summaries.get_mut(worse.recording) {
            summary.leave_out(COVERED, lost);
        }
        let pair = (worse.recording, better.recording, why);
        *gave_way.entry(pair).or_default() += if lost > 0 { shared_s } else { 0.0 };
        used.extend((alone.start < alone.end).then_some(alone));
        used.push(better);
        used_until = better.of(sources).last().map_or(end, |fix| fix.time);
        wait(&mut waiting, old_rest);
        wait(&mut waiting, new_rest);
    }
    for ((worse, better, why), shared_s) in gave_way {
        let other = summaries.get(better).map(|summary| summary.file.clone());
        let other = other.filter(|_| worse != better && shared_s > 0.0);
        if let Some((other, summary)) = other.zip(summaries.get_mut(worse)) {
            summary.remarks.push(format!(
                "Over {:.1} minutes `{other}` was recording too and was used instead: {why}.",
                shared_s / 60.0
            ));
        }
    }
    used
}

/// Whether `new` is better than `old` over the time they share, and why the better one is.
///
/// A leg's speed needs, in this order, no gaps, positions that lie where the boat was, and many
/// fixes: recording every 1 s and every 10 s gives it equally well (our own simulated days).
fn choose(old: &[Fix], new: &[Fix], shared_s: f64, rules: &CleanRules) -> (bool, &'static str) {
    // A piece has no holes that another source would fill.
    if old.is_empty() {
        return (false, "it goes on all the time");
    }
    // So long that each has a fix in every cell of time unless it has gaps.
    let steps = old.len().min(new.len()).saturating_sub(1).max(1);
    let cell_s = (rules.clearly_better * shared_s / steps as f64).max(1e-3);
    let (old_cells, new_cells) = (cells(old, cell_s), cells(new, cell_s));
    let counts = |old: usize, new: usize| Some((old as f64, new as f64));
    let gaps = counts(old_cells.len(), new_cells.len());
    // The one that scatters less is the better one.
    let scatter = scatter_m(&new_cells, cell_s).zip(scatter_m(&old_cells, cell_s));
    let scores = [
        (gaps, "it has fewer gaps"),
        (scatter, "its positions scatter less"),
        (counts(old.len(), new.len()), "it has more fixes"),
    ];
    for (score, why) in scores {
        let Some((old, new)) = score else { continue };
        if new > rules.clearly_better * old || old > rules.clearly_better * new {
            return (new > old, why);
        }
    }
    (false, "it is as good and began earlier")
}

/// The first fix of each cell of time that has any.
fn cells(fixes: &[Fix], cell_s: f64) -> Vec<&Fix> {
    let cell = |fix: &Fix| (fix.time.as_millisecond() as f64 / 1e3 / cell_s).floor() as i64;
    let cells = fixes.chunk_by(|a, b| cell(a) == cell(b));
    cells.filter_map(<[Fix]>::first).collect()
}

/// How far fixes lie from where steady motion between their neighbours has the boat, m: the
/// median. A fix in the place of its neighbour, to the last digit, says nothing of that.
fn scatter_m(cells: &[&Fix], cell_s: f64) -> Option<f64> {
    let off = cells.windows(3).filter_map(|three| {
        let &[a, b, c] = three else { return None };
        let moves = a.position != b.position && b.position != c.position;
        let part = seconds(a, b) / seconds(a, c);
        let [east, north] = offset_m(a.position, b.position);
        let [whole_east, whole_north] = offset_m(a.position, c.position);
        let off_m = (east - part * whole_east).hypot(north - part * whole_north);
        (moves && seconds(a, c) <= 3.0 * cell_s).then_some(off_m)
    });
    Some(median(&off.collect::<Vec<f64>>())?.max(FINEST_M))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::{fix, fixes_at};

    /// North at 3 m/s, a fix every `every_s`, off by `noise_m` to and fro in an uneven beat.
    fn track(every_s: usize, noise_m: f64) -> Vec<Fix> {
        let east = |s: i64| if (s / 10) % 3 == 1 { noise_m } else { -noise_m };
        (0..1000)
            .step_by(every_s)
            .map(|s| fix(s, 3.0 * s as f64, east(s)))
            .collect()
    }

    #[test]
    fn gaps_count_before_scatter_and_scatter_before_density() {
        #[track_caller]
        fn check(old: &[Fix], new: &[Fix], new_is_better: bool, word: &str) {
            let (found, why) = choose(old, new, 999.0, &CleanRules::default());
            assert!(
                found == new_is_better && why.contains(word),
                "{found}, {why}"
            );
        }
        let [every_second, every_ten, rounded] =
            [(1, 0.0), (10, 0.0), (1, 5.0)].map(|(s, m)| track(s, m));
        let mut with_gap = every_second.clone();
        with_gap.drain(400..650);
        check(&with_gap, &every_ten, true, "gaps");
        check(&every_ten, &with_gap, false, "gaps");
        check(&rounded, &every_ten, true, "scatter");
        check(&every_ten, &rounded, false, "scatter");
        check(&every_ten, &every_second, true, "more fixes");
        check(&every_second, &every_second, false, "earlier");
        check(&[], &every_ten[..1], false, "goes on");
    }

    #[track_caller]
    fn check(times: &[&[i64]], expected: &[(usize, &[i64])]) {
        let source = |times: &&[i64]| Source {
            recording: 0,
            fixes: fixes_at(times),
        };
        let sources: Vec<Source> = times.iter().map(source).collect();
        let used = settle(&sources, &CleanRules::default(), &mut []);
        let used: Vec<(usize, &[i64])> = used
            .iter()
            .map(|s| (s.source, &times[s.source][s.start..s.end]))
            .collect();
        assert_eq!(used, expected);
    }

    #[test]
    fn the_better_one_is_used_where_they_overlap() {
        check(&[&[5, 6], &[1, 2]], &[(1, &[1, 2]), (0, &[5, 6])]);
        check(&[&[], &[1]], &[(1, &[1])]);
        // Sparse all day, dense at noon: the dense one cuts the other in two.
        check(
            &[&[0, 10, 20, 30, 40], &[15, 16, 17, 25]],
            &[(0, &[0, 10]), (1, &[15, 16, 17, 25]), (0, &[30, 40])],
        );
        // Dense all day, sparse inside and beyond.
        check(
            &[&[0, 1, 2, 3, 4], &[2, 6, 8]],
            &[(0, &[0, 1]), (0, &[2, 3, 4]), (1, &[6, 8])],
        );
        // The same track twice.
        check(&[&[1, 2, 3], &[1, 2, 3]], &[(0, &[1, 2, 3])]);
        // A long pause of one is filled by the other.
        check(
            &[&[0, 1, 299, 300], &[40, 50, 60]],
            &[(0, &[0, 1]), (1, &[40, 50, 60]), (0, &[299, 300])],
        );
    }
}
