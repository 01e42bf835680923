//! Reversals along a line: which stretches were run there and back over the same water.

use serde::Serialize;

use super::plane::PlanePoint;
use super::stretch::Stretch;
use crate::units::Bearing;

/// When two stretches lie on one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReversalRules {
    /// Courses count as the same or opposite within this, degrees. A heading hold keeps
    /// the bow, not the course: with a cross drift of a fifth of the boat's speed the
    /// courses there and back are 23 degrees off the reciprocal (geometry).
    pub reciprocal_within_deg: f64,
    /// Side by side within this, m: room for the turn of a small boat, with to spare.
    pub abreast_within_m: f64,
    /// Or within this share of the shorter one's length, for a cross drift.
    pub abreast_within_share: f64,
    /// They must overlap by this share of the shorter one. Legs run by the clock walk along
    /// their line in a current, so little is asked.
    pub overlap_share: f64,
}

impl Default for ReversalRules {
    fn default() -> Self {
        Self {
            reciprocal_within_deg: 25.0,
            abreast_within_m: 60.0,
            abreast_within_share: 0.5,
            overlap_share: 0.1,
        }
    }
}

/// How two stretches lie to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// On one line, the same way.
    Same,
    /// On one line, there and back.
    Reversed,
    /// Not on one line.
    Apart,
}

/// A line on the plane that stretches share.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its direction, in `[0, 180)` degrees.
    pub axis: Bearing,
    /// Indices of its stretches, ascending.
    pub members: Vec<usize>,
    /// One end of the water covered.
    pub from: PlanePoint,
    /// The other end.
    pub to: PlanePoint,
}

/// Whether two stretches lie on one line, and whether one is the way back of the other.
pub fn relation(a: &Stretch, b: &Stretch, rules: &ReversalRules) -> Relation {
    let apart = a.course.apart(b.course);
    let reversed = apart > 90.0;
    let off = if reversed { 180.0 - apart } else { apart };
    if off > rules.reciprocal_within_deg {
        return Relation::Apart;
    }
    let Some(axis) = mean_axis([(a.course, 1.0), (b.course, 1.0)].into_iter()) else {
        return Relation::Apart;
    };
    let (first, second) = (Extent::along(a, axis), Extent::along(b, axis));
    let shorter = first.length().min(second.length());
    let overlap = first.high.min(second.high) - first.low.max(second.low);
    if shorter <= 0.0 || overlap < rules.overlap_share * shorter {
        return Relation::Apart;
    }
    let beside = (first.abeam - second.abeam).abs();
    if beside
        > rules
            .abreast_within_m
            .max(rules.abreast_within_share * shorter)
    {
        return Relation::Apart;
    }
    if reversed {
        Relation::Reversed
    } else {
        Relation::Same
    }
}

/// Groups stretches into lines of two or more; what lies on no shared line is left out.
pub fn find_lines(stretches: &[Stretch], rules: &ReversalRules) -> Vec<Line> {
    let mut group: Vec<usize> = (0..stretches.len()).collect();
    for (i, a) in stretches.iter().enumerate() {
        for (j, b) in stretches.iter().enumerate().skip(i + 1) {
            if relation(a, b, rules) != Relation::Apart {
                let (into, from) = (root(&group, i), root(&group, j));
                let (into, from) = (into.min(from), into.max(from));
                if let Some(slot) = group.get_mut(from) {
                    *slot = into;
                }
            }
        }
    }
    (0..stretches.len())
        .filter_map(|first| {
            let members: Vec<usize> = (first..stretches.len())
                .filter(|index| root(&group, *index) == first)
                .collect();
            if members.len() < 2 {
                return None;
            }
            line_through(&members, stretches)
        })
        .collect()
}

fn root(group: &[usize], mut index: usize) -> usize {
    while let Some(&parent) = group.get(index) {
        if parent == index {
            break;
        }
        index = parent;
    }
    index
}

fn line_through(members: &[usize], stretches: &[Stretch]) -> Option<Line> {
    let own: Vec<&Stretch> = members.iter().filter_map(|m| stretches.get(*m)).collect();
    let axis = mean_axis(own.iter().map(|s| (s.course, s.duration())))?;
    let extents: Vec<Extent> = own.iter().map(|s| Extent::along(s, axis)).collect();
    let low = extents.iter().map(|e| e.low).fold(f64::INFINITY, f64::min);
    let high = extents
        .iter()
        .map(|e| e.high)
        .fold(f64::NEG_INFINITY, f64::max);
    let abeam = extents.iter().map(|e| e.abeam).sum::<f64>() / extents.len() as f64;
    let (sin, cos) = axis.unit();
    let point = |along: f64| PlanePoint {
        east: along * sin + abeam * cos,
        north: along * cos - abeam * sin,
    };
    Some(Line {
        axis,
        members: members.to_vec(),
        from: point(low),
        to: point(high),
    })
}

/// The mean of directions that count as the same when opposite, in `[0, 180)`:
/// the mean of the doubled angles, halved (Mardia & Jupp, Directional Statistics, axial data; from memory).
pub fn mean_axis(courses: impl Iterator<Item = (Bearing, f64)>) -> Option<Bearing> {
    let (mut sin, mut cos) = (0.0, 0.0);
    for (course, weight) in courses {
        let doubled = 2.0 * course.radians();
        sin += weight * doubled.sin();
        cos += weight * doubled.cos();
    }
    let doubled = Bearing::of_vector(sin, cos)?;
    let half = doubled.degrees() / 2.0;
    Bearing::new(if half >= 180.0 { 0.0 } else { half })
}

/// What a stretch covers of an axis.
#[derive(Debug, Clone, Copy)]
struct Extent {
    low: f64,
    high: f64,
    abeam: f64,
}

impl Extent {
    fn along(stretch: &Stretch, axis: Bearing) -> Self {
        let (sin, cos) = axis.unit();
        let along = |p: PlanePoint| p.east * sin + p.north * cos;
        let (a, b) = (
            along(stretch.motion.at(stretch.start)),
            along(stretch.motion.at(stretch.end)),
        );
        let middle = stretch.motion.middle;
        Self {
            low: a.min(b),
            high: a.max(b),
            abeam: middle.east * cos - middle.north * sin,
        }
    }

    fn length(&self) -> f64 {
        self.high - self.low
    }
}
