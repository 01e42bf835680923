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
    /// Step of the even sampling, s: a turn of a small boat takes 15 s or more (common practice, no
    /// source), so three samples see it.
    pub sample_s: f64,
    /// Courses and speeds are taken over this long, s: at 0.5 m/s the boat makes ten times the
    /// position error in it.
    pub window_s: f64,
    /// A course held wanders by this much about its mean, degrees, standard deviation: a heading
    /// hold by 3 to 5, a hand in waves by up to 10 (common practice, no source).
    pub yaw_deg: f64,
    /// Error of the way made in a window, m: two receivers' errors of 1 m, half a minute apart.
    pub position_m: f64,
    /// One sample in so many may lie anywhere: a wave, a dodge, a bad fix.
    pub excursion_one_in: f64,
    /// What a turn must explain before the track is cut there, as a deviance halved: odds of 50 to 1.
    pub turn_price: f64,
    /// What it costs to bend by 5 degrees without ending the stretch, so that a bend of 25
    /// degrees costs as much as a turn.
    pub bend_price: f64,
    /// Gusts change the speed by this much, m/s, standard deviation ...
    pub gust_m_s: f64,
    /// ... and by this share of it: waves, and the hand on the lever.
    pub gust_share: f64,
    /// And last about this long, s.
    pub gust_s: f64,
    /// What a step in speed must explain, as a deviance halved: odds of 400 to 1, since the lever
    /// is seldom moved without a turn, and gusts come every few minutes.
    pub lever_price: f64,
    /// Shortest stretch, s: less measures nothing once the approach is taken off.
    pub shortest_s: f64,
    /// Slowest stretch, m/s: below this the error of the receiver makes the course.
    pub slowest_m_s: f64,
}

impl Default for StretchRules {
    fn default() -> Self {
        Self {
            sample_s: 5.0,
            window_s: 15.0,
            yaw_deg: 8.0,
            position_m: 1.5,
            excursion_one_in: 20.0,
            turn_price: 4.0,
            bend_price: 0.8,
            gust_m_s: 0.12,
            gust_share: 0.06,
            gust_s: 60.0,
            lever_price: 6.0,
            shortest_s: 35.0,
            slowest_m_s: 0.15,
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
    /// lever, s.
    pub doubts: Vec<f64>,
}

impl Stretch {
    /// Seconds.
    pub fn duration(&self) -> f64 {
        self.end - self.start
    }
}

/// Headings are told apart in steps of 5 degrees: half of what they wander.
const HEADINGS: usize = 72;

/// Speeds are told apart in steps of half of what gusts change them by.
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
        let sampled = Sampled::new(path, rules.sample_s);
        // Where fixes lie far apart, what lies between them is no news.
        let usual = match (path.first(), path.last()) {
            (Some(a), Some(b)) if path.len() > 1 => (b.t - a.t) / (path.len() - 1) as f64,
            _ => 0.0,
        };
        let half = (rules.window_s / rules.sample_s / 2.0).round().max(1.0) as usize;
        let points = &sampled.points;
        let last = points.len().saturating_sub(1);
        let velocities = (0..points.len())
            .map(|index| {
                let (a, b) = (index.saturating_sub(half), (index + half).min(last));
                let seconds = (b - a).max(1) as f64 * rules.sample_s;
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
            weight: rules.sample_s / rules.window_s.max(usual),
            sampled,
        }
    }

    /// How much the course wanders about its mean, over what a course held does.
    pub fn wander(&self, rules: &StretchRules) -> Option<f64> {
        let units: Vec<[f64; 2]> = (self.velocities.iter())
            .filter(|v| speed(v) > 0.0)
            .map(|v| [v[0] / speed(v), v[1] / speed(v)])
            .collect();
        let n = units.len() as f64;
        let sum = units
            .iter()
            .fold([0.0; 2], |a, u| [a[0] + u[0], a[1] + u[1]]);
        let way = self.velocities.iter().map(speed).sum::<f64>() / n * rules.window_s;
        let expected = rules.yaw_deg.to_radians().powi(2) + (rules.position_m / way).powi(2);
        let spread = 2.0 * (1.0 - sum[0].hypot(sum[1]) / n);
        Some((spread / expected).sqrt()).filter(|w| w.is_finite())
    }

    /// Each sample's middle in time, s, and its velocity.
    pub fn velocities(&self) -> impl Iterator<Item = (f64, [f64; 2])> {
        let middle = |index| self.sampled.edge(index) + self.sampled.step / 2.0;
        (self.velocities.iter().enumerate()).map(move |(index, v)| (middle(index), *v))
    }
}

/// A boat that lies still for as long as this has not held its speed, s.
const SHORTEST_STOP_S: f64 = 30.0;

/// The stretches of a track, in order of time; whatever lies between them is a turn, a stop, or
/// anything else.
pub fn stretches(motions: &Motions, rules: &StretchRules) -> Vec<Stretch> {
    let mut found = Vec::new();
    for (from, to) in runs(&headings(motions, rules), true) {
        let of = motions.velocities.get(from..to).unwrap_or_default();
        for (a, b) in runs(&speeds(of, rules), false) {
            let (a, b) = on_course(&motions.sampled, (from + a, from + b), rules);
            let stretch = Stretch {
                start: motions.sampled.edge(a),
                end: motions.sampled.edge(b),
                doubts: doubts(motions, (a, b), rules),
            };
            let made = motions.velocities.get(a..b).unwrap_or_default();
            let speed = made.iter().map(speed).sum::<f64>() / (b - a).max(1) as f64;
            if stretch.duration() >= rules.shortest_s && speed >= rules.slowest_m_s {
                found.push(stretch);
            }
        }
    }
    found
}

/// Where a piece parts best into two courses, and into two speeds, if that explains half of what a
/// turn or a step must.
fn doubts(motions: &Motions, piece: (usize, usize), rules: &StretchRules) -> Vec<f64> {
    let (from, to) = piece;
    let of = motions.velocities.get(from..to).unwrap_or_default();
    let error = rules.yaw_deg.to_radians();
    let courses: Vec<[f64; 2]> = of
        .iter()
        .map(|v| {
            let way = (speed(v) * rules.window_s).max(1e-3);
            let weight = motions.weight / (error.powi(2) + (rules.position_m / way).powi(2));
            [v[0], v[1]].map(|c| c * rules.window_s / way * weight)
        })
        .collect();
    let speeds: Vec<[f64; 2]> = of.iter().map(|v| [scaled(speed(v), rules), 1.0]).collect();
    let weight = rules.sample_s / rules.gust_s;
    // A sum of unit vectors falls short of its length by the deviance of the course; a sum of squares
    // over its count exceeds by that of the speed.
    let bend = best_split(&courses, |sum| -sum[0].hypot(sum[1]));
    let step = best_split(&speeds, |sum| -weight * sum[0] * sum[0] / (2.0 * sum[1]));
    [(bend, rules.turn_price), (step, rules.lever_price)]
        .into_iter()
        .filter_map(|(split, price)| split.filter(|(_, gain)| *gain > price / 2.0))
        .map(|(at, _)| motions.sampled.edge(from + at))
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

/// The part of a piece between its turns and stops. Windows blur them, so the ends are looked at in
/// shorter chords, and come off while these point elsewhere or are far slower or faster.
fn on_course(sampled: &Sampled, piece: (usize, usize), rules: &StretchRules) -> (usize, usize) {
    let points = &sampled.points;
    let (from, to) = piece;
    let at = |i: usize| points.get(i).copied().unwrap_or_default();
    let quarter = (to - from) / 4;
    let (a, b) = (
        from + quarter,
        (to - quarter).saturating_sub(1).max(from + quarter),
    );
    let (east, north) = (at(b).east - at(a).east, at(b).north - at(a).north);
    let usual = scaled(
        east.hypot(north) / ((b - a).max(1) as f64 * rules.sample_s),
        rules,
    );
    let off = |i: usize| {
        let (p, q) = (at(i.saturating_sub(1)), at(i + 1));
        let (e, n) = (q.east - p.east, q.north - p.north);
        let way = e.hypot(n);
        let angle = (e * north - n * east).atan2(e * east + n * north).abs();
        let error = rules
            .yaw_deg
            .to_radians()
            .hypot(rules.position_m / way.max(1e-3));
        angle > OFF_COURSE * error
            || (scaled(way / (2.0 * rules.sample_s), rules) - usual).abs() > OFF_COURSE
    };
    let most = (to - from) * 2 / 5;
    let start = (from..from + most)
        .find(|i| !off(*i))
        .unwrap_or(from + most);
    let end = (to - most..to)
        .rev()
        .find(|i| !off(*i))
        .map_or(to - most, |i| i + 1);
    (start, end.max(start + 1))
}

/// A chord this many standard deviations off the course or the speed belongs to a turn or a stop.
const OFF_COURSE: f64 = 2.5;

/// Speed on a scale on which gusts change all alike: the integral of `dv / sqrt(a² + (b v)²)`.
fn scaled(speed: f64, rules: &StretchRules) -> f64 {
    (rules.gust_share * speed / rules.gust_m_s).asinh() / rules.gust_share
}

fn headings(motions: &Motions, rules: &StretchRules) -> Vec<Held> {
    let levels = Levels {
        count: HEADINGS,
        circular: true,
        creep: rules.bend_price,
        jump: rules.turn_price,
    };
    let units: Vec<[f64; 2]> = (0..HEADINGS)
        .map(|bin| {
            let (sin, cos) = (std::f64::consts::TAU * bin as f64 / HEADINGS as f64).sin_cos();
            [sin, cos]
        })
        .collect();
    // A course that may be any is uniform round the circle: so much less likely than one held.
    let any = (std::f64::consts::TAU.sqrt() / rules.yaw_deg.to_radians()).ln();
    let cap = any + rules.excursion_one_in.ln();
    let yaw = rules.yaw_deg.to_radians();
    held(motions.velocities.len(), levels, |index, costs| {
        let Some(v) = motions.velocities.get(index) else {
            return 0.0;
        };
        let way = (speed(v) * rules.window_s).max(1e-3);
        let sharpness = 1.0 / (yaw.powi(2) + (rules.position_m / way).powi(2));
        let course = [v[0] * rules.window_s / way, v[1] * rules.window_s / way];
        for (cost, unit) in costs.iter_mut().zip(&units) {
            let agreement = course[0] * unit[0] + course[1] * unit[1];
            *cost = motions.weight * ((1.0 - agreement) * sharpness).min(cap);
        }
        motions.weight * any
    })
}

/// Which speed was held, on the scale of gusts.
fn speeds(velocities: &[[f64; 2]], rules: &StretchRules) -> Vec<Held> {
    let scaled = |speed: f64| scaled(speed, rules);
    let fastest = velocities
        .iter()
        .map(|v| scaled(speed(v)))
        .fold(0.0, f64::max);
    let levels = Levels {
        count: (fastest / SPEED_STEP).ceil() as usize + 1,
        circular: false,
        // Swells of the wind change the speed by little at a time.
        creep: rules.lever_price / 4.0,
        jump: rules.lever_price,
    };
    // A stop of half a minute costs as much as two steps, and so ends a stretch; a bad fix does not.
    let cap = 2.0 * rules.lever_price * rules.gust_s / SHORTEST_STOP_S;
    let weight = rules.sample_s / rules.gust_s;
    held(velocities.len(), levels, |index, costs| {
        let own = velocities.get(index).map_or(0.0, |v| scaled(speed(v)));
        for (level, cost) in costs.iter_mut().enumerate() {
            let off = own - SPEED_STEP * level as f64;
            *cost = weight * (off * off / 2.0).min(cap);
        }
        f64::INFINITY
    })
}

/// Runs of samples without a jump in between, as half-open ranges.
fn runs(held: &[Held], heading: bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut open: Option<usize> = None;
    for (index, sample) in held.iter().enumerate() {
        let ends = sample.jumped || (heading && sample.level.is_none());
        if let Some(from) = open.take_if(|_| ends) {
            runs.push((from, index));
        }
        if open.is_none() && sample.level.is_some() {
            open = Some(index);
        }
    }
    if let Some(from) = open {
        runs.push((from, held.len()));
    }
    runs
}
