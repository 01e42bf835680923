//! The fixes of each talker, apart, and the one of each whose sentences come in.
//!
//! A multiplexer may repeat the receiver's fixes under a talker of its own and
//! a second late. Mixed, the two would make the boat jump to and fro; apart,
//! each is a true track, and cleaning keeps the denser one.

use super::clock::{LATE_NS, timestamp};
use super::instruments::Instruments;
use super::report::{Motion, Report};
use super::sentence::Kind;
use super::shown;
use crate::parser::source::text;
use crate::parser::tally::{Fault, Tally};
use crate::track::{Fix, Position, RecordedTrack};

/// Most talkers kept apart; the others join the last one. No boat has as many.
const MOST_TALKERS: usize = 8;

/// Receivers' talkers, by their systems of satellites. One receiver uses several of them, from
/// fix to fix, so they count as one.
const RECEIVERS: [&[u8; 2]; 10] = [
    b"GN", b"GP", b"GL", b"GA", b"GB", b"BD", b"GQ", b"QZ", b"GI", b"PQ",
];

/// One talker's fixes.
#[derive(Debug)]
pub(super) struct Talker {
    name: [u8; 2],
    /// The fix whose sentences come in.
    pub(super) open: Option<OpenFix>,
    /// The kind of sentence by which fixes without any time are counted.
    pub(super) untimed: Option<Kind>,
    segments: Vec<Vec<Fix>>,
    last_ns: i64,
}

impl Talker {
    /// Ends the fix whose sentences come in; one that lies more than an hour before the last
    /// begins another segment, as where logs are joined in any order.
    pub(super) fn close(&mut self, instruments: &Instruments, tally: &mut Tally) {
        let Some(open) = self.open.take() else { return };
        let Some((at_ns, fix)) = open.fix() else {
            if let Some((fault, start, body)) = open.fault {
                tally.lose(fault, start, || text(&body).into());
            }
            return;
        };
        let fix = instruments.complete(at_ns, fix);
        let follows = at_ns >= self.last_ns.saturating_sub(LATE_NS);
        match self.segments.last_mut() {
            Some(segment) if follows => segment.push(fix),
            _ => self.segments.push(vec![fix]),
        }
        self.last_ns = at_ns;
    }
}

/// All talkers that sent positions, in order of their first sentences.
#[derive(Debug, Default)]
pub(super) struct Talkers {
    all: Vec<Talker>,
}

impl Talkers {
    /// The talker of this name.
    pub(super) fn named(&mut self, name: [u8; 2]) -> Option<&mut Talker> {
        let name = if RECEIVERS.contains(&&name) {
            *b"GN"
        } else {
            name
        };
        let known = self.all.iter().position(|talker| talker.name == name);
        let index = known.unwrap_or_else(|| {
            if self.all.len() < MOST_TALKERS {
                self.all.push(Talker {
                    name,
                    open: None,
                    untimed: None,
                    segments: Vec::new(),
                    last_ns: i64::MIN,
                });
            }
            self.all.len() - 1
        });
        self.all.get_mut(index)
    }

    /// Each of them.
    pub(super) fn each(&mut self) -> impl Iterator<Item = &mut Talker> {
        self.all.iter_mut()
    }

    /// Where the faults of the fixes still open are, bytes.
    pub(super) fn open_faults(&self) -> impl Iterator<Item = usize> {
        let open = self.all.iter().filter_map(|talker| talker.open.as_ref());
        open.filter_map(OpenFix::fault_at)
    }

    /// How many fixes there are in all.
    pub(super) fn fixes(&self) -> usize {
        let segments = self.all.iter().flat_map(|talker| &talker.segments);
        segments.map(Vec::len).sum()
    }

    /// The names of those that gave fixes.
    pub(super) fn names(&self) -> Vec<String> {
        let with_fixes = self.all.iter().filter(|talker| !talker.segments.is_empty());
        with_fixes
            .map(|talker| String::from_utf8_lossy(&talker.name).into_owned())
            .collect()
    }

    /// A track for each that gave fixes, named after it where there are several.
    pub(super) fn into_tracks(self) -> Vec<RecordedTrack> {
        let names = self.names();
        let with_fixes = self
            .all
            .into_iter()
            .filter(|talker| !talker.segments.is_empty());
        let several = names.len() > 1;
        with_fixes
            .zip(names)
            .map(|(talker, name)| RecordedTrack {
                name: several.then_some(name),
                segments: talker.segments,
            })
            .collect()
    }
}

/// What the sentences of one time of day and one talker have given so far.
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
            .get_or_insert_with(|| (fault, start, shown(body).into()));
    }

    /// Where its fault is, bytes.
    pub(super) fn fault_at(&self) -> Option<usize> {
        self.fault.as_ref().map(|&(_, start, _)| start)
    }

    /// VTG was met.
    pub(super) fn put_motion(&mut self, motion: Motion) {
        self.motion_apart = motion;
    }

    /// Its instant and the fix, as far as its own sentences give it.
    fn fix(&self) -> Option<(i64, Fix)> {
        let ((_, position), at_ns) = self.position.zip(self.at_ns)?;
        let fix = Fix {
            speed: self.motion.speed.or(self.motion_apart.speed),
            course: self.motion.course.or(self.motion_apart.course),
            ..Fix::bare(timestamp(at_ns)?, position)
        };
        Some((at_ns, fix))
    }
}
