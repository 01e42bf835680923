//! Gives every double run its configuration and setting: by the notes as far as
//! they go, by the track where they do not.

use jiff::Timestamp;

use super::clear::doubt;
use super::groups::{Confidence, GroupRules, Run, group};
use super::marks::{Correction, LegRef, Marks, Objection, ObjectionKind};
use super::{Segmented, named};

/// Configurations and settings of all double runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Assigned {
    /// One entry per double run: indices into the names, and why it is left out.
    pub runs: Vec<AssignedRun>,
    /// Names of the configurations, in the order first run.
    pub configurations: Vec<String>,
    /// Whether the notes named them.
    pub configurations_noted: bool,
    /// Names of the settings, slowest first.
    pub settings: Vec<String>,
    /// Percent of full power of each setting, where noted.
    pub percents: Vec<Option<f64>>,
    /// Whether the notes named them.
    pub settings_noted: bool,
    /// Why the groups cannot be relied on, a sentence without its full stop; `None` where they can.
    pub unclear: Option<String>,
    /// The next best reading, in words.
    pub second: Option<String>,
    /// How sure the groups are as far as the track tells them.
    pub confidence: Confidence,
    /// What of the notes could not be used as written.
    pub objections: Vec<Objection>,
}

/// The groups of one double run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AssignedRun {
    /// Configuration.
    pub configuration: usize,
    /// Setting.
    pub setting: usize,
    /// Why it is left out of the comparison; `None` where it is not.
    pub left_out: Option<String>,
}

/// Assigns configurations and settings.
pub fn assign(found: &Segmented, marks: &Marks, rules: &GroupRules) -> Assigned {
    let runs: Vec<Run> = found
        .double_runs
        .iter()
        .enumerate()
        .map(|(index, run)| Run {
            stop_before: stop_before(index, found),
            log_speed: run.mean().ln(),
        })
        .collect();
    let mut objections = Vec::new();
    let boundaries = boundaries(marks, found);
    let wanted = (!marks.settings.is_empty()).then_some(marks.settings.len());
    let changes: Option<Vec<usize>> = boundaries.as_ref().map(|marked| {
        let mut changes: Vec<usize> = marked
            .iter()
            .map(|(from, _)| {
                found
                    .double_runs
                    .partition_point(|run| run.middle() < *from)
            })
            .filter(|index| (1..runs.len()).contains(index))
            .collect();
        changes.sort_unstable();
        changes.dedup();
        changes
    });
    let groups = group(&runs, changes.as_deref(), wanted, rules);
    let mut assigned = Assigned {
        second: groups.second,
        confidence: groups.confidence,
        runs: groups
            .configuration
            .iter()
            .zip(&groups.setting)
            .map(|(configuration, setting)| AssignedRun {
                configuration: *configuration,
                setting: *setting,
                left_out: None,
            })
            .collect(),
        ..Assigned::default()
    };
    match boundaries {
        Some(marked) => name_by_time(&mut assigned, found, &marked),
        None => name_in_order(&mut assigned, marks, &mut objections),
    }
    name_settings(&mut assigned, marks, &mut objections);
    correct(&mut assigned, found, marks, &mut objections);
    assigned.unclear = doubt(&assigned, &runs, rules);
    assigned.objections = objections;
    assigned
}

/// Longest stop between a double run and the one before it, s.
fn stop_before(index: usize, found: &Segmented) -> f64 {
    let (Some(run), Some(before)) = (
        found.double_runs.get(index),
        index.checked_sub(1).and_then(|i| found.double_runs.get(i)),
    ) else {
        return 0.0;
    };
    found
        .stops
        .iter()
        .map(|(from, to)| to.min(run.start) - from.max(before.end))
        .fold(0.0, f64::max)
}

/// When each noted configuration begins, in order of time; `None` where the notes give no time.
fn boundaries(marks: &Marks, found: &Segmented) -> Option<Vec<(f64, String)>> {
    let seconds = |time: Option<Timestamp>| time.map(|t| found.clock.seconds(t));
    if marks.configurations.iter().all(|c| c.from.is_none()) {
        return None;
    }
    let mut marked: Vec<(f64, String)> = marks
        .configurations
        .iter()
        .enumerate()
        .filter_map(|(index, mark)| {
            // The first one needs no time: it was on the boat from the start.
            let from = seconds(mark.from).or((index == 0).then_some(f64::NEG_INFINITY))?;
            Some((from, mark.name.clone()))
        })
        .collect();
    marked.sort_by(|a, b| a.0.total_cmp(&b.0));
    Some(marked)
}

fn name_by_time(assigned: &mut Assigned, found: &Segmented, marked: &[(f64, String)]) {
    assigned.configurations_noted = true;
    for (run, own) in found.double_runs.iter().zip(&mut assigned.runs) {
        let at = |t: f64| {
            let after = marked.partition_point(|(from, _)| *from <= t);
            // Runs before the first mark were made with the first configuration.
            marked.get(after.saturating_sub(1)).map(|(_, name)| name)
        };
        let Some(name) = at(run.middle()) else {
            continue;
        };
        if at(run.start) != at(run.end) {
            own.left_out = Some("the configuration was changed during it".to_owned());
        }
        own.configuration = position_of(&mut assigned.configurations, name);
    }
}

/// Where `name` stands among the names, which it joins if it is new.
fn position_of(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|n| n == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

fn name_in_order(assigned: &mut Assigned, marks: &Marks, objections: &mut Vec<Objection>) {
    let count = assigned
        .runs
        .iter()
        .map(|r| r.configuration + 1)
        .max()
        .unwrap_or(0);
    let noted = marks.configurations.len();
    if noted == count && noted > 0 {
        assigned.configurations = marks
            .configurations
            .iter()
            .map(|c| c.name.clone())
            .collect();
        assigned.configurations_noted = true;
        return;
    }
    if noted > 0 && !assigned.runs.is_empty() {
        objections.push(Objection {
            line: marks.configurations.first().map_or(0, |c| c.line),
            what: ObjectionKind::NamesDoNotFit {
                configurations: true,
                named: noted,
                found: count,
            },
        });
    }
    assigned.configurations = (0..count).map(letters).collect();
}

/// `A` to `Z`, then `AA`, `AB`, ….
fn letters(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{}{letter}", letters(more - 1)),
    }
}

fn name_settings(assigned: &mut Assigned, marks: &Marks, objections: &mut Vec<Objection>) {
    let count = assigned
        .runs
        .iter()
        .map(|r| r.setting + 1)
        .max()
        .unwrap_or(0);
    let noted = marks.settings.len();
    if noted == count && noted > 0 {
        assigned.settings = marks.settings.iter().map(|s| s.name.clone()).collect();
        assigned.percents = marks.settings.iter().map(|s| s.percent).collect();
        assigned.settings_noted = true;
        return;
    }
    if noted > 0 && !assigned.runs.is_empty() {
        objections.push(Objection {
            line: 0,
            what: ObjectionKind::NamesDoNotFit {
                configurations: false,
                named: noted,
                found: count,
            },
        });
    }
    assigned.settings = (1..=count).map(|n| n.to_string()).collect();
    assigned.percents = vec![None; count];
}

/// Applies what the notes say of single legs.
fn correct(
    assigned: &mut Assigned,
    found: &Segmented,
    marks: &Marks,
    objections: &mut Vec<Objection>,
) {
    for mark in &marks.legs {
        let mut object = |what| {
            objections.push(Objection {
                line: mark.line,
                what,
            });
        };
        let Some(leg) = named(&found.legs, mark.leg, found.clock) else {
            object(match mark.leg {
                LegRef::Number(number) => ObjectionKind::NoSuchLeg {
                    number,
                    last: found.legs.len(),
                },
                LegRef::At(at) => ObjectionKind::NoLegAt { at, nearest: None },
            });
            continue;
        };
        let (Correction::Configuration(name) | Correction::Setting(name)) = &mark.correction else {
            continue;
        };
        let run = found.double_runs.iter().position(|r| r.legs.contains(&leg));
        let Some(own) = run.and_then(|run| assigned.runs.get_mut(run)) else {
            object(ObjectionKind::NotInRun {
                leg: leg + 1,
                name: name.clone(),
            });
            continue;
        };
        if matches!(mark.correction, Correction::Setting(_)) {
            own.setting = position_of(&mut assigned.settings, name);
            assigned.percents.resize(assigned.settings.len(), None);
        } else {
            own.configuration = position_of(&mut assigned.configurations, name);
        }
    }
}
