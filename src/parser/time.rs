//! Times as recorders, loggers and people write them: the one reader for tracks, logs and notes.
//!
//! | what | examples |
//! |---|---|
//! | time of day ([`clock`]) | `9:05`, `09.05`, `21:05:30`, `9am`, `9:05 p.m.` |
//! | date and time ([`moment`]) | `2026-08-01 9:05`, `2026-08-01T09:05:30.5Z`, `20260801T090530` |
//! | with the year last, where the order is known | `1.8.2026 09:05`, `8/1/26 9:05 am` |
//! | a count since 1970, by its size in s, ms, us or ns | `1785574800`, `1785574800000` |
//!
//! A time comes back as far as it is written ([`Moment`]): whoever asks knows the date or the zone
//! that is missing. GPX asks for `xsd:dateTime` in UTC; recorders also write fractions after a dot
//! or a comma, offsets with or without a colon, a blank for the `T`, and no zone at all (dialects
//! counted over public test files).

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{Offset, TimeZone};

use super::tally::Fault;

/// Nothing longer than this is a time; keeps hostile text from being looked at.
const MOST_BYTES: usize = 64;

/// Largest offset from UTC accepted, hours; the zones in use run from -12 to +14.
const MOST_OFFSET_H: i32 = 18;

/// Two-digit years up to this one belong to this century (POSIX `strptime`, `%y`).
const LAST_SHORT_YEAR: i16 = 68;

/// Counts of seconds since 1970 taken for a date: from March 1973 to the year 2100.
///
/// A smaller one counts from when a logger was started; three years is more than any of them runs.
const EPOCH_S: std::ops::RangeInclusive<f64> = 1e8..=4.1e9;

/// Units in which times since 1970 are counted, seconds.
const COUNTED_S: [f64; 4] = [1.0, 1e-3, 1e-6, 1e-9];

/// A time as far as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moment {
    /// A time of day; the date is another's.
    Clock(Time),
    /// A date and time without a zone.
    Local(DateTime),
    /// A time with its zone.
    Instant(Timestamp),
}

impl Moment {
    /// The instant, local times taken in `zone`, one without a date on the day on which it lies
    /// nearest to `near`; `None` for dates beyond the calendar.
    pub fn instant_near(self, near: Timestamp, zone: &TimeZone) -> Option<Timestamp> {
        let local = |at: DateTime| zone.to_ambiguous_timestamp(at).compatible().ok();
        match self {
            Self::Instant(time) => Some(time),
            Self::Local(at) => local(at),
            Self::Clock(time) => {
                let day = zone.to_datetime(near).date();
                let days = [day.yesterday().ok(), Some(day), day.tomorrow().ok()];
                let days = days.into_iter().flatten();
                let times = days.filter_map(|date| local(date.to_datetime(time)));
                times.min_by_key(|at| at.duration_since(near).abs())
            }
        }
    }

    /// The instant; where no zone is written, UTC is taken.
    pub(super) fn in_utc(self) -> Result<Timestamp, Fault> {
        match self {
            Self::Instant(timestamp) => Ok(timestamp),
            Self::Local(local) => {
                let timestamp = Offset::UTC.to_timestamp(local);
                timestamp.map_err(|_| Fault::UnreadableTime)
            }
            Self::Clock(_) => Err(Fault::ClockAlone),
        }
    }
}

/// Which of the first two numbers of a date with the year last is the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DateOrder {
    /// `4.6.2031` is 4 June.
    DayFirst,
    /// `6/4/2031` is 4 June.
    MonthFirst,
}

/// The instant `count` units of so many seconds after the beginning of 1970.
pub(super) fn after_1970(count: f64, unit_s: f64) -> Option<Timestamp> {
    let seconds = if unit_s < 1.0 {
        // Divided, for a thousandth is no exact number.
        count / (1.0 / unit_s).round()
    } else {
        count * unit_s
    };
    // A count in an `f64` of seconds is good to a quarter of a microsecond.
    Timestamp::from_microsecond((seconds * 1e6).round() as i64).ok()
}

/// Whether so many units since 1970 make a date of today.
fn is_epoch(count: f64, unit_s: f64) -> bool {
    EPOCH_S.contains(&(count * unit_s))
}

/// Reads a time in one piece. Dates with the year last are read where their `order` is known.
///
/// Digits of the fraction beyond the ninth are dropped; a leap second `:60` is taken for the
/// second before it, as `jiff` does.
pub(crate) fn moment(text: &str, order: Option<DateOrder>) -> Result<Moment, Fault> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Fault::NoTime);
    }
    if text.len() > MOST_BYTES {
        return Err(Fault::UnreadableTime);
    }
    let end = text.find(|c: char| matches!(c, 'T' | 't' | ',') || c.is_whitespace());
    let (head, rest) = text.split_at(end.unwrap_or(text.len()));
    let rest = rest.trim_start_matches(['T', 't', ',']).trim();
    let date = date(head.trim_end_matches('Z'), order);
    let found = match date {
        Some(date) if !rest.is_empty() => on_date(date, rest),
        _ => counted(text).or_else(|| clock(text).map(Moment::Clock)),
    };
    found.ok_or(match date {
        Some(_) if rest.is_empty() => Fault::DateAlone,
        _ => Fault::UnreadableTime,
    })
}

/// Reads a time of which date and time of day are written apart.
pub(super) fn moment_of(
    date_text: &str,
    clock: &str,
    order: Option<DateOrder>,
) -> Result<Moment, Fault> {
    // Spreadsheets put a midnight behind a date.
    let day = date_text
        .trim()
        .split([' ', 'T'])
        .next()
        .unwrap_or_default();
    match (day, clock.trim()) {
        ("", "") => Err(Fault::NoTime),
        ("", _) => Err(Fault::ClockAlone),
        (_, "") => Err(Fault::DateAlone),
        (day, clock) if day.len().max(clock.len()) <= MOST_BYTES => date(day, order)
            .and_then(|date| on_date(date, clock))
            .ok_or(Fault::UnreadableTime),
        _ => Err(Fault::UnreadableTime),
    }
}

/// Reads a time of day without a date: with colons, dots or a half of the day, so that no number
/// is taken for one.
pub(crate) fn clock(text: &str) -> Option<Time> {
    let (clock, zone) = clock_and_zone(text.trim())?;
    let plain = text.contains(':') || clock.is_marked;
    (zone.is_empty() && plain && !clock.is_next_day).then_some(clock.time)
}

/// Reads a time of day as [`clock`] does, and also of six digits run together: `091230`.
pub(super) fn time_of_day(text: &str) -> Option<Time> {
    let (clock, zone) = clock_and_zone(text.trim())?;
    (zone.is_empty() && !clock.is_next_day).then_some(clock.time)
}

/// A date as it is written with the year last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct YearLast {
    pub(super) first: i8,
    pub(super) second: i8,
    pub(super) year: i16,
    /// Whether dots are between.
    pub(super) dotted: bool,
}

impl YearLast {
    /// The date that a text begins with: `4.6.2031 09:12`, `04/06/31`, `04-06-2031T09:12:30Z`.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let end = text.find(|c: char| matches!(c, 'T' | ',') || c.is_whitespace());
        let date = text.get(..end.unwrap_or(text.len()))?;
        let separator = date.chars().find(|c| matches!(c, '.' | '/' | '-'))?;
        // A dot may close the date: `4.6.2031.`
        let date = date.strip_suffix('.').unwrap_or(date);
        let mut parts = date.split(separator);
        let (first, second, year) = (parts.next()?, parts.next()?, parts.next()?);
        if parts.next().is_some() || first.len() > 2 || second.len() > 2 {
            return None;
        }
        let short = digits(year)?;
        Some(Self {
            first: digits(first)?.try_into().ok()?,
            second: digits(second)?.try_into().ok()?,
            year: match year.len() {
                4 => short,
                2 if short <= LAST_SHORT_YEAR => 2000 + short,
                2 => 1900 + short,
                _ => return None,
            },
            dotted: separator == '.',
        })
    }

    /// Day and month in one order or the other.
    pub(super) fn day_and_month(self, order: DateOrder) -> (i8, i8) {
        match order {
            DateOrder::DayFirst => (self.first, self.second),
            DateOrder::MonthFirst => (self.second, self.first),
        }
    }
}

/// `2031-06-04`, `2031-6-4`, `2031/06/04` or `20310604`, or with the year last.
///
/// Without an order the year comes first and has four digits: with the day first nobody can tell
/// 4 June from 6 April.
fn date(text: &str, order: Option<DateOrder>) -> Option<Date> {
    let mut parts = text.split(['-', '/', '.']);
    let (year, month, day) = match (parts.next()?, parts.next(), parts.next()) {
        (year, Some(month), Some(day)) => (year, month, day),
        (whole, None, None) if whole.len() == 8 => {
            (whole.get(..4)?, whole.get(4..6)?, whole.get(6..)?)
        }
        _ => return None,
    };
    if parts.next().is_none() && year.len() == 4 {
        let (month, day) = (digits(month)?.try_into(), digits(day)?.try_into());
        return Date::new(digits(year)?, month.ok()?, day.ok()?).ok();
    }
    let written = YearLast::parse(text)?;
    let (day, month) = written.day_and_month(order?);
    Date::new(written.year, month, day).ok()
}

/// A time of day on a date, with or without a zone.
fn on_date(date: Date, text: &str) -> Option<Moment> {
    let (clock, zone) = clock_and_zone(text)?;
    let date = if clock.is_next_day {
        date.tomorrow().ok()?
    } else {
        date
    };
    let local = date.to_datetime(clock.time);
    if zone.is_empty() {
        return Some(Moment::Local(local));
    }
    let offset = Offset::from_seconds(offset_s(zone)?).ok()?;
    offset.to_timestamp(local).ok().map(Moment::Instant)
}

/// A count since 1970, whose unit follows from its size, or year to second in fourteen digits.
fn counted(text: &str) -> Option<Moment> {
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let plain = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !plain(whole) || !plain(fraction) {
        return None;
    }
    if whole.len() == 14 {
        let (day, clock) = whole.split_at(8);
        return on_date(date(day, None)?, &format!("{clock}.{fraction}"));
    }
    let count: f64 = format!("{whole}.{fraction}").parse().ok()?;
    let unit_s = COUNTED_S
        .into_iter()
        .find(|unit_s| is_epoch(count, *unit_s))?;
    after_1970(count, unit_s).map(Moment::Instant)
}

struct Clock {
    time: Time,
    /// Whether it is 24:00.
    is_next_day: bool,
    /// Whether a half of the day is named, or dots part the numbers.
    is_marked: bool,
}

/// `HH:MM`, `HH:MM:SS`, `HHMMSS`, `HH.MM.SS`, `9 pm`, each with a fraction of a second, and what
/// follows it.
fn clock_and_zone(text: &str) -> Option<(Clock, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, ':' | '.' | ',')));
    let (clock, rest) = text.split_at(end.unwrap_or(text.len()));
    let (half, rest) = half_of_the_day(rest.trim_start());
    let dotted = is_dotted(clock);
    let (whole, fraction) = match clock.split_once(['.', ',']) {
        Some((whole, fraction)) if !dotted => (whole, nanoseconds(fraction)?),
        _ => (clock, 0),
    };
    let (hour, minute, second) = if whole.len() == 6 && !whole.contains(':') {
        (whole.get(..2)?, whole.get(2..4)?, whole.get(4..)?)
    } else {
        let mut parts = whole.split([':', '.']);
        let hour = parts.next()?;
        let minute = parts.next().or(half.map(|_| "0"))?;
        let second = parts.next().unwrap_or("0");
        if parts.next().is_some() {
            return None;
        }
        (hour, minute, second)
    };
    let (hour, minute, second) = (digits(hour)?, digits(minute)?, digits(second)?);
    let is_next_day = half.is_none() && hour == 24 && minute == 0 && second == 0;
    let hour = match half {
        _ if is_next_day => 0,
        None => hour,
        Some(afternoon) if (1..=12).contains(&hour) => hour % 12 + 12 * i16::from(afternoon),
        Some(_) => return None,
    };
    let second = if second == 60 { 59 } else { second };
    let (hour, minute) = (i8::try_from(hour).ok()?, i8::try_from(minute).ok()?);
    let time = Time::new(hour, minute, second.try_into().ok()?, fraction).ok()?;
    let clock = Clock {
        time,
        is_next_day,
        is_marked: dotted || half.is_some(),
    };
    Some((clock, rest))
}

/// `09.12` and `09.12.30`, as clocks are written in some countries.
pub(crate) fn is_dotted(text: &str) -> bool {
    let two = |part: &str| part.len() == 2 && digits(part).is_some();
    let mut parts = text.split('.');
    let hour = parts.next().is_some_and(|hour| hour.len() <= 2);
    let (minute, second) = (parts.next(), parts.next());
    hour && minute.is_some_and(two) && second.is_none_or(two) && parts.next().is_none()
}

/// Whether it is after noon, where `am` or `pm` says so, and what follows.
fn half_of_the_day(text: &str) -> (Option<bool>, &str) {
    for (word, afternoon) in [("am", false), ("pm", true), ("a.m.", false), ("p.m.", true)] {
        if let Some((begin, rest)) = text.split_at_checked(word.len())
            && begin.eq_ignore_ascii_case(word)
        {
            return (Some(afternoon), rest.trim_start());
        }
    }
    (None, text)
}

/// `Z`, `UTC`, `GMT`, `+02:00`, `+0200`, `+02` or `-2`, to seconds east.
fn offset_s(zone: &str) -> Option<i32> {
    let (sign, rest) = match zone.as_bytes().first()? {
        b'+' => (1, zone.get(1..)?),
        b'-' => (-1, zone.get(1..)?),
        _ => {
            let utc = ["z", "utc", "gmt"]
                .iter()
                .any(|u| zone.eq_ignore_ascii_case(u));
            return utc.then_some(0);
        }
    };
    let (hours, minutes) = match (rest.split_once(':'), rest.len()) {
        (Some(parts), _) => parts,
        (None, 4) => rest.split_at_checked(2)?,
        (None, _) => (rest, "0"),
    };
    let (hours, minutes) = (i32::from(digits(hours)?), i32::from(digits(minutes)?));
    (hours <= MOST_OFFSET_H && minutes <= 59).then_some(sign * (hours * 3600 + minutes * 60))
}

/// One to four digits and nothing else.
fn digits(text: &str) -> Option<i16> {
    let plain = (1..=4).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// The digits behind the decimal mark of a second.
fn nanoseconds(fraction: &str) -> Option<i32> {
    let plain = !fraction.is_empty() && fraction.bytes().all(|b| b.is_ascii_digit());
    let places = fraction.bytes().chain(std::iter::repeat(b'0')).take(9);
    plain.then(|| places.fold(0, |value, digit| value * 10 + i32::from(digit - b'0')))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        let read = moment(text, None).and_then(Moment::in_utc).ok();
        let expected: Option<Timestamp> = expected.parse().ok();
        assert_eq!(read, expected, "{text:?}");
    }

    #[test]
    fn the_examples_of_xml_schema_are_read() {
        // XML Schema Part 2: Datatypes, second edition, 3.2.7, and its usual examples.
        check("2002-10-10T12:00:00-05:00", "2002-10-10T17:00:00Z");
        check("2002-10-10T17:00:00Z", "2002-10-10T17:00:00Z");
        check("2000-03-04T20:00:00Z", "2000-03-04T20:00:00Z");
        check("2000-03-04T23:00:00+03:00", "2000-03-04T20:00:00Z");
        check("1999-12-31T24:00:00Z", "2000-01-01T00:00:00Z");
    }

    #[test]
    fn the_dialects_are_read() {
        let same = "2031-06-04T09:12:30Z";
        for text in [
            "2031-06-04T09:12:30Z",
            "\n\t 2031-06-04T09:12:30Z \r\n",
            "2031-06-04 09:12:30",
            "2031-06-04t09:12:30z",
            "2031-06-04T09:12:30+00",
            "2031-06-04T09:12:30 UTC",
            "2031-06-04T11:12:30+0200",
            "2031-06-04T04:42:30-04:30",
            "2031/6/4 9:12:30",
            "20310604T091230Z",
            "2031-06-04T09:12:30.000000000Z",
        ] {
            check(text, same);
        }
        check("2031-06-04T09:12Z", "2031-06-04T09:12:00Z");
        check("2031-06-04T09:12:30.5Z", "2031-06-04T09:12:30.5Z");
        check("2031-06-04T09:12:30,25+01:00", "2031-06-04T08:12:30.25Z");
        check(
            "2031-06-04T09:12:30.1234567Z",
            "2031-06-04T09:12:30.1234567Z",
        );
        check(
            "2031-06-04T09:12:30.12345678987Z",
            "2031-06-04T09:12:30.123456789Z",
        );
        check("2016-12-31T23:59:60Z", "2016-12-31T23:59:59Z");
        check("1969-07-20T20:17:40Z", "1969-07-20T20:17:40Z");
    }

    #[test]
    fn what_is_no_time_is_unknown() {
        let giant = "2".repeat(1_000_000);
        for text in [
            "",
            " ",
            "noon",
            "2031-06-04",
            "09:12:30",
            "04-06-2031T09:12:30Z",
            "2031-13-04T09:12:30Z",
            "2031-02-29T09:12:30Z",
            "2031-06-04T25:00:00Z",
            "2031-06-04T24:00:01Z",
            "2031-06-04T09:60:00Z",
            "2031-06-04T09:12:61Z",
            "2031-06-04T09:12:30.Z",
            "2031-06-04T09:12:30+99:00",
            "2031-06-04T09:12:30 CEST",
            "2031-06-04T09:12:30.5.5Z",
            "２０３１-06-04T09:12:30Z",
            "0000-00-00T00:00:00Z",
            &giant,
        ] {
            let read = moment(text, None).and_then(Moment::in_utc);
            assert_eq!(read.ok(), None, "{text:.40?}");
        }
    }

    #[test]
    fn what_is_missing_is_named() {
        for text in ["2031-06-04", " 2031/6/4 ", "20310604", "2031-06-04Z"] {
            assert_eq!(moment(text, None), Err(Fault::DateAlone), "{text}");
        }
        for text in ["noon", "2031-13-04", "4.6.2031", "09"] {
            assert_eq!(moment(text, None), Err(Fault::UnreadableTime), "{text}");
        }
        let day_first = Some(DateOrder::DayFirst);
        assert_eq!(moment("4.6.2031", day_first), Err(Fault::DateAlone));
        let of_clock = moment("09:12:30", None).and_then(Moment::in_utc);
        assert_eq!(of_clock, Err(Fault::ClockAlone));
        assert_eq!(moment(" ", None), Err(Fault::NoTime));
        assert_eq!(moment_of("2031-06-04", "", None), Err(Fault::DateAlone));
        assert_eq!(moment_of("", "09:12", None), Err(Fault::ClockAlone));
        assert_eq!(moment_of("", " ", None), Err(Fault::NoTime));
    }

    #[test]
    fn one_time_in_every_form_of_tables() {
        let expected: Option<Timestamp> = "2031-06-04T21:12:30Z".parse().ok();
        let same = |read: Result<Moment, Fault>, text: &str| {
            assert_eq!(read.and_then(Moment::in_utc).ok(), expected, "{text}");
        };
        // By another calendar's day count: 22 434 days and 76 350 s after 1970.
        for text in [
            "2031-06-04 9:12:30 PM",
            "20310604211230",
            "04.06.2031 21:12:30",
            "4.6.2031., 21:12:30",
            "4/6/31 9:12:30 p.m.",
            "04-06-2031T21.12.30",
            "1938373950",
            "1938373950000",
            "1938373950,0",
        ] {
            same(moment(text, Some(DateOrder::DayFirst)), text);
        }
        let month_first = Some(DateOrder::MonthFirst);
        same(
            moment("06/04/2031 23:12:30+02:00", month_first),
            "month first",
        );
        for (date, clock, order) in [
            ("2031-06-04", "21:12:30", None),
            ("20310604", "211230", None),
            (
                "04.06.2031 00:00:00",
                "9:12:30 pm",
                Some(DateOrder::DayFirst),
            ),
        ] {
            same(moment_of(date, clock, order), clock);
        }
        for text in ["13/04/2031 09:12", "2031-06-04 13:12:30 PM", "123456"] {
            assert!(moment(text, month_first).is_err(), "{text}");
        }
    }

    #[test]
    fn clocks_alone_are_read() {
        let read = |text| clock(text).map(|time| time.to_string());
        for (text, expected) in [
            ("9:12", Some("09:12:00")),
            ("09.12", Some("09:12:00")),
            ("9 PM", Some("21:00:00")),
            ("9am", Some("09:00:00")),
            (" 21:05:30 ", Some("21:05:30")),
            ("12:30\u{202f}am", Some("00:30:00")),
            ("09:12:30.5", Some("09:12:30.5")),
            ("0912", None),
            ("91230", None),
            ("24:00", None),
            ("09:12Z", None),
            ("0:30 am", None),
        ] {
            assert_eq!(read(text).as_deref(), expected, "{text}");
        }
    }

    proptest! {
        #[test]
        fn every_time_jiff_writes_comes_back(
            second in -60_000_000_000_i64..250_000_000_000,
            nanosecond in 0_i32..1_000_000_000,
        ) {
            let timestamp = Timestamp::new(second, nanosecond).map_err(|e| {
                TestCaseError::fail(e.to_string())
            })?;
            let read = moment(&timestamp.to_string(), None);
            prop_assert_eq!(read, Ok(Moment::Instant(timestamp)));
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = moment(&text, Some(DateOrder::DayFirst));
            let _ = moment_of(&text, &text, None);
        }
    }
}
