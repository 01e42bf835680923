//! Several days on the water: each analysed by itself, then put together.
//!
//! A day has its own wind and its own settling. What days share are the names of what
//! was compared, so these are made one list first; then the legs of each day
//! are found and numbered on from the day before, and all double runs are compared by one model.

use std::ops::Range;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use rayon::prelude::*;

use super::across::DayOfTrial;
use super::analyse::{Prepared, analyse_owned, timezone};
use super::merge::merge;
use super::names::align;
use super::result::Analysis;
use super::settings::Settings;
use super::warning::Warning;
use crate::notes::{ConfigurationNote, Correction, LegName, LegNote, Resolved, Timeline};
use crate::segmenter::Segmented;
use crate::track::{Position, Recording};

/// Analyses recordings that are already put together by days, as `clean::by_day` does; pure, as
/// [`super::analyse()`].
///
/// One day is analysed as [`analyse_owned`] does. Of several, each is analysed by itself, and the
/// comparison is made of all double runs by one model with an effect of the day; configurations and
/// settings are matched by the names in the notes, or else by their order. Where each day had one
/// configuration only, that effect is as large as any change of the boat, which is warned of.
pub fn analyse_days(mut days: Vec<Vec<Recording>>, asked: &Settings) -> Analysis {
    if days.len() < 2 {
        return analyse_owned(days.pop().unwrap_or_default(), asked);
    }
    let noted = noted(&days, asked);
    let mut prepared: Vec<Prepared> = days
        .into_par_iter()
        .zip(&noted.days)
        .map(|(day, noted)| Prepared::of(day, asked, |_| noted.clone()))
        .collect();
    let mut legs_before = 0;
    for day in &mut prepared {
        day.noted.legs_before = legs_before;
        legs_before += day.found.as_ref().map_or(0, Segmented::last_number);
    }
    let names = align(&mut prepared);
    let across = names.configurations.len() > 1 && !any_compares(&prepared);
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
    if across {
        merged.warnings.insert(0, Warning::ComparedAcrossDays);
    } else if !noted.has_configurations && names.configurations.len() > 1 {
        merged.warnings.push(Warning::MatchedByOrder {
            configurations: names.configurations.clone(),
        });
    }
    merged
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
    let is_numbered = |note: &LegNote| {
        let pairs = note.corrections.iter();
        let of_pair = |it: &Correction| matches!(it, Correction::PairWith(LegName::Number(_)));
        matches!(note.leg, LegName::Number(_)) || pairs.into_iter().any(of_pair)
    };
    let numbered = notes.legs.iter().any(is_numbered);
    // Legs are numbered through all days, so the numbers of a day are known once the legs of those
    // before it are found.
    let counts: Vec<usize> = if numbered {
        let legs = |day: &Vec<Recording>| {
            let prepared = Prepared::of(day.clone(), asked, |_| Resolved::default());
            prepared.found.map_or(0, |found| found.last_number())
        };
        days.par_iter().map(legs).collect()
    } else {
        vec![0; days.len()]
    };
    let mut first = 1;
    let mut of_days = Vec::new();
    for (index, (day, legs)) in days.iter().zip(counts).enumerate() {
        // A number beyond the last is the last day's to object to.
        let is_last = index + 1 == days.len();
        let last = if is_last { usize::MAX } else { first + legs };
        of_days.push(of_day(&whole, span(day), first..last));
        first += legs;
    }
    NotedDays {
        has_configurations: !whole.marks.configurations.is_empty(),
        days: of_days,
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

/// What the notes of the whole say of one day, whose legs have these numbers: what is fitted from
/// within it, what was on the boat when it began, and corrections of its legs.
fn of_day(whole: &Resolved, span: Option<Span>, numbers: Range<usize>) -> Resolved {
    let within = |at: Timestamp| span.is_some_and(|s| (s.from..=s.to).contains(&at));
    let before = |mark: &&ConfigurationNote<Timestamp>| match (mark.from, span) {
        (Some(from), Some(span)) => from < span.from,
        _ => false,
    };
    let mut day = whole.clone();
    if whole
        .marks
        .configurations
        .iter()
        .any(|mark| mark.from.is_some())
    {
        let latest =
            (whole.marks.configurations.iter().filter(before)).max_by_key(|mark| mark.from);
        // Without a mark before it the first of the list was on the boat.
        let first = latest.or_else(|| {
            whole
                .marks
                .configurations
                .first()
                .filter(|m| m.from.is_none())
        });
        let fitted = whole.marks.configurations.iter();
        let fitted = fitted.filter(|mark| mark.from.is_some_and(within));
        day.marks.configurations = first.into_iter().chain(fitted).cloned().collect();
    }
    let own = |leg: LegName<Timestamp>| match leg {
        LegName::At(at) => within(at).then_some(leg),
        LegName::Number(number) => {
            (numbers.contains(&number)).then(|| LegName::Number(number + 1 - numbers.start))
        }
    };
    day.marks.legs.clear();
    for note in &whole.marks.legs {
        let Some(leg) = own(note.leg) else { continue };
        let mut corrections = Vec::new();
        for correction in &note.corrections {
            match correction {
                Correction::PairWith(other) => match own(*other) {
                    Some(other) => corrections.push(Correction::PairWith(other)),
                    None => day.object(note.line, "pair: the two legs lie on different days"),
                },
                other => corrections.push(other.clone()),
            }
        }
        day.marks.legs.push(LegNote {
            leg,
            corrections,
            ..*note
        });
    }
    day
}
