//! The way through, stage by stage.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::answer::{Answer, Compared, Question};
use super::buys::{Buys, buys};
use super::circles::{against_legs, circles};
use super::covariate::logged;
use super::headings::heading_fits;
use super::legs::{double_runs, legs, lines, trail};
use super::outcome::{configurations, settings};
use super::reading::{claim_nothing_unclear, reading};
use super::result::{Analysis, IdleDrift, SCHEMA, TrackSummary, Trail, Wind, Zone, ZoneSource};
use super::rows::{RunsOfTrial, conditions};
use super::settings::Settings;
use super::warn::warnings;
use super::warning::Warning;
use super::wind::{Stops, wind};
use crate::clean::{CleanedAll, clean_all};
use crate::compare::Adjustment;
use crate::notes::zone;
use crate::notes::{self, Clock, Objection, Resolved, Timeline};
use crate::segmenter::{Assigned, DayRead, Run, Segmented, Stop};
use crate::stats::quantile::median;
use crate::track::{Position, Recording, Track};
use crate::trial::idle::IdleKind;
use crate::trial::wind_log::WindLog;
use crate::units::Bearing;

/// Analyses the recordings of one day. Pure: the same recordings and settings give the same result.
pub fn analyse(recordings: &[Recording], asked: &Settings) -> Analysis {
    analyse_owned(recordings.to_vec(), asked)
}

/// As [`analyse`], with recordings that nobody needs afterwards: their fixes are held once.
pub fn analyse_owned(recordings: Vec<Recording>, asked: &Settings) -> Analysis {
    let on_notes = asked.notes.as_ref();
    let on_notes = on_notes.map(|notes| (notes, Timeline::of(&recordings)));
    let noted = |zone: &TimeZone| {
        on_notes
            .map(|(notes, timeline)| timeline.resolve(notes, zone))
            .unwrap_or_default()
    };
    Prepared::of(recordings, asked, noted).finish(asked)
}

/// The same with the notes and without any, the track read once.
pub fn analyse_with_and_without_notes(
    recordings: Vec<Recording>,
    asked: &Settings,
) -> [Analysis; 2] {
    let timeline = Timeline::of(&recordings);
    let day = Unnoted::of(recordings, asked);
    let noted = asked.notes.as_ref();
    let noted = noted.map(|notes| timeline.resolve(notes, &day.zone));
    [noted.unwrap_or_default(), Resolved::default()]
        .map(|noted| day.clone().with(noted, asked).finish(asked))
}

/// A day with its legs found and its double runs in groups, not yet compared.
pub(super) struct Prepared {
    summaries: Vec<TrackSummary>,
    tracks: Vec<Track>,
    timezone: Zone,
    zone: TimeZone,
    pub(super) noted: Resolved,
    onboard: Option<WindLog>,
    pub(super) found: Option<Segmented>,
    pub(super) assigned: Assigned,
    objections: Vec<Objection>,
}

/// A day as read from its tracks alone.
#[derive(Clone)]
struct Unnoted {
    summaries: Vec<TrackSummary>,
    tracks: Vec<Track>,
    timezone: Zone,
    zone: TimeZone,
    onboard: Option<WindLog>,
    read: Option<DayRead>,
}

impl Unnoted {
    fn of(recordings: Vec<Recording>, asked: &Settings) -> Self {
        let onboard = WindLog::of_recordings(&recordings);
        let cleaned = clean_all(recordings, &asked.rules.clean);
        let summaries = summaries(&cleaned);
        let tracks = cleaned.tracks;
        let (timezone, zone) = timezone(asked, first_position(&tracks));
        let read = DayRead::of(&tracks, &asked.rules.segment);
        Self {
            summaries,
            tracks,
            timezone,
            zone,
            onboard,
            read,
        }
    }

    fn with(self, noted: Resolved, asked: &Settings) -> Prepared {
        let face = asked.clock.or(noted.notes.clock).unwrap_or_default();
        let from = self.summaries.iter().filter_map(|track| track.from).min();
        let to = self.summaries.iter().filter_map(|track| track.to).max();
        let track = from.zip(to).map(|(from, to)| [from, to]);
        let clock = Clock::new(self.zone.clone(), face, track);
        let (found, assigned, objections) = match self.read {
            Some(read) => {
                let (read, assigned, objections) = notes::apply(read, &noted.marks, &clock);
                (Some(read.finish()), assigned, objections)
            }
            None => (None, Assigned::default(), Vec::new()),
        };
        Prepared {
            summaries: self.summaries,
            tracks: self.tracks,
            timezone: self.timezone,
            zone: self.zone,
            noted,
            onboard: self.onboard,
            found,
            assigned,
            objections,
        }
    }
}

impl Prepared {
    /// Finds legs and groups. `noted` gives what the notes say of the day, its zone given.
    pub(super) fn of(
        recordings: Vec<Recording>,
        asked: &Settings,
        noted: impl FnOnce(&TimeZone) -> Resolved,
    ) -> Self {
        let day = Unnoted::of(recordings, asked);
        let noted = noted(&day.zone);
        day.with(noted, asked)
    }

    /// Measures and compares.
    pub(super) fn finish(self, asked: &Settings) -> Analysis {
        finish(self, asked)
    }
}

fn finish(prepared: Prepared, asked: &Settings) -> Analysis {
    let Prepared {
        summaries,
        tracks,
        timezone,
        zone,
        noted,
        onboard,
        found,
        assigned,
        objections,
    } = prepared;
    let stops = (found.as_ref()).map_or_else(Stops::default, |found| Stops::of(found, asked));
    let fits = found
        .as_ref()
        .map(|found| heading_fits(found, &assigned))
        .unwrap_or_default();
    let (wind, current) = wind(
        found.as_ref(),
        &fits,
        &stops,
        asked,
        onboard.as_ref(),
        &noted,
        &zone,
    );
    let from = wind.from_deg.and_then(Bearing::new);

    let mut analysis = without_legs(&noted, asked, timezone, summaries, wind);
    if let Some(found) = &found {
        analysis.legs = legs(found, &assigned, &tracks, from);
        analysis.lines = lines(found);
        analysis.double_runs = double_runs(found, &assigned);
        analysis.configurations = configurations(found, &assigned);
        analysis.settings = settings(&assigned);
        let winds = (asked.wind_log.as_ref()).map(|log| logged(log, &spans(found), &zone));
        let (winds, covariate) = winds.unzip();
        analysis.wind_covariate = covariate;
        let winds = winds.unwrap_or_default();
        let conditions = conditions(&analysis.wind, analysis.current);
        let question = Question {
            trial: RunsOfTrial {
                configurations: &assigned.configurations,
                settings: &assigned.settings,
                legs: &analysis.legs,
                logged: &winds,
            },
            runs: &analysis.double_runs,
            conditions,
            rules: &asked.rules.compare,
            resolve_percent: analysis.resolve_percent,
        };
        let own = Compared::from(Answer::of(question));
        let reading = reading(&assigned, &own.comparisons, |other| {
            let runs = double_runs(found, other);
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
            Answer::of(other).comparisons()
        });
        analysis.reading = reading;
        let posterior = own.give_to(&mut analysis);
        claim_nothing_unclear(&mut analysis);
        analysis.idle = idle(found, &stops);
        analysis.headings = fits;
        analysis.circles = circles(found);
        let disagrees = against_legs(&analysis.circles, &analysis.double_runs);
        analysis.warnings.extend(disagrees);
        analysis.settling_distance_m = settling_distance(found);
        analysis.trail = trail(found);
        let known = (asked, &zone, posterior.as_ref());
        analysis.buys = buys(&analysis, &assigned, &noted, known);
    }
    // What the double runs show goes before what the stops leave open.
    let by_wind = matches!(
        analysis.adjustment,
        Some(Adjustment::Wind { .. } | Adjustment::StillWater)
    );
    analysis
        .warnings
        .extend((current && !by_wind).then_some(Warning::WindOrCurrent));
    let unused = unused(&noted, found.as_ref(), &objections, &zone);
    analysis.warnings.splice(0..0, unused);
    let further = warnings(&analysis, found.as_ref());
    analysis.warnings.extend(further);
    analysis
}

/// What is known before any leg: the day, its files and its wind.
fn without_legs(
    noted: &Resolved,
    asked: &Settings,
    timezone: Zone,
    summaries: Vec<TrackSummary>,
    wind: Wind,
) -> Analysis {
    Analysis {
        schema: SCHEMA,
        title: noted.notes.title.clone(),
        units: asked.units.or(noted.notes.units).unwrap_or_default(),
        clock: asked.clock.or(noted.notes.clock).unwrap_or_default(),
        timezone,
        tracks: summaries,
        wind,
        current: asked.current.or(noted.notes.current),
        legs: Vec::new(),
        lines: Vec::new(),
        double_runs: Vec::new(),
        configurations: Vec::new(),
        settings: Vec::new(),
        cells: Vec::new(),
        comparisons: Vec::new(),
        pairs: Vec::new(),
        days: Vec::new(),
        reading: None,
        adjustment: None,
        fit: None,
        model: None,
        wind_covariate: None,
        resolve_percent: asked.resolve_percent.or(noted.notes.resolve_percent),
        headings: Vec::new(),
        circles: Vec::new(),
        idle: Vec::new(),
        settling_distance_m: None,
        buys: Buys::default(),
        warnings: Vec::new(),
        rules: asked.rules.clone(),
        trail: Trail::default(),
    }
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
fn spans(found: &Segmented) -> Vec<(usize, [Timestamp; 2])> {
    let time = |t: f64| found.clock.time(t);
    let span = |(number, run): (usize, &Run)| (number, [time(run.start), time(run.end)]);
    (1..).zip(&found.runs).map(span).collect()
}

/// What of the notes could not be used.
fn unused(
    noted: &Resolved,
    found: Option<&Segmented>,
    objections: &[Objection],
    zone: &TimeZone,
) -> Vec<Warning> {
    let stops = found.map_or_else(Vec::new, |found| {
        let instants = |stop: &Stop| [found.clock.time(stop.from), found.clock.time(stop.to)];
        found.stops.iter().map(instants).collect()
    });
    notes::sentences(noted, objections, &stops, zone)
        .into_iter()
        .map(|what| Warning::Notes { what })
        .collect()
}

/// The zone asked for or noted, else that of the place, else UTC. A name that is no
/// zone counts as none: the command line and the notes' reader have refused it before.
pub(super) fn timezone(asked: &Settings, at: Option<Position>) -> (Zone, TimeZone) {
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

fn first_position(tracks: &[Track]) -> Option<Position> {
    tracks.first()?.fixes().first().map(|f| f.position)
}

fn summaries(cleaned: &CleanedAll) -> Vec<TrackSummary> {
    cleaned
        .recordings
        .iter()
        .enumerate()
        .map(|(index, recording)| {
            let own: Vec<&Track> = cleaned
                .tracks
                .iter()
                .filter(|t| t.recording() == index)
                .collect();
            let steps: Vec<f64> = own
                .iter()
                .flat_map(|t| t.fixes().windows(2))
                .map(|pair| pair[1].time.duration_since(pair[0].time).as_secs_f64())
                .collect();
            TrackSummary {
                file: recording.file.clone(),
                fixes_read: recording.points_met,
                fixes_used: recording.fixes_used,
                set_aside: recording.set_aside.clone(),
                remarks: recording.remarks.clone(),
                from: own.iter().map(|t| t.start()).min(),
                to: own.iter().map(|t| t.end()).max(),
                interval_s: median(&steps),
            }
        })
        .collect()
}

fn idle(found: &Segmented, stops: &Stops) -> Vec<IdleDrift> {
    let used = |index: usize| {
        let drift = stops.drift.as_ref();
        drift.is_some_and(|d| d.used.get(index).copied().unwrap_or(false))
    };
    stops
        .idles
        .iter()
        .enumerate()
        .filter(|(_, idle)| idle.kind != IdleKind::Anchored)
        .filter_map(|(index, idle)| {
            let (east, north) = (idle.east_m_s?, idle.north_m_s?);
            Some(IdleDrift {
                start: found.clock.time(idle.from),
                end: found.clock.time(idle.to),
                toward_deg: Bearing::of_vector(east, north)?.degrees(),
                speed_m_s: east.hypot(north),
                used: used(index),
            })
        })
        .collect()
}
