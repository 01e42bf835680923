//! One fix while its sentences come in.

use super::clock::timestamp;
use super::motion::Motion;
use super::position::Report;
use crate::parser::fault::Fault;
use crate::track::{Fix, Position};

/// What the sentences of one time of day and one talker have told so far.
#[derive(Debug)]
pub(super) struct OpenFix {
    /// The time of day they share, nanoseconds since midnight.
    pub(super) of_day_ns: i64,
    /// The instant, once a position was met.
    pub(super) at_ns: Option<i64>,
    position: Option<(u8, Position)>,
    /// Of RMC, which belongs to the position.
    motion: Motion,
    /// Of VTG, which has no time of its own.
    motion_apart: Motion,
    /// What was wrong with the first sentence that could not be used.
    fault: Option<(Fault, usize, Box<[u8]>)>,
}

/// What became of a fix whose time is over.
#[derive(Debug)]
pub(super) enum Closed {
    /// A fix at this instant, nanoseconds since 1970.
    Fix(i64, Fix),
    /// None: the fault, where it stands, and the sentence.
    Lost(Fault, usize, Box<[u8]>),
}

impl OpenFix {
    pub(super) fn new(of_day_ns: i64) -> Self {
        Self {
            of_day_ns,
            at_ns: None,
            position: None,
            motion: Motion::default(),
            motion_apart: Motion::default(),
            fault: None,
        }
    }

    /// A position was met.
    pub(super) fn put(&mut self, report: &Report, position: Position) {
        if self.position.is_none_or(|(rank, _)| report.rank < rank) {
            self.position = Some((report.rank, position));
        }
        self.motion.speed = self.motion.speed.or(report.speed);
        self.motion.course = self.motion.course.or(report.course);
    }

    /// A sentence without a usable position was met.
    pub(super) fn put_fault(&mut self, fault: Fault, start: usize, body: &[u8]) {
        self.fault
            .get_or_insert_with(|| (fault, start, body.into()));
    }

    /// Where its fault stands, bytes.
    pub(super) fn fault_at(&self) -> Option<usize> {
        self.fault.as_ref().map(|&(_, start, _)| start)
    }

    /// VTG was met.
    pub(super) fn put_motion(&mut self, motion: Motion) {
        self.motion_apart = motion;
    }

    /// The fix, as far as its own sentences tell; `None` where there was nothing in them.
    pub(super) fn close(self) -> Option<Closed> {
        let fix = self
            .position
            .zip(self.at_ns)
            .and_then(|((_, position), at_ns)| {
                let fix = Fix {
                    speed: self.motion.speed.or(self.motion_apart.speed),
                    course: self.motion.course.or(self.motion_apart.course),
                    ..Fix::bare(timestamp(at_ns)?, position)
                };
                Some(Closed::Fix(at_ns, fix))
            });
        fix.or_else(|| {
            let (fault, start, body) = self.fault?;
            Some(Closed::Lost(fault, start, body))
        })
    }
}
