//! The true wind from the wind instruments: MWD, MWV, VWT, VWR.
//!
//! MWD gives its direction. MWV with reference `T`, and VWT, give the angle off
//! the bow, to which the heading is added. MWV with reference `R`, and VWR,
//! give the wind felt on board, from which the boat's motion over the ground is
//! taken ([`Observed`]); that needs heading, course and speed. The sources are
//! kept apart, and the best one that has any reading is used for the whole log.

use super::clock::timestamp;
use super::instruments::Instruments;
use super::report::{direction, knots};
use super::sentence::{Fields, Kind};
use crate::parser::tally::{Oddity, Tally};
use crate::parser::true_wind::Observed;
use crate::track::WindReading;
use crate::units::{Bearing, Speed, SpeedUnit, Turn};

/// Which sentences readings come from, the best ones first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum From {
    /// MWD.
    Direction,
    /// MWV with reference `T`, or VWT.
    OffTheBow,
    /// MWV with reference `R`, or VWR.
    Felt,
}

/// The readings of one log.
#[derive(Debug, Default)]
pub(super) struct Wind {
    /// In the order of [`From`].
    by_source: [Vec<WindReading>; 3],
}

/// A wind by its angle clockwise from the bow.
struct OffTheBow {
    angle: Bearing,
    speed: Speed,
    felt: bool,
}

impl Wind {
    /// Takes a sentence of a wind instrument.
    pub(super) fn take(
        &mut self,
        kind: Kind,
        fields: &Fields<'_>,
        instruments: &Instruments,
        tally: &mut Tally,
    ) {
        let Some(time) = instruments.now_ns().and_then(timestamp) else {
            return;
        };
        let wind = match &kind {
            b"MWD" => {
                if let Some((from, speed)) = mwd(fields, instruments) {
                    self.add(From::Direction, WindReading { time, from, speed });
                }
                return;
            }
            b"MWV" => mwv(fields),
            b"VWT" => by_side(fields, false),
            _ => by_side(fields, true),
        };
        let Some(wind) = wind else { return };
        let placed = instruments.heading().and_then(|heading| {
            if !wind.felt {
                let from = heading.turned(Turn::new(wind.angle.degrees())?);
                return Some((From::OffTheBow, Some(from), wind.speed));
            }
            let motion = instruments.motion()?;
            let observed = Observed {
                course: motion.course?,
                speed: motion.speed?,
                heading,
                apparent_off_bow: wind.angle,
                apparent_speed: wind.speed,
            };
            let found = observed.true_wind()?;
            Some((From::Felt, found.from, found.speed))
        });
        tally.note_if(placed.is_none(), Oddity::UnplacedWind);
        if let Some((source, Some(from), speed)) = placed {
            let speed = Some(speed);
            self.add(source, WindReading { time, from, speed });
        }
    }

    /// Adds a reading; of those at one fix the first is kept, so that there are no more of them
    /// than fixes.
    fn add(&mut self, source: From, reading: WindReading) {
        if let Some(readings) = self.by_source.get_mut(source as usize)
            && readings.last().is_none_or(|last| last.time != reading.time)
        {
            readings.push(reading);
        }
    }

    /// What is to be said of where the readings come from.
    pub(super) fn remark(&self) -> Option<&'static str> {
        let remarks = [
            "True wind taken from the direction the instruments give (MWD).",
            "True wind taken from the instruments' angle off the bow (MWV, VWT) and the heading.",
            "True wind computed from the wind felt on board (MWV, VWR), heading, course and speed over the ground.",
        ];
        let mut all = self.by_source.iter().zip(remarks);
        all.find_map(|(readings, remark)| (!readings.is_empty()).then_some(remark))
    }

    /// The readings of the best source.
    pub(super) fn into_readings(self) -> Vec<WindReading> {
        let mut all = self.by_source.into_iter();
        all.find(|readings| !readings.is_empty())
            .unwrap_or_default()
    }
}

/// `MWD,true,T,magnetic,M,knots,N,m/s,M`.
fn mwd(fields: &Fields<'_>, instruments: &Instruments) -> Option<(Bearing, Option<Speed>)> {
    let of_magnetic = || {
        let magnetic = direction(fields.marked(3, b'M'))?;
        instruments.true_of_magnetic(magnetic)
    };
    let from = direction(fields.marked(1, b'T')).or_else(of_magnetic)?;
    let in_m_s = || fields.marked(7, b'M').map(Speed::metres_per_second);
    let speed = fields.marked(5, b'N').map(knots).or_else(in_m_s);
    Some((from, speed.and_then(possible)))
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
