//! What sentences with a position or a motion say: RMC, GNS, GGA, GLL, VTG; and the times of day,
//! dates and coordinates in them.

use std::ops::Range;

use jiff::civil::Date;

use super::sentence::Fields;
use crate::parser::position::{packed, position_of};
use crate::parser::tally::Fault;
use crate::parser::time::time_of_day;
use crate::track::Position;
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
    /// Which sentence's position counts where several give one: the smallest.
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

/// Speed and course over the ground.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Motion {
    pub(super) speed: Option<Speed>,
    pub(super) course: Option<Bearing>,
}

impl Motion {
    /// `VTG,course,T,course,M,knots,N,km/h,K,mode`, or before NMEA 0183 2.0 the four numbers
    /// alone.
    pub(super) fn vtg(fields: &Fields<'_>) -> Self {
        if fields.letter(9) == Some(b'N') {
            return Self::default();
        }
        if fields.count() == 4 && fields.letter(2) != Some(b'T') {
            return Self {
                speed: fields.positive(3).map(knots),
                course: direction(fields.number(1)),
            };
        }
        let in_knots = fields.marked(5, b'N').map(knots);
        let in_km_h = || {
            let value = fields.marked(7, b'K')?;
            Some(Speed::new(value, SpeedUnit::KilometresPerHour))
        };
        let speed = in_knots.or_else(in_km_h);
        Self {
            speed: speed.filter(|speed| speed.as_metres_per_second() >= 0.0),
            course: direction(fields.marked(1, b'T')),
        }
    }
}

/// Nanoseconds in a second.
pub(super) const SECOND_NS: i64 = 1_000_000_000;

/// Nanoseconds in a day of UTC without leap seconds.
pub(super) const DAY_NS: i64 = 86_400 * SECOND_NS;

/// First year of a credible date: satellites for navigation were first in orbit in 1978.
const FIRST_YEAR: i16 = 1980;

/// Last year of a credible date; keeps times within what 64 bits of nanoseconds hold.
const LAST_YEAR: i16 = 2199;

/// Two-digit years from this one on are of the century before.
const CENTURY_TURNS: i16 = 80;

/// `hhmmss` with or without a fraction, to nanoseconds since midnight.
///
/// A leap second `60` is taken for the one before it. Digits beyond the ninth are dropped.
pub(super) fn time_of_day_ns(text: &str) -> Option<i64> {
    // A dot may close the seconds.
    let time = time_of_day(text.strip_suffix('.').unwrap_or(text))?;
    let (hour, minute) = (i64::from(time.hour()), i64::from(time.minute()));
    let seconds = hour * 3600 + minute * 60 + i64::from(time.second());
    Some(seconds * SECOND_NS + i64::from(time.subsec_nanosecond()))
}

/// `ddmmyy`, to days since 1970; `None` where there is no such day, as in `000070`.
pub(super) fn day_of_date(text: &str) -> Option<i64> {
    let part = |range: Range<usize>| text.get(range)?.parse().ok();
    if text.len() != 6 || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let year = part(4..6)?;
    let century = if year >= CENTURY_TURNS { 1900 } else { 2000 };
    day_number(century + year, part(2..4)?, part(0..2)?)
}

/// Day, month and year in fields of their own, as ZDA has them.
pub(super) fn day_of_fields(day: &str, month: &str, year: &str) -> Option<i64> {
    let year = (year.len() == 4).then(|| year.parse().ok()).flatten()?;
    day_number(year, month.parse().ok()?, day.parse().ok()?)
}

/// Days since 1970 of a credible date.
pub(super) fn day_since_1970(date: Date) -> Option<i64> {
    if !(FIRST_YEAR..=LAST_YEAR).contains(&date.year()) {
        return None;
    }
    let epoch = Date::new(1970, 1, 1).ok()?;
    Some(date.duration_since(epoch).as_secs() / 86_400)
}

fn day_number(year: i16, month: i16, day: i16) -> Option<i64> {
    let (month, day) = (i8::try_from(month).ok()?, i8::try_from(day).ok()?);
    day_since_1970(Date::new(year, month, day).ok()?)
}

/// A position, and what was odd about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) position: Position,
    /// Whether the longitude lay beyond 180 and was wrapped.
    pub(super) wrapped: bool,
    /// Whether a coordinate has a minus sign beside its hemisphere.
    pub(super) signed: bool,
}

/// A position from latitude, `N` or `S`, longitude, `E` or `W`.
///
/// A minus sign says south or west, whatever the letter: nobody writes one by chance, and some
/// recorders put `N` and `E` behind every number.
fn place(
    latitude: &str,
    north: Option<u8>,
    longitude: &str,
    east: Option<u8>,
) -> Result<Place, Fault> {
    let is_opposite = |letter, [with, against]: [u8; 2]| match letter {
        Some(letter) if letter == with => Ok(false),
        Some(letter) if letter == against => Ok(true),
        _ => Err(Fault::NoPosition),
    };
    if latitude.is_empty() || longitude.is_empty() {
        return Err(Fault::NoPosition);
    }
    let south = is_opposite(north, *b"NS")?;
    let west = is_opposite(east, *b"EW")?;
    let angle = |text: &str, is_opposite| {
        let digits = text.strip_prefix('-').unwrap_or(text);
        let size = packed(digits).ok_or(Fault::UnreadablePosition)?;
        let is_signed = digits.len() < text.len();
        Ok(if is_opposite || is_signed {
            -size
        } else {
            size
        })
    };
    let read = position_of(angle(latitude, south)?, angle(longitude, west)?)?;
    Ok(Place {
        position: read.position,
        wrapped: read.wrapped,
        signed: latitude.starts_with('-') || longitude.starts_with('-'),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day() {
        for (text, seconds) in [
            ("000000", Some(0.0)),
            ("123519", Some(45_319.0)),
            ("225446.33", Some(82_486.33)),
            ("235960", Some(86_399.0)),
            ("091230.", Some(33_150.0)),
            ("091230.1234567891", Some(33_150.123_456_789)),
            ("", None),
            ("0912", None),
            ("240000", None),
            ("096030", None),
            ("091261", None),
            ("091230.5x", None),
            ("-91230", None),
        ] {
            let read = time_of_day_ns(text);
            let expected = seconds.map(|s: f64| (s * 1e9).round() as i64);
            assert_eq!(read, expected, "{text}");
        }
    }

    #[test]
    fn dates() {
        // Days since 1970 by `date -u -d ... +%s`, divided by 86400.
        assert_eq!(day_of_date("230394"), Some(8847));
        assert_eq!(day_of_date("010170"), Some(36_525));
        assert_eq!(day_of_date("060180"), Some(3657));
        for text in [
            "000070", "310231", "011331", "", "1103", "11032004", "aa0394",
        ] {
            assert_eq!(day_of_date(text), None, "{text}");
        }
        assert_eq!(day_of_fields("11", "03", "2004"), Some(12_488));
        assert_eq!(day_of_fields("11", "3", "04"), None);
        assert_eq!(day_of_fields("11", "03", "1970"), None);
        assert_eq!(day_of_fields("", "", ""), None);
    }

    #[track_caller]
    fn check(fields: [&str; 4], expected: Result<(f64, f64), Fault>) {
        let letter = |text: &str| text.bytes().next();
        let read = place(fields[0], letter(fields[1]), fields[2], letter(fields[3]));
        let read = read.map(|p| (p.position.latitude(), p.position.longitude()));
        match (read, expected) {
            (Ok(read), Ok(expected)) => {
                let close =
                    (read.0 - expected.0).abs() < 1e-12 && (read.1 - expected.1).abs() < 1e-12;
                assert!(close, "{fields:?}: {read:?}");
            }
            (read, expected) => assert_eq!(read, expected, "{fields:?}"),
        }
    }

    #[test]
    fn positions() {
        // 48°07.038' N, 11°31.000' E: the worked example of most descriptions (from memory).
        check(
            ["4807.038", "N", "01131.000", "E"],
            Ok((48.1173, 11.0 + 31.0 / 60.0)),
        );
        check(
            ["1929.045", "S", "02410.506", "E"],
            Ok((-19.484_083_333_333_33, 24.1751)),
        );
        check(
            ["-3354.1", "S", "15112.9", "E"],
            Ok((-33.0 - 54.1 / 60.0, 151.215)),
        );
        check(
            ["-3354.1", "N", "15112.9", "E"],
            Ok((-33.0 - 54.1 / 60.0, 151.215)),
        );
        check(["9000", "N", "18000.0", "W"], Ok((90.0, -180.0)));
        check(["4807", "N", "19000", "E"], Ok((48.0 + 7.0 / 60.0, -170.0)));
        check(["30.0", "N", "0.5", "E"], Err(Fault::UnreadablePosition));
        check(["0030.0", "N", "30.0", "E"], Ok((0.5, 0.5)));
        check(
            ["0000.000", "N", "00000.000", "E"],
            Err(Fault::ZeroPosition),
        );
        check(["4807.038", "N", "01131.000", ""], Err(Fault::NoPosition));
        check(["", "", "", ""], Err(Fault::NoPosition));
        check(["9000.1", "N", "01131.000", "E"], Err(Fault::LatitudeRange));
        check(["4807.038", "N", "37000", "E"], Err(Fault::LongitudeRange));
        check(
            ["4860.000", "N", "01131.000", "E"],
            Err(Fault::UnreadablePosition),
        );
        check(
            ["48O7.038", "N", "01131.000", "E"],
            Err(Fault::UnreadablePosition),
        );
        check(
            ["--807.038", "N", "01131.000", "E"],
            Err(Fault::UnreadablePosition),
        );
        check(
            ["4807.0.38", "N", "01131.000", "E"],
            Err(Fault::UnreadablePosition),
        );
    }
}
