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

use std::f64::consts::{LN_2, PI};

use super::leg::Leg;
use super::rules::TrialRules;
use super::series::half_square;
use super::stops::is_under_way;
use crate::geometry::{PLANE_REACH_M, Plane};
use crate::track::Position;

/// A leg as it may have been run: a stretch, a part of one, or two in one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Version {
    /// The leg.
    pub leg: Leg,
    /// The first and last of the stretches that it covers.
    pub stretches: [usize; 2],
    /// What it costs that it is not a stretch as found.
    pub recut: f64,
    /// Whether a person said that it belongs to the trial.
    pub taken_in: bool,
    /// Number of the leg that a person paired it with.
    pub only_with: Option<usize>,
}

impl Version {
    /// One of which nobody said anything.
    pub(super) fn of(leg: Leg, stretches: [usize; 2], recut: f64) -> Self {
        Self {
            leg,
            stretches,
            recut,
            taken_in: false,
            only_with: None,
        }
    }
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
    /// Logarithms of the mean length over the ground, m, and of the mean duration, s.
    size: [f64; 2],
    /// Logarithms of the ratio of the lengths, and of the durations.
    unlike: [f64; 2],
    /// The plane on which the first lies.
    plane: Plane,
    /// When the first begins, s.
    pub start: f64,
    /// When the second ends, s.
    pub end: f64,
    /// What it weighs in the trial it was chosen for.
    pub weight: f64,
    /// Whether it is a leg broken off and the way back, and none of the trial.
    is_broken_off: bool,
    /// Which line of the trial it lies on.
    pub line: usize,
}

/// What legs of a trial have in common, as a place in [`Pair::size`]: their length or duration.
const KEYS: [usize; 2] = [0, 1];

/// What a person said outweighs anything the track may say.
const SAID: f64 = 1000.0;

impl Pair {
    /// Two versions of legs as a pair; `None` where they cannot be one or a person paired either
    /// otherwise.
    fn of(
        versions: &[Version],
        whole: &[Leg],
        legs: [usize; 2],
        rules: &TrialRules,
    ) -> Option<Self> {
        let (first, second) = (versions.get(legs[0])?, versions.get(legs[1])?);
        let (a, b) = (&first.leg, &second.leg);
        let (v, w) = (a.velocity()?, b.velocity()?);
        let way = [(v[0] - w[0]) / 2.0, (v[1] - w[1]) / 2.0];
        let drift = [f64::midpoint(v[0], w[0]), f64::midpoint(v[1], w[1])];
        let drifting = speed(drift) / speed(way).max(1e-6);
        let told = first.only_with.is_some() || second.only_with.is_some();
        let together = first.only_with == Some(b.number) && second.only_with == Some(a.number);
        if drifting >= 1.0
            || told != together
            || !(told || overlap(a, b, way) >= rules.overlap_share)
        {
            return None;
        }
        let between = whole.get(first.stretches[1] + 1..second.stretches[0]);
        let passed: Vec<f64> = (between.unwrap_or_default().iter())
            .filter(|leg| {
                leg.velocity()
                    .is_some_and(|v| is_under_way(v, drift, speed(way)))
            })
            .map(|leg| leg.duration() + rules.turn_s)
            .collect();
        // A leg broken off and the way back to run it again are no pause.
        let idle = b.start - a.end - rules.turn_s - passed.iter().sum::<f64>();
        let said = told || first.taken_in || second.taken_in;
        let (sizes, others) = (size_of(a)?, size_of(b)?);
        Some(Self {
            legs,
            stretches: [first.stretches[0], second.stretches[1]],
            own: SAID * f64::from(said)
                - half_square(drifting / rules.drift_share)
                - (idle / rules.pause_s).max(0.0)
                - half_square(rules.short_m / sizes[0].min(others[0]).exp())
                - rules.odd() / 2.0 * passed.len() as f64
                - (first.recut + second.recut),
            way,
            heading: way[0].atan2(way[1]),
            drift,
            size: KEYS.map(|key| f64::midpoint(sizes[key].exp(), others[key].exp()).ln()),
            unlike: KEYS.map(|key| sizes[key] - others[key]),
            plane: a.plane,
            start: a.start,
            end: b.end,
            weight: 0.0,
            is_broken_off: false,
            line: 0,
        })
    }

    /// Speed through the water, m/s.
    pub(super) fn speed(&self) -> f64 {
        speed(self.way)
    }

    fn covers(&self, stretch: usize) -> bool {
        (self.stretches[0]..=self.stretches[1]).contains(&stretch)
    }

    /// Whether two lie on different waters.
    fn is_far(&self, other: &Self) -> bool {
        self.plane.apart(&other.plane) > PLANE_REACH_M
    }

    /// The same as a repeat of the pattern: how much more likely it is one than two legs by chance.
    fn weighed(&self, pattern: &Self, key: usize, rules: &TrialRules) -> Option<Self> {
        if self.is_far(pattern) {
            return None;
        }
        let off = wrapped(self.heading - pattern.heading).abs();
        let turned = off > PI / 2.0;
        let off = off.min(PI - off).to_degrees() / rules.axis_deg;
        let drift = [0, 1].map(|axis| self.drift[axis] - pattern.drift[axis]);
        // A drift may change by any amount in a squall or at the turn of a tide, at a price.
        let drift = half_square(speed(drift) / rules.drift_m_s).min(2.0 * rules.odd());
        let longer = (self.size[key] - pattern.size[key]) / rules.alike;
        let reciprocal = rules.match_weight + self.own
            - sloppy(self.unlike[key] / rules.alike)
            - half_square(off)
            - drift;
        // The first leg of each double run goes the same way, as a rule.
        let repeat = reciprocal - sloppy(longer) - f64::from(turned);
        // A leg broken off and the way back to run it again are as long as each other, and that
        // is all: the match is worth less by the one in three that are like the pattern.
        let broken_off = reciprocal - rules.odd() - 3_f64.ln();
        let is_broken_off = longer < -2.0 && broken_off > repeat;
        Some(Self {
            weight: if is_broken_off { broken_off } else { repeat },
            is_broken_off,
            ..*self
        })
    }

    /// What it costs to leave a leg alone: the more it looks like one of this pattern's, the more.
    fn price_alone(&self, leg: &Leg, key: usize, rules: &TrialRules) -> f64 {
        let Some((v, size)) = leg.velocity().zip(size_of(leg)).filter(|_| leg.is_usable()) else {
            return 0.0;
        };
        let through = [v[0] - self.drift[0], v[1] - self.drift[1]];
        let off = wrapped(through[0].atan2(through[1]) - self.heading).abs();
        // One leg's course says half as much as that of two.
        let off = off.min(PI - off).to_degrees() / (2.0 * rules.axis_deg);
        let unlike = (size[key] - self.size[key]) / rules.alike;
        rules.odd() * (-half_square(off) - half_square(unlike)).exp()
    }
}

fn speed(velocity: [f64; 2]) -> f64 {
    velocity[0].hypot(velocity[1])
}

/// Logarithms of the length of a leg over the ground, m, and of its duration, s.
fn size_of(leg: &Leg) -> Option<[f64; 2]> {
    let duration = leg.duration();
    Some([duration * speed(leg.velocity()?), duration].map(|size| size.max(1.0).ln()))
}

/// The share of the shorter of two legs there and back that the other covers.
fn overlap(a: &Leg, b: &Leg, way: [f64; 2]) -> f64 {
    let along = |at: Position| {
        let at = a.plane.project(at);
        (at.east * way[0] + at.north * way[1]) / speed(way).max(1e-6)
    };
    let (a0, a1) = (along(a.start_position), along(a.end_position));
    let (b0, b1) = (along(b.end_position), along(b.start_position));
    (a1.min(b1) - a0.max(b0)) / (a1 - a0).min(b1 - b0).max(1e-6)
}

/// As [`half_square`] for small deviations, but large ones surprise less, since people are sloppy at
/// times (Huber 1964, Ann. Math. Stat. 35, 73-101).
fn sloppy(z: f64) -> f64 {
    let capped = z.abs().min(2.0);
    capped * (z.abs() - capped / 2.0)
}

fn wrapped(angle: f64) -> f64 {
    let turned = (angle + PI).rem_euclid(2.0 * PI) - PI;
    if turned.is_finite() { turned } else { 0.0 }
}

/// All pairs of legs that might be double runs. `whole` are the legs as the stretches have them.
pub(super) fn candidates(versions: &[Version], whole: &[Leg], rules: &TrialRules) -> Vec<Pair> {
    // Legs farther apart in order do not pair: each one passed over costs more than a match brings.
    let farthest = (2.0 * rules.match_weight / rules.odd()) as usize + 2;
    let mut found = Vec::new();
    for (first, a) in versions.iter().enumerate() {
        let last = a.stretches[1];
        let later = versions.iter().enumerate().skip(first + 1);
        let near = later.take_while(|(_, b)| b.stretches[0] <= last + farthest);
        for (second, b) in near.filter(|(_, b)| b.stretches[0] > last) {
            if a.leg.is_usable() && b.leg.is_usable() {
                let pair = Pair::of(versions, whole, [first, second], rules);
                found.extend(pair.filter(|pair| pair.own > -rules.match_weight));
            }
        }
    }
    found.sort_by_key(|pair| pair.stretches[1]);
    found
}

/// A way to choose the double runs of the day.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    /// In order of time; no leg twice.
    pub pairs: Vec<Pair>,
    /// How much more likely they are a trial than not.
    pub weight: f64,
}

/// Bounds of the work on days of thousands of legs: pairs tried as the pattern of a day, and of each
/// further line, since a trial repeats itself and one of its pairs is among the best; lines; and the
/// choices kept.
const PATTERNS: usize = 120;
const PATTERNS_OF_A_LINE: usize = 40;
const MOST_LINES: usize = 4;
const CHOICES: usize = 6;

/// The best ways to choose double runs from candidates, best first.
pub(super) fn choices(candidates: &[Pair], legs: &[Leg], rules: &TrialRules) -> Vec<Choice> {
    let alike = |a: &[Pair], b: &[Pair]| a.iter().map(|p| p.legs).eq(b.iter().map(|p| p.legs));
    let mut first: Vec<(Choice, Pair, usize)> = Vec::new();
    for pattern in best_by_themselves(candidates, PATTERNS) {
        for key in KEYS {
            let price = |leg| pattern.price_alone(leg, key, rules);
            let alone: Vec<f64> = legs.iter().map(price).collect();
            let choice = best_set(candidates, &alone, |p| p.weighed(&pattern, key, rules));
            let same = first
                .iter_mut()
                .find(|(c, ..)| alike(&c.pairs, &choice.pairs));
            match same {
                Some(known) if known.0.weight < choice.weight => *known = (choice, pattern, key),
                None if !choice.pairs.is_empty() => first.push((choice, pattern, key)),
                _ => {}
            }
            first.sort_by(|a, b| b.0.weight.total_cmp(&a.0.weight));
            first.truncate(2 * CHOICES);
        }
    }
    let mut found: Vec<Choice> = (first.into_iter())
        .map(|(choice, pattern, key)| more_lines(choice, candidates, &pattern, key, legs, rules))
        .collect();
    found.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    found.dedup_by(|a, b| alike(&a.pairs, &b.pairs));
    found.truncate(CHOICES);
    found
}

fn best_by_themselves(pairs: &[Pair], most: usize) -> Vec<Pair> {
    let mut best = pairs.to_vec();
    if best.len() > most {
        best.sort_by(|a, b| b.own.total_cmp(&a.own));
        best.truncate(most);
    }
    best
}

/// A choice with what repeats its pattern on other lines.
fn more_lines(
    mut choice: Choice,
    candidates: &[Pair],
    pattern: &Pair,
    key: usize,
    legs: &[Leg],
    rules: &TrialRules,
) -> Choice {
    for line in 1..MOST_LINES {
        let used = |stretch| choice.pairs.iter().any(|p| p.covers(stretch));
        let is_free =
            |p: &&Pair| !(p.stretches[0]..=p.stretches[1]).any(used) && !p.is_far(pattern);
        let free: Vec<Pair> = candidates.iter().filter(is_free).copied().collect();
        let set = |other: &Pair| {
            let price = |(i, leg)| f64::from(!used(i)) * other.price_alone(leg, key, rules);
            let alone: Vec<f64> = legs.iter().enumerate().map(price).collect();
            best_set(&free, &alone, |pair| {
                let size = (pair.size[key] - pattern.size[key]) / rules.alike;
                let weighed = pair.weighed(other, key, rules)?;
                let weight = weighed.weight - sloppy(size);
                Some(Pair { weight, ..weighed })
            })
        };
        let best = (best_by_themselves(&free, PATTERNS_OF_A_LINE).iter())
            .map(set)
            .max_by(|a, b| a.weight.total_cmp(&b.weight));
        // Each double run fewer than on the first line halves the odds.
        let first = choice.pairs.iter().filter(|p| p.line == 0).count();
        let price =
            |set: &Choice| rules.odd() + LN_2 * first.saturating_sub(set.pairs.len()) as f64;
        let Some(set) = best.filter(|set| set.weight > price(set)) else {
            break;
        };
        choice.weight += set.weight - price(&set);
        choice
            .pairs
            .extend(set.pairs.into_iter().map(|p| Pair { line, ..p }));
        choice.pairs.sort_by(|a, b| a.start.total_cmp(&b.start));
    }
    choice
}

/// The set of pairs of the largest total weight in which no leg is used twice; `alone` is what it
/// costs to leave each leg alone. Candidates come in order of their last stretch.
fn best_set(candidates: &[Pair], alone: &[f64], weigh: impl Fn(&Pair) -> Option<Pair>) -> Choice {
    // The best of the legs so far, and the pair that ends with the last of them.
    let mut best: Vec<(f64, Option<Pair>)> = vec![(0.0, None)];
    let mut next = candidates.iter().peekable();
    for (leg, alone) in alone.iter().enumerate() {
        let so_far = |legs: usize| best.get(legs).map_or(0.0, |b| b.0);
        let mut own = (so_far(leg) - alone, None);
        while let Some(pair) = next.next_if(|p| p.stretches[1] <= leg) {
            // Even where two legs left alone cost more, a pair must be about as likely as chance.
            let Some(pair) = weigh(pair).filter(|pair| pair.weight > -1.0) else {
                continue;
            };
            let with = so_far(pair.stretches[0]) + pair.weight;
            if with > own.0 {
                own = (with, Some(pair));
            }
        }
        best.push(own);
    }
    let mut pairs = Vec::new();
    let mut at = alone.len();
    while at > 0 {
        let pair = best.get(at).and_then(|b| b.1);
        at = pair.map_or(at - 1, |p| p.stretches[0]);
        pairs.extend(pair.filter(|p| !p.is_broken_off));
    }
    pairs.reverse();
    Choice {
        pairs,
        weight: best.last().map_or(0.0, |b| b.0),
    }
}
