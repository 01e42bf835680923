//! Latitudes and longitudes as recorders write them.

use super::quantity::decimal;
use super::tally::Fault;
use crate::track::Position;
use crate::units::Turn;

/// Longest text looked at; the longest form with signs and letters has under 40 bytes.
const MOST_BYTES: usize = 64;

/// Largest longitude that is wrapped rather than set aside, degrees: once round the Earth.
const MOST_LONGITUDE: f64 = 360.0;

/// A position as read.
#[derive(Debug, Clone, Copy)]
pub(super) struct PositionRead {
    pub(super) position: Position,
    /// Whether the longitude lay beyond 180 and was wrapped.
    pub(super) wrapped: bool,
}

/// A position from degrees north and east.
pub(super) fn position_of(latitude: f64, longitude: f64) -> Result<PositionRead, Fault> {
    if latitude == 0.0 && longitude == 0.0 {
        return Err(Fault::ZeroPosition);
    }
    if !(-90.0..=90.0).contains(&latitude) {
        return Err(Fault::LatitudeRange);
    }
    let wrapped = longitude.abs() > 180.0;
    let longitude = if wrapped {
        Turn::new(longitude)
            .filter(|_| longitude.abs() <= MOST_LONGITUDE)
            .ok_or(Fault::LongitudeRange)?
            .degrees()
    } else {
        longitude
    };
    let position = Position::new(latitude, longitude).ok_or(Fault::LongitudeRange)?;
    Ok(PositionRead { position, wrapped })
}

/// Which of the two an angle is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    Latitude,
    Longitude,
}

impl Axis {
    /// The sign a hemisphere letter stands for; `None` for letters of the other axis and all else.
    fn sign(self, letter: char) -> Option<f64> {
        match (self, letter.to_ascii_uppercase()) {
            (Self::Latitude, 'N') | (Self::Longitude, 'E') => Some(1.0),
            (Self::Latitude, 'S') | (Self::Longitude, 'W') => Some(-1.0),
            _ => None,
        }
    }

    /// Digits before the point where degrees and minutes are run together, as in NMEA 0183
    /// (`5742.5`).
    fn packed_digits(self) -> usize {
        match self {
            Self::Latitude => 4,
            Self::Longitude => 5,
        }
    }
}

/// Degrees north or east from a cell, and from the cell with its hemisphere where there is one.
///
/// Read are decimal degrees (`57.709`, `57,709`, `-57.709`, `57.709 N`), degrees and minutes (`57
/// 42.54 N`, `N57°42.54'`), degrees, minutes and seconds (`57°42'32.4"N`), and, where a column of
/// its own holds the hemisphere, degrees and minutes run together (`5742.54`, `N`).
pub(super) fn degrees(text: &str, axis: Axis, hemisphere: Option<&str>) -> Option<f64> {
    let Some(hemisphere) = hemisphere.map(str::trim).filter(|h| !h.is_empty()) else {
        return decimal(text).or_else(|| sexagesimal(text, axis));
    };
    let sign = axis.sign(hemisphere.chars().next()?)?;
    let digits = text.trim().trim_start_matches(['+', '-']);
    let whole = digits.find(['.', ',']).unwrap_or(digits.len());
    let size = if whole == axis.packed_digits() && decimal(digits).is_some() {
        packed(digits)?
    } else {
        decimal(text).or_else(|| sexagesimal(text, axis))?.abs()
    };
    Some(sign * size)
}

/// `ddmm.mmmm` or `dddmm.mmmm`: whole degrees, then minutes in two digits with a fraction.
pub(super) fn packed(digits: &str) -> Option<f64> {
    let point = digits.find(['.', ',']).unwrap_or(digits.len());
    let (degrees, minutes) = digits.split_at_checked(point.checked_sub(2)?)?;
    let plain = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b',');
    if degrees.len() > 3 || !digits.bytes().all(plain) {
        return None;
    }
    let degrees = if degrees.is_empty() {
        0.0
    } else {
        decimal(degrees)?
    };
    let minutes = decimal(minutes).filter(|minutes| *minutes < 60.0)?;
    Some(degrees + minutes / 60.0)
}

/// One to three numbers, degrees first, with signs between them and a letter before or behind.
fn sexagesimal(text: &str, axis: Axis) -> Option<f64> {
    let text = text.trim();
    if text.len() > MOST_BYTES {
        return None;
    }
    // A small `s` behind is the mark of seconds.
    let before = text.strip_prefix(|c| axis.sign(c).is_some());
    let after = text.strip_suffix(|c| c != 's' && axis.sign(c).is_some());
    let (letter, body) = match (before, after) {
        (Some(_), Some(_)) => return None,
        (Some(body), None) => (text.chars().next(), body),
        (None, Some(body)) => (text.chars().next_back(), body),
        (None, None) => (None, text),
    };
    let body = body.trim_start();
    let digits = body.strip_prefix(['-', '+']).unwrap_or(body);
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    if !digits.starts_with(|c: char| c.is_ascii_digit())
        || !digits.chars().all(|c| of_number(c) || is_mark(c))
    {
        return None;
    }
    let numbers = digits.split(|c| !of_number(c)).filter(|n| !n.is_empty());
    let numbers: Vec<f64> = numbers.map(decimal).collect::<Option<_>>()?;
    // All but the last are whole, and none but the first goes beyond its sixty.
    let (_, whole) = numbers.split_last()?;
    let fits = whole.iter().all(|number| number.fract() == 0.0)
        && numbers
            .iter()
            .skip(1)
            .all(|part| (0.0..60.0).contains(part))
        && numbers.len() <= 3;
    let sizes = [1.0, 60.0, 3600.0];
    let size: f64 = numbers.iter().zip(sizes).map(|(part, of)| part / of).sum();
    let sign = match letter.map(|letter| axis.sign(letter)) {
        Some(sign) if !body.starts_with('-') => sign?,
        Some(_) => return None,
        None if body.starts_with('-') => -1.0,
        None => 1.0,
    };
    fits.then_some(sign * size)
}

/// What comes between the numbers and behind them.
fn is_mark(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '°' | 'º' | '\'' | '"' | '′' | '″' | '’' | '”' | '‘' | '“' | ':' | '´' | '*'
        )
        || matches!(c, 'd' | 'm' | 's')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, axis: Axis, hemisphere: Option<&str>, expected: Option<f64>) {
        let read = degrees(text, axis, hemisphere);
        let near = match (read, expected) {
            (Some(read), Some(expected)) => (read - expected).abs() < 1e-9,
            (read, expected) => read == expected,
        };
        assert!(near, "{text:?}: {read:?}, expected {expected:?}");
    }

    #[test]
    fn one_place_in_every_form() {
        // By hand: 57 degrees, 42.54 minutes = 57 degrees, 42 minutes, 32.4 seconds.
        for text in [
            "57.709",
            "57,709",
            "+57.709",
            "57.709N",
            "N 57.709",
            "57 42.54 N",
            "57 42,54 N",
            "57°42.54'",
            "N57° 42.540'",
            "57°42'32.4\"N",
            "57º 42′ 32.4″ N",
            "57 42 32.4",
            "57d 42m 32.4s N",
            "57:42:32.4",
        ] {
            check(text, Axis::Latitude, None, Some(57.709));
        }
        check("57 42.54 S", Axis::Latitude, None, Some(-57.709));
        check("-57 42.54", Axis::Latitude, None, Some(-57.709));
        check("-0 30", Axis::Latitude, None, Some(-0.5));
        check("57°42'32.4\"W", Axis::Longitude, None, Some(-57.709));
    }

    #[test]
    fn a_hemisphere_may_stand_in_a_column_of_its_own() {
        check("5742.54", Axis::Latitude, Some("N"), Some(57.709));
        check("5742.54", Axis::Latitude, Some("s"), Some(-57.709));
        check("01142.54", Axis::Longitude, Some("E"), Some(11.709));
        check("11.709", Axis::Longitude, Some("West"), Some(-11.709));
        check("0030.0", Axis::Latitude, Some("N"), Some(0.5));
        check("5762.54", Axis::Latitude, Some("N"), None);
        check("57.709", Axis::Latitude, Some("?"), None);
        check("57.709", Axis::Latitude, Some(""), Some(57.709));
    }

    #[test]
    fn what_is_no_place_is_unknown() {
        for text in [
            "",
            " ",
            "N",
            "57 62.5 N",
            "57.5 42 N",
            "57 42 61",
            "57 42.5 3",
            "1 2 3 4",
            "57 E",
            "N 57 S",
            "-57 S",
            "57-42",
            "north",
            "57 4 2 N 1",
        ] {
            check(text, Axis::Latitude, None, None);
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC*", hemisphere in proptest::option::of("\\PC?")) {
            let _ = degrees(&text, Axis::Longitude, hemisphere.as_deref());
        }
    }
}
