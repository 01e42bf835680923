//! Times as the people on board read them off their clocks.

use jiff::Timestamp;
use jiff::fmt::strtime;
use jiff::tz::TimeZone;

use crate::trial::{Trial, ZoneSource};
use crate::units::ClockFace;

/// Formats times in the trial's zone, the hours counted as chosen.
#[derive(Debug, Clone)]
pub(crate) struct Clock {
    zone: TimeZone,
    name: String,
    several_days: bool,
    face: ClockFace,
}

impl Clock {
    /// The clock of a trial; UTC where its zone is not known.
    pub(crate) fn of(analysis: &Trial) -> Self {
        let found = match analysis.timezone.source {
            ZoneSource::None => None,
            ZoneSource::Given | ZoneSource::Position => TimeZone::get(&analysis.timezone.name).ok(),
        };
        let (zone, name) = found.map_or_else(
            || (TimeZone::UTC, "UTC".to_owned()),
            |zone| (zone, analysis.timezone.name.clone()),
        );
        let mut clock = Self {
            zone,
            name,
            several_days: false,
            face: analysis.clock,
        };
        if let Some((from, to)) = span(analysis) {
            clock.several_days = clock.date(from) != clock.date(to);
        }
        clock
    }

    /// IANA name of the zone, or `UTC`.
    pub(crate) fn zone_name(&self) -> &str {
        &self.name
    }

    /// Hour and minute, `09:12`.
    pub(crate) fn minute(&self, at: Timestamp) -> String {
        self.format(at, self.face.minute())
    }

    /// To the second, `09:12:05`; with the day before it where the trial runs over midnight.
    pub(crate) fn second(&self, at: Timestamp) -> String {
        if self.several_days {
            self.format(at, &format!("%-d %b {}", self.face.second()))
        } else {
            self.format(at, self.face.second())
        }
    }

    /// `4 June 2025`.
    pub(crate) fn date(&self, at: Timestamp) -> String {
        self.format(at, "%-d %B %Y")
    }

    /// From one time to another: the date once, or twice where it changes.
    pub(crate) fn range(&self, from: Timestamp, to: Timestamp) -> String {
        let (first, last) = (self.date(from), self.date(to));
        if first == last {
            format!("{first}, {} to {}", self.minute(from), self.minute(to))
        } else {
            format!(
                "{first}, {} to {last}, {}",
                self.minute(from),
                self.minute(to)
            )
        }
    }

    /// RFC 3339 local time with its offset, to the second or as fine as recorded.
    pub(crate) fn rfc3339(&self, at: Timestamp) -> String {
        self.format(at, "%Y-%m-%dT%H:%M:%S%.f%:z")
    }

    fn format(&self, at: Timestamp, format: &str) -> String {
        let zoned = at.to_zoned_datetime(self.zone.clone());
        // The formats are fixed and every timestamp has all their fields; UTC is what remains if not.
        strtime::format(format, &zoned).unwrap_or_else(|_| at.to_string())
    }
}

/// First and last time used in any track.
pub(crate) fn span(analysis: &Trial) -> Option<(Timestamp, Timestamp)> {
    let from = analysis
        .tracks
        .iter()
        .filter_map(|track| track.from)
        .min()?;
    let to = analysis.tracks.iter().filter_map(|track| track.to).max()?;
    Some((from, to))
}
