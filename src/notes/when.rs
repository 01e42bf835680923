//! A time as a person writes it.

use std::fmt;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};

/// A time as a person writes it: of the day, with its date, or by the name of a waypoint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum When {
    /// A local time of day; the date is the track's.
    Clock(Time),
    /// A local date and time.
    Local(DateTime),
    /// A time with its offset from UTC.
    Instant(Timestamp),
    /// The name of a waypoint that was marked on the plotter.
    Mark(String),
}

/// Why a text that looks like a time is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TimeError {
    /// Nothing there.
    #[error("the time is empty\n{HINT}")]
    Empty,
    /// Hours, minutes or seconds out of range, or not numbers.
    #[error(
        "`{0}` is not a time of day: hours go from 0 to 23, minutes and seconds from 0 to 59\n{HINT}"
    )]
    Clock(String),
    /// A 12-hour time out of range.
    #[error("`{0}` is not a time of day: with am or pm the hours go from 1 to 12\n{HINT}")]
    Twelve(String),
    /// The date does not exist.
    #[error("`{0}` has no such date\n{HINT}")]
    Date(String),
    /// The offset from UTC cannot be read.
    #[error(
        "`{0}` has no readable offset from UTC\nhint: write it as `Z` or `+02:00`, or leave it out for local time"
    )]
    Offset(String),
}

const HINT: &str = "hint: write local time as `09:12`, `9:12 pm` or `2026-06-12 09:12`";

impl When {
    /// Reads `09:12`, `9:12:30`, `9:12 am`, `9 PM`, `2026-06-12 09:12`, `2026-06-12T09:12:30Z`.
    ///
    /// What does not look like a time at all is the name of a waypoint.
    ///
    /// # Errors
    /// [`TimeError`] where the text looks like a time and is none.
    ///
    /// # Example: both ways of writing the evening
    /// ```
    /// use thereback::notes::When;
    /// assert_eq!(When::read("9:12 PM"), When::read("21:12"));
    /// assert!(When::read("25:99").is_err());
    /// assert_eq!(When::read("swap"), Ok(When::Mark("swap".into())));
    /// ```
    pub fn read(text: &str) -> Result<Self, TimeError> {
        let text: String = one_blank(text);
        if text.is_empty() {
            return Err(TimeError::Empty);
        }
        let (body, half) = split_half(&text);
        if !looks_like_time(body, half) {
            return Ok(Self::Mark(text));
        }
        let Some((date, rest)) = split_date(body) else {
            return read_clock(body, half, &text).map(Self::Clock);
        };
        let date: Date = date.parse().map_err(|_| TimeError::Date(text.clone()))?;
        let clock_end = rest.find(['Z', 'z', '+', '-']).unwrap_or(rest.len());
        let (clock, offset) = rest.split_at(clock_end);
        let local = date.to_datetime(read_clock(clock.trim(), half, &text)?);
        if offset.is_empty() {
            return Ok(Self::Local(local));
        }
        format!("{local}{}", offset.to_ascii_uppercase())
            .parse()
            .map(Self::Instant)
            .map_err(|_| TimeError::Offset(text))
    }
}

impl fmt::Display for When {
    /// As short as it can be without losing anything; [`When::read`] gives the same again.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seconds = |time: Time| match (time.second(), time.subsec_nanosecond()) {
            (0, 0) => "%H:%M",
            _ => "%H:%M:%S%.f",
        };
        match self {
            Self::Clock(time) => write!(f, "{}", time.strftime(seconds(*time))),
            Self::Local(local) => {
                let format = format!("%Y-%m-%d {}", seconds(local.time()));
                write!(f, "{}", local.strftime(&format))
            }
            Self::Instant(time) => write!(f, "{time}"),
            Self::Mark(name) => f.write_str(name),
        }
    }
}

/// Any run of white space, the narrow blank before `am` among them, becomes one blank.
fn one_blank(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Which half of the day, in 12-hour time.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Half {
    Am,
    Pm,
}

fn split_half(text: &str) -> (&str, Option<Half>) {
    for (suffix, half) in [
        ("am", Half::Am),
        ("pm", Half::Pm),
        ("a.m.", Half::Am),
        ("p.m.", Half::Pm),
    ] {
        let Some(at) = text.len().checked_sub(suffix.len()) else {
            continue;
        };
        if let (Some(body), Some(end)) = (text.get(..at), text.get(at..))
            && end.eq_ignore_ascii_case(suffix)
        {
            return (body.trim_end(), Some(half));
        }
    }
    (text, None)
}

fn looks_like_time(body: &str, half: Option<Half>) -> bool {
    let time_like = |c: char| c.is_ascii_digit() || ":.-+ TtZz".contains(c);
    body.starts_with(|c: char| c.is_ascii_digit())
        && body.chars().all(time_like)
        && (half.is_some() || body.contains(':') || is_dotted(body))
}

/// `09.12` and `09.12.30`, as clocks are written in some countries.
fn is_dotted(body: &str) -> bool {
    let parts: Vec<&str> = body.split('.').collect();
    (2..=3).contains(&parts.len())
        && parts.iter().all(|p| p.bytes().all(|b| b.is_ascii_digit()))
        && parts.iter().skip(1).all(|p| p.len() == 2)
        && parts.first().is_some_and(|p| (1..=2).contains(&p.len()))
}

/// The date before a `T` or a blank; `None` where there is only a time of day.
fn split_date(body: &str) -> Option<(&str, &str)> {
    let (date, rest) = body.split_once(['T', 't', ' '])?;
    date.contains('-').then_some((date, rest))
}

fn read_clock(body: &str, half: Option<Half>, whole: &str) -> Result<Time, TimeError> {
    let wrong = || TimeError::Clock(whole.to_owned());
    let body = if is_dotted(body) {
        body.replace('.', ":")
    } else {
        body.to_owned()
    };
    let parts: Vec<&str> = body.split(':').collect();
    let (hour, minute, second) = match parts.as_slice() {
        [hour] if half.is_some() => (*hour, "00", "00"),
        [hour, minute] => (*hour, *minute, "00"),
        [hour, minute, second] => (*hour, *minute, *second),
        _ => return Err(wrong()),
    };
    let (second, fraction) = second.split_once('.').unwrap_or((second, ""));
    let number = |part: &str, digits: std::ops::RangeInclusive<usize>| -> Result<i8, TimeError> {
        if digits.contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit()) {
            part.parse().map_err(|_| wrong())
        } else {
            Err(wrong())
        }
    };
    let mut hour = number(hour, 1..=2)?;
    if let Some(half) = half {
        if !(1..=12).contains(&hour) {
            return Err(TimeError::Twelve(whole.to_owned()));
        }
        hour = hour % 12 + if half == Half::Pm { 12 } else { 0 };
    }
    let nanosecond = read_fraction(fraction).ok_or_else(wrong)?;
    Time::new(
        hour,
        number(minute, 2..=2)?,
        number(second, 2..=2)?,
        nanosecond,
    )
    .map_err(|_| wrong())
}

/// Decimals of a second to nanoseconds; what is finer is cut off.
fn read_fraction(digits: &str) -> Option<i32> {
    if !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    format!("{digits:0<9}").get(..9)?.parse().ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{TimeError, When};
    use jiff::civil::{date, time};

    #[track_caller]
    fn clock(text: &str, hour: i8, minute: i8, second: i8) {
        let expected = When::Clock(time(hour, minute, second, 0));
        assert_eq!(When::read(text), Ok(expected), "{text}");
    }

    #[test]
    fn reads_both_clocks() {
        clock("09:12", 9, 12, 0);
        clock(" 9:12 ", 9, 12, 0);
        clock("09:12:30", 9, 12, 30);
        clock("09.12", 9, 12, 0);
        clock("9:12 am", 9, 12, 0);
        clock("9:12am", 9, 12, 0);
        clock("9:12 PM", 21, 12, 0);
        clock("9:12\u{202f}PM", 21, 12, 0);
        clock("9:12:05 p.m.", 21, 12, 5);
        clock("9 pm", 21, 0, 0);
        clock("12:00 am", 0, 0, 0);
        clock("12:30 pm", 12, 30, 0);
        clock("00:00", 0, 0, 0);
        clock("23:59:59", 23, 59, 59);
    }

    #[test]
    fn reads_dates() {
        let local = |h, m, s| Ok(When::Local(date(2026, 6, 12).at(h, m, s, 0)));
        assert_eq!(When::read("2026-06-12 09:12"), local(9, 12, 0));
        assert_eq!(When::read("2026-06-12T09:12:30"), local(9, 12, 30));
        assert_eq!(When::read("2026-06-12 9:12 pm"), local(21, 12, 0));
        let instant = Ok(When::Instant("2026-06-12T07:12:00Z".parse().unwrap()));
        assert_eq!(When::read("2026-06-12T07:12Z"), instant);
        assert_eq!(When::read("2026-06-12 09:12+02:00"), instant);
        assert_eq!(When::read("2026-06-12T09:12:00+0200"), instant);
        assert_eq!(When::read("2026-06-12t07:12:00.000z"), instant);
    }

    #[test]
    fn leaves_names_alone() {
        for name in [
            "swap",
            "WP 001",
            "001",
            "0912",
            "Team",
            "I am",
            "12-JUN 9:12",
            "päls",
            "2026-06-12",
        ] {
            assert_eq!(When::read(name), Ok(When::Mark(name.to_owned())));
        }
    }

    #[test]
    fn refuses_what_only_looks_like_a_time() {
        for text in [
            "25:99",
            "24:00",
            "9:5",
            "09:60",
            "1:2:3:4",
            "9:12:61",
            "9:",
            "9:12:30.-",
            "123:00",
        ] {
            assert_eq!(When::read(text), Err(TimeError::Clock(text.to_owned())));
        }
        assert_eq!(
            When::read("13:00 pm"),
            Err(TimeError::Twelve("13:00 pm".into()))
        );
        assert_eq!(
            When::read("0:30 am"),
            Err(TimeError::Twelve("0:30 am".into()))
        );
        assert_eq!(
            When::read("2026-02-30 09:12"),
            Err(TimeError::Date("2026-02-30 09:12".into()))
        );
        assert!(matches!(
            When::read("2026-06-12T09:12+99:00"),
            Err(TimeError::Offset(_))
        ));
        assert_eq!(When::read("  "), Err(TimeError::Empty));
    }
}
