//! From times as written to instants, on the day of the track.

use std::collections::BTreeSet;

use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use super::note::{ConfigurationNote, LegName, LegNote, Notes, SettingNote};
use super::section::quoted_list;
use super::when::When;
use super::zone;
use crate::track::{Position, Recording, Waypoint};

/// A longer silence parts two outings. Common practice, no source: longer than any stop on the
/// water, shorter than a night.
const SILENCE: SignedDuration = SignedDuration::from_hours(6);

/// Times are often written to the minute, so one may lie this far outside the track.
const TOLERANCE: SignedDuration = SignedDuration::from_mins(1);

/// At most this many waypoint names are listed in one message, so that it stays a sentence.
const NAMES_LISTED: usize = 12;

/// Zones are whole or half hours apart, up to this many halves (IANA time zone database: offsets
/// from -12 to +14 hours).
const MOST_HALF_HOURS: i64 = 52;

/// Notes whose times are instants.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Resolved {
    /// The notes as read.
    pub notes: Notes,
    /// What they say of the track.
    pub marks: Marks,
    /// What could not be used, one sentence each, without its full stop.
    pub problems: Vec<String>,
    /// Where the track lies.
    pub place: Option<Position>,
}

/// What the notes say of the track, in instants.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Marks {
    /// The configurations. One without a time holds from the start where it is the first; where
    /// none has a time the names go to the configurations found, in order.
    pub configurations: Vec<ConfigurationNote<Timestamp>>,
    /// Settings, slowest first.
    pub settings: Vec<SettingNote>,
    /// What is said of single legs.
    pub legs: Vec<LegNote<Timestamp>>,
}

impl Marks {
    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The names of the configurations, each once.
    pub(super) fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for note in &self.configurations {
            if !names.contains(&note.name.as_str()) {
                names.push(&note.name);
            }
        }
        names
    }

    /// The configurations in the order they were fitted, as indices into their names.
    pub(super) fn order(&self) -> Vec<usize> {
        let names = self.names();
        let notes = self.configurations.iter();
        notes
            .filter_map(|note| names.iter().position(|name| *name == note.name))
            .collect()
    }
}

impl Resolved {
    /// What is said of the motor's draw on single legs.
    pub fn readings(&self) -> impl Iterator<Item = &LegNote<Timestamp>> {
        self.marks.legs.iter().filter(|note| !note.draw.is_empty())
    }

    /// Adds a sentence on a line of the notes.
    pub(crate) fn object(&mut self, line: usize, what: &str) {
        let sentence = format!("{}, line {line}: {what}", self.notes.file);
        self.problems.push(sentence);
    }

    fn add_configuration(&mut self, note: &ConfigurationNote, from: Option<Timestamp>) {
        let mut timed = self.marks.configurations.iter().rev();
        if let Some((before, latest)) = timed.find_map(|b| Some((&b.name, b.from?)))
            && from.is_some_and(|from| from <= latest)
        {
            let what = format!(
                "configuration `{}` does not begin after `{before}`, which is listed before it",
                note.name
            );
            self.object(note.line, &what);
        }
        self.marks.configurations.push(ConfigurationNote {
            name: note.name.clone(),
            from,
            pitch_m: note.pitch_m,
            line: note.line,
        });
    }

    fn add_leg(&mut self, note: &LegNote, find: impl Fn(&When) -> Result<Timestamp, String>) {
        let leg = match note.leg.at(&find) {
            Ok(leg) => leg,
            Err(why) => return self.object(note.line, &format!("leg: {why}")),
        };
        let mut corrections = Vec::new();
        for correction in &note.corrections {
            match correction.at(&find) {
                Ok(correction) => corrections.push(correction),
                Err(why) => self.object(note.line, &format!("{}: {why}", correction.key())),
            }
        }
        self.marks.legs.push(LegNote {
            leg,
            corrections,
            draw: note.draw,
            line: note.line,
        });
    }
}

/// Makes instants of the times in the notes.
///
/// A time of day means the local date on which it falls within the track; tracks that run past
/// midnight leave one such date as a rule. Only the first configuration may begin before the
/// track does. A time that fits nowhere, or in more than one place, and a waypoint that is not
/// there or has no time, leave a sentence in [`Resolved::problems`]; nothing fails. Where most of
/// the times miss and all would fit in another time zone, that is asked.
pub fn resolve(notes: &Notes, zone: &TimeZone, recordings: &[Recording]) -> Resolved {
    Timeline::of(recordings).resolve(notes, zone)
}

/// When tracks were recorded and what was marked on the way: all that the notes' times are held
/// against, so that the fixes themselves need not be kept for it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Timeline {
    /// Spans without a long silence, in order; a lone fix with a false date is one of its own.
    outings: Vec<[Timestamp; 2]>,
    waypoints: Vec<Waypoint>,
    /// Where the first fix lies; a receiver without a position writes 0, 0.
    place: Option<Position>,
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

    /// As [`resolve`].
    pub fn resolve(&self, notes: &Notes, zone: &TimeZone) -> Resolved {
        let mut out = Resolved {
            notes: notes.clone(),
            place: self.place,
            ..Resolved::default()
        };
        out.marks.settings.clone_from(&notes.settings);
        out.problems.extend(self.zone_question(notes, zone));
        for (index, note) in notes.configurations.iter().enumerate() {
            let find = |when| self.find(when, zone, index == 0);
            let from = note.from.as_ref().map(find).transpose();
            let from = from.unwrap_or_else(|why| {
                out.object(note.line, &format!("configuration `{}`: {why}", note.name));
                None
            });
            out.add_configuration(note, from);
        }
        for note in &notes.legs {
            out.add_leg(note, |when| self.find(when, zone, false));
        }
        out
    }

    /// Whether another time zone was meant, where most times lie outside the track.
    fn zone_question(&self, notes: &Notes, zone: &TimeZone) -> Option<String> {
        let swaps = notes.configurations.iter().skip(1);
        let swaps = swaps.filter_map(|note| note.from.as_ref());
        let legs = notes.legs.iter().filter_map(|note| match &note.leg {
            LegName::At(when) => Some(when),
            LegName::Number(_) => None,
        });
        let of_the_day = |when: &&When| matches!(when, When::Clock(_) | When::Local(_));
        let whens: Vec<&When> = swaps.chain(legs).filter(of_the_day).collect();
        let missed = whens.iter().filter(|when| !self.has(when, zone)).count();
        if 2 * missed <= whens.len() {
            return None;
        }
        // Another zone may put a time on the day before or after.
        let times: Vec<Vec<Timestamp>> = (whens.iter())
            .map(|when| self.candidates(when, zone, 1))
            .collect();
        let asked = other_zone(&times, zone, self.place, |time| self.holds(time))?;
        Some(format!("{}: {asked}", notes.file))
    }

    /// Whether the track was being recorded then, give or take a minute.
    fn holds(&self, time: Timestamp) -> bool {
        self.outings.iter().any(|outing| reaches(*outing, time))
    }

    /// Whether a written time lies within the track on one of its own dates.
    fn has(&self, when: &When, zone: &TimeZone) -> bool {
        let candidates = self.candidates(when, zone, 0);
        candidates.iter().any(|time| self.holds(*time))
    }

    /// The instant meant, or why there is none.
    fn find(&self, when: &When, zone: &TimeZone, may_precede: bool) -> Result<Timestamp, String> {
        let (candidates, written) = match when {
            When::Mark(name) => (self.marked(name)?, format!("the waypoint `{name}`")),
            _ => (self.candidates(when, zone, 0), when.to_string()),
        };
        let (Some([start, _]), Some([_, end])) = (self.outings.first(), self.outings.last()) else {
            return Err(format!(
                "{written} lies outside the track, which has no times"
            ));
        };
        if candidates.is_empty() {
            return Err(format!(
                "{written} does not exist in {}: the clocks went forward over it",
                zone_name(zone)
            ));
        }
        // Inside an outing, else between outings, else the last before the first of them.
        for spans in [self.outings.as_slice(), &[[*start, *end]]] {
            let within = |time: &Timestamp| spans.iter().any(|span| reaches(*span, *time));
            let inside: Vec<Timestamp> = candidates.iter().copied().filter(within).collect();
            match inside.as_slice() {
                [] => {}
                [only] => return Ok(*only),
                several => {
                    let offset = |t: &Timestamp| t.display_with_offset(zone.to_offset(*t));
                    let times = quoted_list(several.iter().map(|t| offset(t).to_string()));
                    return Err(format!(
                        "{written} can mean {times}; write it out as one of these"
                    ));
                }
            }
        }
        let before = candidates.iter().filter(|time| *time < start).max();
        before.filter(|_| may_precede).copied().ok_or_else(|| {
            let local = |time| zone.to_datetime(time).strftime("%Y-%m-%d %H:%M");
            format!(
                "{written} lies outside the track, which runs from {} to {} ({}){}",
                local(*start),
                local(*end),
                zone_name(zone),
                self.suggestion(when, zone)
            )
        })
    }

    /// The instants that a written time can mean: on the local dates of the track, and on so many
    /// days before and after. None where the clocks skipped it, two where they ran through it
    /// twice.
    fn candidates(&self, when: &When, zone: &TimeZone, days: i64) -> Vec<Timestamp> {
        let instants = |local: DateTime| {
            let ambiguous = zone.to_ambiguous_timestamp(local);
            let offsets = match ambiguous.offset() {
                AmbiguousOffset::Gap { .. } => [None, None],
                AmbiguousOffset::Unambiguous { offset } => [Some(offset), None],
                AmbiguousOffset::Fold { before, after } => [Some(before), Some(after)],
            };
            let offsets = offsets.into_iter().flatten();
            offsets.filter_map(move |offset| offset.to_timestamp(local).ok())
        };
        match when {
            When::Clock(time) => {
                let dates = self.dates(zone, days).into_iter();
                dates
                    .flat_map(|date| instants(date.to_datetime(*time)))
                    .collect()
            }
            When::Local(local) => instants(*local).collect(),
            When::Instant(time) => vec![*time],
            When::Mark(_) => Vec::new(),
        }
    }

    fn dates(&self, zone: &TimeZone, days: i64) -> BTreeSet<Date> {
        let around = SignedDuration::from_hours(24 * days);
        let date = |time: Timestamp| zone.to_datetime(time).date();
        let of = |[start, end]: &[Timestamp; 2]| {
            let first = date(start.checked_sub(around).unwrap_or(*start));
            let last = date(end.checked_add(around).unwrap_or(*end));
            std::iter::successors(Some(first), |date| date.tomorrow().ok())
                .take_while(move |date| *date <= last)
        };
        self.outings.iter().flat_map(of).collect()
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

    /// What a time outside the track was probably meant to be: one of the afternoon, or the same
    /// on the day of the track.
    fn suggestion(&self, when: &When, zone: &TimeZone) -> String {
        let found = match when {
            When::Clock(time) => {
                let later = time.checked_add(SignedDuration::from_hours(12)).ok();
                let later = later.map(When::Clock).filter(|later| self.has(later, zone));
                later.map(|later| format!("; for the afternoon write `{later}`"))
            }
            When::Local(local) => {
                let own = |date: &Date| When::Local(date.to_datetime(local.time()));
                let mut dates = self.dates(zone, 0).into_iter();
                let date = dates.find(|date| self.has(&own(date), zone));
                date.map(|date| format!("; was `{date}` meant?"))
            }
            When::Instant(_) | When::Mark(_) => None,
        };
        found.unwrap_or_default()
    }
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
    let more = match names.len().saturating_sub(NAMES_LISTED) {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    format!(
        "`{name}` is neither a time nor a waypoint; the waypoints there are {}{more}",
        quoted_list(names.into_iter().take(NAMES_LISTED))
    )
}

/// Asks whether another zone was meant, where all `times` fit in it; each has the instants that it
/// can mean in `zone`. UTC comes first, then the zone of the place, then any other.
///
/// A single time fits in some zone by chance, so it is only held against the first two.
pub(super) fn other_zone(
    times: &[Vec<Timestamp>],
    zone: &TimeZone,
    place: Option<Position>,
    fits: impl Fn(Timestamp) -> bool,
) -> Option<String> {
    let at = *times.first()?.first()?;
    let offset = |zone: &TimeZone| SignedDuration::from_secs(zone.to_offset(at).seconds().into());
    let all_fit = |shift: SignedDuration| {
        let fits = |time: &Timestamp| time.checked_add(shift).is_ok_and(&fits);
        !shift.is_zero() && times.iter().all(|candidates| candidates.iter().any(fits))
    };
    if all_fit(offset(zone)) {
        return Some(
            "the times fit if they were written in UTC: was `timezone = \"UTC\"` meant?".to_owned(),
        );
    }
    let there = place.and_then(zone::at);
    let there = there.filter(|(_, there)| all_fit(offset(zone) - offset(there)));
    if let Some((name, _)) = there {
        return Some(format!(
            "the times fit in the time zone of the place: was `timezone = \"{name}\"` meant?"
        ));
    }
    let halves = |step: i64| (step..=MOST_HALF_HOURS).step_by(2).flat_map(|n| [n, -n]);
    let shift = halves(2)
        .chain(halves(1))
        .find(|n| all_fit(SignedDuration::from_mins(30 * n)))
        .filter(|_| times.len() > 1)?;
    let hours = shift.abs() as f64 / 2.0;
    Some(format!(
        "the times fit if they were {hours} hour{} {}: was another `timezone` meant?",
        if shift.abs() == 2 { "" } else { "s" },
        if shift > 0 { "later" } else { "earlier" }
    ))
}
