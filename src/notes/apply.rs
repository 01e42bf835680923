//! A day read once more with what a person said of it.

use super::corrections::{Edits, cells, edits, unpaired};
use super::marks::{Marks, Objection, ObjectionKind};
use super::swaps::{self, Swaps};
use crate::segmenter::{Assigned, DayRead, Known};

/// Reads a day once more, its legs corrected and its parts and settings as the notes have them, and
/// names what it finds; without notes the day stays as it was read.
pub fn apply(day: DayRead, marks: &Marks) -> (DayRead, Assigned, Vec<Objection>) {
    if marks.is_empty() {
        let assigned = day.assigned();
        return (day, assigned, Vec::new());
    }
    let Edits {
        corrected,
        mut objections,
    } = edits(&day, marks);
    let swaps = swaps::resolve(marks, &day, &mut objections);
    objections.extend(
        swaps
            .as_ref()
            .and_then(|swaps| came_back(&day, marks, swaps)),
    );
    let before = day.clone();
    let day = day.again(corrected, |middles| Known {
        parts: swaps
            .as_ref()
            .map(|swaps| middles.iter().map(|t| swaps.part_at(*t)).collect()),
        order: (swaps.is_none() && marks.configurations.len() > 1).then(|| marks.order()),
        settings: (!marks.settings.is_empty()).then_some(marks.settings.len()),
    });
    let mut assigned = day.assigned();
    name(&mut assigned, marks, swaps.as_ref(), &mut objections);
    cells(&mut assigned, &day, marks, &mut objections);
    unpaired(&before, &day, marks, &mut objections);
    (day, assigned, objections)
}

/// Less probable readings of the track question no notes, `[0, 1]`.
const SURE: f64 = 0.8;

/// A part that came back by the track, where the notes have one part on before and after a stop.
fn came_back(day: &DayRead, marks: &Marks, swaps: &Swaps) -> Option<Objection> {
    let read = day.assigned();
    if read.probability.is_none_or(|p| p < SURE) {
        return None;
    }
    let parts: Vec<(usize, usize)> = (read.runs.iter().zip(&day.runs))
        .map(|(found, run)| (found.configuration, swaps.part_at(run.middle())))
        .collect();
    let at = (1..parts.len()).find(|at| {
        let (Some(own), Some(last)) = (parts.get(*at), parts.get(at - 1)) else {
            return false;
        };
        own.0 != last.0 && own.1 == last.1 && parts.iter().take(at - 1).any(|p| p.0 == own.0)
    })?;
    let (own, before) = (parts.get(at)?, day.runs.get(at - 1)?);
    let first = parts
        .iter()
        .find(|p| p.0 == own.0)
        .filter(|p| p.1 != own.1)?;
    let run = day.runs.get(at)?;
    let stop = (day.stops().into_iter())
        .filter(|stop| stop.to > before.end && stop.from < run.start)
        .max_by(|a, b| a.duration().total_cmp(&b.duration()))?;
    let names = marks.names();
    let name = names.get(own.1)?;
    let mark = marks
        .configurations
        .iter()
        .find(|mark| mark.name == *name)?;
    Some(Objection {
        line: mark.line,
        what: ObjectionKind::CameBack {
            name: (*name).to_owned(),
            earlier: (*names.get(first.1)?).to_owned(),
            stop: [stop.from, stop.to].map(|t| day.clock().time(t)),
        },
    })
}

/// The names that the notes give, where they fit what was found.
fn name(
    assigned: &mut Assigned,
    marks: &Marks,
    swaps: Option<&Swaps>,
    objections: &mut Vec<Objection>,
) {
    let names: Vec<String> = marks.names().into_iter().map(str::to_owned).collect();
    let found = assigned.configurations.len();
    let line = marks.configurations.first().map_or(0, |c| c.line);
    if !names.is_empty() && (swaps.is_some() || names.len() == found) {
        assigned.configurations = names;
        assigned.configurations_noted = true;
    } else if !names.is_empty() && found > 0 {
        objections.push(Objection {
            line,
            what: ObjectionKind::NamesDoNotFit {
                configurations: true,
                named: names.len(),
                found,
            },
        });
    }
    let (named, found) = (marks.settings.len(), assigned.settings.len());
    if named > 0 && named == found {
        assigned.settings = marks.settings.iter().map(|s| s.name.clone()).collect();
        assigned.percents = marks.settings.iter().map(|s| s.percent).collect();
        assigned.settings_noted = true;
    } else if named > 0 && found > 0 {
        objections.push(Objection {
            line: 0,
            what: ObjectionKind::NamesDoNotFit {
                configurations: false,
                named,
                found,
            },
        });
    }
}
