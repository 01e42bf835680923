//! Slow full circles in the track: the drift of the water and wind, told without any leg.
//!
//! A boat that turns steadily through two full circles at one setting is carried meanwhile;
//! positions one whole turn apart differ by the drift alone (IMO MSC/Circ.1053, 3.4.2.5).

use jiff::Timestamp;
use serde::Serialize;

use super::DoubleRun;
use crate::geometry::{PathPoint, Sampled};
use crate::segmenter::Segmented;
use crate::stats::circle::{TimedPoint, drift_of_turns};
use crate::stats::summary::mean;
use crate::units::Bearing;

/// A steady turn through two full circles or more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurningCircle {
    /// From.
    pub start: Timestamp,
    /// To.
    pub end: Timestamp,
    /// How many whole turns.
    pub turns: f64,
    /// Duration of one turn, s.
    pub period_s: f64,
    /// Where the boat was carried, degrees true; `None` where it was not.
    pub toward_deg: Option<f64>,
    /// How fast, m/s.
    pub drift_m_s: f64,
    /// How steady that was: standard deviation over the circle, m/s; no standard error, since the pairs
    /// of positions overlap.
    pub spread_m_s: f64,
}

/// Step of the courses looked at, s: in less a slow boat goes no further than its fixes err.
const STEP_S: f64 = 5.0;

/// The turning is judged over so many steps, that errors of position do not turn it round.
const OVER_STEPS: usize = 6;

/// Slowest and fastest turning of a circle, degrees a second: six minutes to half a minute a turn. A
/// faster one is turned on the spot. Common practice, no source.
const RATES: [f64; 2] = [1.0, 12.0];

/// Least turned in all, degrees: two turns (IMO MSC/Circ.1053 asks for 720), less what is lost at the ends.
const LEAST_TURNED_DEG: f64 = 690.0;

/// Slowest speed of a circle, m/s: below it a course is an error of position.
const SLOWEST_M_S: f64 = 0.3;

/// All circles, in order of time.
pub(crate) fn circles(found: &Segmented) -> Vec<TurningCircle> {
    found
        .paths
        .iter()
        .flat_map(|path| of_path(path, found))
        .collect()
}

fn of_path(path: &[PathPoint], found: &Segmented) -> Vec<TurningCircle> {
    let sampled = Sampled::new(path, STEP_S);
    let points: Vec<TimedPoint> = (sampled.points.iter().enumerate())
        .map(|(index, at)| TimedPoint {
            time: sampled.edge(index) + STEP_S / 2.0,
            east: at.east,
            north: at.north,
        })
        .collect();
    let turns: Vec<Option<f64>> = points.windows(3).map(turn).collect();
    let mut out = Vec::new();
    let mut from = 0;
    while from + OVER_STEPS <= turns.len() {
        let end = steady_until(&turns, from);
        if let Some(circle) = circle(&points, &turns, from..end, found) {
            out.push(circle);
            from = end;
        } else {
            from = (from + 1).max(end.saturating_sub(OVER_STEPS));
        }
    }
    out
}

/// The turn at the middle of three points, degrees clockwise; `None` where the boat hardly moved.
fn turn(three: &[TimedPoint]) -> Option<f64> {
    let [a, b, c] = three else { return None };
    let course = |a: &TimedPoint, b: &TimedPoint| {
        let (east, north) = (b.east - a.east, b.north - a.north);
        (east.hypot(north) >= SLOWEST_M_S * STEP_S)
            .then(|| Bearing::of_vector(east, north))
            .flatten()
    };
    Some(course(a, b)?.turn_to(course(b, c)?).degrees())
}

/// The end of the steady turning that begins at `from`; `from` itself where there is none.
fn steady_until(turns: &[Option<f64>], from: usize) -> usize {
    let rate = |at: usize| -> Option<f64> {
        let own = turns.get(at..at + OVER_STEPS)?;
        let sum: f64 = own.iter().copied().sum::<Option<f64>>()?;
        Some(sum / (OVER_STEPS as f64 * STEP_S))
    };
    let Some(first) = rate(from) else { return from };
    let steady =
        |rate: f64| rate.signum() == first.signum() && (RATES[0]..=RATES[1]).contains(&rate.abs());
    let mut end = from;
    while rate(end).is_some_and(steady) {
        end += 1;
    }
    if end == from {
        from
    } else {
        end + OVER_STEPS - 1
    }
}

fn circle(
    points: &[TimedPoint],
    turns: &[Option<f64>],
    range: std::ops::Range<usize>,
    found: &Segmented,
) -> Option<TurningCircle> {
    let turned: f64 = turns.get(range.clone())?.iter().flatten().sum();
    if turned.abs() < LEAST_TURNED_DEG {
        return None;
    }
    // A turn stands at the middle of three points.
    let own = points.get(range.start..(range.end + 2).min(points.len()))?;
    let drift = drift_of_turns(own)?;
    Some(TurningCircle {
        start: found.clock.time(own.first()?.time),
        end: found.clock.time(own.last()?.time),
        turns: turned.abs() / 360.0,
        period_s: drift.period,
        toward_deg: Bearing::of_vector(drift.east, drift.north).map(Bearing::degrees),
        drift_m_s: drift.east.hypot(drift.north),
        spread_m_s: drift.spread,
    })
}

/// Legs and circle disagree from this on, m/s, and from three times the circle's own spread on: a wind
/// carries a turning boat otherwise than one held on a line. Source: our own judgement.
const DISAGREE_M_S: f64 = 0.1;

/// Drift along the line by a circle and by the double runs, m/s, where they are not the same.
pub(crate) fn against_legs(circles: &[TurningCircle], runs: &[DoubleRun]) -> Option<[f64; 2]> {
    circles.iter().find_map(|circle| {
        let (east, north) = Bearing::new(circle.toward_deg?)?.unit();
        let along: Vec<f64> = (runs.iter())
            .filter_map(|run| {
                let (e, n) = Bearing::new(run.axis_deg)?.unit();
                Some(circle.drift_m_s * (east * e + north * n))
            })
            .collect();
        let halves: Vec<f64> = runs.iter().map(|run| run.half_difference_m_s).collect();
        let (expected, met) = (mean(&along)?, mean(&halves)?);
        let limit = DISAGREE_M_S.max(3.0 * circle.spread_m_s);
        ((expected - met).abs() > limit).then_some([expected, met])
    })
}
