//! What the notes of a trial say of one of its days.

use std::ops::Range;

use jiff::{SignedDuration, Timestamp};

use crate::notes::{ConfigurationNote, Correction, LegName, Marks, Resolved};

/// Times are often written to the minute.
const MINUTE: SignedDuration = SignedDuration::from_mins(1);

/// The marks that belong to a day which was recorded in `span` and whose legs have these numbers:
/// what was fitted in it, what was on the boat when it began, and corrections of its legs.
///
/// A pair of legs on different days goes into `noted` as a problem.
pub(super) fn of_day(
    noted: &mut Resolved,
    span: Option<[Timestamp; 2]>,
    numbers: &Range<usize>,
) -> Marks {
    let within = |at: Timestamp| span.is_some_and(|[from, to]| (from..=to).contains(&at));
    let before = |mark: &&ConfigurationNote<Timestamp>| match (mark.from, span) {
        (Some(from), Some([start, _])) => from < start,
        _ => false,
    };
    let whole = noted.marks.clone();
    let mut marks = Marks {
        legs: Vec::new(),
        ..whole.clone()
    };
    if whole.configurations.iter().any(|mark| mark.from.is_some()) {
        let latest = (whole.configurations.iter().filter(before)).max_by_key(|mark| mark.from);
        // Without a mark before it the first of the list was on the boat.
        let first = latest.or_else(|| whole.configurations.first().filter(|m| m.from.is_none()));
        let fitted = whole.configurations.iter();
        let fitted = fitted.filter(|mark| mark.from.is_some_and(within));
        marks.configurations = first.into_iter().chain(fitted).cloned().collect();
    }
    let is_own = |leg: LegName<Timestamp>| match leg {
        // A time to the minute may lie just outside the track; what it means is said of the day.
        LegName::At(at) => span.is_some_and(|[from, to]| {
            from.duration_since(at) <= MINUTE && at.duration_since(to) <= MINUTE
        }),
        LegName::Number(number) => numbers.contains(&number),
    };
    for mut note in whole.legs.into_iter().filter(|note| is_own(note.leg)) {
        note.corrections.retain(|correction| match correction {
            Correction::PairWith(other) if !is_own(*other) => {
                noted.object(note.line, "pair: the two legs lie on different days");
                false
            }
            _ => true,
        });
        marks.legs.push(note);
    }
    marks
}
