//! What a person corrected: legs taken in, left out, joined, cut, given other ends, paired, and the
//! part or setting of one.

use jiff::Timestamp;

use super::note::{Correction, LegName, LegNote};
use super::objection::{About, Objection};
use super::when::Clock;
use crate::segmenter::{Assigned, Corrected, DayRead, LeftOut, Leg};

/// The corrections of one day's legs.
#[derive(Debug)]
pub(super) struct Corrections<'a> {
    pub(super) notes: &'a [LegNote<Timestamp>],
    /// The clock in which times are shown.
    pub(super) clock: &'a Clock,
}

/// One correction and the leg it is of.
#[derive(Debug)]
struct Of<'a> {
    line: usize,
    number: usize,
    /// The two legs that it makes a double run.
    pair: Option<[usize; 2]>,
    correction: &'a Correction<Timestamp>,
}

impl Of<'_> {
    /// Whether this and another cannot both be meant.
    fn excludes(&self, other: &Self) -> bool {
        use Correction::{Cut, End, Exclude, Include, JoinNext, Start};
        let leaves_out = |one: &Self, pair: [usize; 2]| {
            matches!(one.correction, Exclude(_)) && pair.contains(&one.number)
        };
        match (self.pair, other.pair) {
            (Some(a), Some(b)) => return a != b && a.iter().any(|number| b.contains(number)),
            (Some(pair), None) => return leaves_out(other, pair),
            (None, Some(pair)) => return leaves_out(self, pair),
            (None, None) => {}
        }
        let (a, b) = (self.correction, other.correction);
        self.number == other.number
            && match (a, b) {
                (Exclude(_), Include)
                | (Include, Exclude(_))
                | (JoinNext, Cut(_) | End(_))
                | (Cut(_) | End(_), JoinNext) => true,
                (Start(_), Start(_)) | (End(_), End(_)) => a != b,
                _ => false,
            }
    }
}

/// A leg that was given a configuration or setting, and the double run it belongs to.
#[derive(Debug)]
struct Named<'a> {
    line: usize,
    number: usize,
    run: Option<usize>,
    is_setting: bool,
    name: &'a str,
}

impl Corrections<'_> {
    /// Applies the corrections of legs, as far as they can be, and objects to the rest.
    ///
    /// A joined leg keeps the first number, the second half of a cut one gets the next free number.
    pub(super) fn of_legs(&self, day: &DayRead, objections: &mut Vec<Objection>) -> Corrected {
        // All are looked up before the first one changes anything.
        let mut looked_up: Vec<Of> = Vec::new();
        for note in self.correcting() {
            match self.number(day, &day.legs, note.leg) {
                Ok(number) => looked_up.extend(note.corrections.iter().map(|correction| Of {
                    line: note.line,
                    number,
                    pair: self.pair(day, number, correction),
                    correction,
                })),
                Err(why) => objections.push(Objection::new(note.line, About::Other, why)),
            }
        }
        let mut corrected = Corrected {
            legs: day.legs.clone(),
            ..Corrected::default()
        };
        for one in &looked_up {
            let result = match looked_up.iter().find(|other| one.excludes(other)) {
                Some(other) => Err(contradiction(one.number, other.line)),
                None => self.apply(day, one, &mut corrected),
            };
            if let Err(why) = result {
                objections.push(Objection::new(one.line, About::Other, why));
            }
        }
        corrected
    }

    /// The notes that correct something; the others only say what the motor drew.
    fn correcting(&self) -> impl Iterator<Item = &LegNote<Timestamp>> {
        let notes = self.notes.iter();
        notes.filter(|note| !note.corrections.is_empty())
    }

    /// The number of the leg that is meant.
    fn number(
        &self,
        day: &DayRead,
        legs: &[Leg],
        leg: LegName<Timestamp>,
    ) -> Result<usize, String> {
        let at = match leg {
            LegName::Number(number) if legs.iter().any(|l| l.number == number) => {
                return Ok(number);
            }
            LegName::Number(number) => return Err(no_such_leg(legs, number)),
            LegName::At(at) => at,
        };
        let t = day.clock().seconds(at);
        let off = |l: &Leg| (l.start - t).max(t - l.end);
        let nearest = legs.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        match nearest {
            Some(leg) if off(leg) <= 0.0 => Ok(leg.number),
            _ => Err(format!(
                "no leg was under way at {}{}",
                self.clock.shown(at),
                nearest.map_or_else(String::new, |leg| format!(
                    "; the nearest is leg {}, {}",
                    leg.number,
                    self.span(day, [leg.start, leg.end])
                ))
            )),
        }
    }

    fn pair(
        &self,
        day: &DayRead,
        number: usize,
        correction: &Correction<Timestamp>,
    ) -> Option<[usize; 2]> {
        let Correction::PairWith(other) = correction else {
            return None;
        };
        let other = self.number(day, &day.legs, *other).ok()?;
        Some([number.min(other), number.max(other)])
    }

    fn span(&self, day: &DayRead, span: [f64; 2]) -> String {
        self.clock.span(span.map(|t| day.clock().time(t)))
    }

    fn apply(&self, day: &DayRead, one: &Of, out: &mut Corrected) -> Result<(), String> {
        let number = one.number;
        // A leg that was joined to the one before it is part of that one now.
        let found = out.legs.iter().position(|leg| leg.number == number);
        let Some((at, leg)) = found.and_then(|at| Some((at, out.legs.get(at)?.clone()))) else {
            return Err(no_such_leg(&out.legs, number));
        };
        let measure = |number, span| day.measure(number, leg.track, span);
        let seconds = |when: &Timestamp| day.clock().seconds(*when);
        let made: Vec<Leg> = match one.correction {
            Correction::Include => {
                out.taken_in.push(number);
                return Ok(());
            }
            Correction::PairWith(other) => {
                let other = self.number(day, &out.legs, *other)?;
                return pair(day, &leg, other, out);
            }
            // They belong to the double run and are set when that is known.
            Correction::Configuration(_) | Correction::Setting(_) => return Ok(()),
            Correction::Exclude(reason) => vec![Leg {
                left_out: Some(LeftOut::Noted(reason.clone())),
                ..leg
            }],
            Correction::JoinNext => {
                let joined = join(day, &leg, out.legs.get(at + 1))?;
                out.legs.splice(at..=at + 1, [joined]);
                return Ok(());
            }
            Correction::Cut(when) => {
                let t = seconds(when);
                let cut = |l: &&Leg| l.number >= day.free_number();
                let free = day.free_number() + out.legs.iter().filter(cut).count();
                let within = leg.start < t && t < leg.end;
                let first = measure(number, [leg.start, t]).filter(|_| within);
                let halves = first.zip(measure(free, [t, leg.end]));
                let (first, second) = halves.ok_or_else(|| {
                    let (at, span) = (
                        self.clock.shown(*when),
                        self.span(day, [leg.start, leg.end]),
                    );
                    format!("leg {number} cannot be cut at {at}: it was run from {span}")
                })?;
                vec![first, second]
            }
            Correction::Start(when) | Correction::End(when) => {
                let t = seconds(when);
                let own = |l: &&Leg| l.track == leg.track;
                let (ends, possible) = if matches!(one.correction, Correction::Start(_)) {
                    let before = at
                        .checked_sub(1)
                        .and_then(|at| out.legs.get(at))
                        .filter(own);
                    let earliest = before.map_or(f64::NEG_INFINITY, |l| l.end);
                    ([t, leg.end], [earliest, leg.end])
                } else {
                    let after = out.legs.get(at + 1).filter(own);
                    let latest = after.map_or(f64::INFINITY, |l| l.start);
                    ([leg.start, t], [leg.start, latest])
                };
                let within = possible[0] <= t && t <= possible[1] && ends[0] < ends[1];
                let moved = measure(number, ends).filter(|_| within).ok_or_else(|| {
                    let (at, span) = (self.clock.shown(*when), self.span(day, possible));
                    format!("leg {number} cannot have an end at {at}: its ends may lie from {span}")
                })?;
                vec![moved]
            }
        };
        out.legs.splice(at..=at, made);
        Ok(())
    }

    /// Gives single double runs the configuration or setting that a person named.
    pub(super) fn of_runs(
        &self,
        day: &DayRead,
        assigned: &mut Assigned,
        objections: &mut Vec<Objection>,
    ) {
        let mut all: Vec<Named> = Vec::new();
        for note in self.notes {
            // A leg that is not there was objected to before.
            let Ok(number) = self.number(day, &day.legs, note.leg) else {
                continue;
            };
            let of = |leg: &usize| day.legs.get(*leg).is_some_and(|l| l.number == number);
            let run = day.runs.iter().position(|r| r.legs.iter().any(of));
            all.extend(note.corrections.iter().filter_map(|correction| {
                let (is_setting, name) = match correction {
                    Correction::Configuration(name) => (false, name),
                    Correction::Setting(name) => (true, name),
                    _ => return None,
                };
                Some(Named {
                    line: note.line,
                    number,
                    run,
                    is_setting,
                    name,
                })
            }));
        }
        for one in &all {
            let is_contrary = |other: &&Named| {
                let same = (other.run, other.is_setting) == (one.run, one.is_setting);
                same && other.name != one.name
            };
            let own = one.run.and_then(|run| assigned.runs.get_mut(run));
            let why = match (own, all.iter().find(is_contrary)) {
                (Some(_), Some(other)) => contradiction(one.number, other.line),
                (Some(own), None) if one.is_setting => {
                    own.setting = position_of(&mut assigned.settings, one.name);
                    assigned.percents.resize(assigned.settings.len(), None);
                    continue;
                }
                (Some(own), None) => {
                    own.configuration = position_of(&mut assigned.configurations, one.name);
                    continue;
                }
                (None, _) => format!(
                    "leg {} is part of no double run, so `{}` says nothing about it",
                    one.number, one.name
                ),
            };
            objections.push(Objection::new(one.line, About::Other, why));
        }
    }

    /// Objects to what left a leg without the one it made a double run with.
    pub(super) fn unpaired(&self, before: &DayRead, after: &DayRead) -> Vec<Objection> {
        let numbers = |day: &DayRead| -> Vec<[usize; 2]> {
            let number = |leg: usize| day.legs.get(leg).map_or(0, |l| l.number);
            day.runs.iter().map(|run| run.legs.map(number)).collect()
        };
        let (runs_before, runs_after) = (numbers(before), numbers(after));
        let is_noted = |number: usize| {
            let leg = after.legs.iter().find(|l| l.number == number);
            leg.is_some_and(|l| matches!(l.left_out, Some(LeftOut::Noted(_))))
        };
        let mut alone: Vec<usize> = Vec::new();
        let mut objections = Vec::new();
        for note in self.correcting() {
            let Ok(number) = self.number(before, &before.legs, note.leg) else {
                continue;
            };
            for [a, b] in runs_before.iter().filter(|run| run.contains(&number)) {
                let other = if *a == number { *b } else { *a };
                let in_run = runs_after.iter().any(|run| run.contains(&other));
                if in_run || is_noted(other) || alone.contains(&other) {
                    continue;
                }
                alone.push(other);
                let why = format!(
                    "what the notes say of leg {number} leaves leg {other} without its \
                     counterpart, so that one no longer counts"
                );
                objections.push(Objection::new(note.line, About::Unpaired, why));
            }
        }
        objections
    }
}

fn contradiction(number: usize, line: usize) -> String {
    format!(
        "this correction of leg {number} and that on line {line} exclude each other; neither was \
         applied"
    )
}

fn no_such_leg(legs: &[Leg], number: usize) -> String {
    match legs.iter().map(|l| l.number).max() {
        Some(last) => format!("there is no leg {number}: the last is leg {last}"),
        None => format!("there is no leg {number}: no leg was found"),
    }
}

fn join(day: &DayRead, leg: &Leg, next: Option<&Leg>) -> Result<Leg, String> {
    let number = leg.number;
    let next = next.ok_or_else(|| format!("leg {number} has no next leg to join"))?;
    let joined = (next.track == leg.track)
        .then(|| day.measure(number, leg.track, [leg.start, next.end]))
        .flatten();
    joined.ok_or_else(|| {
        let why = if day.recording(next.track) == day.recording(leg.track) {
            ""
        } else {
            ": they lie in different recordings"
        };
        format!("leg {number} and leg {} cannot be joined{why}", next.number)
    })
}

fn pair(day: &DayRead, leg: &Leg, other: usize, out: &mut Corrected) -> Result<(), String> {
    let pair = [leg.number.min(other), leg.number.max(other)];
    let Some(back) = out.legs.iter().find(|leg| leg.number == other) else {
        return Ok(());
    };
    if leg.number == other {
        return Err(format!("leg {other} cannot be paired with itself"));
    }
    let course = |l: &Leg| l.measured.as_ref().and_then(|m| m.motion.course());
    let courses = course(leg).zip(course(back));
    let why = if day.recording(leg.track) != day.recording(back.track) {
        "they lie in different recordings"
    } else if courses.is_none_or(|(there, back)| there.apart(back) <= 90.0) {
        "both were run the same way"
    } else {
        if !out.paired.contains(&pair) {
            out.paired.push(pair);
        }
        return Ok(());
    };
    let [one, other] = pair;
    Err(format!(
        "leg {one} and leg {other} cannot be a double run: {why}"
    ))
}

/// Where `name` is among the names, which it joins if it is new.
fn position_of(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|n| n == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}
