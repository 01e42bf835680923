//! From instants to local times as a person writes them.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use crate::analysis::{Analysis, Leg};
use crate::trial::zone;

/// Writes instants as local times that [`super::resolve()`] reads back.
pub(super) struct Clock {
    /// IANA name of the zone.
    pub(super) name: String,
    zone: TimeZone,
    /// The local date on which the whole track lies; it need not be written.
    date: Option<Date>,
}

impl Clock {
    pub(super) fn of(analysis: &Analysis) -> Self {
        let (name, zone) = match zone::named(&analysis.timezone.name) {
            Ok(zone) => (analysis.timezone.name.as_str(), zone),
            Err(_) => ("UTC", TimeZone::UTC),
        };
        let date = |time: Timestamp| zone.to_datetime(time).date();
        let first = analysis.tracks.iter().filter_map(|track| track.from).min();
        let last = analysis.tracks.iter().filter_map(|track| track.to).max();
        let date = first
            .map(date)
            .filter(|first| last.map(date) == Some(*first));
        Self {
            name: name.to_owned(),
            zone,
            date,
        }
    }

    /// The full minute before `time` where that lies after `floor`, else the full second.
    pub(super) fn at_or_before(&self, time: Timestamp, floor: Option<Timestamp>) -> Timestamp {
        let second = whole_second(time);
        let seconds = i64::from(self.zone.to_datetime(second).second());
        let minute = back(second, seconds);
        if floor.is_none_or(|floor| minute > floor) {
            minute
        } else {
            second
        }
    }

    /// The full minute before the middle of a leg where the leg holds it, else the full second.
    pub(super) fn inside(&self, leg: &Leg) -> Timestamp {
        let half = leg.end.duration_since(leg.start) / 2;
        let middle = leg.start.checked_add(half).unwrap_or(leg.start);
        self.at_or_before(middle, Some(leg.start))
    }

    /// As short as it can be without losing anything.
    pub(super) fn text(&self, time: Timestamp) -> String {
        let local = self.zone.to_datetime(time);
        if self.zone.to_ambiguous_timestamp(local).is_ambiguous() {
            return time
                .display_with_offset(self.zone.to_offset(time))
                .to_string();
        }
        let date = if self.date == Some(local.date()) {
            ""
        } else {
            "%Y-%m-%d "
        };
        let seconds = if local.second() == 0 && local.subsec_nanosecond() == 0 {
            ""
        } else {
            ":%S%.f"
        };
        local.strftime(&format!("{date}%H:%M{seconds}")).to_string()
    }

    /// Of the day, to the second, for a reader.
    pub(super) fn second(&self, time: Timestamp) -> String {
        let local = self.zone.to_datetime(whole_second(time));
        local.strftime("%H:%M:%S").to_string()
    }
}

fn whole_second(time: Timestamp) -> Timestamp {
    Timestamp::from_second(time.as_nanosecond().div_euclid(1_000_000_000) as i64).unwrap_or(time)
}

fn back(time: Timestamp, seconds: i64) -> Timestamp {
    time.checked_sub(SignedDuration::from_secs(seconds))
        .unwrap_or(time)
}
