//! When the track was recorded, and which instant a written time means.

use std::collections::BTreeSet;

use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use super::error::quoted_list;
use super::when::When;
use crate::track::{Position, Recording, Waypoint};

/// A longer silence parts two outings. Common practice, no source: longer than any stop on the
/// water, shorter than a night.
const SILENCE: SignedDuration = SignedDuration::from_hours(6);

/// Times are often written to the minute, so one may lie this far outside the track.
const TOLERANCE: SignedDuration = SignedDuration::from_mins(1);

/// At most this many waypoint names are listed in one message, so that it stays a sentence.
const NAMES_LISTED: usize = 12;

/// When tracks were recorded and what was marked on the way: all that the notes' times are held
/// against, so that the fixes themselves need not be kept for it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Timeline {
    /// Spans without a long silence, in order; a lone fix with a false date is one of its own.
    outings: Vec<[Timestamp; 2]>,
    waypoints: Vec<Waypoint>,
    /// Where the first fix lies; a receiver without a position writes 0, 0.
    pub(super) place: Option<Position>,
}

/// Why none of several instants is the one meant.
enum Miss {
    /// These would all do.
    Several(Vec<Timestamp>),
    /// None lies where it should.
    Outside,
}

impl Timeline {
    /// That of these recordings.
    pub fn of<'a>(recordings: impl IntoIterator<Item = &'a Recording>) -> Self {
        let mut timeline = Self::default();
        let mut times: Vec<Timestamp> = Vec::new();
        for recording in recordings {
            timeline.waypoints.extend_from_slice(&recording.waypoints);
            let segments = recording.tracks.iter().flat_map(|track| &track.segments);
            for fix in segments.flatten() {
                times.push(fix.time);
                let at = fix.position;
                if timeline.place.is_none() && (at.latitude() != 0.0 || at.longitude() != 0.0) {
                    timeline.place = Some(at);
                }
            }
        }
        times.sort_unstable();
        for time in times {
            match timeline.outings.last_mut() {
                Some([_, end]) if time.duration_since(*end) <= SILENCE => *end = time,
                _ => timeline.outings.push([time, time]),
            }
        }
        timeline
    }

    /// Whether the track was being recorded then, give or take a minute.
    pub(super) fn holds(&self, time: Timestamp) -> bool {
        self.outings.iter().any(|outing| reaches(*outing, time))
    }

    /// The instant meant, or why there is none.
    pub(super) fn find(
        &self,
        when: &When,
        zone: &TimeZone,
        may_precede: bool,
    ) -> Result<Timestamp, String> {
        let candidates = match when {
            When::Mark(name) => self.marked(name)?,
            _ => self.candidates(when, zone, 0),
        };
        if candidates.is_empty() && !self.outings.is_empty() {
            return Err(format!(
                "{when} does not exist in {}: the clocks went forward over it",
                zone_name(zone)
            ));
        }
        self.pick(&candidates, may_precede).map_err(|miss| {
            let written = match when {
                When::Mark(name) => format!("the waypoint `{name}`"),
                _ => when.to_string(),
            };
            match miss {
                Miss::Several(times) => {
                    let offset = |t: &Timestamp| t.display_with_offset(zone.to_offset(*t));
                    let times: Vec<String> = times.iter().map(|t| offset(t).to_string()).collect();
                    format!(
                        "{written} can mean {}; write it out as one of these",
                        quoted_list(&times)
                    )
                }
                Miss::Outside => format!(
                    "{written} lies outside the track, {}{}",
                    self.span(zone),
                    self.suggestion(when, zone)
                ),
            }
        })
    }

    /// The instants that a written time can mean: on the local dates of the track, and on so many
    /// days before and after.
    pub(super) fn candidates(&self, when: &When, zone: &TimeZone, days: i64) -> Vec<Timestamp> {
        match when {
            When::Clock(time) => self
                .dates(zone, days)
                .into_iter()
                .flat_map(|date| instants(DateTime::from_parts(date, *time), zone))
                .collect(),
            When::Local(local) => instants(*local, zone),
            When::Instant(time) => vec![*time],
            When::Mark(_) => Vec::new(),
        }
    }

    fn dates(&self, zone: &TimeZone, days: i64) -> BTreeSet<Date> {
        let around = SignedDuration::from_hours(24 * days);
        let mut dates = BTreeSet::new();
        for [start, end] in &self.outings {
            let first = start.checked_sub(around).unwrap_or(*start);
            let last = end.checked_add(around).unwrap_or(*end);
            let last = zone.to_datetime(last).date();
            let mut date = zone.to_datetime(first).date();
            dates.insert(date);
            while date < last {
                let Ok(next) = date.tomorrow() else { break };
                date = next;
                dates.insert(date);
            }
        }
        dates
    }

    /// The times of the waypoints of a name, letters' case aside where none has it exactly.
    fn marked(&self, name: &str) -> Result<Vec<Timestamp>, String> {
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
        let times: BTreeSet<Timestamp> = found.iter().filter_map(|w| w.time).collect();
        if times.is_empty() {
            return Err(format!(
                "the waypoint `{name}` has no time, so write the time itself"
            ));
        }
        Ok(times.into_iter().collect())
    }

    /// The one of `candidates` that is meant: inside an outing; else between outings; else, where
    /// `may_precede`, the last before the first of them.
    fn pick(&self, candidates: &[Timestamp], may_precede: bool) -> Result<Timestamp, Miss> {
        let (Some([start, _]), Some([_, end])) = (self.outings.first(), self.outings.last()) else {
            return Err(Miss::Outside);
        };
        let whole = [[*start, *end]];
        for spans in [self.outings.as_slice(), &whole] {
            let within = |time: &Timestamp| spans.iter().any(|span| reaches(*span, *time));
            let inside: Vec<Timestamp> = candidates.iter().copied().filter(within).collect();
            match inside.as_slice() {
                [] => {}
                [only] => return Ok(*only),
                _ => return Err(Miss::Several(inside)),
            }
        }
        let before = candidates.iter().filter(|time| *time < start).max();
        before.filter(|_| may_precede).copied().ok_or(Miss::Outside)
    }

    fn span(&self, zone: &TimeZone) -> String {
        let (Some([first, _]), Some([_, last])) = (self.outings.first(), self.outings.last())
        else {
            return "which has no times".to_owned();
        };
        let local = |time| zone.to_datetime(time).strftime("%Y-%m-%d %H:%M");
        format!(
            "which runs from {} to {} ({})",
            local(*first),
            local(*last),
            zone_name(zone)
        )
    }

    /// What a time outside the track was probably meant to be: one of the afternoon, or the same
    /// on the day of the track.
    fn suggestion(&self, when: &When, zone: &TimeZone) -> String {
        let fits = |when: &When| {
            let candidates = self.candidates(when, zone, 0);
            candidates.iter().any(|time| self.holds(*time))
        };
        match when {
            When::Clock(time) => {
                let half_day = SignedDuration::from_hours(12);
                let later = time.checked_add(half_day).map(When::Clock);
                let later = later.ok().filter(fits);
                later.map(|later| format!("; for the afternoon write `{later}`"))
            }
            When::Local(local) => {
                let own = |date: Date| When::Local(DateTime::from_parts(date, local.time()));
                let mut dates = self.dates(zone, 0).into_iter();
                let date = dates.find(|date| fits(&own(*date)));
                date.map(|date| format!("; was `{date}` meant?"))
            }
            When::Instant(_) | When::Mark(_) => None,
        }
        .unwrap_or_default()
    }
}

/// The instants a local time stands for: none where the clocks skipped it, two where they ran
/// through it twice.
fn instants(local: DateTime, zone: &TimeZone) -> Vec<Timestamp> {
    let offsets = match zone.to_ambiguous_timestamp(local).offset() {
        AmbiguousOffset::Gap { .. } => Vec::new(),
        AmbiguousOffset::Unambiguous { offset } => vec![offset],
        AmbiguousOffset::Fold { before, after } => vec![before, after],
    };
    let instants = offsets.iter().filter_map(|o| o.to_timestamp(local).ok());
    instants.collect()
}

fn reaches([start, end]: [Timestamp; 2], time: Timestamp) -> bool {
    start.duration_since(time) <= TOLERANCE && time.duration_since(end) <= TOLERANCE
}

fn zone_name(zone: &TimeZone) -> &str {
    zone.iana_name().unwrap_or("local time")
}

fn no_such_waypoint<'a>(name: &str, there: impl Iterator<Item = &'a str>) -> String {
    let names: BTreeSet<&str> = there.filter(|name| !name.is_empty()).collect();
    if names.is_empty() {
        return format!("`{name}` is not a time, and the tracks hold no waypoints");
    }
    let listed: Vec<&str> = names.iter().copied().take(NAMES_LISTED).collect();
    let more = match names.len() - listed.len() {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    format!(
        "`{name}` is neither a time nor a waypoint; the waypoints there are {}{more}",
        quoted_list(&listed)
    )
}
