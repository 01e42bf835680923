//! What a person corrected: legs taken in, left out, joined, cut, given other ends, paired, and the
//! part or setting of one.

#![expect(
    clippy::result_large_err,
    reason = "an objection is rare, and is moved once"
)]

use super::marks::{Correction, LegMark, LegRef, Marks, NoPair, Objection, ObjectionKind};
use crate::geometry::Clock;
use crate::segmenter::{Assigned, Corrected, DayRead, LeftOut, Leg};

/// Legs as a person corrected them, and what could not be done.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Edits {
    pub corrected: Corrected,
    pub objections: Vec<Objection>,
}

/// Applies the corrections of legs, as far as they can be.
///
/// A joined leg keeps the first number, the second half of a cut one gets the next free number.
pub(super) fn edits(day: &DayRead, marks: &Marks) -> Edits {
    let mut done = Edits::default();
    done.corrected.legs.clone_from(&day.legs);
    // All are looked up before the first one changes anything.
    let looked_up: Vec<(&LegMark, usize)> = (marks.legs.iter())
        .filter_map(|mark| match number_of(&day.legs, mark.leg, day.clock()) {
            Ok(number) => Some((mark, number)),
            Err(what) => {
                done.object(mark.line, what);
                None
            }
        })
        .collect();
    for (mark, number) in &looked_up {
        let other = (looked_up.iter())
            .find(|(other, n)| n == number && excludes(&mark.correction, &other.correction));
        let result = match other {
            Some((other, _)) => Err(ObjectionKind::Contradiction {
                leg: *number,
                with_line: other.line,
            }),
            None => done.apply(mark, *number, day),
        };
        if let Err(what) = result {
            done.object(mark.line, what);
        }
    }
    done
}

/// Whether two corrections of one leg cannot both be meant.
fn excludes(a: &Correction, b: &Correction) -> bool {
    use Correction::{Cut, End, Exclude, Include, JoinNext, PairWith, Start};
    match (a, b) {
        (Exclude(_), Include | PairWith(_))
        | (Include | PairWith(_), Exclude(_))
        | (JoinNext, Cut(_) | End(_))
        | (Cut(_) | End(_), JoinNext) => true,
        (PairWith(a), PairWith(b)) => a != b,
        (Start(a), Start(b)) | (End(a), End(b)) => a != b,
        _ => false,
    }
}

/// The number of the leg that is meant.
fn number_of(legs: &[Leg], leg: LegRef, clock: Clock) -> Result<usize, ObjectionKind> {
    match leg {
        LegRef::Number(number) => match legs.iter().find(|l| l.number == number) {
            Some(_) => Ok(number),
            None => Err(ObjectionKind::NoSuchLeg {
                number,
                last: legs.iter().map(|l| l.number).max().unwrap_or(0),
            }),
        },
        LegRef::At(at) => {
            let t = clock.seconds(at);
            let off = |l: &Leg| (l.start - t).max(t - l.end);
            let nearest = legs.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            match nearest {
                Some(leg) if off(leg) <= 0.0 => Ok(leg.number),
                nearest => Err(ObjectionKind::NoLegAt {
                    at,
                    nearest: nearest.map(|l| (l.number, span(l, clock))),
                }),
            }
        }
    }
}

fn span(leg: &Leg, clock: Clock) -> [jiff::Timestamp; 2] {
    [clock.time(leg.start), clock.time(leg.end)]
}

impl Edits {
    fn object(&mut self, line: usize, what: ObjectionKind) {
        self.objections.push(Objection { line, what });
    }

    fn place(&self, number: usize) -> Option<usize> {
        self.corrected.legs.iter().position(|l| l.number == number)
    }

    #[expect(clippy::too_many_lines, reason = "one arm for each correction")]
    fn apply(&mut self, mark: &LegMark, number: usize, day: &DayRead) -> Result<(), ObjectionKind> {
        let clock = day.clock();
        // A leg that was joined to the one before it is part of that one now.
        let Some(at) = self.place(number) else {
            return Err(ObjectionKind::NoSuchLeg {
                number,
                last: self
                    .corrected
                    .legs
                    .iter()
                    .map(|l| l.number)
                    .max()
                    .unwrap_or(0),
            });
        };
        let Some(leg) = self.corrected.legs.get(at).cloned() else {
            return Ok(());
        };
        let neighbour = |back: bool| {
            let index = if back {
                at.checked_sub(1)
            } else {
                Some(at + 1)
            };
            index
                .and_then(|i| self.corrected.legs.get(i))
                .filter(|l| l.track == leg.track)
        };
        match &mark.correction {
            Correction::Include => self.corrected.taken_in.push(number),
            Correction::Exclude(reason) => {
                if let Some(leg) = self.corrected.legs.get_mut(at) {
                    leg.left_out = Some(LeftOut::Noted(reason.clone()));
                }
            }
            Correction::JoinNext => {
                let next = self.corrected.legs.get(at + 1);
                let recording = |l: &Leg| day.recording(l.track);
                let joined = next
                    .filter(|next| next.track == leg.track)
                    .and_then(|next| day.measure(number, leg.track, [leg.start, next.end]));
                let Some(joined) = joined else {
                    return Err(ObjectionKind::CannotJoin {
                        leg: number,
                        next: next.map(|l| l.number),
                        other_file: next.is_some_and(|n| recording(n) != recording(&leg)),
                    });
                };
                self.corrected.legs.splice(at..=at + 1, [joined]);
            }
            Correction::Cut(when) => {
                let t = clock.seconds(*when);
                let cut = |l: &&Leg| l.number >= day.free_number();
                let free = day.free_number() + self.corrected.legs.iter().filter(cut).count();
                let halves = (leg.start < t && t < leg.end)
                    .then(|| {
                        let first = day.measure(number, leg.track, [leg.start, t])?;
                        Some([first, day.measure(free, leg.track, [t, leg.end])?])
                    })
                    .flatten();
                let Some(halves) = halves else {
                    return Err(ObjectionKind::CutOutside {
                        leg: number,
                        at: *when,
                        span: span(&leg, clock),
                    });
                };
                self.corrected.legs.splice(at..=at, halves);
            }
            Correction::Start(when) | Correction::End(when) => {
                let t = clock.seconds(*when);
                let starts = matches!(mark.correction, Correction::Start(_));
                let (ends, possible) = if starts {
                    let earliest = neighbour(true).map_or(f64::NEG_INFINITY, |l| l.end);
                    ([t, leg.end], [earliest, leg.end])
                } else {
                    let latest = neighbour(false).map_or(f64::INFINITY, |l| l.start);
                    ([leg.start, t], [leg.start, latest])
                };
                let within = possible[0] <= t && t <= possible[1] && ends[0] < ends[1];
                let moved = within
                    .then(|| day.measure(number, leg.track, ends))
                    .flatten();
                match (moved, self.corrected.legs.get_mut(at)) {
                    (Some(moved), Some(slot)) => *slot = moved,
                    _ => {
                        return Err(ObjectionKind::EndsOutside {
                            leg: number,
                            at: *when,
                            span: possible.map(|t| clock.time(t)),
                        });
                    }
                }
            }
            Correction::PairWith(other) => {
                let other = number_of(&self.corrected.legs, *other, clock)?;
                self.pair(&leg, other, day)?;
            }
            // They belong to the double run and are set when that is known.
            Correction::Configuration(_) | Correction::Setting(_) => {}
        }
        Ok(())
    }

    fn pair(&mut self, leg: &Leg, other: usize, day: &DayRead) -> Result<(), ObjectionKind> {
        let legs = [leg.number.min(other), leg.number.max(other)];
        let refuse = |why: NoPair| Err(ObjectionKind::CannotPair { legs, why });
        if self.corrected.paired.contains(&legs) {
            return Ok(());
        }
        let taken = |n: usize| self.corrected.paired.iter().find(|p| p.contains(&n));
        let partner = |n: usize, p: &[usize; 2]| if p[0] == n { p[1] } else { p[0] };
        let Some(b) = self.place(other).and_then(|i| self.corrected.legs.get(i)) else {
            return Ok(());
        };
        if leg.number == other {
            return refuse(NoPair::SameLeg);
        }
        if let Some((n, pair)) = [leg.number, other]
            .iter()
            .find_map(|n| Some((*n, taken(*n)?)))
        {
            return refuse(NoPair::AlreadyPaired(partner(n, pair)));
        }
        if day.recording(leg.track) != day.recording(b.track) {
            return refuse(NoPair::OtherRecording);
        }
        let course = |l: &Leg| l.measured.as_ref().and_then(|m| m.motion.course());
        match (course(leg), course(b)) {
            (Some(there), Some(back)) if there.apart(back) > 90.0 => {
                self.corrected.paired.push(legs);
                Ok(())
            }
            _ => refuse(NoPair::SameWay),
        }
    }
}

/// Gives single double runs the configuration or setting that a person named.
pub(super) fn cells(
    assigned: &mut Assigned,
    found: &DayRead,
    marks: &Marks,
    objections: &mut Vec<Objection>,
) {
    for mark in &marks.legs {
        let (Correction::Configuration(name) | Correction::Setting(name)) = &mark.correction else {
            continue;
        };
        let Ok(number) = number_of(&found.legs, mark.leg, found.clock()) else {
            continue;
        };
        let of = |leg: &usize| found.legs.get(*leg).is_some_and(|l| l.number == number);
        let run = found.runs.iter().position(|r| r.legs.iter().any(of));
        let Some(own) = run.and_then(|run| assigned.runs.get_mut(run)) else {
            objections.push(Objection {
                line: mark.line,
                what: ObjectionKind::NotInRun {
                    leg: number,
                    name: name.clone(),
                },
            });
            continue;
        };
        if matches!(mark.correction, Correction::Configuration(_)) {
            own.configuration = position_of(&mut assigned.configurations, name);
        } else {
            own.setting = position_of(&mut assigned.settings, name);
            assigned.percents.resize(assigned.settings.len(), None);
        }
    }
}

/// Where `name` is among the names, which it joins if it is new.
fn position_of(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|n| n == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Legs that a correction left without the leg they made a double run with.
pub(super) fn unpaired(
    before: &DayRead,
    after: &DayRead,
    marks: &Marks,
    objections: &mut Vec<Objection>,
) {
    let number = |leg: usize, found: &DayRead| found.legs.get(leg).map(|l| l.number);
    let in_run = |n: usize| {
        let mut legs = after.runs.iter().flat_map(|r| r.legs);
        legs.any(|leg| number(leg, after) == Some(n))
    };
    for mark in &marks.legs {
        let Ok(corrected) = number_of(&before.legs, mark.leg, before.clock()) else {
            continue;
        };
        for run in &before.runs {
            let [Some(a), Some(b)] = run.legs.map(|leg| number(leg, before)) else {
                continue;
            };
            let other = match corrected {
                n if n == a => b,
                n if n == b => a,
                _ => continue,
            };
            let noted = (after.legs.iter())
                .any(|l| l.number == other && matches!(l.left_out, Some(LeftOut::Noted(_))));
            let known = (objections.iter()).any(
                |o| matches!(o.what, ObjectionKind::LeftUnpaired { other: o, .. } if o == other),
            );
            if !in_run(other) && !noted && !known {
                objections.push(Objection {
                    line: mark.line,
                    what: ObjectionKind::LeftUnpaired {
                        leg: corrected,
                        other,
                    },
                });
            }
        }
    }
}
