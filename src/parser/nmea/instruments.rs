//! What the other instruments say: heading, speed through the water, depth.
//!
//! Their sentences have no times. Each value is of the moment of the last fix
//! before it, and holds until it is stale.

use super::report::{Motion, SECOND_NS, direction, eastward, knots};
use super::sentence::{Fields, Kind};
use crate::parser::tally::{Oddity, Tally};
use crate::track::Fix;
use crate::units::{Bearing, Distance, METRES_PER_FOOT, Speed, SpeedUnit, Turn};

/// How long a value holds, nanoseconds: 5 s.
///
/// Instruments send once or several times a second; one that is silent for
/// longer has failed, and a boat may turn right round in ten. Common practice, no source.
const HOLDS_NS: i64 = 5 * SECOND_NS;

/// Metres in one fathom of six feet.
const METRES_PER_FATHOM: f64 = 6.0 * METRES_PER_FOOT;

/// A quantity that several sentences give, the better ones first.
#[derive(Debug, Clone, Copy)]
struct Latest<T, const N: usize> {
    by_rank: [Option<(i64, T)>; N],
}

impl<T: Copy, const N: usize> Latest<T, N> {
    const NONE: Self = Self { by_rank: [None; N] };

    fn put(&mut self, rank: usize, at_ns: Option<i64>, value: Option<T>) {
        if let (Some(at_ns), Some(value), Some(place)) = (at_ns, value, self.by_rank.get_mut(rank))
        {
            *place = Some((at_ns, value));
        }
    }

    /// The best value that is not stale.
    fn at(&self, at_ns: i64) -> Option<T> {
        self.by_rank
            .iter()
            .flatten()
            .find(|(then, _)| at_ns.abs_diff(*then) <= HOLDS_NS.unsigned_abs())
            .map(|(_, value)| *value)
    }
}

/// The state of all instruments.
#[derive(Debug)]
pub(super) struct Instruments {
    /// The instant of the last fix.
    now_ns: Option<i64>,
    motion: Latest<Motion, 2>,
    heading: Latest<Bearing, 4>,
    water_speed: Latest<Speed, 1>,
    depth: Latest<Distance, 2>,
    variation: Option<Turn>,
}

impl Instruments {
    pub(super) fn new() -> Self {
        Self {
            now_ns: None,
            motion: Latest::NONE,
            heading: Latest::NONE,
            water_speed: Latest::NONE,
            depth: Latest::NONE,
            variation: None,
        }
    }

    /// The instant of the last fix.
    pub(super) fn now_ns(&self) -> Option<i64> {
        self.now_ns
    }

    /// A fix was met.
    pub(super) fn tick(&mut self, at_ns: i64, motion: Motion) {
        self.now_ns = Some(at_ns);
        if motion != Motion::default() {
            self.motion.put(0, self.now_ns, Some(motion));
        }
    }

    /// The variation was met.
    pub(super) fn set_variation(&mut self, variation: Option<Turn>) {
        self.variation = variation.or(self.variation);
    }

    /// VTG was met.
    pub(super) fn set_motion(&mut self, motion: Motion) {
        self.motion.put(1, self.now_ns, Some(motion));
    }

    /// Speed and course over the ground at the moment.
    pub(super) fn motion(&self) -> Option<Motion> {
        self.motion.at(self.now_ns?)
    }

    /// Where the bow points at the moment.
    pub(super) fn heading(&self) -> Option<Bearing> {
        self.heading.at(self.now_ns?)
    }

    /// The true direction of a magnetic one; `None` without a known variation.
    pub(super) fn true_of_magnetic(&self, magnetic: Bearing) -> Option<Bearing> {
        Some(magnetic.turned(self.variation?))
    }

    /// Takes a sentence of an instrument.
    pub(super) fn take(&mut self, kind: Kind, fields: &Fields<'_>, tally: &mut Tally) {
        let now_ns = self.now_ns;
        match &kind {
            b"HDT" => self.heading.put(0, now_ns, direction(fields.number(1))),
            // The mode of THS: all but `A` is estimated, by hand, simulated or void.
            b"THS" => {
                let heading =
                    direction(fields.number(1)).filter(|_| fields.letter(2) == Some(b'A'));
                self.heading.put(0, now_ns, heading);
            }
            b"HDG" => {
                self.set_variation(eastward(fields.number(4), fields.letter(5)));
                let deviation = eastward(fields.number(2), fields.letter(3));
                let sensor = direction(fields.number(1));
                let magnetic = sensor.map(|h| deviation.map_or(h, |by| h.turned(by)));
                self.put_magnetic(1, magnetic, tally);
            }
            b"HDM" => self.put_magnetic(2, direction(fields.number(1)), tally),
            b"VHW" => {
                match direction(fields.marked(1, b'T')) {
                    Some(heading) => self.heading.put(3, now_ns, Some(heading)),
                    None => self.put_magnetic(3, direction(fields.marked(3, b'M')), tally),
                }
                let in_km_h = || {
                    let value = fields.marked(7, b'K')?;
                    Some(Speed::new(value, SpeedUnit::KilometresPerHour))
                };
                let speed = fields.marked(5, b'N').map(knots).or_else(in_km_h);
                let speed = speed.filter(|speed| speed.as_metres_per_second() >= 0.0);
                self.water_speed.put(0, now_ns, speed);
            }
            b"DPT" => self
                .depth
                .put(0, now_ns, fields.positive(1).map(Distance::metres)),
            b"DBT" => self.depth.put(0, now_ns, depth(fields)),
            // Below the surface or the keel: only where the transducer's is not given.
            b"DBS" | b"DBK" => self.depth.put(1, now_ns, depth(fields)),
            _ => {}
        }
    }

    /// Adds to a fix what the instruments say at its moment.
    pub(super) fn complete(&self, at_ns: i64, fix: Fix) -> Fix {
        Fix {
            heading: self.heading.at(at_ns),
            water_speed: self.water_speed.at(at_ns),
            depth: self.depth.at(at_ns),
            ..fix
        }
    }

    fn put_magnetic(&mut self, rank: usize, magnetic: Option<Bearing>, tally: &mut Tally) {
        let Some(magnetic) = magnetic else { return };
        let heading = self.true_of_magnetic(magnetic);
        tally.note_if(heading.is_none(), Oddity::Unturned);
        self.heading.put(rank, self.now_ns, heading);
    }
}

/// `DBT,feet,f,metres,M,fathoms,F`.
fn depth(fields: &Fields<'_>) -> Option<Distance> {
    let metres = fields.marked(3, b'M');
    let feet = || Some(fields.marked(1, b'F')? * METRES_PER_FOOT);
    let fathoms = || Some(fields.marked(5, b'F')? * METRES_PER_FATHOM);
    let metres = metres.or_else(feet).or_else(fathoms)?;
    (metres >= 0.0).then(|| Distance::metres(metres))
}
