//! Straight stretches: the track in pieces of steady velocity, joined, with their ends found on the
//! fixes themselves.

use serde::Serialize;

use super::ends::settle_ends;
use super::line::Motion;
use super::partition::{Price, partition};
use super::path::{PathPoint, Sampled, between};
use super::pieces::{Piece, join, without_turns};
use super::plane::PlanePoint;
use crate::stats::quantile::median;
use crate::units::Bearing;

/// When a piece of a track counts as a straight stretch on one heading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StretchRules {
    /// Step of the even sampling, s. A turn of a small boat takes 15 s or more
    /// (common practice, no source), so three samples see it.
    pub sample_s: f64,
    /// Misfit that counts as one unit, m: about the position error of a small
    /// receiver (1-3 m) together with wander in waves. Source: our own simulated days.
    pub misfit_scale_m: f64,
    /// Where the track itself is rougher, this many times its roughness counts instead:
    /// a recorder that keeps four decimals of a degree writes steps of 11 m.
    pub misfit_per_roughness: f64,
    /// Price of one more piece, in units of squared misfit per scale squared.
    /// Source: our own simulated days; anything from 6 to 20 finds the same legs.
    pub piece_price: f64,
    /// Longest single piece before joining, s; bounds the work per sample.
    pub longest_piece_s: f64,
    /// Two pieces whose courses differ by no more than this go on the same heading,
    /// degrees: heading holds hunt by a few degrees to either side (common practice, no source).
    pub same_heading_deg: f64,
    /// Or by no more than this where both last [`Self::new_speed_s`]: hunting and gusts average out.
    /// Source: our own simulated days.
    pub same_lasting_deg: f64,
    /// Joined pieces may stray this far from one line, m root mean square.
    /// Slow position error is 1-3 m, gusts move a boat sideways by a few more.
    pub straight_rms_m: f64,
    /// A piece this much faster or slower than its neighbour (ratio), both lasting
    /// [`Self::new_speed_s`], is another setting on the same heading, or the motor off, and not
    /// a gust; shorter ones may differ by more, up to one more in the ratio.
    pub new_speed_ratio: f64,
    /// See [`Self::new_speed_ratio`], s: gusts last about a minute.
    pub new_speed_s: f64,
    /// Shortest stretch, s: a minute of steady running and the approach to it need more than this.
    pub shortest_s: f64,
    /// Shortest drift, s: two gusts.
    pub shortest_drift_s: f64,
    /// Shortest stretch, m: ten times the position error, so that its course is good to 6 degrees.
    pub shortest_m: f64,
    /// Slowest stretch, m/s: below this small boats drift rather than run.
    pub slowest_m_s: f64,
    /// Fastest drift of a boat that lies idle, m/s: 6 % of a fresh wind of 10 m/s
    /// (idle small boats drift at 3-6 % of the wind; common practice, no source).
    pub idle_fastest_m_s: f64,
    /// Slowest drift whose direction means anything, m/s: over a minute it carries the
    /// boat as far as the position errs.
    pub idle_slowest_m_s: f64,
    /// Distance from the line at which a boat has certainly begun to turn, m.
    pub departure_m: f64,
    /// A boat that stays farther off than that for this long has begun to turn, s.
    pub departed_s: f64,
    /// A part at an end of a joined piece belongs to the turn where its course is off
    /// the rest by more than this, degrees, and it lasts no longer than [`Self::turn_brief_s`].
    /// Source: our own simulated days.
    pub turn_deg: f64,
    /// See [`Self::turn_deg`], s. The longer a part lasts the more it may be off, up to
    /// [`Self::same_heading_deg`]: what a gust or a correction towards the line does lasts longer than
    /// the last of a turn. Source: our own simulated days.
    pub turn_brief_s: f64,
    /// From this on it may be off so far, s.
    pub turn_lasting_s: f64,
    /// And where it lasts no longer than this, s; what lasts longer is wander.
    pub turn_longest_s: f64,
    /// And no longer than this share of the rest: of two parts alike neither is the turn.
    pub turn_longest_share: f64,
    /// Distance from the line that counts as one unit of misfit where the ends of a joined
    /// piece are looked at more closely, m. Source: our own simulated days.
    pub end_scale_m: f64,
    /// How much of the leg next to an end judges that end, s.
    pub end_window_s: f64,
}

impl Default for StretchRules {
    fn default() -> Self {
        Self {
            sample_s: 5.0,
            misfit_scale_m: 2.0,
            misfit_per_roughness: 2.5,
            piece_price: 8.0,
            longest_piece_s: 1200.0,
            same_heading_deg: 12.0,
            same_lasting_deg: 7.0,
            straight_rms_m: 8.0,
            new_speed_ratio: 1.2,
            new_speed_s: 90.0,
            shortest_s: 40.0,
            shortest_drift_s: 60.0,
            shortest_m: 30.0,
            slowest_m_s: 0.3,
            idle_fastest_m_s: 0.6,
            idle_slowest_m_s: 0.04,
            departure_m: 3.0,
            departed_s: 6.0,
            turn_deg: 5.0,
            turn_brief_s: 15.0,
            turn_lasting_s: 40.0,
            turn_longest_s: 90.0,
            turn_longest_share: 0.7,
            end_scale_m: 1.4,
            end_window_s: 90.0,
        }
    }
}

/// A straight stretch of one track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The turn before it is over, seconds.
    pub start: f64,
    /// The turn after it begins, seconds.
    pub end: f64,
    /// The line that fits it.
    pub motion: Motion,
    /// Course made good.
    pub course: Bearing,
}

impl Stretch {
    /// Seconds from start to end.
    pub fn duration(&self) -> f64 {
        self.end - self.start
    }
}

/// What was found in one unbroken path, each in order of time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Runs on a steady heading.
    pub running: Vec<Stretch>,
    /// Steady slow drifts; in a fresh wind some may also be among the running ones.
    pub drifting: Vec<Stretch>,
}

/// Finds the straight stretches of one unbroken path.
pub fn find_stretches(path: &[PathPoint], rules: &StretchRules) -> Found {
    let sampled = Sampled::new(path, rules.sample_s);
    let rough = rules.misfit_per_roughness * roughness(&sampled.points).unwrap_or(0.0);
    let price = Price {
        scale_m: rules.misfit_scale_m.max(rough),
        per_piece: rules.piece_price,
        shortest: 2,
        longest: (rules.longest_piece_s / rules.sample_s).round().max(4.0) as usize,
    };
    let centres: Vec<PathPoint> = sampled
        .points
        .iter()
        .enumerate()
        .map(|(index, at)| PathPoint {
            t: sampled.edge(index) + rules.sample_s / 2.0,
            at: *at,
        })
        .collect();
    let pieces: Vec<Piece> = partition(&sampled.points, price)
        .into_iter()
        .filter_map(|range| Piece::new(range.start, range.end, &centres))
        .collect();
    let drifting = pieces
        .iter()
        .filter(|piece| piece.is_drifting(rules))
        .filter_map(|piece| {
            Some(Stretch {
                start: sampled.edge(piece.from),
                end: sampled.edge(piece.to),
                motion: piece.motion,
                course: piece.motion.course()?,
            })
        })
        .collect();
    let fine = Price {
        scale_m: rules
            .end_scale_m
            .max(rough * rules.end_scale_m / rules.misfit_scale_m),
        ..price
    };
    let parts_of = |whole: &Piece| -> Vec<Piece> {
        let own = sampled.points.get(whole.from..whole.to).unwrap_or_default();
        partition(own, fine)
            .into_iter()
            .filter_map(|range| {
                Piece::new(whole.from + range.start, whole.from + range.end, &centres)
            })
            .collect()
    };
    let running = join(pieces, &centres, rules)
        .into_iter()
        .filter(|piece| piece.is_running(rules))
        .filter_map(|piece| {
            let piece = without_turns(piece, &parts_of(&piece), &centres, rules);
            let rough = (sampled.edge(piece.from), sampled.edge(piece.to));
            settle_ends(path, rough.0, rough.1, rules)
        })
        .filter(|stretch| {
            stretch.duration() >= rules.shortest_s
                && stretch.motion.speed() * stretch.duration() >= rules.shortest_m
        })
        .collect();
    Found {
        running: apart(running, path),
        drifting,
    }
}

/// Ends are looked for beyond a stretch, so two neighbours may claim the same seconds: they are
/// parted in the middle of them.
fn apart(mut running: Vec<Stretch>, path: &[PathPoint]) -> Vec<Stretch> {
    for second in 1..running.len() {
        let (Some(before), Some(after)) = (
            running.get(second - 1).copied(),
            running.get(second).copied(),
        ) else {
            continue;
        };
        if before.end <= after.start {
            continue;
        }
        let middle = f64::midpoint(before.end, after.start);
        for (index, start, end) in [
            (second - 1, before.start, middle),
            (second, middle, after.end),
        ] {
            let own = Motion::fit(between(path, start, end))
                .and_then(|motion| Some((motion, motion.course()?)));
            if let (Some((motion, course)), Some(slot)) = (own, running.get_mut(index)) {
                *slot = Stretch {
                    start,
                    end,
                    motion,
                    course,
                };
            }
        }
    }
    running
}

/// White error of the samples, m: second differences of a steady motion hold nothing
/// else, and have six times its variance. Their median does not feel the turns.
fn roughness(points: &[PlanePoint]) -> Option<f64> {
    let bends: Vec<f64> = points
        .windows(3)
        .flat_map(|w| {
            [
                w[0].east - 2.0 * w[1].east + w[2].east,
                w[0].north - 2.0 * w[1].north + w[2].north,
            ]
        })
        .map(f64::abs)
        .collect();
    // 1.4826: median absolute deviation to standard deviation of a normal distribution.
    median(&bends).map(|m| 1.4826 * m / 6.0_f64.sqrt())
}
