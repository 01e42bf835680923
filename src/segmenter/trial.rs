//! Which legs are the trial, and how they pair.
//!
//! A double run is two legs held on reciprocal headings through the water. Half the difference of
//! their velocities is the velocity through the water, half the sum the drift, exact for any steady
//! current (the triangle of velocities; where the drift lies along the line it reduces to the usual
//! mean of both directions).
//!
//! A trial is the same double run again and again: on one axis, alike in length or in duration. So
//! each pair is tried as the pattern of the day, all others are weighed by how much more likely
//! they are as repeats of it than as two legs that happen to lie so, and the best set that uses no
//! leg twice is found by dynamic programming. Further axes follow, with the same length or duration.

use std::f64::consts::PI;

use serde::Serialize;

use super::leg::Leg;
use super::series::half_square;
use crate::geometry::{PLANE_REACH_M, Plane};
use crate::track::Position;

/// How legs make double runs, and double runs a trial. Prices and weights are natural logarithms of
/// odds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrialRules {
    /// One person in so many does what people do not do, as often as anybody does: leaves a leg
    /// without its way back, breaks one off, adds a line, trolls beside the trial, takes a break as
    /// long as a swap, tests a single part (common practice, no source).
    pub odd_one_in: f64,
    /// Weight of a pair that matches the pattern in everything: by chance one in a dozen legs is
    /// reciprocal to the one before within the scatter, one in four as long, one in three like the
    /// pattern in either, which makes 1 in 150.
    pub match_weight: f64,
    /// Axes of double runs on one line scatter by this much, degrees: less than a hand wanders.
    pub axis_deg: f64,
    /// Legs meant to be alike in length or in duration differ by this share: turns are begun by eye.
    pub alike: f64,
    /// A turn takes up to this long, s (common practice, no source).
    pub turn_s: f64,
    /// And a pause at the end of a leg lasts about this much longer, s.
    pub pause_s: f64,
    /// The drift is this share of the speed through the water, standard deviation: nobody tests a
    /// boat where it hardly stems the stream.
    pub drift_share: f64,
    /// Drift on one line changes by this much over a trial, m/s, standard deviation: a tide, or a
    /// wind that gets up.
    pub drift_m_s: f64,
    /// Double runs of one cell scatter by about this share of the speed; the scatter of the day is
    /// fitted about it. Trials of small boats repeat to one or two percent (common practice, no
    /// source).
    pub scatter: f64,
    /// Usual size of a change between parts on the log scale, standard deviation: parts for small
    /// boats differ by 0 to 15 % (common practice, no source).
    pub change: f64,
    /// Usual step from one setting to the next on the log scale: a person moves the lever by enough
    /// to see it, a fifth to twice the speed (common practice, no source).
    pub setting_step: f64,
    /// Usual time to swap a part, s: tools out, battery off, part off and on (common practice, no
    /// source).
    pub swap_s: f64,
    /// What is called usual is known to this, standard deviation of the logarithm: a step, a pause, a
    /// swap, the scatter of a day. One in twenty is less than a quarter of it. Speeds of boats and
    /// settings, 0.3 to 4 m/s, spread as widely.
    pub usual_spread: f64,
}

impl TrialRules {
    /// The price of doing what people seldom do.
    pub(super) fn odd(&self) -> f64 {
        self.odd_one_in.ln()
    }
}

impl Default for TrialRules {
    fn default() -> Self {
        Self {
            odd_one_in: 20.0,
            match_weight: 5.0,
            axis_deg: 6.0,
            alike: 0.15,
            turn_s: 60.0,
            pause_s: 90.0,
            drift_share: 0.35,
            drift_m_s: 0.15,
            scatter: 0.012,
            change: 0.06,
            setting_step: 0.45,
            swap_s: 600.0,
            usual_spread: 0.8,
        }
    }
}

/// A leg as it may have been run: a stretch, a part of one, or two in one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Version {
    /// The leg.
    pub leg: Leg,
    /// The first and last of the stretches that it covers.
    pub stretches: [usize; 2],
    /// Whether it is not a stretch as found.
    pub recut: bool,
    /// Whether a person said that it belongs to the trial.
    pub taken_in: bool,
    /// Number of the leg that a person paired it with.
    pub only_with: Option<usize>,
}

/// Two legs there and back that may be a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair {
    /// Indices of the versions of its legs, in order of time.
    pub legs: [usize; 2],
    /// The first and last of the stretches from its beginning to its end.
    pub stretches: [usize; 2],
    /// What speaks for it whatever the pattern of the day, short of a match.
    own: f64,
    /// Velocity through the water on the first leg, m/s east and north.
    pub way: [f64; 2],
    /// Its direction, radians clockwise from north.
    heading: f64,
    /// Drift, m/s east and north.
    pub drift: [f64; 2],
    /// Mean length over the ground, m.
    pub length: f64,
    /// Mean duration, s.
    pub duration: f64,
    /// Logarithm of the ratio of the lengths, and of the durations.
    pub unlike: [f64; 2],
    /// The plane on which the first lies.
    plane: Plane,
    /// When the first begins, s.
    pub start: f64,
    /// When the second ends, s.
    pub end: f64,
    /// What it weighs in the trial it was chosen for.
    pub weight: f64,
    /// Which line of the trial it lies on.
    pub line: usize,
}

impl Pair {
    /// Two versions of legs as a pair; `None` where they cannot be one or a person paired either
    /// otherwise.
    fn of(
        versions: &[Version],
        whole: &[Leg],
        legs: [usize; 2],
        rules: &TrialRules,
    ) -> Option<Self> {
        let [a, b] = legs.map(|i| versions.get(i));
        let (first, second) = (a?, b?);
        let (a, b) = (&first.leg, &second.leg);
        let (v, w) = (a.velocity()?, b.velocity()?);
        let way = [(v[0] - w[0]) / 2.0, (v[1] - w[1]) / 2.0];
        let drift = [f64::midpoint(v[0], w[0]), f64::midpoint(v[1], w[1])];
        let long = |leg: &Leg, v: [f64; 2]| (leg.duration() * v[0].hypot(v[1])).max(1.0);
        let (la, lb) = (long(a, v), long(b, w));
        let (da, db) = (a.duration().max(1.0), b.duration().max(1.0));
        let speed = way[0].hypot(way[1]).max(1e-6);
        let drifting = drift[0].hypot(drift[1]) / speed;
        let told = first.only_with.is_some() || second.only_with.is_some();
        let together = first.only_with == Some(b.number) && second.only_with == Some(a.number);
        if drifting >= 1.0 || told != together || !(told || overlap(a, b, way)) {
            return None;
        }
        let between = whole.get(first.stretches[1] + 1..second.stretches[0]);
        let passed: Vec<f64> = (between.unwrap_or_default().iter())
            .filter(|leg| under_way(leg, way, drift))
            .map(|leg| leg.duration() + rules.turn_s)
            .collect();
        // A leg broken off and the way back to run it again are no pause.
        let idle = b.start - a.end - rules.turn_s - passed.iter().sum::<f64>();
        let pause = (idle / rules.pause_s).max(0.0);
        let recut = usize::from(first.recut) + usize::from(second.recut);
        Some(Self {
            legs,
            stretches: [first.stretches[0], second.stretches[1]],
            own: -half_square(drifting / rules.drift_share)
                - pause
                - rules.odd() / 2.0 * (passed.len() + recut) as f64
                + if first.taken_in || second.taken_in || told {
                    SAID
                } else {
                    0.0
                },
            way,
            heading: way[0].atan2(way[1]),
            drift,
            length: f64::midpoint(la, lb),
            duration: f64::midpoint(da, db),
            unlike: [(la / lb).ln(), (da / db).ln()],
            plane: a.plane,
            start: a.start,
            end: b.end,
            weight: 0.0,
            line: 0,
        })
    }

    /// Speed through the water, m/s.
    pub(super) fn speed(&self) -> f64 {
        self.way[0].hypot(self.way[1])
    }

    fn size(&self, key: Key) -> f64 {
        match key {
            Key::Length => self.length,
            Key::Duration => self.duration,
        }
    }

    fn unlike(&self, key: Key) -> f64 {
        match key {
            Key::Length => self.unlike[0],
            Key::Duration => self.unlike[1],
        }
    }
}

/// Whether a leg between two was run under power: at half their speed through the water or more.
fn under_way(leg: &Leg, way: [f64; 2], drift: [f64; 2]) -> bool {
    leg.velocity().is_some_and(|v| {
        let through = (v[0] - drift[0]).hypot(v[1] - drift[1]);
        v[0].hypot(v[1]).min(through) > way[0].hypot(way[1]) / 2.0
    })
}

/// What a person said outweighs anything the track may say.
const SAID: f64 = 1000.0;

/// What legs of the trial have in common.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Key {
    Length,
    Duration,
}

/// A way to choose the double runs of the day.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    /// In order of time; no leg twice.
    pub pairs: Vec<Pair>,
    /// How much more likely they are a trial than not.
    pub weight: f64,
}

/// Legs so far apart in order do not pair: each one passed over costs more than a match brings.
const FARTHEST: usize = 5;

/// Pairs tried as the pattern of a day, and of each further line: a trial repeats itself, so one of
/// its pairs is among the best. Only bounds the work on days of thousands of legs.
const PATTERNS: usize = 120;
const PATTERNS_OF_A_LINE: usize = 40;

/// Choices that differ are kept up to this many.
const CHOICES: usize = 6;

/// All pairs of legs that might be double runs. `whole` are the legs as the stretches have them.
pub(super) fn candidates(versions: &[Version], whole: &[Leg], rules: &TrialRules) -> Vec<Pair> {
    let mut found = Vec::new();
    for (first, a) in versions.iter().enumerate() {
        for (second, b) in versions.iter().enumerate().skip(first + 1) {
            if b.stretches[0] > a.stretches[1] + FARTHEST {
                break;
            }
            if b.stretches[0] <= a.stretches[1] || !a.leg.is_usable() || !b.leg.is_usable() {
                continue;
            }
            let pair = Pair::of(versions, whole, [first, second], rules);
            found.extend(pair.filter(|pair| pair.own > -rules.match_weight));
        }
    }
    found.sort_by_key(|pair| pair.stretches[1]);
    found
}

/// Whether the way back covers the water of the way there, for the most part of the shorter.
fn overlap(a: &Leg, b: &Leg, way: [f64; 2]) -> bool {
    let speed = way[0].hypot(way[1]).max(1e-6);
    let along = |at: Position| {
        let at = a.plane.project(at);
        (at.east * way[0] + at.north * way[1]) / speed
    };
    let (a0, a1) = (along(a.start_position), along(a.end_position));
    let (b0, b1) = (along(b.end_position), along(b.start_position));
    a1.min(b1) - a0.max(b0) >= 0.4 * (a1 - a0).min(b1 - b0)
}

/// As [`half_square`] for small deviations, but large ones surprise less (Huber 1964, Ann. Math.
/// Stat. 35, 73-101), since people are sloppy at times.
fn surprise(z: f64) -> f64 {
    let z = z.abs();
    if z <= SLOPPY {
        half_square(z)
    } else {
        SLOPPY * (z - SLOPPY / 2.0)
    }
}

/// Beyond so many standard deviations somebody was sloppy.
const SLOPPY: f64 = 2.0;

/// Whether two pairs lie on different waters.
fn is_far(a: &Pair, b: &Pair) -> bool {
    a.plane.apart(&b.plane) > PLANE_REACH_M
}

/// How much more likely a pair is a repeat of the pattern than two legs by chance.
fn weight(pair: &Pair, pattern: &Pair, key: Key, rules: &TrialRules) -> f64 {
    if is_far(pair, pattern) {
        return f64::NEG_INFINITY;
    }
    let size = (pair.size(key) / pattern.size(key)).ln() / rules.alike;
    let unlike = pair.unlike(key) / rules.alike;
    let mut weight = rules.match_weight + pair.own - surprise(size) - surprise(unlike);
    let off = wrapped(pair.heading - pattern.heading);
    let (off, turned) = if off.abs() > PI / 2.0 {
        (PI - off.abs(), true)
    } else {
        (off.abs(), false)
    };
    weight -= half_square(off.to_degrees() / rules.axis_deg);
    let drift = (pair.drift[0] - pattern.drift[0]).hypot(pair.drift[1] - pattern.drift[1]);
    weight -= half_square(drift / rules.drift_m_s).min(2.0 * rules.odd());
    // The first leg of each double run goes the same way, as a rule.
    if turned {
        weight -= 1.0;
    }
    weight
}

/// Even where two legs left alone cost more, a pair must be about as likely as chance.
const LEAST_WEIGHT: f64 = -1.0;

/// What it costs to leave a leg alone: the more it looks like one of the pattern's, the more.
fn price_alone(leg: &Leg, pattern: &Pair, key: Key, rules: &TrialRules) -> f64 {
    let Some(v) = leg.velocity().filter(|_| leg.is_usable()) else {
        return 0.0;
    };
    let speed = v[0].hypot(v[1]);
    let size = match key {
        Key::Length => leg.duration() * speed,
        Key::Duration => leg.duration(),
    };
    let through = [v[0] - pattern.drift[0], v[1] - pattern.drift[1]];
    let off = wrapped(through[0].atan2(through[1]) - pattern.heading).abs();
    let off = off.min(PI - off).to_degrees() / (2.0 * rules.axis_deg);
    let unlike = (size.max(1.0) / pattern.size(key)).ln() / rules.alike;
    rules.odd() * (-half_square(off) - half_square(unlike)).exp()
}

fn wrapped(angle: f64) -> f64 {
    let turned = (angle + PI).rem_euclid(2.0 * PI) - PI;
    if turned.is_finite() { turned } else { 0.0 }
}

/// The best ways to choose double runs from candidates, best first.
pub(super) fn choices(candidates: &[Pair], legs: &[Leg], rules: &TrialRules) -> Vec<Choice> {
    let mut lines: Vec<(Choice, Pair, Key)> = Vec::new();
    for pattern in &patterns(candidates, PATTERNS) {
        for key in [Key::Length, Key::Duration] {
            let choice = one_line(candidates, pattern, key, legs, rules);
            if choice.pairs.is_empty() {
                continue;
            }
            match lines
                .iter_mut()
                .find(|l| same_legs(&l.0.pairs, &choice.pairs))
            {
                Some(known) if known.0.weight < choice.weight => *known = (choice, *pattern, key),
                None => lines.push((choice, *pattern, key)),
                _ => {}
            }
            lines.sort_by(|a, b| b.0.weight.total_cmp(&a.0.weight));
            lines.truncate(2 * CHOICES);
        }
    }
    let mut found: Vec<Choice> = lines
        .into_iter()
        .map(|(choice, pattern, key)| more_lines(choice, candidates, &pattern, key, legs, rules))
        .collect();
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    found.dedup_by(|a, b| same_legs(&a.pairs, &b.pairs));
    found.truncate(CHOICES);
    found
}

/// The pairs that are the best by themselves.
fn patterns(pairs: &[Pair], most: usize) -> Vec<Pair> {
    let mut best = pairs.to_vec();
    if best.len() > most {
        best.sort_by(|a, b| b.own.total_cmp(&a.own));
        best.truncate(most);
    }
    best
}

fn same_legs(a: &[Pair], b: &[Pair]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.legs == b.legs)
}

/// All that repeats one pattern on its line.
fn one_line(
    candidates: &[Pair],
    pattern: &Pair,
    key: Key,
    legs: &[Leg],
    rules: &TrialRules,
) -> Choice {
    let alone: Vec<f64> = (legs.iter())
        .map(|leg| price_alone(leg, pattern, key, rules))
        .collect();
    let (pairs, weight) = best_set(candidates, &alone, |pair| weight(pair, pattern, key, rules));
    Choice { pairs, weight }
}

/// A choice with what repeats its pattern on other lines.
fn more_lines(
    choice: Choice,
    candidates: &[Pair],
    pattern: &Pair,
    key: Key,
    legs: &[Leg],
    rules: &TrialRules,
) -> Choice {
    let Choice {
        pairs: mut chosen,
        weight: mut total,
    } = choice;
    for line in 1..4 {
        let used = |leg: usize| {
            chosen
                .iter()
                .any(|p| (p.stretches[0]..=p.stretches[1]).contains(&leg))
        };
        let free: Vec<Pair> = candidates
            .iter()
            .filter(|p| !(p.stretches[0]..=p.stretches[1]).any(used) && !is_far(p, pattern))
            .copied()
            .collect();
        let mut best: Option<(f64, Vec<Pair>)> = None;
        for other in &patterns(&free, PATTERNS_OF_A_LINE) {
            let alone: Vec<f64> = (legs.iter().enumerate())
                .map(|(i, leg)| {
                    if used(i) {
                        0.0
                    } else {
                        price_alone(leg, other, key, rules)
                    }
                })
                .collect();
            let (set, gain) = best_set(&free, &alone, |pair| {
                weight(pair, other, key, rules)
                    - surprise((pair.size(key) / pattern.size(key)).ln() / rules.alike)
            });
            let gain = gain - rules.odd();
            if gain > 0.0 && best.as_ref().is_none_or(|(g, _)| gain > *g) {
                best = Some((gain, set));
            }
        }
        let Some((gain, set)) = best else { break };
        total += gain;
        chosen.extend(set.into_iter().map(|p| Pair { line, ..p }));
        chosen.sort_by(|a, b| a.start.total_cmp(&b.start));
    }
    Choice {
        pairs: chosen,
        weight: total,
    }
}

/// The set of pairs of the largest total weight in which no leg is used twice, and that weight;
/// `alone` is what it costs to leave each leg alone. Candidates come in order of their last stretch.
fn best_set(candidates: &[Pair], alone: &[f64], weigh: impl Fn(&Pair) -> f64) -> (Vec<Pair>, f64) {
    let mut best = vec![0.0_f64; alone.len() + 1];
    let mut taken: Vec<Option<(usize, f64)>> = vec![None; alone.len() + 1];
    let mut next = 0;
    for (leg, alone) in alone.iter().enumerate() {
        let mut value = best.get(leg).copied().unwrap_or(0.0) - alone;
        let mut which = None;
        while let Some(pair) = candidates.get(next).filter(|p| p.stretches[1] <= leg) {
            let weight = weigh(pair);
            let with = best.get(pair.stretches[0]).copied().unwrap_or(0.0) + weight;
            if weight > LEAST_WEIGHT && with > value {
                (value, which) = (with, Some((next, weight)));
            }
            next += 1;
        }
        if let (Some(b), Some(t)) = (best.get_mut(leg + 1), taken.get_mut(leg + 1)) {
            (*b, *t) = (value, which);
        }
    }
    let mut set = Vec::new();
    let mut at = alone.len();
    while at > 0 {
        let pair = taken.get(at).copied().flatten();
        match pair.and_then(|(index, weight)| Some((candidates.get(index)?, weight))) {
            Some((pair, weight)) => {
                set.push(Pair { weight, ..*pair });
                at = pair.stretches[0];
            }
            None => at -= 1,
        }
    }
    set.reverse();
    (set, best.last().copied().unwrap_or(0.0))
}
