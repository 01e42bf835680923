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
    let time = |track: usize, index: usize| -> Option<Timestamp> {
        Some(tracks.get(track)?.get(index)?.time)
    };
    // How many fixes of a stretch lie before a time.
    let before = |stretch: &Stretch, limit: Timestamp, inclusive: bool| -> usize {
        let fixes = tracks
            .get(stretch.track)
            .and_then(|t| t.get(stretch.fixes.clone()));
        fixes
            .unwrap_or_default()
            .partition_point(|fix| fix.time < limit || (inclusive && fix.time == limit))
    };
    let mut settled = Settled {
        stretches: Vec::new(),
        covered: vec![0; tracks.len()],
        gave_way: Vec::new(),
        repeated: vec![0; tracks.len()],
    };
    let mut waiting = BinaryHeap::new();
    let wait = |waiting: &mut BinaryHeap<_>, stretch: Stretch| {
        if let Some(start) = time(stretch.track, stretch.fixes.start)
            && !stretch.fixes.is_empty()
        {
            waiting.push(Reverse((
                start,
                stretch.track,
                stretch.fixes.start,
                stretch.fixes.end,
            )));
        }
    };
    for (track, fixes) in tracks.iter().enumerate() {
        let fixes = 0..fixes.len();
        wait(&mut waiting, Stretch { track, fixes });
    }
    while let Some(Reverse((start, track, from, to))) = waiting.pop() {
        let new = Stretch {
            track,
            fixes: from..to,
        };
        let Some(old) = settled.stretches.pop() else {
            settled.stretches.push(new);
            continue;
        };
        let (Some(old_end), Some(new_end)) =
            (time(old.track, old.fixes.end - 1), time(track, to - 1))
        else {
            continue;
        };
        if old_end < start {
            settled.stretches.extend([old, new]);
            continue;
        }
        let shared_end = old_end.min(new_end);
        let new_shared = before(&new, shared_end, true);
        let old_before = before(&old, start, false);
        let old_until = before(&old, shared_end, true);
        let old_shared = old_until - old_before;
        let part = |stretch: &Stretch, from: usize, count: usize| -> &[Fix] {
            let fixes = tracks.get(stretch.track).copied().unwrap_or_default();
            let from = stretch.fixes.start + from;
            fixes.get(from..from + count).unwrap_or_default()
        };
        let Choice { new_stands, why } = choose(
            part(&old, old_before, old_shared),
            part(&new, 0, new_shared),
        );
        let one_instant = old_end == start && new_shared == 1;
        if !one_instant {
            let (track, to) = if new_stands {
                (old.track, track)
            } else {
                (track, old.track)
            };
            settled.gave_way.push(GaveWay {
                track,
                to,
                seconds: shared_end.duration_since(start).as_secs_f64(),
                why,
            });
        }
        if !new_stands {
            let counts = if one_instant {
                &mut settled.repeated
            } else {
                &mut settled.covered
            };
            if let Some(count) = counts.get_mut(track) {
                *count += new_shared;
            }
            settled.stretches.push(old);
            let fixes = from + new_shared..to;
            wait(&mut waiting, Stretch { track, fixes });
        } else {
            if let Some(count) = settled.covered.get_mut(old.track) {
                *count += old_shared;
            }
            let (head, tail) = (
                old.fixes.start..old.fixes.start + old_before,
                old.fixes.start + old_until..old.fixes.end,
            );
            wait(
                &mut waiting,
                Stretch {
                    track: old.track,
                    fixes: tail,
                },
            );
            if !head.is_empty() {
                settled.stretches.push(Stretch {
                    track: old.track,
                    fixes: head,
                });
            }
            settled.stretches.push(new);
        }
    }
    settled
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
