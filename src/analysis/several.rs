//! Several days on the water: each analysed by itself, then put together.
//!
//! A day has its own wind, its own gauge, its own settling. What days share are the names of what
//! was compared, so these are made one list first; then each day is measured and compared, its legs
//! are numbered on from the day before, and the comparisons are pooled.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::across::DayOfTrial;
use super::analyse::{Prepared, analyse_owned, timezone};
use super::merge::merge;
use super::names::{NamesOfDays, align};
use super::result::Analysis;
use super::settings::Settings;
use super::warning::Warning;
use crate::segmenter::{ConfigurationMark, LegMark};
use crate::track::{Position, Recording};
use crate::trial::notes::{Resolved, Timeline};

/// Analyses recordings that are already put together by days, as `clean::by_day` does; pure, as
/// [`super::analyse()`].
///
/// One day is analysed as [`analyse_owned`] does. Of several, each is analysed by itself and the comparisons
/// are pooled; configurations and settings are matched by the names in the notes, or else by their order.
/// Where the notes leave each day one configuration only, all days are one trial: then a change of the
/// weather from day to day cannot be told from a change of the boat, which is warned of.
pub fn analyse_days(mut days: Vec<Vec<Recording>>, asked: &Settings) -> Analysis {
    if days.len() < 2 {
        return analyse_owned(days.pop().unwrap_or_default(), asked);
    }
    let noted = noted(&days, asked);
    // Only notes that name configurations can make one trial of all days.
    let whole: Option<Vec<Recording>> = noted
        .has_configurations
        .then(|| days.iter().flatten().cloned().collect());
    let mut prepared: Vec<Prepared> = days
        .into_par_iter()
        .zip(&noted.days)
        .map(|(day, noted)| Prepared::of(day, asked, |_| noted.clone()))
        .collect();
    let names = align(&mut prepared);
    if let Some(whole) = whole
        && names.configurations.len() > 1
        && !any_compares(&prepared)
    {
        let mut one = analyse_owned(whole, asked);
        one.warnings.insert(0, Warning::ComparedAcrossDays);
        return one;
    }
    let analyses: Vec<Analysis> = prepared
        .into_par_iter()
        .map(|day| day.finish(asked))
        .collect();
    let days = (1..).zip(analyses);
    let days = days.map(|(day, analysis)| DayOfTrial { day, analysis });
    let mut merged = merge(days.collect(), &names, asked);
    let problems = noted.problems.into_iter();
    merged
        .warnings
        .splice(0..0, problems.map(|what| Warning::Notes { what }));
    if !noted.has_configurations && any_second(&names) {
        merged.warnings.push(Warning::MatchedByOrder {
            configurations: names.configurations.clone(),
        });
    }
    merged
}

fn any_second(names: &NamesOfDays) -> bool {
    names.configurations.len() > 1
}

fn any_compares(prepared: &[Prepared]) -> bool {
    prepared.iter().any(|day| {
        let mut of_runs = day.assigned.runs.iter().map(|run| run.configuration);
        let first = of_runs.next();
        of_runs.any(|other| Some(other) != first)
    })
}

/// What the notes say, day by day.
struct NotedDays {
    days: Vec<Resolved>,
    problems: Vec<String>,
    has_configurations: bool,
}

/// The notes' times are looked up in all days at once, so that one that fits a single day is that
/// day's, and one that fits several is told.
fn noted(days: &[Vec<Recording>], asked: &Settings) -> NotedDays {
    let Some(notes) = &asked.notes else {
        return NotedDays {
            days: vec![Resolved::default(); days.len()],
            problems: Vec::new(),
            has_configurations: false,
        };
    };
    let (_, zone): (_, TimeZone) = timezone(asked, begun(days));
    let mut whole = Timeline::of(days.iter().flatten()).resolve(notes, &zone);
    let problems = std::mem::take(&mut whole.problems);
    let spans: Vec<Option<Span>> = days.iter().map(|day| span(day)).collect();
    NotedDays {
        has_configurations: !whole.configurations.is_empty(),
        days: spans.iter().map(|span| of_day(&whole, *span)).collect(),
        problems,
    }
}

#[derive(Clone, Copy)]
struct Span {
    from: Timestamp,
    to: Timestamp,
}

fn fixes(recordings: &[Recording]) -> impl Iterator<Item = &crate::track::Fix> {
    let tracks = recordings.iter().flat_map(|recording| &recording.tracks);
    tracks.flat_map(|track| track.segments.iter().flatten())
}

/// Where the recordings begin; a receiver without a position writes 0, 0.
fn begun(days: &[Vec<Recording>]) -> Option<Position> {
    days.iter()
        .flat_map(|day| fixes(day))
        .map(|fix| fix.position)
        .find(|at| at.latitude() != 0.0 || at.longitude() != 0.0)
}

fn span(day: &[Recording]) -> Option<Span> {
    Some(Span {
        from: fixes(day).map(|fix| fix.time).min()?,
        to: fixes(day).map(|fix| fix.time).max()?,
    })
}

/// What the notes of the whole say of one day: what is fitted from within it, what was on the boat
/// when it began, and corrections of its legs.
fn of_day(whole: &Resolved, span: Option<Span>) -> Resolved {
    let within = |at: Timestamp| span.is_some_and(|s| (s.from..=s.to).contains(&at));
    let before = |mark: &&ConfigurationMark| match (mark.from, span) {
        (Some(from), Some(span)) => from < span.from,
        _ => false,
    };
    let timed = whole.configurations.iter().any(|mark| mark.from.is_some());
    let configurations = if timed {
        let latest = (whole.configurations.iter().filter(before)).max_by_key(|mark| mark.from);
        // Without a mark before it the first of the list was on the boat.
        let first = latest.or_else(|| whole.configurations.first().filter(|m| m.from.is_none()));
        let fitted = whole.configurations.iter();
        let fitted = fitted.filter(|mark| mark.from.is_some_and(within));
        first.into_iter().chain(fitted).cloned().collect()
    } else {
        whole.configurations.clone()
    };
    let legs: Vec<LegMark> = (whole.legs.iter().filter(|mark| within(mark.at)))
        .cloned()
        .collect();
    Resolved {
        configurations,
        legs,
        ..whole.clone()
    }
}
