//! What of the notes could not be used, in sentences.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::resolve::{Resolved, other_zone};

/// What of the notes could not be used as written, or was used with a doubt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Objection {
    /// Line in the notes, from 1.
    line: usize,
    about: About,
    /// What is wrong, without its full stop.
    what: String,
}

/// What an objection is about, as far as that matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum About {
    /// A leg that lost the one it made a double run with; such come first.
    Unpaired,
    /// A swap at a time that could not be used; many of them point to another time zone.
    MissedSwap,
    Other,
}

impl Objection {
    pub(super) fn new(line: usize, about: About, what: String) -> Self {
        Self { line, about, what }
    }
}

/// Everything that could not be used as written, one sentence each without its full stop: what
/// leaves a leg without its counterpart first, then the times that mean nothing, then the rest.
///
/// `stops` are the spans in which a part may have been swapped.
pub fn sentences(
    noted: &Resolved,
    objections: &[Objection],
    stops: &[[Timestamp; 2]],
    zone: &TimeZone,
) -> Vec<String> {
    let file = &noted.notes.file;
    let worded =
        |objection: &Objection| format!("{file}, line {}: {}", objection.line, objection.what);
    let is_first = |objection: &&Objection| objection.about == About::Unpaired;
    let (first, rest): (Vec<&Objection>, Vec<&Objection>) = objections.iter().partition(is_first);
    let asked = zone_question(noted, objections, stops, zone);
    (first.into_iter().map(worded))
        .chain(noted.problems.iter().cloned())
        .chain(asked.map(|asked| format!("{file}: {asked}")))
        .chain(rest.into_iter().map(worded))
        .collect()
}

/// Whether another time zone was meant, where most swaps lie in no stop.
fn zone_question(
    noted: &Resolved,
    objections: &[Objection],
    stops: &[[Timestamp; 2]],
    zone: &TimeZone,
) -> Option<String> {
    let missed = objections.iter().filter(|o| o.about == About::MissedSwap);
    let swaps = noted.marks.configurations.iter().skip(1);
    let times: Vec<Vec<Timestamp>> = swaps.filter_map(|m| m.from).map(|t| vec![t]).collect();
    if 2 * missed.count() <= times.len() {
        return None;
    }
    let in_a_stop = |time| stops.iter().any(|[from, to]| (*from..=*to).contains(&time));
    other_zone(&times, zone, noted.place, in_a_stop)
}
