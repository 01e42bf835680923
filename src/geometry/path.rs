//! A track on the plane, and its even sampling in time.

use jiff::Timestamp;

use super::plane::{PLANE_REACH_M, Plane, PlanePoint};
use super::unround::unrounded;
use crate::track::{Position, Track};

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

/// The fixes of one track as times and positions, the steps of coarsely rounded coordinates taken
/// out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    times: Vec<f64>,
    positions: Vec<Position>,
}

impl Record {
    /// That of a track.
    pub fn of(track: &Track, clock: Clock) -> Self {
        Self {
            times: (track.fixes().iter().map(|f| clock.seconds(f.time))).collect(),
            positions: unrounded(track.fixes()),
        }
    }

    /// Times, s.
    pub fn times(&self) -> &[f64] {
        &self.times
    }

    /// The positions on a plane, for `from <= t <= to`.
    pub fn on(&self, plane: &Plane, from: f64, to: f64) -> Vec<PathPoint> {
        let a = self.times.partition_point(|t| *t < from);
        let b = self.times.partition_point(|t| *t <= to);
        (a..b)
            .filter_map(|index| self.point(index, plane))
            .collect()
    }

    fn point(&self, index: usize, plane: &Plane) -> Option<PathPoint> {
        Some(PathPoint {
            t: *self.times.get(index)?,
            at: plane.project(*self.positions.get(index)?),
        })
    }

    /// The position at a time, straight lines being drawn between fixes; the nearest end outside.
    pub fn position(&self, t: f64) -> Option<Position> {
        let next = self.times.partition_point(|s| *s < t);
        let before = next.saturating_sub(1);
        let nearest = *self.positions.get(before)?;
        let plane = Plane::at(nearest);
        let from = self.point(before, &plane)?;
        match self.point(next, &plane) {
            Some(to) if from.t < t => plane.position(interpolate(from, to, t).at),
            _ => Some(nearest),
        }
    }

    /// The whole track unrolled onto a plane: right in every step, whatever the length of the way.
    ///
    /// A plane is laid anew wherever the last one is left behind, so places far apart do not
    /// shrink each other's steps. Only differences between points near in time mean anything.
    pub fn unrolled(&self) -> Vec<PathPoint> {
        let Some(first) = self.positions.first() else {
            return Vec::new();
        };
        let mut plane = Plane::at(*first);
        let mut offset = PlanePoint::default();
        let mut last = *first;
        let mut path = Vec::with_capacity(self.times.len());
        for (t, position) in self.times.iter().zip(&self.positions) {
            let mut at = plane.project(*position);
            if at.distance(PlanePoint::default()) > PLANE_REACH_M {
                let before = plane.project(last);
                offset.east += before.east;
                offset.north += before.north;
                plane = Plane::at(last);
                at = plane.project(*position);
            }
            path.push(PathPoint {
                t: *t,
                at: PlanePoint {
                    east: offset.east + at.east,
                    north: offset.north + at.north,
                },
            });
            last = *position;
        }
        path
    }
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
        let empty = PathPoint {
            t: 0.0,
            at: PlanePoint::default(),
        };
        let first = path.first().unwrap_or(&empty);
        let last = path.last().unwrap_or(&empty);
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
