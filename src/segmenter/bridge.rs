//! Joins tracks that a short hole split in the middle of a leg.
//!
//! A recorder that loses its satellites, or its power for a moment, begins a new
//! segment, and a segment break may hide anything. But where the boat comes out of a
//! short hole at the place, on the course and at the speed that it went in with, it held
//! its leg meanwhile; taken as two, the pieces would be too short to pair with anything.

use serde::Serialize;

use crate::geometry::{Clock, Motion, PathPoint, Plane, between, path_of};
use crate::track::Track;

/// When two tracks are one leg with a hole in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BridgeRules {
    /// Longest hole that is bridged, s: a turn there and back takes longer (common practice, no source).
    pub longest_hole_s: f64,
    /// How much on either side is looked at, s: long enough for a course in waves.
    pub window_s: f64,
    /// Fewest fixes on either side: a course from two says nothing of their errors.
    pub fewest_fixes: usize,
    /// Where fixes are sparse, so much is looked at to have as many, s.
    pub longest_window_s: f64,
    /// Courses on either side may differ by this, degrees; as for pieces of one stretch.
    pub same_heading_deg: f64,
    /// Speeds on either side may have this ratio; as for pieces of one stretch.
    pub speed_ratio: f64,
    /// The place where the boat comes out may lie off the line by this, m, and by as much again
    /// for every fifth of the way through the hole: three times the error of small receivers.
    pub off_m: f64,
    /// Slowest boat of which this can be told, m/s: slower, positions wander as far as it goes.
    pub slowest_m_s: f64,
}

impl Default for BridgeRules {
    fn default() -> Self {
        Self {
            longest_hole_s: 90.0,
            window_s: 60.0,
            fewest_fixes: 4,
            longest_window_s: 150.0,
            same_heading_deg: 12.0,
            speed_ratio: 1.25,
            off_m: 8.0,
            slowest_m_s: 0.3,
        }
    }
}

/// The tracks, neighbours of one recording joined where the boat held its leg through the hole.
pub fn bridge(tracks: Vec<Track>, rules: &BridgeRules) -> Vec<Track> {
    let mut joined: Vec<Track> = Vec::with_capacity(tracks.len());
    for track in tracks {
        let whole = joined
            .last()
            .filter(|before| holds_on(before, &track, rules))
            .and_then(|before| {
                let fixes = [before.fixes(), track.fixes()].concat();
                Track::new(track.recording(), fixes)
            });
        match (whole, joined.last_mut()) {
            (Some(whole), Some(last)) => *last = whole,
            _ => joined.push(track),
        }
    }
    joined
}

/// Whether the boat went on through the hole as before.
fn holds_on(before: &Track, after: &Track, rules: &BridgeRules) -> bool {
    let hole = after.start().duration_since(before.end()).as_secs_f64();
    if before.recording() != after.recording() || !(0.0..=rules.longest_hole_s).contains(&hole) {
        return false;
    }
    let clock = Clock::from(before.end());
    let Some(last) = before.fixes().last() else {
        return false;
    };
    let plane = Plane::at(last.position);
    let near = |track: &Track,
                from: f64,
                to: f64,
                wider: (f64, f64)|
     -> Option<(Motion, PathPoint, PathPoint)> {
        let path = path_of(track, &plane, clock);
        let mut near = between(&path, from, to);
        if near.len() < rules.fewest_fixes {
            near = between(&path, wider.0, wider.1);
        }
        let ends = (near.first().copied()?, near.last().copied()?);
        (near.len() >= rules.fewest_fixes)
            .then(|| Motion::fit(near))
            .flatten()
            .map(|motion| (motion, ends.0, ends.1))
    };
    let (window, wider) = (rules.window_s, rules.longest_window_s);
    let (Some((into, _, left)), Some((out_of, came, _))) = (
        near(before, -window, 0.0, (-wider, 0.0)),
        near(after, hole, hole + window, (hole, hole + wider)),
    ) else {
        return false;
    };
    let (Some(a), Some(b)) = (into.course(), out_of.course()) else {
        return false;
    };
    let (slow, fast) = {
        let (a, b) = (into.speed(), out_of.speed());
        (a.min(b), a.max(b))
    };
    let way = into.speed() * (came.t - left.t);
    let offset = into.offset(came);
    slow >= rules.slowest_m_s
        && fast <= rules.speed_ratio * slow
        && a.apart(b) <= rules.same_heading_deg
        && offset.abeam.hypot(offset.ahead) <= rules.off_m * (1.0 + way / (5.0 * rules.off_m))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::float_cmp)]
mod tests {
    use jiff::{SignedDuration, Timestamp};

    use super::*;
    use crate::geometry::PlanePoint;
    use crate::track::{Fix, Position};

    /// A track of one fix a second from `from` to `to`, its place given by `at(t)`, metres.
    fn track(from: i64, to: i64, at: impl Fn(f64) -> (f64, f64)) -> Track {
        let plane = Plane::at(Position::new(47.0, 9.0).unwrap());
        let fixes = (from..=to)
            .map(|t| {
                let (east, north) = at(t as f64);
                Fix::bare(
                    Timestamp::UNIX_EPOCH + SignedDuration::from_secs(t),
                    plane.position(PlanePoint { east, north }).unwrap(),
                )
            })
            .collect();
        Track::new(0, fixes).unwrap()
    }

    #[test]
    fn a_leg_with_a_hole_is_one_track() {
        let straight = |t: f64| (2.0 * t, 0.5 * t);
        let tracks = [track(0, 100, straight), track(130, 260, straight)];
        let joined = bridge(tracks.to_vec(), &BridgeRules::default());
        assert_eq!(joined.len(), 1);
        assert_eq!(joined[0].fixes().len(), 101 + 131);
    }

    #[test]
    fn a_turn_a_stop_or_a_long_absence_in_the_hole_is_not_bridged() {
        let straight = |t: f64| (2.0 * t, 0.0);
        let before = track(0, 100, straight);
        let turned = track(130, 260, |t| (200.0 - 2.0 * (t - 115.0), 0.0));
        let stopped = track(130, 260, |t| (200.0 + 2.0 * (t - 130.0), 0.0));
        let faster = track(130, 260, |t| (260.0 + 3.0 * (t - 130.0), 0.0));
        let late = track(230, 300, straight);
        for after in [turned, stopped, faster, late] {
            let joined = bridge(vec![before.clone(), after], &BridgeRules::default());
            assert_eq!(joined.len(), 2);
        }
    }
}
