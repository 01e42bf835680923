//! When the track was recorded, and which of several instants a written time means.

use std::collections::BTreeSet;

use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use crate::track::Recording;

/// A longer silence parts two outings. Common practice, no source: longer than any stop on the
/// water, shorter than a night.
const SILENCE: SignedDuration = SignedDuration::from_hours(6);

/// Times are often written to the minute, so one may lie this far outside the track.
const TOLERANCE: SignedDuration = SignedDuration::from_mins(1);

/// A span in which the track never fell silent for long.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Outing {
    pub(super) start: Timestamp,
    pub(super) end: Timestamp,
}

/// The outings of the recordings, in order of time; a lone fix with a false date is one of its own.
pub(super) fn outings<'a>(recordings: impl Iterator<Item = &'a Recording>) -> Vec<Outing> {
    let mut times: Vec<Timestamp> = recordings
        .flat_map(|recording| &recording.tracks)
        .flat_map(|track| &track.segments)
        .flatten()
        .map(|fix| fix.time)
        .collect();
    times.sort_unstable();
    let mut outings: Vec<Outing> = Vec::new();
    for time in times {
        match outings.last_mut() {
            Some(last) if time.duration_since(last.end) <= SILENCE => last.end = time,
            _ => outings.push(Outing {
                start: time,
                end: time,
            }),
        }
    }
    outings
}

/// The local dates the outings touch.
pub(super) fn dates(outings: &[Outing], zone: &TimeZone) -> BTreeSet<Date> {
    let mut dates = BTreeSet::new();
    for outing in outings {
        let last = zone.to_datetime(outing.end).date();
        let mut date = zone.to_datetime(outing.start).date();
        dates.insert(date);
        while date < last {
            let Ok(next) = date.tomorrow() else { break };
            date = next;
            dates.insert(date);
        }
    }
    dates
}

/// The instants a local time stands for: none where the clocks skipped it, two where they ran
/// through it twice.
pub(super) fn instants(local: DateTime, zone: &TimeZone) -> Vec<Timestamp> {
    let ambiguous = zone.to_ambiguous_timestamp(local);
    match ambiguous.offset() {
        AmbiguousOffset::Gap { .. } => Vec::new(),
        AmbiguousOffset::Unambiguous { offset } => offset.to_timestamp(local).into_iter().collect(),
        AmbiguousOffset::Fold { before, after } => [before, after]
            .iter()
            .filter_map(|offset| offset.to_timestamp(local).ok())
            .collect(),
    }
}

/// Why none of the instants is the one meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Miss {
    /// These would all do.
    Several(Vec<Timestamp>),
    /// None lies where it should.
    Outside,
}

/// The one of `candidates` that is meant: inside an outing; else between outings; else, where
/// `may_precede`, the last before the first of them.
pub(super) fn pick(
    candidates: &[Timestamp],
    outings: &[Outing],
    may_precede: bool,
) -> Result<Timestamp, Miss> {
    let (Some(first), Some(last)) = (outings.first(), outings.last()) else {
        return Err(Miss::Outside);
    };
    let whole = [Outing {
        start: first.start,
        end: last.end,
    }];
    for spans in [outings, &whole] {
        let inside: Vec<Timestamp> = candidates
            .iter()
            .copied()
            .filter(|time| spans.iter().any(|span| reaches(span, *time)))
            .collect();
        match inside.as_slice() {
            [] => {}
            [only] => return Ok(*only),
            _ => return Err(Miss::Several(inside)),
        }
    }
    let before = candidates.iter().filter(|time| **time < first.start).max();
    before.filter(|_| may_precede).copied().ok_or(Miss::Outside)
}

fn reaches(span: &Outing, time: Timestamp) -> bool {
    span.start.duration_since(time) <= TOLERANCE && time.duration_since(span.end) <= TOLERANCE
}
