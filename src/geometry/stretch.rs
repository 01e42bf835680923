//! Stretches on one heading: the track cut where its course changes, and each piece cut again where
//! its speed changes for good.
//!
//! A leg is a heading held, so speed plays no part in finding it: gusts and swells make it wander.
//! Only a lasting step in speed without a turn ends a stretch, since somebody moved the lever or
//! stopped the motor. Both cuts are one search ([`super::held`]) over evenly spaced courses and
//! speeds, each sample weighing by how much of it is new: courses are taken over a window, and gusts
//! last.

use serde::Serialize;

use super::held::{Held, Levels, held};
use super::path::{PathPoint, Sampled};

/// When a track is cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StretchRules {
    /// Courses and speeds are taken over about this long, s: at 0.5 m/s the boat makes five times
    /// the position error in it. A turn of a small boat takes as long (common practice, no source),
    /// so the track is sampled three times in it, and chords lead two samples to either side.
    pub window_s: f64,
    /// A course held wanders by this much about its mean, degrees, standard deviation: a heading
    /// hold by 3 to 5, a hand in waves by up to 10 (common practice, no source).
    pub yaw_deg: f64,
    /// Error of the way made in a window, m: two receivers' errors of 1 m, half a minute apart. A
    /// boat that makes less of it in a window has no course.
    pub position_m: f64,
    /// What a turn must explain before the track is cut there, as a deviance halved: odds of 50 to
    /// 1. A bend of 25 degrees costs as much, and so does a wave, a dodge, a bad fix.
    pub turn_price: f64,
    /// Gusts change the speed by this much, m/s, standard deviation ...
    pub gust_m_s: f64,
    /// ... and by this share of it: waves, and the hand on the lever.
    pub gust_share: f64,
    /// And last about this long, s. A stop of half as long ends a stretch.
    pub gust_s: f64,
    /// What a step in speed must explain, as a deviance halved: odds of 400 to 1, since the lever
    /// is seldom moved without a turn, and gusts come every few minutes.
    pub lever_price: f64,
    /// A course or a speed is another one when it is off by so many standard deviations: one in
    /// eighty is by itself.
    pub off: f64,
}

impl StretchRules {
    /// Step of the even sampling, s.
    pub fn sample_s(&self) -> f64 {
        self.window_s / 3.0
    }

    /// Slowest stretch, m/s: below this the error of the receiver makes the course.
    fn slowest_m_s(&self) -> f64 {
        self.position_m / self.window_s
    }

    /// One over the variance of a course over so many metres, radians.
    fn sharpness(&self, way: f64) -> f64 {
        (self.yaw_deg.to_radians().powi(2) + (self.position_m / way).powi(2)).recip()
    }

    /// Speed on a scale on which gusts change all alike: the integral of `dv / sqrt(a² + (b v)²)`.
    pub fn scaled(&self, speed: f64) -> f64 {
        (self.gust_share * speed / self.gust_m_s).asinh() / self.gust_share
    }
}

impl Default for StretchRules {
    fn default() -> Self {
        Self {
            window_s: 15.0,
            yaw_deg: 8.0,
            position_m: 1.5,
            turn_price: 4.0,
            gust_m_s: 0.12,
            gust_share: 0.06,
            gust_s: 60.0,
            lever_price: 6.0,
            off: 2.5,
        }
    }
}

/// A stretch of track on one heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// When it begins, s.
    pub start: f64,
    /// When it ends, s.
    pub end: f64,
    /// Times at which its course bends or its speed steps by what might be a turn or a hand on the
    /// lever, s, and how far what that explains falls short of the price of a cut.
    pub doubts: Vec<(f64, f64)>,
}

impl Stretch {
    /// Seconds.
    pub fn duration(&self) -> f64 {
        self.end - self.start
    }
}

/// Steps of the two searches: 5 degrees and half a gust, about half of what either wanders by.
const HEADINGS: usize = 72;
const SPEED_STEP: f64 = 0.5;

/// A track evenly sampled: where the boat was and how it moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Motions {
    sampled: Sampled,
    /// Velocity about each sample, m/s east and north, over the window of the rules.
    velocities: Vec<[f64; 2]>,
    /// How much of a velocity of its own each sample is.
    weight: f64,
}

impl Motions {
    /// Those of a path.
    pub fn of(path: &[PathPoint], rules: &StretchRules) -> Self {
        let sampled = Sampled::new(path, rules.sample_s());
        // Where fixes lie far apart, what lies between them is no news.
        let usual = match (path.first(), path.last()) {
            (Some(a), Some(b)) if path.len() > 1 => (b.t - a.t) / (path.len() - 1) as f64,
            _ => 0.0,
        };
        let half = (rules.window_s / rules.sample_s() / 2.0).round() as usize;
        let points = &sampled.points;
        let last = points.len().saturating_sub(1);
        let velocities = (0..points.len())
            .map(|index| {
                let (a, b) = (index.saturating_sub(half), (index + half).min(last));
                let seconds = (b - a).max(1) as f64 * rules.sample_s();
                match (points.get(a), points.get(b)) {
                    (Some(p), Some(q)) => {
                        [(q.east - p.east) / seconds, (q.north - p.north) / seconds]
                    }
                    _ => [0.0, 0.0],
                }
            })
            .collect();
        Self {
            velocities,
            weight: rules.sample_s() / rules.window_s.max(usual),
            sampled,
        }
    }

    /// Each sample's middle in time, s, and its velocity.
    pub fn velocities(&self) -> impl Iterator<Item = (f64, [f64; 2])> {
        let middle = |index| self.sampled.edge(index) + self.sampled.step / 2.0;
        (self.velocities.iter().enumerate()).map(move |(index, v)| (middle(index), *v))
    }
}

/// The stretches of a track, in order of time; whatever lies between them is a turn, a stop, or
/// anything else.
pub fn stretches(motions: &Motions, rules: &StretchRules) -> Vec<Stretch> {
    let mut found = Vec::new();
    for (from, to) in runs(&headings(motions, rules)) {
        let of = motions.velocities.get(from..to).unwrap_or_default();
        for (a, b) in runs(&speeds(of, rules)) {
            let (a, b) = on_course(&motions.sampled, (from + a, from + b), rules);
            let made = motions.velocities.get(a..b).unwrap_or_default();
            let speed = made.iter().map(speed).sum::<f64>() / (b - a).max(1) as f64;
            if speed >= rules.slowest_m_s() {
                found.push(Stretch {
                    start: motions.sampled.edge(a),
                    end: motions.sampled.edge(b),
                    doubts: doubts(motions, (a, b), rules),
                });
            }
        }
    }
    found
}

/// Where a piece parts best into two courses, and into two speeds.
fn doubts(motions: &Motions, piece: (usize, usize), rules: &StretchRules) -> Vec<(f64, f64)> {
    let (from, to) = piece;
    let of = motions.velocities.get(from..to).unwrap_or_default();
    let courses: Vec<[f64; 2]> = (of.iter())
        .map(|v| {
            let (course, sharpness) = course(v, rules);
            course.map(|c| c * sharpness * motions.weight)
        })
        .collect();
    let speeds: Vec<[f64; 2]> = of.iter().map(|v| [rules.scaled(speed(v)), 1.0]).collect();
    let weight = rules.sample_s() / rules.gust_s;
    // A sum of unit vectors falls short of its length by the deviance of the course; a sum of squares
    // over its count exceeds by that of the speed.
    let bend = best_split(&courses, |sum| -sum[0].hypot(sum[1]));
    let step = best_split(&speeds, |sum| -weight * sum[0] * sum[0] / (2.0 * sum[1]));
    [(bend, rules.turn_price), (step, rules.lever_price)]
        .into_iter()
        .filter_map(|(split, price)| {
            let (at, gain) = split?;
            Some((motions.sampled.edge(from + at), (price - gain).max(0.0)))
        })
        .collect()
}

/// The index at which parting a series lowers its cost most, and by how much.
fn best_split(series: &[[f64; 2]], cost: impl Fn([f64; 2]) -> f64) -> Option<(usize, f64)> {
    let sum = |a: [f64; 2], b: &[f64; 2]| [a[0] + b[0], a[1] + b[1]];
    let whole = series.iter().fold([0.0; 2], sum);
    let mut before = [0.0; 2];
    let mut best: Option<(usize, f64)> = None;
    for (index, own) in series
        .iter()
        .enumerate()
        .take(series.len().saturating_sub(1))
    {
        before = sum(before, own);
        let after = [whole[0] - before[0], whole[1] - before[1]];
        let gain = cost(whole) - cost(before) - cost(after);
        if best.is_none_or(|(_, g)| gain > g) {
            best = Some((index + 1, gain));
        }
    }
    best
}

fn speed(velocity: &[f64; 2]) -> f64 {
    velocity[0].hypot(velocity[1])
}

/// The course of a velocity as a vector of length one, and how sharp it is.
fn course(velocity: &[f64; 2], rules: &StretchRules) -> ([f64; 2], f64) {
    let way = (speed(velocity) * rules.window_s).max(1e-3);
    (
        velocity.map(|v| v * rules.window_s / way),
        rules.sharpness(way),
    )
}

/// The part of a piece between its turns and stops. Windows blur them, so the ends are looked at in
/// shorter chords, and come off while these point elsewhere or are far slower or faster.
fn on_course(sampled: &Sampled, piece: (usize, usize), rules: &StretchRules) -> (usize, usize) {
    let (from, to) = piece;
    let way = |a: usize, b: usize| {
        let at = |i: usize| sampled.points.get(i).copied().unwrap_or_default();
        let (p, q) = (at(a), at(b));
        [q.east - p.east, q.north - p.north]
    };
    let quarter = (to - from) / 4;
    let (a, b) = (from + quarter, (to - quarter).saturating_sub(1));
    let [east, north] = way(a, b.max(a));
    let seconds = b.saturating_sub(a).max(1) as f64 * rules.sample_s();
    let usual = rules.scaled(east.hypot(north) / seconds);
    let last = sampled.points.len().saturating_sub(1);
    let off = |i: usize| {
        // At an end of the track a chord has one step only.
        let (a, b) = (i.saturating_sub(1), (i + 1).min(last));
        let [e, n] = way(a, b);
        let metres = e.hypot(n).max(1e-3);
        let angle = (e * north - n * east).atan2(e * east + n * north);
        let seconds = (b - a).max(1) as f64 * rules.sample_s();
        let faster = rules.scaled(metres / seconds) - usual;
        angle.powi(2) * rules.sharpness(metres) > rules.off * rules.off || faster.abs() > rules.off
    };
    let most = (to - from) * 2 / 5;
    let start = (from..from + most).find(|i| !off(*i));
    let end = (to - most..to).rev().find(|i| !off(*i));
    let start = start.unwrap_or(from + most);
    (start, end.map_or(to - most, |i| i + 1).max(start + 1))
}

fn headings(motions: &Motions, rules: &StretchRules) -> Vec<Held> {
    let levels = Levels {
        count: HEADINGS,
        circular: true,
        creep: rules.turn_price / 5.0,
        jump: rules.turn_price,
    };
    let units: Vec<[f64; 2]> = (0..HEADINGS)
        .map(|bin| {
            (std::f64::consts::TAU * bin as f64 / HEADINGS as f64)
                .sin_cos()
                .into()
        })
        .collect();
    // A course that may be any is uniform round the circle: so much less likely than one held.
    let any = (std::f64::consts::TAU.sqrt() / rules.yaw_deg.to_radians()).ln();
    let cap = any + rules.turn_price;
    held(motions.velocities.len(), levels, |index, costs| {
        let (course, sharpness) =
            (motions.velocities.get(index)).map_or(([0.0; 2], 0.0), |v| course(v, rules));
        for (cost, unit) in costs.iter_mut().zip(&units) {
            let agreement = course[0] * unit[0] + course[1] * unit[1];
            *cost = motions.weight * ((1.0 - agreement) * sharpness).min(cap);
        }
        motions.weight * any
    })
}

/// Which speed was held, on the scale of gusts.
fn speeds(velocities: &[[f64; 2]], rules: &StretchRules) -> Vec<Held> {
    let scaled: Vec<f64> = velocities.iter().map(|v| rules.scaled(speed(v))).collect();
    let fastest = scaled.iter().copied().fold(0.0, f64::max);
    let levels = Levels {
        count: (fastest / SPEED_STEP).ceil() as usize + 1,
        circular: false,
        // Swells of the wind change the speed by little at a time.
        creep: rules.lever_price / 4.0,
        jump: rules.lever_price,
    };
    // A stop of half a gust costs as much as two steps, and so ends a stretch; a bad fix does not.
    let cap = 4.0 * rules.lever_price;
    let weight = rules.sample_s() / rules.gust_s;
    held(velocities.len(), levels, |index, costs| {
        let own = scaled.get(index).copied().unwrap_or(0.0);
        for (level, cost) in costs.iter_mut().enumerate() {
            let off = own - SPEED_STEP * level as f64;
            *cost = weight * (off * off / 2.0).min(cap);
        }
        f64::INFINITY
    })
}

/// Runs of samples that hold something without a jump in between, as half-open ranges.
fn runs(held: &[Held]) -> Vec<(usize, usize)> {
    let mut end = 0;
    (held.chunk_by(|a, b| a.level.is_some() == b.level.is_some() && !b.jumped))
        .filter_map(|run| {
            let from = end;
            end += run.len();
            run.first()?.level.map(|_| (from, end))
        })
        .collect()
}
