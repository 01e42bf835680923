//! A leg: a stretch on one heading, with its approach and its steady part measured.

use super::SegmentRules;
use super::approach::Settling;
use super::left_out::LeftOut;
use super::speed::{Measured, measure};
use crate::geometry::{Motion, Plane, Record, between};
use crate::track::Position;

/// A stretch on one steady heading, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Number, from 1, in the order in which legs were found; no correction changes it.
    pub number: usize,
    /// Index of its track.
    pub track: usize,
    /// When it begins, s.
    pub start: f64,
    /// When it ends, s.
    pub end: f64,
    /// Where it begins.
    pub start_position: Position,
    /// Where it ends.
    pub end_position: Position,
    /// A plane that touches where it begins: its motion is given on it.
    pub plane: Plane,
    /// End of the approach, s; `None` where the boat never settled.
    pub steady_from: Option<f64>,
    /// End of the steady part, s.
    pub steady_to: f64,
    /// What was measured over the steady part.
    pub measured: Option<Measured>,
    /// Index of its line.
    pub line: Option<usize>,
    /// Why it is left out; `None` where it is not.
    pub left_out: Option<LeftOut>,
}

impl Leg {
    /// A leg between two times of a record; `None` where there is no record of it.
    pub(super) fn new(
        number: usize,
        track: usize,
        record: &Record,
        [start, end]: [f64; 2],
        settling: Option<Settling>,
        rules: &SegmentRules,
    ) -> Option<Self> {
        let (approach, speed) = (&rules.approach, &rules.speed);
        let start_position = record.position(start)?;
        let plane = Plane::at(start_position);
        let path = record.on(&plane, start, end);
        let rough = Motion::fit(&path)?.speed();
        let seconds = settling.map_or(0.0, |s| s.seconds_until(approach.settled_within, rough));
        let seconds = seconds.clamp(approach.shortest_s, approach.longest_s);
        // The beginning of the turn is known to within half a sample.
        let (steady_from, steady_to) = (start + seconds, end - rules.stretch.sample_s() / 2.0);
        let settled = steady_to - steady_from >= approach.shortest_steady_s;
        let measured = settled
            .then(|| measure(between(&path, steady_from, steady_to), speed))
            .flatten();
        Some(Self {
            number,
            track,
            start,
            end,
            start_position,
            end_position: record.position(end)?,
            plane,
            steady_from: settled.then_some(steady_from),
            steady_to,
            measured,
            line: None,
            left_out: (!settled).then_some(LeftOut::TooShort {
                lasted_s: end - start,
                needed_s: seconds,
            }),
        })
    }

    /// Seconds from start to end.
    pub fn duration(&self) -> f64 {
        self.end - self.start
    }

    /// Velocity over the steady part, m/s east and north.
    pub fn velocity(&self) -> Option<[f64; 2]> {
        let motion = self.measured.as_ref()?.motion;
        Some([motion.east_m_s, motion.north_m_s])
    }

    /// Whether it may enter a double run.
    pub fn is_usable(&self) -> bool {
        self.measured.is_some() && self.left_out.is_none()
    }
}
