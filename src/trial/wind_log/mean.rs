//! The mean wind over a span of time.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

use super::{Reading, WindLog};
use crate::trial::notes::When;
use crate::units::{Bearing, Speed};

/// How far from a span a reading may lie to stand in for it, seconds: stations report every 10
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
    /// Where no reading lies in the span, the nearest one on each side within [`REACH_S`] stands
    /// in. `None` where there is none either.
    pub fn mean(&self, start: Timestamp, end: Timestamp, zone: &TimeZone) -> Option<MeanWind> {
        let timed: Vec<(f64, &Reading)> = self
            .readings
            .iter()
            .filter_map(|reading| Some((distance(&reading.at, start, end, zone)?, reading)))
            .collect();
        let inside: Vec<&Reading> = timed
            .iter()
            .filter(|(away, _)| *away == 0.0)
            .map(|(_, reading)| *reading)
            .collect();
        if !inside.is_empty() {
            return mean_of(&inside);
        }
        let nearest = |side: f64| {
            timed
                .iter()
                .filter(|(away, _)| away * side > 0.0 && away.abs() <= REACH_S)
                .min_by(|(a, _), (b, _)| a.abs().total_cmp(&b.abs()))
                .map(|(_, reading)| *reading)
        };
        let around: Vec<&Reading> = [nearest(-1.0), nearest(1.0)]
            .into_iter()
            .flatten()
            .collect();
        mean_of(&around)
    }
}

/// Seconds from the span to a reading: negative before it, positive after it, 0 inside.
fn distance(at: &When, start: Timestamp, end: Timestamp, zone: &TimeZone) -> Option<f64> {
    let local = |local: DateTime| {
        let time = zone.to_ambiguous_timestamp(local).compatible().ok()?;
        Some(match time {
            time if time < start => time.duration_since(start).as_secs_f64(),
            time if time > end => time.duration_since(end).as_secs_f64(),
            _ => 0.0,
        })
    };
    match at {
        When::Clock(time) => [start, end]
            .into_iter()
            .filter_map(|day| local(zone.to_datetime(day).date().to_datetime(*time)))
            .min_by(|a, b| a.abs().total_cmp(&b.abs())),
        When::Local(time) => local(*time),
        When::Instant(time) => local(zone.to_datetime(*time)),
        When::Mark(_) => None,
    }
}

/// The mean vector, `None` for no readings at all.
fn mean_of(readings: &[&Reading]) -> Option<MeanWind> {
    let count = readings.len();
    let known = readings.iter().all(|reading| reading.speed.is_some());
    let (mut east, mut north) = (0.0, 0.0);
    for reading in readings {
        let (e, n) = reading.from.unit();
        let weight = match reading.speed {
            Some(speed) if known => speed.as_metres_per_second(),
            _ => 1.0,
        };
        east += weight * e / count as f64;
        north += weight * n / count as f64;
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
