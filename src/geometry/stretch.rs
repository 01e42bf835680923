//! Straight stretches: pieces of steady velocity, joined where the heading goes on,
//! with their ends found on the fixes themselves.

use serde::Serialize;

use super::ends::settle_ends;
use super::line::Motion;
use super::partition::{Price, partition};
use super::path::{PathPoint, Sampled, between};
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
    /// the rest by more than this, degrees. Source: our own simulated days.
    pub turn_deg: f64,
    /// And where it lasts no longer than this, s; what lasts longer is wander.
    pub turn_longest_s: f64,
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
            turn_longest_s: 90.0,
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

/// Samples `from..to` and the motion that fits them.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from: usize,
    to: usize,
    motion: Motion,
    rms: f64,
}

impl Piece {
    fn new(from: usize, to: usize, centres: &[PathPoint]) -> Option<Self> {
        let points = centres.get(from..to)?;
        let motion = Motion::fit(points)?;
        Some(Self {
            from,
            to,
            motion,
            rms: motion.cross_track_rms(points),
        })
    }

    fn seconds(&self, rules: &StretchRules) -> f64 {
        (self.to - self.from) as f64 * rules.sample_s
    }

    fn is_running(&self, rules: &StretchRules) -> bool {
        self.motion.speed() >= rules.slowest_m_s
    }

    fn is_drifting(&self, rules: &StretchRules) -> bool {
        let speed = self.motion.speed();
        (rules.idle_slowest_m_s..=rules.idle_fastest_m_s).contains(&speed)
            && self.seconds(rules) >= rules.shortest_drift_s
    }

    /// One standard error of the course from position error alone, degrees.
    fn course_error_deg(&self, rules: &StretchRules) -> f64 {
        // Slope error of a line through n points over time T is about sqrt(12/n) scale / T;
        // white error of dense fixes has shrunk in the bins, so a third of the scale stands for it.
        let n = (self.to - self.from) as f64;
        let sideways = (12.0 / n).sqrt() * rules.misfit_scale_m / 3.0 / self.seconds(rules);
        (sideways / self.motion.speed().max(f64::MIN_POSITIVE))
            .atan()
            .to_degrees()
    }
}

/// Joins neighbours on one heading, the most alike first, until none are left to join.
fn join(pieces: Vec<Piece>, centres: &[PathPoint], rules: &StretchRules) -> Vec<Piece> {
    let mut joined: Vec<Piece> = pieces;
    // How well each neighbour pair (i, i + 1) goes together; None where it does not.
    let mut fits: Vec<Option<(f64, Piece)>> = joined
        .windows(2)
        .map(|pair| joint(&pair[0], &pair[1], centres, rules))
        .collect();
    loop {
        let best = fits
            .iter()
            .enumerate()
            .filter_map(|(index, fit)| fit.map(|(cost, piece)| (index, cost, piece)))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((index, _, piece)) = best else {
            return joined;
        };
        joined.remove(index + 1);
        fits.remove(index);
        if let Some(slot) = joined.get_mut(index) {
            *slot = piece;
        }
        for neighbour in [index.checked_sub(1), Some(index)].into_iter().flatten() {
            if let (Some(slot), Some(a), Some(b)) = (
                fits.get_mut(neighbour),
                joined.get(neighbour),
                joined.get(neighbour + 1),
            ) {
                *slot = joint(a, b, centres, rules);
            }
        }
    }
}

/// The piece that two neighbours make together and how far apart their courses
/// are, or `None` where they are on different headings or at different settings.
fn joint(
    a: &Piece,
    b: &Piece,
    centres: &[PathPoint],
    rules: &StretchRules,
) -> Option<(f64, Piece)> {
    if !a.is_running(rules) || !b.is_running(rules) {
        return None;
    }
    let apart = a.motion.course()?.apart(b.motion.course()?);
    let error = a.course_error_deg(rules).hypot(b.course_error_deg(rules));
    let (slow, fast) = {
        let (a, b) = (a.motion.speed(), b.motion.speed());
        (a.min(b), a.max(b))
    };
    // The longer both last, the less of a difference is a gust, hunting or the boat gathering speed.
    let lasting = (a.seconds(rules).min(b.seconds(rules)) / rules.new_speed_s).min(1.0);
    if fast > slow * (rules.new_speed_ratio + 1.0 - lasting) {
        return None;
    }
    let same = rules.same_heading_deg - lasting * (rules.same_heading_deg - rules.same_lasting_deg);
    if apart > same + 2.0 * error {
        return None;
    }
    let both = Piece::new(a.from, b.to, centres)?;
    (both.rms <= rules.straight_rms_m).then_some((apart / (1.0 + error), both))
}

/// Takes the last of a turn, or a run up to the line, off the ends of a joined piece:
/// parts too short to be wander of the heading hold whose course is off that of the rest.
fn without_turns(
    whole: Piece,
    parts: &[Piece],
    centres: &[PathPoint],
    rules: &StretchRules,
) -> Piece {
    let (mut first, mut last) = (0, parts.len());
    let rest_of = |first: usize, last: usize| -> Option<Piece> {
        let from = parts.get(first)?.from;
        let to = parts.get(last.checked_sub(1)?)?.to;
        Piece::new(from, to, centres)
    };
    let turns = |part: &Piece, rest: &Piece| -> bool {
        let (Some(a), Some(b)) = (part.motion.course(), rest.motion.course()) else {
            return true;
        };
        let error = part.course_error_deg(rules);
        part.seconds(rules) <= rules.turn_longest_s && a.apart(b) > rules.turn_deg + 2.0 * error
    };
    while first + 1 < last {
        let (Some(part), Some(rest)) = (parts.get(first), rest_of(first + 1, last)) else {
            break;
        };
        if !turns(part, &rest) {
            break;
        }
        first += 1;
    }
    while first + 1 < last {
        let (Some(part), Some(rest)) = (parts.get(last - 1), rest_of(first, last - 1)) else {
            break;
        };
        if !turns(part, &rest) {
            break;
        }
        last -= 1;
    }
    rest_of(first, last).unwrap_or(whole)
}
