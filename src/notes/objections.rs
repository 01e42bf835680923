//! What of the notes could not be used, in words.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::clock::Clock;
use super::marks::{NoPair, Objection, ObjectionKind};
use super::resolve::Resolved;
use super::shift::question;

/// Everything that could not be used as written, one sentence each without its full stop: what
/// leaves a leg without its counterpart first, then the times that mean nothing, then the rest.
///
/// `stops` are the spans in which a part may have been swapped.
pub fn sentences(
    noted: &Resolved,
    objections: &[Objection],
    stops: &[[Timestamp; 2]],
    zone: &TimeZone,
    clock: &Clock,
) -> Vec<String> {
    let file = &noted.notes.file;
    let words = Words { clock };
    let (first, rest): (Vec<&Objection>, Vec<&Objection>) = objections
        .iter()
        .partition(|objection| matches!(objection.what, ObjectionKind::LeftUnpaired { .. }));
    let worded = |objection: &Objection| {
        let what = words.of(&objection.what);
        match objection.line {
            0 => format!("{file}: {what}"),
            line => format!("{file}, line {line}: {what}"),
        }
    };
    let asked = zone_question(noted, objections, stops, zone);
    let first = first.into_iter().map(worded);
    let asked = asked.map(|asked| format!("{file}: {asked}"));
    first
        .chain(noted.problems.iter().cloned())
        .chain(asked)
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
    let missed = objections.iter().filter(|objection| {
        matches!(
            objection.what,
            ObjectionKind::SwapUnderWay { used: None, .. } | ObjectionKind::NoRunWith { .. }
        )
    });
    let swaps = noted.marks.configurations.iter().skip(1);
    let times: Vec<Vec<Timestamp>> = swaps.filter_map(|m| m.from).map(|t| vec![t]).collect();
    if 2 * missed.count() <= times.len() {
        return None;
    }
    let in_a_stop = |time| stops.iter().any(|[from, to]| (*from..=*to).contains(&time));
    question(&times, zone, noted.place, in_a_stop)
}

fn leg_name(number: usize) -> String {
    format!("leg {number}")
}

struct Words<'a> {
    clock: &'a Clock,
}

impl Words<'_> {
    #[expect(clippy::too_many_lines, reason = "one arm for each objection")]
    fn of(&self, what: &ObjectionKind) -> String {
        let clock = self.clock;
        match what {
            ObjectionKind::SwapUnderWay {
                name,
                at,
                leg,
                span,
                used,
                nearest,
            } => {
                let instead = match used {
                    Some(used) => format!("the stop from {} was taken instead", clock.about(*used)),
                    None => format!("{}, so the time was not used", self.idle(*nearest)),
                };
                let (at, leg, span) = (clock.shown(*at), leg_name(*leg), clock.span(*span));
                format!(
                    "no stop at {at}, when `{name}` was to be fitted: {leg} was under way, {span}; \
                     {instead}"
                )
            }
            ObjectionKind::CameBack {
                name,
                earlier,
                stop: [from, to],
            } => format!(
                "after the stop from {} the boat was as fast as with `{earlier}` again, but the notes \
                 still have `{name}`; if `{earlier}` was fitted again, add a [[configuration]] with \
                 its name and a time in that stop",
                clock.span([*from, *to])
            ),
            ObjectionKind::SwapWithoutStop { name, at, nearest } => format!(
                "no stop at {}, when `{name}` was to be fitted; {}; the time was used as it is",
                clock.shown(*at),
                self.idle(Some(*nearest))
            ),
            ObjectionKind::NoRunWith { name, at, nearest } => format!(
                "no double run was made with `{name}`, which was to be fitted at {}; {}",
                clock.shown(*at),
                self.idle(*nearest)
            ),
            ObjectionKind::NoSuchLeg { number, last } => format!(
                "there is no {}: {}",
                leg_name(*number),
                match last {
                    0 => "no leg was found".to_owned(),
                    last => format!("the last is {}", leg_name(*last)),
                }
            ),
            ObjectionKind::NoLegAt { at, nearest } => format!(
                "no leg was under way at {}{}",
                clock.shown(*at),
                nearest.map_or_else(String::new, |(leg, span)| format!(
                    "; the nearest is {}, {}",
                    leg_name(leg),
                    clock.span(span)
                ))
            ),
            ObjectionKind::CannotJoin {
                leg,
                next,
                other_file,
            } => match next {
                None => format!("{} has no next leg to join", leg_name(*leg)),
                Some(next) => format!(
                    "{} and {} cannot be joined{}",
                    leg_name(*leg),
                    leg_name(*next),
                    if *other_file {
                        ": they lie in different recordings"
                    } else {
                        ""
                    }
                ),
            },
            ObjectionKind::CutOutside { leg, at, span } => format!(
                "{} cannot be cut at {}: it was run from {}",
                leg_name(*leg),
                clock.shown(*at),
                clock.span(*span)
            ),
            ObjectionKind::EndsOutside { leg, at, span } => format!(
                "{} cannot have an end at {}: its ends may lie from {}",
                leg_name(*leg),
                clock.shown(*at),
                clock.span(*span)
            ),
            ObjectionKind::CannotPair { legs, why } => self.no_pair(*legs, *why),
            ObjectionKind::Contradiction { leg, with_line } => format!(
                "this correction of {} and that on line {with_line} exclude each other; \
                 neither was applied",
                leg_name(*leg)
            ),
            ObjectionKind::LeftUnpaired { leg, other } => format!(
                "what the notes say of {} leaves {} without its counterpart, so that one no longer \
                 counts",
                leg_name(*leg),
                leg_name(*other)
            ),
            ObjectionKind::NotInRun { leg, name } => format!(
                "{} is part of no double run, so `{name}` says nothing about it",
                leg_name(*leg)
            ),
            ObjectionKind::NamesDoNotFit {
                configurations,
                named,
                found,
            } => names_do_not_fit(*configurations, *named, *found),
        }
    }

    fn idle(&self, nearest: Option<[Timestamp; 2]>) -> String {
        nearest.map_or_else(
            || "the track shows no stop".to_owned(),
            |stop| format!("the boat lay idle {}", self.clock.about(stop)),
        )
    }

    fn no_pair(&self, legs: [usize; 2], why: NoPair) -> String {
        let [one, other] = legs.map(|leg| leg_name(leg));
        let why = match why {
            NoPair::SameLeg => return format!("{one} cannot be paired with itself"),
            NoPair::SameWay => "both were run the same way".to_owned(),
            NoPair::FarApart => "they lie too far apart".to_owned(),
            NoPair::AlreadyPaired(with) => {
                format!("one of them is already paired with {}", leg_name(with))
            }
            NoPair::OtherRecording => "they lie in different recordings".to_owned(),
        };
        format!("{one} and {other} cannot be a double run: {why}")
    }
}

fn names_do_not_fit(configurations: bool, named: usize, found: usize) -> String {
    let (kind, times) = if configurations {
        ("configuration", " without times")
    } else {
        ("setting", "")
    };
    let plural = if named == 1 { "" } else { "s" };
    format!(
        "{named} {kind}{plural} named{times}, but the track shows {found}, so the names were not used"
    )
}
