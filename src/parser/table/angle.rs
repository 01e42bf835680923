//! Latitudes and longitudes as tables write them.

use crate::parser::quantity::decimal;

/// Longest cell looked at; the longest form with signs and letters has under 40 bytes.
const MOST_BYTES: usize = 64;

/// Which of the two a cell holds.
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
    let value = match decimal(text) {
        Some(value) if is_packed(text, axis) => {
            let whole = (value.abs() / 100.0).trunc();
            let minutes = value.abs() - 100.0 * whole;
            (minutes < 60.0).then_some(whole + minutes / 60.0)?
        }
        Some(value) => value.abs(),
        None => sexagesimal(text, axis)?.abs(),
    };
    Some(sign * value)
}

fn is_packed(text: &str, axis: Axis) -> bool {
    let digits = text.trim().trim_start_matches(['+', '-']);
    digits.find(['.', ',']).unwrap_or(digits.len()) == axis.packed_digits()
}

/// One to three numbers, degrees first, with signs between them and a letter before or behind.
fn sexagesimal(text: &str, axis: Axis) -> Option<f64> {
    let text = text.trim();
    if text.len() > MOST_BYTES {
        return None;
    }
    let mut sign = None;
    let mut numbers = [0.0; 3];
    let mut count = 0;
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        if first.is_ascii_digit() || (count == 0 && matches!(first, '-' | '+')) {
            let end = rest
                .char_indices()
                .skip(1)
                .find(|&(_, c)| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
                .map_or(rest.len(), |(at, _)| at);
            let (number, after) = rest.split_at_checked(end)?;
            *numbers.get_mut(count)? = decimal(number)?;
            count += 1;
            rest = after;
            continue;
        }
        if first.is_ascii_alphabetic() {
            let marks = count > 0 && matches!(first, 'd' | 'm' | 's');
            let letter = axis.sign(first);
            // `s` behind seconds is their mark; `S` is the hemisphere.
            if let Some(letter) = letter.filter(|_| !marks) {
                if sign.replace(letter).is_some() {
                    return None;
                }
            } else if !marks {
                return None;
            }
        } else if !is_mark(first) {
            return None;
        }
        rest = rest.get(first.len_utf8()..)?;
    }
    let [whole, minutes, seconds] = numbers;
    let in_parts = count > 1;
    let whole_parts = !in_parts
        || (whole.fract() == 0.0
            && (0.0..60.0).contains(&minutes)
            && (0.0..60.0).contains(&seconds)
            && (count < 3 || minutes.fract() == 0.0));
    if count == 0 || !whole_parts {
        return None;
    }
    let minus = whole.is_sign_negative();
    let size = whole.abs() + minutes / 60.0 + seconds / 3600.0;
    match (sign, minus) {
        (Some(_), true) => None,
        (Some(sign), false) => Some(sign * size),
        (None, true) => Some(-size),
        (None, false) => Some(size),
    }
}

/// What comes between the numbers and behind them.
fn is_mark(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '°' | 'º' | '\'' | '"' | '′' | '″' | '’' | '”' | '‘' | '“' | ':' | '´' | '*'
        )
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
