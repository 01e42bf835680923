//! The way through, stage by stage.

use std::collections::BTreeMap;
use std::ops::Range;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::days::{FoundDay, ReadDay, span};
use super::groups::{Groups, align, configurations, settings};
use super::noted::of_day;
use super::reading::{claim_nothing_unclear, reading};
use super::result::{Day, SCHEMA, Trial, Zone, ZoneSource};
use super::rules::Rules;
use super::settings::Settings;
use super::warn::warnings;
use crate::clean::by_day;
use crate::compare::{Answer, Compared, Posterior, Question, RunsOfTrial, conditions};
use crate::day::{
    Before, CourseLine, DoubleRun, Leg, Stops, Wind, WindKnown, WindSource, circles, double_runs,
    heading_fits, idle_drifts, legs, lines, logged, trail, wind,
};
use crate::gain::{self, Gain, gain};
use crate::notes::{self, Clock, Objection, Resolved, Timeline, zone};
use crate::segmenter::{Assigned, Run, Segmented};
use crate::track::{Position, Recording};
use crate::units::Bearing;

/// Analyses the recordings of a trial. Pure: the same recordings and settings give the same result.
///
/// What was recorded on one day is put together, whatever the order of the recordings. The days are
/// read one by one and compared by one model with an effect of the day; configurations and
/// settings are matched by the names in the notes, or else by their order. Where each day had one
/// configuration only, that effect is as large as any change of the boat, which is warned of.
pub fn analyse(recordings: impl Into<Vec<Recording>>, asked: &Settings) -> Trial {
    ReadTrial::of(recordings.into(), &asked.rules).answer(asked)
}

/// The days of a trial as read from their tracks alone, before anything a person says.
///
/// Whoever asks more than once, with other notes, reads once and asks a clone.
#[derive(Debug, Clone)]
pub struct ReadTrial {
    days: Vec<ReadDay>,
    timeline: Timeline,
}

impl ReadTrial {
    /// Cleans and reads the recordings, day by day.
    pub fn of(recordings: Vec<Recording>, rules: &Rules) -> Self {
        let timeline = Timeline::of(&recordings);
        let days = by_day(recordings, &rules.clean);
        Self {
            days: (days.into_par_iter())
                .map(|day| ReadDay::of(day, rules))
                .collect(),
            timeline,
        }
    }

    /// What the trial answers, with what a person says of it.
    pub fn answer(self, asked: &Settings) -> Trial {
        let (timezone, zone) = timezone(asked, self.place());
        let notes = asked.notes.as_ref();
        let mut noted = notes.map_or_else(Resolved::default, |notes| {
            self.timeline.resolve(notes, &zone)
        });
        let face = asked.clock.or(noted.notes.clock).unwrap_or_default();
        let spans = || self.days.iter().filter_map(ReadDay::span);
        let ends = spans().map(|s| s[0]).min().zip(spans().map(|s| s[1]).max());
        let clock = Clock::new(zone.clone(), face, ends.map(|(from, to)| [from, to]));
        let mut days = self.with_notes(&mut noted, &clock);
        let groups = align(&mut days);
        Asked {
            settings: asked,
            zone: &zone,
            noted: &noted,
            groups: &groups,
        }
        .trial(&days, timezone)
    }

    fn place(&self) -> Option<Position> {
        let tracks = self.days.iter().flat_map(|day| &day.tracks);
        let mut places = tracks.filter_map(|track| track.fixes().first().map(|f| f.position));
        places.next()
    }

    /// Numbers the legs through all days and applies what the notes say of each.
    fn with_notes(self, noted: &mut Resolved, clock: &Clock) -> Vec<FoundDay> {
        let last = self.days.len().saturating_sub(1);
        let legs: usize = self.days.iter().map(ReadDay::legs).sum();
        // The halves of legs that are cut get numbers beyond those of all days.
        let (mut first, mut free) = (1, legs + 1);
        let mut days = Vec::new();
        for (index, mut day) in self.days.into_iter().enumerate() {
            let end = first + day.legs();
            let numbers: Range<usize> = first..if index == last { usize::MAX } else { end };
            if let Some(read) = &mut day.read {
                read.number_legs(first, free);
            }
            let marks = of_day(noted, day.span(), &numbers);
            let day = day.with(&marks, clock);
            free = day
                .found
                .as_ref()
                .map_or(0, Segmented::last_number)
                .max(free - 1)
                + 1;
            first = end;
            days.push(day);
        }
        days
    }
}

/// What a day adds to the trial.
struct OfDay {
    day: Day,
    legs: Vec<Leg>,
    lines: Vec<CourseLine>,
    double_runs: Vec<DoubleRun>,
    logged: BTreeMap<usize, (Bearing, f64)>,
    /// Whether a current may pose as the wind.
    is_current_likely: bool,
}

/// What is asked of the days, and what is known of them.
struct Asked<'a> {
    settings: &'a Settings,
    zone: &'a TimeZone,
    noted: &'a Resolved,
    groups: &'a Groups,
}

impl Asked<'_> {
    fn trial(&self, days: &[FoundDay], timezone: Zone) -> Trial {
        let (asked, notes) = (self.settings, &self.noted.notes);
        let current = asked.current.or(notes.current);
        let mut before = Before::default();
        let placed: Vec<(Before, &FoundDay)> = days
            .iter()
            .map(|day| (pass(&mut before, day), day))
            .collect();
        let of_days: Vec<OfDay> = (placed.into_par_iter())
            .map(|(before, day)| self.of_day(day, before))
            .collect();
        let mut logged = BTreeMap::new();
        let mut doubtful = Vec::new();
        let (mut all_legs, mut all_lines, mut all_runs, mut own) = (vec![], vec![], vec![], vec![]);
        for of_day in of_days {
            if of_day.is_current_likely {
                doubtful.push(of_day.day.day);
            }
            logged.extend(of_day.logged);
            all_legs.extend(of_day.legs);
            all_lines.extend(of_day.lines);
            all_runs.extend(of_day.double_runs);
            own.push(of_day.day);
        }
        let mut trial = Trial {
            schema: SCHEMA,
            title: notes.title.clone(),
            story: notes.story.clone(),
            units: asked.units.or(notes.units).unwrap_or_default(),
            clock: asked.clock.or(notes.clock).unwrap_or_default(),
            timezone,
            tracks: (1..)
                .zip(days)
                .flat_map(|(number, day)| day.tracks_of(number))
                .collect(),
            wind: wind_of_all(&own),
            current,
            legs: all_legs,
            lines: all_lines,
            double_runs: all_runs,
            configurations: configurations(days, self.groups),
            settings: settings(days, self.groups),
            cells: Vec::new(),
            comparisons: Vec::new(),
            pairs: Vec::new(),
            adjustment: None,
            fit: None,
            model: None,
            resolve_percent: asked.resolve_percent.or(notes.resolve_percent),
            gain: Gain::default(),
            days: own,
            warnings: Vec::new(),
            rules: asked.rules.clone(),
        };
        let posterior = self.compare(&mut trial, days, &logged);
        trial.gain = self.gain(&trial, posterior.as_ref());
        let notes = self.unused(days);
        trial.warnings = warnings(&trial, days, notes, self.noted.notes.one_trial, &doubtful);
        trial
    }

    fn of_day(&self, day: &FoundDay, before: Before) -> OfDay {
        let (asked, notes) = (self.settings, &self.noted.notes);
        let (found, assigned) = (day.found.as_ref(), &day.assigned);
        let rules = &asked.rules.day;
        let stops = found.map_or_else(Stops::default, |found| Stops::of(found, rules));
        let headings = found.map_or_else(Vec::new, |found| heading_fits(found, assigned));
        let known = WindKnown {
            from: asked.wind_from.or(notes.wind.from),
            speed: asked.wind_speed.or(notes.wind.speed),
            current: asked.current.or(notes.current),
            log: asked.wind_log.as_ref(),
            onboard: day.onboard.as_ref(),
            zone: self.zone,
            rules,
        };
        let (wind, is_current_likely) = wind(found, &headings, &stops, known);
        let from = wind.from_deg.and_then(Bearing::new);
        let (logged, wind_covariate) = match (found, &asked.wind_log) {
            (Some(found), Some(log)) => {
                let (logged, covariate) = logged(log, &spans(found, before), self.zone);
                (logged, Some(covariate))
            }
            _ => (BTreeMap::new(), None),
        };
        let span = span(&day.summaries);
        OfDay {
            day: Day {
                day: before.days + 1,
                from: span.map(|s| s[0]),
                to: span.map(|s| s[1]),
                wind,
                reading: None,
                wind_covariate,
                headings,
                circles: found.map_or_else(Vec::new, circles),
                idle: found.map_or_else(Vec::new, |found| idle_drifts(found, &stops)),
                settling_distance_m: found.and_then(settling_distance),
                trail: found.map(trail).unwrap_or_default(),
            },
            legs: found.map_or_else(Vec::new, |f| legs(f, assigned, &day.tracks, from, before)),
            lines: found.map_or_else(Vec::new, |found| lines(found, before)),
            double_runs: found.map_or_else(Vec::new, |f| double_runs(f, assigned, before)),
            logged,
            is_current_likely,
        }
    }

    /// Compares, and holds the reading of a day against its next.
    fn compare(
        &self,
        trial: &mut Trial,
        days: &[FoundDay],
        logged: &BTreeMap<usize, (Bearing, f64)>,
    ) -> Option<Posterior> {
        let question = Question {
            trial: RunsOfTrial {
                configurations: &self.groups.configurations,
                settings: &self.groups.settings,
                legs: &trial.legs,
                logged,
            },
            runs: &trial.double_runs,
            conditions: conditions(&trial.wind, trial.current),
            rules: &self.settings.rules.compare,
            resolve_percent: trial.resolve_percent,
        };
        let own = Compared::from(Answer::of(question));
        let mut readings = Vec::new();
        for day in days {
            // What another reading of one of several days would answer is not asked.
            let alone = days.len() == 1;
            let compared = |other: &Assigned| {
                let found = day.found.as_ref().filter(|_| alone)?;
                let runs = double_runs(found, other, Before::default());
                let trial = RunsOfTrial {
                    configurations: &other.configurations,
                    settings: &other.settings,
                    ..question.trial
                };
                let other = Question {
                    trial,
                    runs: &runs,
                    ..question
                };
                Some(Answer::of(other).comparisons())
            };
            readings.push(reading(&day.assigned, &own.comparisons, compared));
        }
        for (day, reading) in trial.days.iter_mut().zip(readings) {
            day.reading = reading;
        }
        trial.model = own.posterior.as_ref().map(Posterior::record);
        trial.adjustment = own.posterior.as_ref().map(Posterior::adjustment);
        trial.cells = own.cells;
        trial.comparisons = own.comparisons;
        trial.pairs = own.pairs;
        trial.fit = own.fit;
        claim_nothing_unclear(trial);
        own.posterior
    }

    fn gain(&self, trial: &Trial, posterior: Option<&Posterior>) -> Gain {
        let speeds = trial.days.iter().flat_map(|day| &day.trail.speeds);
        let speeds: Vec<_> = speeds.copied().collect();
        let rules = &self.settings.rules;
        gain(&gain::Known {
            legs: &trial.legs,
            double_runs: &trial.double_runs,
            lines: &trial.lines,
            speeds: &speeds,
            from: trial.tracks.iter().filter_map(|track| track.from).min(),
            units: trial.units,
            wind: &trial.wind,
            configurations: &self.groups.configurations,
            settings: &self.groups.settings,
            percents: &self.groups.percents,
            noted: self.noted,
            power_log: self.settings.power_log.as_ref(),
            zone: self.zone,
            rules: &rules.gain,
            compare: &rules.compare,
            posterior,
        })
    }

    /// What of the notes could not be used, sentence by sentence.
    fn unused(&self, days: &[FoundDay]) -> Vec<String> {
        let stops = days.iter().filter_map(|day| day.found.as_ref());
        let stops = stops.flat_map(|found| {
            let instants = |t: [f64; 2]| t.map(|t| found.clock.time(t));
            found
                .stops
                .iter()
                .map(move |stop| instants([stop.from, stop.to]))
        });
        let stops: Vec<[Timestamp; 2]> = stops.collect();
        let objections: Vec<Objection> = days
            .iter()
            .flat_map(|day| day.objections.iter().cloned())
            .collect();
        notes::sentences(self.noted, &objections, &stops, self.zone)
    }
}

/// What is before a day, which is passed.
fn pass(before: &mut Before, day: &FoundDay) -> Before {
    let here = *before;
    before.days += 1;
    before.tracks += day.summaries.len();
    before.lines += day.found.as_ref().map_or(0, |found| found.lines.len());
    before.runs += day.found.as_ref().map_or(0, |found| found.runs.len());
    here
}

/// Metres, where the boat loses enough in a turn to tell.
fn settling_distance(found: &Segmented) -> Option<f64> {
    found
        .settling
        .filter(|s| s.missing_at_start >= TELLING_LOSS)
        .map(|s| s.distance_m)
}

/// Share of the speed that must be missing as legs begin before a settling distance says anything.
const TELLING_LOSS: f64 = 0.05;

/// Number, start and end of each double run.
fn spans(found: &Segmented, before: Before) -> Vec<(usize, [Timestamp; 2])> {
    let time = |t: f64| found.clock.time(t);
    let span = |(number, run): (usize, &Run)| (number, [time(run.start), time(run.end)]);
    (before.runs + 1..).zip(&found.runs).map(span).collect()
}

/// The wind of the only day; of several what is the same on all.
fn wind_of_all(days: &[Day]) -> Wind {
    let first = days.first().map(|day| &day.wind);
    match first {
        Some(wind) if days.len() == 1 || wind.source == WindSource::Given => wind.clone(),
        _ => Wind {
            from_deg: None,
            from_se_deg: None,
            // One that was stated without a direction is that of every day.
            speed_m_s: first.and_then(|wind| wind.speed_m_s).filter(|speed| {
                let mut all = days.iter().map(|day| day.wind.speed_m_s);
                all.all(|own| own == Some(*speed))
            }),
            source: WindSource::None,
            remark: (!days.is_empty()).then(|| "each day had its own".to_owned()),
        },
    }
}

/// The zone asked for or noted, else that of the place, else UTC. A name that is no
/// zone counts as none: the command line and the notes' reader have refused it before.
fn timezone(asked: &Settings, at: Option<Position>) -> (Zone, TimeZone) {
    let noted = asked
        .notes
        .as_ref()
        .and_then(|notes| notes.timezone.as_ref());
    let given = asked
        .timezone
        .as_ref()
        .or(noted)
        .and_then(|name| Some((name.clone(), zone::named(name).ok()?, ZoneSource::Given)));
    let (name, zone, source) = given
        .or_else(|| {
            at.and_then(zone::at)
                .map(|(name, zone)| (name, zone, ZoneSource::Position))
        })
        .unwrap_or_else(|| ("UTC".to_owned(), TimeZone::UTC, ZoneSource::None));
    (Zone { name, source }, zone)
}
