//! The mean wind over a span of time.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::{WindLog, WindRow};
use crate::parser::Moment;
use crate::units::{Bearing, Speed};

/// How far from a span a reading may lie to serve for it, seconds: stations report every 10
/// minutes to every hour. Common practice, no source.
pub const REACH_S: f64 = 3600.0;

/// The mean wind over a span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanWind {
    /// Direction of the mean vector (of unit vectors where speeds are not known); `None` where
    /// the readings cancel.
    pub from: Option<Bearing>,
    /// Length of the mean vector; `None` where speeds are not known.
    pub speed: Option<Speed>,
    /// How many readings it rests on.
    pub readings: usize,
}

impl WindLog {
    /// The mean wind from `start` to `end`; local times are taken in `zone`.
    ///
    /// Where no reading lies in the span, the nearest one on each side within [`REACH_S`]
    /// serves. `None` where there is none either.
    pub fn mean(&self, start: Timestamp, end: Timestamp, zone: &TimeZone) -> Option<MeanWind> {
        let timed: Vec<(f64, &WindRow)> = self
            .readings
            .iter()
            .filter_map(|reading| Some((distance(reading.at, start, end, zone)?, reading)))
            .collect();
        let inside: Vec<&WindRow> = timed
            .iter()
            .filter(|(away, _)| *away == 0.0)
            .map(|(_, reading)| *reading)
            .collect();
        if !inside.is_empty() {
            return mean_of(&alike(&inside));
        }
        let nearest = |side: f64| {
            timed
                .iter()
                .filter(|(away, _)| away * side > 0.0 && away.abs() <= REACH_S)
                .min_by(|(a, _), (b, _)| a.abs().total_cmp(&b.abs()))
                .map(|(_, reading)| *reading)
        };
        let around: Vec<&WindRow> = [nearest(-1.0), nearest(1.0)]
            .into_iter()
            .flatten()
            .collect();
        mean_of(&alike(&around))
    }
}

fn alike<'a>(readings: &[&'a WindRow]) -> Vec<(f64, &'a WindRow)> {
    readings.iter().map(|reading| (1.0, *reading)).collect()
}

/// How far from the middle of a span readings count at the least, seconds. What a station and a
/// boat some way off have in common is the slow change of the wind, not gusts and squalls: half
/// an hour's readings to either side, the nearer the more, leave it. Our own judgement.
const SMOOTHING_S: f64 = 1800.0;

impl WindLog {
    /// The wind in the middle of a span that the log covers, smoothed: readings weigh less in
    /// proportion to their distance, those half an hour off or more not at all; where readings
    /// are farther apart than that, it lies on the straight line between the two.
    ///
    /// `None` where there is no reading within [`REACH_S`] before the middle or none after it.
    pub fn smoothed(&self, start: Timestamp, end: Timestamp, zone: &TimeZone) -> Option<MeanWind> {
        let half = end.duration_since(start) / 2;
        let middle = start.checked_add(half).ok()?;
        let timed: Vec<(f64, &WindRow)> = self
            .readings
            .iter()
            .filter_map(|reading| Some((distance(reading.at, middle, middle, zone)?, reading)))
            .collect();
        let nearest = |side: f64| {
            let on_side = timed.iter().map(|(away, _)| away * side);
            on_side
                .filter(|away| (0.0..=REACH_S).contains(away))
                .min_by(f64::total_cmp)
        };
        let (before, after) = (nearest(-1.0)?, nearest(1.0)?);
        let reach = SMOOTHING_S.max(before + after);
        let weighed = timed.iter().filter_map(|(away, reading)| {
            let weight = 1.0 - away.abs() / reach;
            (weight > 0.0).then_some((weight, *reading))
        });
        mean_of(&weighed.collect::<Vec<_>>())
    }
}

/// Seconds from the span to a reading: negative before it, positive after it, 0 inside.
fn distance(at: Moment, start: Timestamp, end: Timestamp, zone: &TimeZone) -> Option<f64> {
    // Of the two ends the one that it is nearer to.
    let away = |near: Timestamp| {
        let time = at.instant_near(near, zone)?;
        Some(match time {
            time if time < start => time.duration_since(start).as_secs_f64(),
            time if time > end => time.duration_since(end).as_secs_f64(),
            _ => 0.0,
        })
    };
    let both = [start, end].into_iter().filter_map(away);
    both.min_by(|a, b| a.abs().total_cmp(&b.abs()))
}

/// The mean vector of readings with their weights, `None` for no readings at all.
fn mean_of(readings: &[(f64, &WindRow)]) -> Option<MeanWind> {
    let count = readings.len();
    let known = readings.iter().all(|(_, reading)| reading.speed.is_some());
    let total: f64 = readings.iter().map(|(weight, _)| weight).sum();
    let (mut east, mut north) = (0.0, 0.0);
    for (weight, reading) in readings {
        let (e, n) = reading.from.unit();
        let length = match reading.speed {
            Some(speed) if known => speed.as_metres_per_second(),
            _ => 1.0,
        };
        east += weight * length * e / total;
        north += weight * length * n / total;
    }
    let length = east.hypot(north);
    (count > 0).then(|| MeanWind {
        // Vectors that cancel leave a rounding error, whose direction means nothing.
        from: if length > CANCELLED {
            Bearing::of_vector(east, north)
        } else {
            None
        },
        speed: known.then(|| Speed::metres_per_second(length)),
        readings: count,
    })
}

/// A mean vector shorter than this is rounding, m/s: far below any anemometer's resolution of 0.1.
const CANCELLED: f64 = 1e-9;
