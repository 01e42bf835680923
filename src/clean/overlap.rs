//! Two tracks at one time: which one stands.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::Range;

use jiff::Timestamp;

use super::better::{Choice, Why, choose};
use crate::track::Fix;

/// A stretch of one of several tracks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stretch {
    /// Which track, counted from 0.
    pub(super) track: usize,
    /// Which of its fixes; never empty.
    pub(super) fixes: Range<usize>,
}

/// What stands, and what gave way.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Settled {
    /// In order of time, no two at one time.
    pub(super) stretches: Vec<Stretch>,
    /// Per track, how many fixes gave way to a better track.
    pub(super) covered: Vec<usize>,
    /// Which track gave way to which, in the order it came about.
    pub(super) gave_way: Vec<GaveWay>,
    /// Per track, how many single fixes stood at the very time where the track before it ends.
    pub(super) repeated: Vec<usize>,
}

/// A stretch of a track that gave way to another.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GaveWay {
    /// Which track.
    pub(super) track: usize,
    /// To which.
    pub(super) to: usize,
    /// Over how long, s.
    pub(super) seconds: f64,
    /// Why.
    pub(super) why: Why,
}

/// Settles overlaps in time: over the stretch that two tracks share, the better one stands, as
/// [`choose`] has it.
///
/// Each track's times must strictly increase.
pub(super) fn settle(tracks: &[&[Fix]]) -> Settled {
    let mut settling = Settling {
        tracks,
        waiting: BinaryHeap::new(),
        settled: Settled {
            stretches: Vec::new(),
            covered: vec![0; tracks.len()],
            gave_way: Vec::new(),
            repeated: vec![0; tracks.len()],
        },
    };
    for (track, fixes) in tracks.iter().enumerate() {
        settling.wait(track, 0..fixes.len());
    }
    while let Some(Reverse(waiting)) = settling.waiting.pop() {
        let fixes = waiting.from..waiting.to;
        let track = waiting.track;
        settling.place(Stretch { track, fixes });
    }
    settling.settled
}

/// A stretch in the queue; the earliest comes first.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Waiting {
    start: Timestamp,
    track: usize,
    from: usize,
    to: usize,
}

struct Settling<'a> {
    tracks: &'a [&'a [Fix]],
    waiting: BinaryHeap<Reverse<Waiting>>,
    settled: Settled,
}

impl Settling<'_> {
    fn fixes(&self, track: usize, range: Range<usize>) -> &[Fix] {
        let fixes = self.tracks.get(track).copied().unwrap_or_default();
        fixes.get(range).unwrap_or_default()
    }

    /// Queues a stretch, unless it is empty.
    fn wait(&mut self, track: usize, range: Range<usize>) {
        if let Some(first) = self.fixes(track, range.clone()).first() {
            self.waiting.push(Reverse(Waiting {
                start: first.time,
                track,
                from: range.start,
                to: range.end,
            }));
        }
    }

    /// Puts a stretch behind those that stand, or settles what it shares with the last of them.
    fn place(&mut self, new: Stretch) {
        let Some(old) = self.settled.stretches.pop() else {
            self.settled.stretches.push(new);
            return;
        };
        let old_fixes = self.fixes(old.track, old.fixes.clone());
        let new_fixes = self.fixes(new.track, new.fixes.clone());
        let (Some(old_end), Some(start), Some(new_end)) =
            (old_fixes.last(), new_fixes.first(), new_fixes.last())
        else {
            return;
        };
        let (old_end, start, new_end) = (old_end.time, start.time, new_end.time);
        if old_end < start {
            self.settled.stretches.extend([old, new]);
            return;
        }
        let shared_end = old_end.min(new_end);
        let new_shared = new_fixes.partition_point(|fix| fix.time <= shared_end);
        let old_before = old_fixes.partition_point(|fix| fix.time < start);
        let old_until = old_fixes.partition_point(|fix| fix.time <= shared_end);
        let Choice { new_stands, why } = choose(
            old_fixes.get(old_before..old_until).unwrap_or_default(),
            new_fixes.get(..new_shared).unwrap_or_default(),
        );
        let (loser, winner) = if new_stands {
            (old.track, new.track)
        } else {
            (new.track, old.track)
        };
        let one_instant = old_end == start && new_shared == 1;
        if !one_instant {
            self.settled.gave_way.push(GaveWay {
                track: loser,
                to: winner,
                seconds: shared_end.duration_since(start).as_secs_f64(),
                why,
            });
        }
        let (counts, lost) = match (new_stands, one_instant) {
            (true, _) => (&mut self.settled.covered, old_until - old_before),
            (false, true) => (&mut self.settled.repeated, new_shared),
            (false, false) => (&mut self.settled.covered, new_shared),
        };
        if let Some(count) = counts.get_mut(loser) {
            *count += lost;
        }
        if new_stands {
            let head = old.fixes.start..old.fixes.start + old_before;
            self.wait(old.track, old.fixes.start + old_until..old.fixes.end);
            if !head.is_empty() {
                self.settled.stretches.push(Stretch {
                    track: old.track,
                    fixes: head,
                });
            }
            self.settled.stretches.push(new);
        } else {
            self.wait(new.track, new.fixes.start + new_shared..new.fixes.end);
            self.settled.stretches.push(old);
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::clean::tests::fixes_at;

    #[track_caller]
    fn check(tracks: &[&[i64]], expected: &[(usize, &[i64])]) {
        let fixes: Vec<Vec<Fix>> = tracks.iter().map(|t| fixes_at(t)).collect();
        let slices: Vec<&[Fix]> = fixes.iter().map(Vec::as_slice).collect();
        let settled = settle(&slices);
        let found: Vec<(usize, Vec<i64>)> = settled
            .stretches
            .iter()
            .map(|s| (s.track, tracks[s.track][s.fixes.clone()].to_vec()))
            .collect();
        let expected: Vec<(usize, Vec<i64>)> = expected
            .iter()
            .map(|(track, t)| (*track, t.to_vec()))
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn tracks_apart_are_put_in_order() {
        check(&[&[5, 6], &[1, 2]], &[(1, &[1, 2]), (0, &[5, 6])]);
        check(&[&[], &[1]], &[(1, &[1])]);
    }

    #[test]
    fn the_better_one_stands_where_they_overlap() {
        // Sparse all day, dense at noon: the dense one cuts the other in two.
        check(
            &[&[0, 10, 20, 30, 40], &[15, 16, 17, 25]],
            &[(0, &[0, 10]), (1, &[15, 16, 17, 25]), (0, &[30, 40])],
        );
        // Dense all day, sparse inside and beyond.
        check(
            &[&[0, 1, 2, 3, 4], &[2, 6, 8]],
            &[(0, &[0, 1, 2, 3, 4]), (1, &[6, 8])],
        );
        // The same track twice: the first stands.
        check(&[&[1, 2, 3], &[1, 2, 3]], &[(0, &[1, 2, 3])]);
        // A long pause of one filled by the other.
        check(
            &[&[0, 1, 99, 100], &[40, 50, 60]],
            &[(0, &[0, 1]), (1, &[40, 50, 60]), (0, &[99, 100])],
        );
    }

    #[test]
    fn one_shared_instant_is_a_repeat() {
        let tracks = [fixes_at(&[1, 2, 3]), fixes_at(&[3, 4, 5])];
        let slices: Vec<&[Fix]> = tracks.iter().map(Vec::as_slice).collect();
        let settled = settle(&slices);
        assert_eq!(
            (settled.repeated, settled.covered),
            (vec![0, 1], vec![0, 0])
        );
        assert_eq!(settled.gave_way, []);
    }

    proptest! {
        #[test]
        fn nothing_overlaps_and_nothing_is_lost_uncounted(
            tracks in prop::collection::vec(prop::collection::btree_set(0_i64..60, 0..20), 0..8),
        ) {
            let fixes: Vec<Vec<Fix>> = tracks
                .iter()
                .map(|t| fixes_at(&t.iter().copied().collect::<Vec<_>>()))
                .collect();
            let slices: Vec<&[Fix]> = fixes.iter().map(Vec::as_slice).collect();
            let settled = settle(&slices);
            let times: Vec<Timestamp> = settled
                .stretches
                .iter()
                .flat_map(|s| slices[s.track][s.fixes.clone()].iter().map(|f| f.time))
                .collect();
            prop_assert!(times.is_sorted_by(|a, b| a < b));
            for (track, slice) in slices.iter().enumerate() {
                let kept: usize =
                    settled.stretches.iter().filter(|s| s.track == track).map(|s| s.fixes.len()).sum();
                prop_assert_eq!(kept + settled.covered[track] + settled.repeated[track], slice.len());
            }
        }
    }
}
