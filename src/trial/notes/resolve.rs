//! From times as written to instants, on the day of the track.

use jiff::civil::{DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::error::quoted_list;
use super::outing::{Miss, Outing, dates, instants, outings, pick};
use super::{EnergyNotes, LegReading, Notes, When};
pub use crate::segmenter::{ConfigurationMark, LegMark, SettingMark};
use crate::track::{Recording, Waypoint};
use crate::units::{Bearing, ClockFace, Speed, SpeedUnit};

/// At most this many waypoint names are listed in one problem, so that it stays a sentence.
const NAMES_LISTED: usize = 12;

/// Notes whose times are instants.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Resolved {
    /// Title of the trial.
    pub title: Option<String>,
    /// Unit in which results are to be shown.
    pub units: Option<SpeedUnit>,
    /// How the hours are counted where times are shown.
    pub clock: Option<ClockFace>,
    /// Direction the true wind comes from.
    pub wind_from: Option<Bearing>,
    /// Speed of the true wind.
    pub wind_speed: Option<Speed>,
    /// File name of a station's log, as written.
    pub wind_log: Option<String>,
    /// Configurations in the order they were fitted; one name may come again. A mark without a
    /// time holds from the start where it is the first; where none has a time the names go to
    /// the configurations found in the track, in order.
    pub configurations: Vec<ConfigurationMark>,
    /// Settings, slowest first.
    pub settings: Vec<SettingMark>,
    /// Corrections of single legs.
    pub legs: Vec<LegMark>,
    /// What is said of power, battery and the way home.
    pub energy: EnergyNotes,
    /// What could not be applied, one sentence each, without its full stop.
    pub problems: Vec<String>,
}

/// Makes instants of the times in the notes.
///
/// A time of day means the local date on which it falls within the track; tracks that run past
/// midnight leave one such date as a rule. Only the first configuration may begin before the
/// track does. A time that fits nowhere, or in more than one place, and a waypoint that is not
/// there or carries no time, leave a sentence in [`Resolved::problems`]; nothing fails.
pub fn resolve(notes: &Notes, zone: &TimeZone, recordings: &[Recording]) -> Resolved {
    Timeline::of(recordings).resolve(notes, zone)
}

/// When tracks were recorded and what was marked on the way: all that the notes' times are held
/// against, so that the fixes themselves need not be kept for it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Timeline {
    outings: Vec<Outing>,
    waypoints: Vec<Waypoint>,
}

impl Timeline {
    /// That of these recordings.
    pub fn of<'a>(recordings: impl IntoIterator<Item = &'a Recording> + Clone) -> Self {
        let waypoints = recordings.clone().into_iter().flat_map(|r| &r.waypoints);
        Self {
            waypoints: waypoints.cloned().collect(),
            outings: outings(recordings.into_iter()),
        }
    }

    /// As [`resolve`].
    pub fn resolve(&self, notes: &Notes, zone: &TimeZone) -> Resolved {
        resolved(
            notes,
            &Day {
                zone,
                outings: &self.outings,
                waypoints: &self.waypoints,
            },
        )
    }
}

fn resolved(notes: &Notes, day: &Day<'_>) -> Resolved {
    let mut problems = Vec::new();
    let mut problem = |line: usize, what: String| {
        problems.push(format!("{}, line {line}: {what}", notes.file));
    };
    let mut configurations = Vec::new();
    for (index, note) in notes.configurations.iter().enumerate() {
        let from = note.from.as_ref().and_then(|when| {
            day.find(when, index == 0)
                .map_err(|why| problem(note.line, format!("configuration `{}`: {why}", note.name)))
                .ok()
        });
        configurations.push(ConfigurationMark {
            name: note.name.clone(),
            from,
        });
    }
    for (note, why) in notes.configurations.iter().zip(disorder(&configurations)) {
        if let Some(why) = why {
            problem(note.line, why);
        }
    }
    let mut legs = Vec::new();
    let mut energy = notes.energy.clone();
    for note in &notes.legs {
        match day.find(&note.at, false) {
            Ok(at) => {
                if !note.draw.is_empty() {
                    energy.legs.push(LegReading {
                        at,
                        draw: note.draw,
                    });
                }
                if note.corrects() {
                    legs.push(LegMark {
                        at,
                        exclude: note.exclude.clone(),
                        configuration: note.configuration.clone(),
                        setting: note.setting.clone(),
                    });
                }
            }
            Err(why) => problem(note.line, format!("leg: {why}")),
        }
    }
    Resolved {
        title: notes.title.clone(),
        units: notes.units,
        clock: notes.clock,
        wind_from: notes.wind.from,
        wind_speed: notes.wind.speed,
        wind_log: notes.wind.log.clone(),
        configurations,
        settings: notes
            .settings
            .iter()
            .map(|note| SettingMark {
                name: note.name.clone(),
                percent: note.percent,
            })
            .collect(),
        legs,
        energy,
        problems,
    }
}

/// For each configuration, what is wrong where it does not begin after those listed before it.
fn disorder(marks: &[ConfigurationMark]) -> Vec<Option<String>> {
    let mut latest: Option<(&str, Timestamp)> = None;
    marks
        .iter()
        .map(|mark| {
            let from = mark.from?;
            match latest {
                Some((name, before)) if from <= before => Some(format!(
                    "configuration `{}` does not begin after `{name}`, which is listed before it",
                    mark.name
                )),
                _ => {
                    latest = Some((&mark.name, from));
                    None
                }
            }
        })
        .collect()
}

/// What a written time is held against.
struct Day<'a> {
    zone: &'a TimeZone,
    outings: &'a [Outing],
    waypoints: &'a [Waypoint],
}

impl Day<'_> {
    /// The instant meant, or why there is none.
    fn find(&self, when: &When, may_precede: bool) -> Result<Timestamp, String> {
        match when {
            When::Clock(time) => self.clock(*time, may_precede),
            When::Local(local) => {
                let candidates = instants(*local, self.zone);
                if candidates.is_empty() {
                    return Err(self.skipped(&local.to_string()));
                }
                self.choose(&candidates, &local.to_string(), may_precede)
            }
            When::Instant(time) => self.choose(&[*time], &time.to_string(), may_precede),
            When::Mark(name) => self.mark(name, may_precede),
        }
    }

    fn clock(&self, time: Time, may_precede: bool) -> Result<Timestamp, String> {
        let candidates = self.on_each_date(time);
        if candidates.is_empty() && !self.outings.is_empty() {
            return Err(self.skipped(&time.to_string()));
        }
        let found = self.choose(&candidates, &time.to_string(), may_precede);
        let outside = pick(&candidates, self.outings, may_precede) == Err(Miss::Outside);
        found.map_err(|why| match self.half_day_later(time) {
            Some(later) if outside => format!("{why}; for the afternoon write `{later}`"),
            _ => why,
        })
    }

    fn on_each_date(&self, time: Time) -> Vec<Timestamp> {
        dates(self.outings, self.zone)
            .into_iter()
            .flat_map(|date| instants(DateTime::from_parts(date, time), self.zone))
            .collect()
    }

    /// A time of the morning that would fit as one of the afternoon.
    fn half_day_later(&self, time: Time) -> Option<String> {
        let later = time.checked_add(SignedDuration::from_hours(12)).ok()?;
        pick(&self.on_each_date(later), self.outings, false).ok()?;
        Some(later.strftime("%H:%M").to_string())
    }

    fn mark(&self, name: &str, may_precede: bool) -> Result<Timestamp, String> {
        let all = || self.waypoints.iter();
        let exact = all().any(|waypoint| waypoint.name.trim() == name);
        let named = |there: &str| {
            let there = there.trim();
            there == name || (!exact && there.to_lowercase() == name.to_lowercase())
        };
        let found: Vec<_> = all().filter(|waypoint| named(&waypoint.name)).collect();
        if found.is_empty() {
            return Err(no_such_waypoint(name, all().map(|w| w.name.trim())));
        }
        let mut times: Vec<Timestamp> = found.iter().filter_map(|w| w.time).collect();
        times.sort_unstable();
        times.dedup();
        if times.is_empty() {
            return Err(format!(
                "the waypoint `{name}` carries no time, so write the time itself"
            ));
        }
        self.choose(&times, &format!("the waypoint `{name}`"), may_precede)
    }

    fn choose(
        &self,
        candidates: &[Timestamp],
        written: &str,
        may_precede: bool,
    ) -> Result<Timestamp, String> {
        pick(candidates, self.outings, may_precede).map_err(|miss| match miss {
            Miss::Several(times) => {
                let times: Vec<String> = times.iter().map(|t| self.with_offset(*t)).collect();
                format!(
                    "{written} can mean {}; write it out as one of these",
                    quoted_list(&times)
                )
            }
            Miss::Outside => format!("{written} lies outside the track{}", self.span()),
        })
    }

    fn skipped(&self, written: &str) -> String {
        format!(
            "{written} does not exist in {}: the clocks went forward over it",
            self.zone_name()
        )
    }

    fn with_offset(&self, time: Timestamp) -> String {
        time.display_with_offset(self.zone.to_offset(time))
            .to_string()
    }

    fn span(&self) -> String {
        let (Some(first), Some(last)) = (self.outings.first(), self.outings.last()) else {
            return ", which has no times".to_owned();
        };
        let local = |time| self.zone.to_datetime(time).strftime("%Y-%m-%d %H:%M");
        format!(
            ", which runs from {} to {} ({})",
            local(first.start),
            local(last.end),
            self.zone_name()
        )
    }

    fn zone_name(&self) -> &str {
        self.zone.iana_name().unwrap_or("local time")
    }
}

fn no_such_waypoint<'a>(name: &str, there: impl Iterator<Item = &'a str>) -> String {
    let mut names: Vec<&str> = there.filter(|name| !name.is_empty()).collect();
    names.sort_unstable();
    names.dedup();
    if names.is_empty() {
        return format!("`{name}` is not a time, and the tracks hold no waypoints");
    }
    let more = names.len().saturating_sub(NAMES_LISTED);
    names.truncate(NAMES_LISTED);
    let more = if more > 0 {
        format!(", and {more} more")
    } else {
        String::new()
    };
    format!(
        "`{name}` is neither a time nor a waypoint; the waypoints there are {}{more}",
        quoted_list(&names)
    )
}
