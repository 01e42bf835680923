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

/// A text that looks like a time and is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is not a time: the date must exist, hours go from 0 to 23 (1 to 12 with am or pm), \
     minutes and seconds from 0 to 59\n\
     hint: write local time as `09:12`, `9:12 pm` or `2026-06-12 09:12`, or end it with `Z` or `+02:00`"
)]
pub struct TimeError(pub String);

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
        // Any run of white space, the narrow blank before `am` among them, becomes one blank.
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (body, half) = split_half(&text);
        if !text.is_empty() && !looks_like_time(body, half) {
            return Ok(Self::Mark(text));
        }
        read_time(body, half).ok_or(TimeError(text.clone()))
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

/// Which half of the day, in 12-hour time.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Half {
    Am,
    Pm,
}

fn split_half(text: &str) -> (&str, Option<Half>) {
    let ends = [
        ("am", Half::Am),
        ("pm", Half::Pm),
        ("a.m.", Half::Am),
        ("p.m.", Half::Pm),
    ];
    for (end, half) in ends {
        let body = text
            .len()
            .checked_sub(end.len())
            .and_then(|at| text.split_at_checked(at));
        if let Some((body, _)) = body.filter(|(_, tail)| tail.eq_ignore_ascii_case(end)) {
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
        && parts.iter().all(|part| number(part, 2).is_some())
        && parts.iter().skip(1).all(|part| part.len() == 2)
}

/// A date before a `T` or a blank, a time of the day, an offset from UTC; the second alone is a
/// time of the day.
fn read_time(body: &str, half: Option<Half>) -> Option<When> {
    let dated = body
        .split_once(['T', 't', ' '])
        .filter(|(date, _)| date.contains('-'));
    let Some((date, rest)) = dated else {
        return read_clock(body, half).map(When::Clock);
    };
    let end = rest.find(['Z', 'z', '+', '-']).unwrap_or(rest.len());
    let (clock, offset) = rest.split_at_checked(end)?;
    let date: Date = date.parse().ok()?;
    let local = date.to_datetime(read_clock(clock.trim(), half)?);
    if offset.is_empty() {
        return Some(When::Local(local));
    }
    let instant = format!("{local}{}", offset.to_ascii_uppercase()).parse();
    instant.ok().map(When::Instant)
}

fn read_clock(body: &str, half: Option<Half>) -> Option<Time> {
    let colons = if is_dotted(body) {
        body.replace('.', ":")
    } else {
        body.to_owned()
    };
    let parts: Vec<&str> = colons.split(':').collect();
    let (hour, minute, second) = match parts.as_slice() {
        [hour] if half.is_some() => (*hour, "00", "00"),
        [hour, minute] => (*hour, *minute, "00"),
        [hour, minute, second] => (*hour, *minute, *second),
        _ => return None,
    };
    let (second, fraction) = second.split_once('.').unwrap_or((second, "0"));
    let two = |part: &str| number(part, 2).filter(|_| part.len() == 2);
    let hour = number(hour, 2)?;
    let hour = match half {
        None => hour,
        Some(half) if (1..=12).contains(&hour) => hour % 12 + 12 * i8::from(half == Half::Pm),
        Some(_) => return None,
    };
    // What is finer than a nanosecond is cut off.
    let fraction = fraction
        .bytes()
        .all(|b| b.is_ascii_digit())
        .then_some(fraction)?;
    let nanosecond = format!("{fraction:0<9}").get(..9)?.parse().ok()?;
    Time::new(hour, two(minute)?, two(second)?, nanosecond).ok()
}

/// A number of one to so many digits.
fn number(part: &str, most: usize) -> Option<i8> {
    let digits = (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| part.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{TimeError, When};

    /// The form in which a time is written back tells what was read.
    #[test]
    fn reads_times_and_leaves_names_alone() {
        for (text, expected) in [
            ("09:12", "09:12"),
            (" 9:12 ", "09:12"),
            ("09:12:30", "09:12:30"),
            ("09:12:30.25", "09:12:30.25"),
            ("09.12", "09:12"),
            ("9:12 am", "09:12"),
            ("9:12am", "09:12"),
            ("9:12\u{202f}PM", "21:12"),
            ("9:12:05 p.m.", "21:12:05"),
            ("9 pm", "21:00"),
            ("12:00 am", "00:00"),
            ("12:30 pm", "12:30"),
            ("2026-06-12 09:12", "2026-06-12 09:12"),
            ("2026-06-12T09:12:30", "2026-06-12 09:12:30"),
            ("2026-06-12 9:12 pm", "2026-06-12 21:12"),
            ("2026-06-12T07:12Z", "2026-06-12T07:12:00Z"),
            ("2026-06-12 09:12+02:00", "2026-06-12T07:12:00Z"),
            ("2026-06-12T09:12:00+0200", "2026-06-12T07:12:00Z"),
            ("2026-06-12t07:12:00.000z", "2026-06-12T07:12:00Z"),
        ] {
            let read = When::read(text).unwrap();
            assert_eq!(read.to_string(), expected, "{text}");
            assert!(!matches!(read, When::Mark(_)), "{text}");
            assert_eq!(When::read(expected), Ok(read), "{text}");
        }
        for name in [
            "swap",
            "WP 001",
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
            "13:00 pm",
            "0:30 am",
            "2026-02-30 09:12",
            "2026-06-12T09:12+99:00",
            "",
        ] {
            assert_eq!(When::read(text), Err(TimeError(text.to_owned())));
        }
    }
}
