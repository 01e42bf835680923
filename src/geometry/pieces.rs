//! Pieces of a track: neighbours on one heading joined, and turns taken off their ends.

use super::line::Motion;
use super::path::PathPoint;
use super::stretch::StretchRules;

/// Samples `from..to` and the motion that fits them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) motion: Motion,
    rms: f64,
}

impl Piece {
    pub(super) fn new(from: usize, to: usize, centres: &[PathPoint]) -> Option<Self> {
        let points = centres.get(from..to)?;
        let motion = Motion::fit(points)?;
        Some(Self {
            from,
            to,
            motion,
            rms: motion.cross_track_rms(points),
        })
    }

    pub(super) fn seconds(&self, rules: &StretchRules) -> f64 {
        (self.to - self.from) as f64 * rules.sample_s
    }

    pub(super) fn is_running(&self, rules: &StretchRules) -> bool {
        self.motion.speed() >= rules.slowest_m_s
    }

    pub(super) fn is_drifting(&self, rules: &StretchRules) -> bool {
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
pub(super) fn join(pieces: Vec<Piece>, centres: &[PathPoint], rules: &StretchRules) -> Vec<Piece> {
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
pub(super) fn without_turns(
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
        let error = part
            .course_error_deg(rules)
            .hypot(rest.course_error_deg(rules));
        let seconds = part.seconds(rules);
        let lasting = ((seconds - rules.turn_brief_s)
            / (rules.turn_lasting_s - rules.turn_brief_s))
            .clamp(0.0, 1.0);
        let off = rules.turn_deg + lasting * (rules.same_heading_deg - rules.turn_deg);
        seconds
            <= rules
                .turn_longest_s
                .min(rules.turn_longest_share * rest.seconds(rules))
            && a.apart(b) > off + 2.0 * error
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::geometry::plane::PlanePoint;

    /// Samples every five seconds at 2 m/s, so many on each course, degrees.
    fn centres(parts: &[(usize, f64)]) -> Vec<PathPoint> {
        let mut at = PlanePoint::default();
        let courses = parts
            .iter()
            .flat_map(|(samples, course)| std::iter::repeat_n(*course, *samples));
        courses
            .enumerate()
            .map(|(index, course)| {
                let (sin, cos) = f64::to_radians(course).sin_cos();
                at.east += 10.0 * sin;
                at.north += 10.0 * cos;
                PathPoint {
                    t: 5.0 * index as f64,
                    at,
                }
            })
            .collect()
    }

    /// What is left of a leg that was run in two parts.
    fn left(parts: [(usize, f64); 2]) -> std::ops::Range<usize> {
        let centres = centres(&parts);
        let [first, second] = parts.map(|(samples, _)| samples);
        let piece = |from, to| Piece::new(from, to, &centres).unwrap();
        let all = first + second;
        let kept = without_turns(
            piece(0, all),
            &[piece(0, first), piece(first, all)],
            &centres,
            &StretchRules::default(),
        );
        kept.from..kept.to
    }

    #[test]
    fn the_longer_part_of_a_leg_is_never_its_turn() {
        assert_eq!(left([(5, 260.0), (15, 280.0)]), 5..20);
        assert_eq!(left([(15, 260.0), (5, 280.0)]), 0..15);
        assert_eq!(left([(9, 260.0), (10, 280.0)]), 0..19);
    }

    #[test]
    fn a_slight_bend_that_lasts_is_part_of_the_leg() {
        assert_eq!(left([(8, 273.0), (32, 266.0)]), 0..40);
        assert_eq!(left([(8, 290.0), (32, 266.0)]), 8..40);
    }
}
