//! The true wind from the wind instruments: MWD, MWV, VWT, VWR.
//!
//! MWD gives its direction. MWV with reference `T`, and VWT, give the angle off
//! the bow, to which the heading is added. MWV with reference `R`, and VWR,
//! give the wind felt on board, from which the boat's motion over the ground is
//! taken ([`Observed`]); that needs heading, course and speed. The sources are
//! kept apart, and the best one that has any reading is used for the whole log.

use jiff::Timestamp;

use super::clock::timestamp;
use super::instruments::Instruments;
use super::report::{direction, knots};
use super::sentence::{Fields, Kind};
use crate::parser::true_wind::Observed;
use crate::track::WindReading;
use crate::units::{Bearing, Speed, SpeedUnit, Turn};

/// The readings of one log.
#[derive(Debug, Default)]
pub(super) struct Wind {
    by_direction: Vec<WindReading>,
    off_the_bow: Vec<WindReading>,
    felt: Vec<WindReading>,
    /// Readings for which heading, course or speed were not known.
    pub(super) unplaced: usize,
}

/// Which sentences the readings come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WindFrom {
    /// MWD.
    Direction,
    /// MWV with reference `T`, or VWT.
    OffTheBow,
    /// MWV with reference `R`, or VWR.
    Felt,
}

/// A wind by its angle clockwise from the bow.
struct OffTheBow {
    angle: Bearing,
    speed: Speed,
    felt: bool,
}

impl Wind {
    /// Takes a sentence of a wind instrument.
    pub(super) fn take(&mut self, kind: Kind, fields: &Fields<'_>, instruments: &Instruments) {
        let Some(time) = instruments.now_ns().and_then(timestamp) else {
            return;
        };
        match &kind {
            b"MWD" => {
                let from = direction(fields.marked(1, b'T')).or_else(|| {
                    let magnetic = direction(fields.marked(3, b'M'))?;
                    instruments.true_of_magnetic(magnetic)
                });
                let in_m_s = || fields.marked(7, b'M').map(Speed::metres_per_second);
                let speed = fields
                    .marked(5, b'N')
                    .map(knots)
                    .or_else(in_m_s)
                    .and_then(possible);
                if let Some(from) = from {
                    self.by_direction.push(WindReading { time, from, speed });
                }
            }
            b"MWV" => self.place(time, mwv(fields), instruments),
            b"VWT" => self.place(time, by_side(fields, false), instruments),
            b"VWR" => self.place(time, by_side(fields, true), instruments),
            _ => {}
        }
    }

    fn place(&mut self, time: Timestamp, wind: Option<OffTheBow>, instruments: &Instruments) {
        let Some(wind) = wind else { return };
        let Some(heading) = instruments.heading() else {
            self.unplaced += 1;
            return;
        };
        if !wind.felt {
            let angle = Turn::new(wind.angle.degrees());
            self.off_the_bow.push(WindReading {
                time,
                from: angle.map_or(heading, |angle| heading.turned(angle)),
                speed: Some(wind.speed),
            });
            return;
        }
        let motion = instruments.motion();
        let observed = motion.and_then(|motion| {
            Some(Observed {
                course: motion.course?,
                speed: motion.speed?,
                heading,
                apparent_off_bow: wind.angle,
                apparent_speed: wind.speed,
            })
        });
        match observed.and_then(|observed| observed.true_wind()) {
            Some(found) => self.felt.extend(found.from.map(|from| WindReading {
                time,
                from,
                speed: Some(found.speed),
            })),
            None => self.unplaced += 1,
        }
    }

    /// Which readings are used; `None` where there are none.
    pub(super) fn source(&self) -> Option<WindFrom> {
        let all = [
            (WindFrom::Direction, &self.by_direction),
            (WindFrom::OffTheBow, &self.off_the_bow),
            (WindFrom::Felt, &self.felt),
        ];
        all.into_iter()
            .find(|(_, readings)| !readings.is_empty())
            .map(|(source, _)| source)
    }

    /// The readings that are used.
    pub(super) fn into_readings(self) -> Vec<WindReading> {
        match self.source() {
            Some(WindFrom::Direction) => self.by_direction,
            Some(WindFrom::OffTheBow) => self.off_the_bow,
            Some(WindFrom::Felt) => self.felt,
            None => Vec::new(),
        }
    }
}

/// `MWV,angle,R or T,speed,unit,status`: all but status `A` is void.
fn mwv(fields: &Fields<'_>) -> Option<OffTheBow> {
    let unit = match fields.letter(4)? {
        b'N' => SpeedUnit::Knots,
        b'M' => SpeedUnit::MetresPerSecond,
        b'K' => SpeedUnit::KilometresPerHour,
        b'S' => SpeedUnit::MilesPerHour,
        _ => return None,
    };
    let felt = match fields.letter(2)? {
        b'R' => true,
        b'T' => false,
        _ => return None,
    };
    if fields.letter(5).is_some_and(|status| status != b'A') {
        return None;
    }
    Some(OffTheBow {
        angle: direction(fields.number(1))?,
        speed: Some(Speed::new(fields.number(3)?, unit)).and_then(possible)?,
        felt,
    })
}

/// `VWR,angle,L or R,knots,N,m/s,M,km/h,K`, and VWT alike: the angle to port or starboard.
fn by_side(fields: &Fields<'_>, felt: bool) -> Option<OffTheBow> {
    let angle = fields
        .number(1)
        .filter(|angle| (0.0..=180.0).contains(angle))?;
    let angle = match fields.letter(2)? {
        b'R' => angle,
        b'L' => -angle,
        _ => return None,
    };
    let in_m_s = || fields.marked(5, b'M').map(Speed::metres_per_second);
    let speed = fields.marked(3, b'N').map(knots).or_else(in_m_s);
    Some(OffTheBow {
        angle: Bearing::new(angle)?,
        speed: speed.and_then(possible)?,
        felt,
    })
}

fn possible(speed: Speed) -> Option<Speed> {
    (speed.as_metres_per_second() >= 0.0).then_some(speed)
}
