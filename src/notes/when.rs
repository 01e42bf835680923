//! Times as a person writes and reads them.

use std::fmt;

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{RoundMode, Timestamp, TimestampRound, Unit};

use crate::parser::time::{Moment, is_dotted, moment};
use crate::units::ClockFace;

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
    /// The instant, local times taken in `zone`, one without a date on the day on which it lies
    /// nearest to `near`; `None` for a waypoint's name and for dates beyond the calendar.
    pub fn instant_near(&self, near: Timestamp, zone: &TimeZone) -> Option<Timestamp> {
        let moment = match self {
            Self::Clock(time) => Moment::Clock(*time),
            Self::Local(local) => Moment::Local(*local),
            Self::Instant(time) => Moment::Instant(*time),
            Self::Mark(_) => return None,
        };
        moment.instant_near(near, zone)
    }

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
        if !text.is_empty() && !looks_like_time(&text) {
            return Ok(Self::Mark(text));
        }
        // Nobody can tell whether `9:5` is 9:05 or 9:50.
        let is_whole = text.split(':').skip(1).all(|part| {
            let digits = part.bytes().take_while(u8::is_ascii_digit).count();
            digits == 2
        });
        match moment(&text, None) {
            Ok(moment) if is_whole => Ok(moment.into()),
            _ => Err(TimeError(text)),
        }
    }
}

impl From<Moment> for When {
    fn from(moment: Moment) -> Self {
        match moment {
            Moment::Clock(time) => Self::Clock(time),
            Moment::Local(local) => Self::Local(local),
            Moment::Instant(time) => Self::Instant(time),
        }
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

fn looks_like_time(text: &str) -> bool {
    let lower = text.to_ascii_lowercase();
    let halves = ["am", "pm", "a.m.", "p.m."];
    let body = halves.iter().find_map(|half| lower.strip_suffix(half));
    let is_time_like = |c: char| c.is_ascii_digit() || ":.-+ tz".contains(c);
    let clock = body.unwrap_or(&lower);
    clock.starts_with(|c: char| c.is_ascii_digit())
        && clock.chars().all(is_time_like)
        && (body.is_some() || clock.contains(':') || is_dotted(clock))
}

/// The clock on board during a trial.
#[derive(Debug, Clone)]
pub struct Clock {
    zone: TimeZone,
    face: ClockFace,
    /// The local date on which the whole track lies; it need not be said.
    date: Option<Date>,
}

impl Clock {
    /// The clock of a zone for a track that runs from one time to another.
    pub fn new(zone: TimeZone, face: ClockFace, track: Option<[Timestamp; 2]>) -> Self {
        let dates = track.map(|ends| ends.map(|time| zone.to_datetime(time).date()));
        let date = dates
            .filter(|[first, last]| first == last)
            .map(|[date, _]| date);
        Self { zone, face, date }
    }

    /// A time for a reader: the seconds where there are any, the date where it is in doubt.
    pub(crate) fn shown(&self, time: Timestamp) -> String {
        let local = self.zone.to_datetime(time);
        let format = if local.second() == 0 {
            self.face.minute()
        } else {
            self.face.second()
        };
        let date = if self.date == Some(local.date()) {
            ""
        } else {
            "%Y-%m-%d "
        };
        local.strftime(&format!("{date}{format}")).to_string()
    }

    /// `10:39 to 10:54`.
    pub(crate) fn span(&self, [from, to]: [Timestamp; 2]) -> String {
        format!("{} to {}", self.shown(from), self.shown(to))
    }

    /// The same to the minute, for what has no sharp ends.
    pub(crate) fn about(&self, span: [Timestamp; 2]) -> String {
        let minutes = span.map(|time| time.round(Unit::Minute).unwrap_or(time));
        self.span(if minutes[0] < minutes[1] {
            minutes
        } else {
            span
        })
    }

    /// A time as notes may write it; reading it back on the day of the track gives the same.
    pub(crate) fn when(&self, time: Timestamp) -> When {
        let local = self.zone.to_datetime(time);
        if self.zone.to_ambiguous_timestamp(local).is_ambiguous() {
            When::Instant(time)
        } else if self.date == Some(local.date()) {
            When::Clock(local.time())
        } else {
            When::Local(local)
        }
    }

    /// A full minute between two times, near their middle; the middle second where there is none.
    pub(crate) fn between(from: Timestamp, to: Timestamp) -> Timestamp {
        let half = to.duration_since(from) / 2;
        let middle = from.checked_add(half).unwrap_or(from);
        let full = [Unit::Minute, Unit::Second].map(|unit| floor(middle, unit));
        let full = full.into_iter().find(|time| *time > from);
        full.unwrap_or(middle)
    }
}

/// The full minute or second at or before a time; zones are whole minutes from UTC.
pub(crate) fn floor(time: Timestamp, unit: Unit) -> Timestamp {
    let down = TimestampRound::new().smallest(unit).mode(RoundMode::Floor);
    time.round(down).unwrap_or(time)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{TimeError, When};

    /// A time of day lies on the day on which it is nearest, also across midnight.
    #[test]
    fn a_time_without_a_date_is_on_the_nearest_day() {
        let zone = jiff::tz::TimeZone::UTC;
        let near = "2026-06-12T00:10:00Z".parse().unwrap();
        let at = When::read("23:50").unwrap().instant_near(near, &zone);
        assert_eq!(at, "2026-06-11T23:50:00Z".parse().ok());
    }

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
