//! What the sentences with a position say: RMC, GNS, GGA, GLL.

use super::fields::Fields;
use super::value::{Place, day_of_date, place, time_of_day_ns};
use crate::parser::fault::Fault;
use crate::units::{Bearing, Speed, SpeedUnit, Turn};

/// A sentence with a position, as read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Report {
    /// The time of day, nanoseconds since midnight UTC.
    pub(super) of_day_ns: Result<i64, Fault>,
    /// The date, days since 1970.
    pub(super) day: Option<i64>,
    /// The position, or why there is none to use.
    pub(super) place: Result<Place, Fault>,
    /// Speed over the ground.
    pub(super) speed: Option<Speed>,
    /// Course over the ground.
    pub(super) course: Option<Bearing>,
    /// What turns a magnetic direction to a true one; east is positive.
    pub(super) variation: Option<Turn>,
    /// Which sentence's position stands where several give one: the smallest.
    pub(super) rank: u8,
}

impl Report {
    /// `RMC,time,status,lat,N,lon,E,knots,course,date,variation,E,mode,status`.
    pub(super) fn rmc(fields: &Fields<'_>) -> Self {
        let usable = status(fields.letter(2)).and(mode(fields.letter(12)));
        Self {
            day: day_of_date(fields.text(9)),
            speed: fields.positive(7).map(knots),
            course: direction(fields.number(8)),
            variation: eastward(fields.number(10), fields.letter(11)),
            ..Self::of(fields, 1, 3, usable, 0)
        }
    }

    /// `GNS,time,lat,N,lon,E,modes,...`: one mode for each system of satellites.
    pub(super) fn gns(fields: &Fields<'_>) -> Self {
        // A fix by any of the systems is a fix.
        let modes = fields.text(6).bytes();
        let usable = modes
            .map(|letter| mode(Some(letter)))
            .reduce(Result::or)
            .unwrap_or(Err(Fault::NoFix));
        Self::of(fields, 1, 2, usable, 1)
    }

    /// `GGA,time,lat,N,lon,E,quality,...`.
    pub(super) fn gga(fields: &Fields<'_>) -> Self {
        let usable = match fields.text(6).trim_start_matches('0') {
            "" => Err(Fault::NoFix),
            "6" => Err(Fault::DeadReckoned),
            "7" | "8" => Err(Fault::NotMeasured),
            _ => Ok(()),
        };
        Self::of(fields, 1, 2, usable, 2)
    }

    /// `GLL,lat,N,lon,E,time,status,mode`.
    pub(super) fn gll(fields: &Fields<'_>) -> Self {
        let usable = status(fields.letter(6)).and(mode(fields.letter(7)));
        Self::of(fields, 5, 1, usable, 3)
    }

    fn of(
        fields: &Fields<'_>,
        time: usize,
        latitude: usize,
        usable: Result<(), Fault>,
        rank: u8,
    ) -> Self {
        let time = fields.text(time);
        let missing = if time.is_empty() {
            Fault::NoTime
        } else {
            Fault::UnreadableTime
        };
        let read = || {
            place(
                fields.text(latitude),
                fields.letter(latitude + 1),
                fields.text(latitude + 2),
                fields.letter(latitude + 3),
            )
        };
        Self {
            of_day_ns: time_of_day_ns(time).ok_or(missing),
            day: None,
            place: usable.and_then(|()| read()),
            speed: None,
            course: None,
            variation: None,
            rank,
        }
    }
}

/// `V` is void; old and simple senders leave the field out.
fn status(letter: Option<u8>) -> Result<(), Fault> {
    match letter {
        Some(b'V') => Err(Fault::NoFix),
        _ => Ok(()),
    }
}

/// The letter of the mode, since NMEA 0183 2.3; before, there was none.
fn mode(letter: Option<u8>) -> Result<(), Fault> {
    match letter {
        Some(b'N') => Err(Fault::NoFix),
        Some(b'E') => Err(Fault::DeadReckoned),
        Some(b'M' | b'S') => Err(Fault::NotMeasured),
        _ => Ok(()),
    }
}

pub(super) fn knots(value: f64) -> Speed {
    Speed::new(value, SpeedUnit::Knots)
}

/// A direction from 0 to 360 degrees.
pub(super) fn direction(degrees: Option<f64>) -> Option<Bearing> {
    let degrees = degrees.filter(|degrees| (0.0..=360.0).contains(degrees))?;
    Bearing::new(degrees)
}

/// A variation or deviation with its `E` or `W`.
pub(super) fn eastward(degrees: Option<f64>, letter: Option<u8>) -> Option<Turn> {
    let degrees = degrees.filter(|degrees| degrees.abs() <= 180.0)?;
    match letter {
        Some(b'E') => Turn::new(degrees),
        Some(b'W') => Turn::new(-degrees),
        _ => None,
    }
}
