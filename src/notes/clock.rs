//! From instants to local times as a person reads and writes them.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::when::When;
use crate::units::ClockFace;

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
    pub(super) fn shown(&self, time: Timestamp) -> String {
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
    pub(super) fn span(&self, [from, to]: [Timestamp; 2]) -> String {
        format!("{} to {}", self.shown(from), self.shown(to))
    }

    /// The same to the minute, for what has no sharp ends.
    pub(super) fn about(&self, span: [Timestamp; 2]) -> String {
        let minutes = span.map(|time| {
            let half = SignedDuration::from_secs(30);
            self.full_minute(time.checked_add(half).unwrap_or(time))
        });
        self.span(if minutes[0] < minutes[1] {
            minutes
        } else {
            span
        })
    }

    /// A time as notes may write it; reading it back on the day of the track gives the same.
    pub(super) fn when(&self, time: Timestamp) -> When {
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
    pub(super) fn between(&self, from: Timestamp, to: Timestamp) -> Timestamp {
        let half = to.duration_since(from) / 2;
        let middle = from.checked_add(half).unwrap_or(from);
        let minute = self.full_minute(middle);
        if minute > from {
            return minute;
        }
        let second = full_second(middle);
        if second > from { second } else { middle }
    }

    /// The full minute at or before a time.
    fn full_minute(&self, time: Timestamp) -> Timestamp {
        let second = full_second(time);
        let seconds = i64::from(self.zone.to_datetime(second).second());
        second
            .checked_sub(SignedDuration::from_secs(seconds))
            .unwrap_or(second)
    }
}

/// The full second at or before a time.
pub(super) fn full_second(time: Timestamp) -> Timestamp {
    let second = time.as_nanosecond().div_euclid(1_000_000_000);
    Timestamp::from_second(second as i64).unwrap_or(time)
}
