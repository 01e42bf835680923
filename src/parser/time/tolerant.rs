//! Times in every other form than the plain one.

use jiff::Timestamp;

use super::{TimeRead, nanoseconds, start_of_day_s};

/// Nothing longer than this is a time; keeps hostile text from being looked at.
const MOST_BYTES: usize = 64;

/// Largest offset from UTC accepted, hours; the zones in use run from -12 to +14.
const MOST_OFFSET_H: i64 = 18;

/// Reads a time without blanks around it; `None` where there is none.
#[cold]
pub(super) fn read_any(text: &str) -> Option<TimeRead> {
    if text.len() > MOST_BYTES || !text.is_ascii() {
        return None;
    }
    let split = text.find(|c: char| matches!(c, 'T' | 't') || c.is_ascii_whitespace())?;
    let (date, clock) = text.split_at_checked(split)?;
    let clock = clock.trim_start_matches(['T', 't']).trim_start();
    let zone_at = clock
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, ':' | '.' | ',')))
        .unwrap_or(clock.len());
    let (clock, zone) = clock.split_at_checked(zone_at)?;
    let zone = zone.trim();
    let offset_s = offset_s(zone)?;
    let clock = read_clock(clock)?;
    let second = read_date(date)? + clock.second_of_day - offset_s;
    Some(TimeRead {
        timestamp: Timestamp::new(second, clock.nanosecond).ok()?,
        zone_given: !zone.is_empty(),
    })
}

/// `2031-06-04`, `2031-6-4`, `2031/06/04` or `20310604`, to seconds since 1970.
///
/// The year comes first and has four digits: with the day first nobody can
/// tell 4 June from 6 April.
fn read_date(text: &str) -> Option<i64> {
    let mut parts = text.split(['-', '/', '.']);
    let (year, month, day) = match (parts.next()?, parts.next(), parts.next()) {
        (year, Some(month), Some(day)) => (year, month, day),
        (whole, None, None) if whole.len() == 8 => {
            (whole.get(..4)?, whole.get(4..6)?, whole.get(6..)?)
        }
        _ => return None,
    };
    if parts.next().is_some() || year.len() != 4 {
        return None;
    }
    let year = i16::try_from(digits(year)?).ok()?;
    let month = u8::try_from(digits(month)?).ok()?;
    start_of_day_s(year, month, u8::try_from(digits(day)?).ok()?)
}

struct Clock {
    second_of_day: i64,
    nanosecond: i32,
}

/// `HH:MM`, `HH:MM:SS`, `HHMMSS`, each with a fraction of a second.
fn read_clock(text: &str) -> Option<Clock> {
    let (whole, fraction) = match text.split_once(['.', ',']) {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (text, None),
    };
    let (hour, minute, second) = match whole.len() {
        6 if !whole.contains(':') => (whole.get(..2)?, whole.get(2..4)?, whole.get(4..)?),
        _ => {
            let mut parts = whole.split(':');
            let fields = (parts.next()?, parts.next()?, parts.next().unwrap_or("0"));
            if parts.next().is_some() {
                return None;
            }
            fields
        }
    };
    let (hour, minute, second) = (digits(hour)?, digits(minute)?, digits(second)?);
    let midnight_at_the_end = hour == 24 && minute == 0 && second == 0;
    if (hour > 23 && !midnight_at_the_end) || minute > 59 || second > 60 {
        return None;
    }
    let nanosecond = match fraction {
        Some(fraction) => nanoseconds(fraction.as_bytes())?,
        None => 0,
    };
    Some(Clock {
        second_of_day: hour * 3600 + minute * 60 + second.min(59),
        nanosecond,
    })
}

/// Nothing, `Z`, `UTC`, `GMT`, `+02:00`, `+0200`, `+02` or `-2`, to seconds east.
fn offset_s(zone: &str) -> Option<i64> {
    let (sign, rest) = match zone.as_bytes().first() {
        None => return Some(0),
        Some(b'+') => (1, zone.get(1..)?),
        Some(b'-') => (-1, zone.get(1..)?),
        Some(_) => {
            let utc = ["z", "utc", "gmt"].contains(&zone.to_ascii_lowercase().as_str());
            return utc.then_some(0);
        }
    };
    let (hours, minutes) = match (rest.split_once(':'), rest.len()) {
        (Some(parts), _) => parts,
        (None, 4) => rest.split_at_checked(2)?,
        (None, _) => (rest, "0"),
    };
    let (hours, minutes) = (digits(hours)?, digits(minutes)?);
    (hours <= MOST_OFFSET_H && minutes <= 59).then_some(sign * (hours * 3600 + minutes * 60))
}

/// One to four digits and nothing else.
fn digits(text: &str) -> Option<i64> {
    let plain = (1..=4).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}
