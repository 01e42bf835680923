//! A track on the plane, and its even sampling in time.

use jiff::Timestamp;

use super::plane::{Plane, PlanePoint};
use super::unround::unrounded;
use crate::track::Track;

/// A point of a track: seconds since the start of the day, metres on the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathPoint {
    /// Seconds since the [`Clock`]'s zero.
    pub t: f64,
    /// Where.
    pub at: PlanePoint,
}

/// Turns times into seconds since one common zero and back.
///
/// Seconds of a day in `f64` resolve far below a nanosecond, and sums of their
/// squares keep ten digits more than positions need.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clock {
    zero: Timestamp,
}

impl Clock {
    /// A clock that counts from `zero`.
    pub fn from(zero: Timestamp) -> Self {
        Self { zero }
    }

    /// Seconds from zero to `time`.
    pub fn seconds(self, time: Timestamp) -> f64 {
        time.duration_since(self.zero).as_secs_f64()
    }

    /// The time at `seconds`, to the millisecond; clamped to the times that exist.
    pub fn time(self, seconds: f64) -> Timestamp {
        let millis = (seconds * 1000.0).round() as i64;
        self.zero
            .checked_add(jiff::SignedDuration::from_millis(millis))
            .unwrap_or(Timestamp::MAX)
    }
}

/// Projects a track onto the plane, the steps of coarsely rounded coordinates taken out.
pub fn path_of(track: &Track, plane: &Plane, clock: Clock) -> Vec<PathPoint> {
    track
        .fixes()
        .iter()
        .zip(unrounded(track.fixes()))
        .map(|(fix, position)| PathPoint {
            t: clock.seconds(fix.time),
            at: plane.project(position),
        })
        .collect()
}

/// The part of a path with `from <= t <= to`.
pub fn between(path: &[PathPoint], from: f64, to: f64) -> &[PathPoint] {
    let start = path.partition_point(|p| p.t < from);
    let end = path.partition_point(|p| p.t <= to).max(start);
    path.get(start..end).unwrap_or_default()
}

/// A path sampled evenly in time: point `k` is the mean position over
/// `[start + k step, start + (k + 1) step]`, straight lines being drawn between fixes.
///
/// The mean over a bin takes out white position error where fixes are dense, and
/// the straight lines keep every second's weight the same where they are sparse
/// or were recorded by distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// Seconds at the beginning of the first bin.
    pub start: f64,
    /// Length of a bin, seconds.
    pub step: f64,
    /// Mean position of each bin.
    pub points: Vec<PlanePoint>,
}

impl Sampled {
    /// Samples a path; the last, incomplete bin is left out.
    pub fn new(path: &[PathPoint], step: f64) -> Self {
        let (Some(first), Some(last)) = (path.first(), path.last()) else {
            return Self {
                start: 0.0,
                step,
                points: Vec::new(),
            };
        };
        let start = first.t;
        let count = ((last.t - start) / step).floor().max(0.0) as usize;
        let mut points = Vec::with_capacity(count);
        let mut next = 0;
        let mut cursor = *first;
        for bin in 0..count {
            let end = start + (bin + 1) as f64 * step;
            let mut east = 0.0;
            let mut north = 0.0;
            while let Some(target) = path.get(next).copied() {
                let stop = if target.t <= end {
                    target
                } else {
                    interpolate(cursor, target, end)
                };
                let weight = (stop.t - cursor.t) / 2.0;
                east += weight * (cursor.at.east + stop.at.east);
                north += weight * (cursor.at.north + stop.at.north);
                cursor = stop;
                if target.t > end {
                    break;
                }
                next += 1;
            }
            points.push(PlanePoint {
                east: east / step,
                north: north / step,
            });
        }
        Self {
            start,
            step,
            points,
        }
    }

    /// Seconds at the beginning of bin `index`.
    pub fn edge(&self, index: usize) -> f64 {
        self.start + index as f64 * self.step
    }
}

fn interpolate(a: PathPoint, b: PathPoint, t: f64) -> PathPoint {
    let span = b.t - a.t;
    let share = if span > 0.0 { (t - a.t) / span } else { 1.0 };
    PathPoint {
        t,
        at: PlanePoint {
            east: a.at.east + share * (b.at.east - a.at.east),
            north: a.at.north + share * (b.at.north - a.at.north),
        },
    }
}
