//! The groups, cells and comparisons of the result.

use jiff::Timestamp;

use super::result::{Configuration, GroupSource, Setting};
use crate::segmenter::{Assigned, Run, Segmented};
use crate::trial::compare::RunSpeed;

/// The double runs that count, in order of time.
pub(super) struct Counted<'a> {
    found: &'a Segmented,
    pub(super) assigned: &'a Assigned,
    /// Indices of the double runs.
    pub runs: Vec<usize>,
    /// What the comparison sees of each.
    pub speeds: Vec<RunSpeed>,
}

impl<'a> Counted<'a> {
    pub(super) fn new(found: &'a Segmented, assigned: &'a Assigned) -> Self {
        let runs: Vec<usize> = (0..found.runs.len())
            .filter(|i| assigned.runs.get(*i).is_some_and(|r| !r.left_out))
            .collect();
        let speeds = runs
            .iter()
            .filter_map(|index| {
                let run = found.runs.get(*index)?;
                let own = assigned.runs.get(*index)?;
                Some(RunSpeed {
                    configuration: own.configuration,
                    setting: own.setting,
                    mean: run.speed,
                    se: run.se,
                })
            })
            .collect();
        Self {
            found,
            assigned,
            runs,
            speeds,
        }
    }
}

/// Configurations that hold a double run.
pub(super) fn configurations(found: &Segmented, assigned: &Assigned) -> Vec<Configuration> {
    assigned
        .configurations
        .iter()
        .enumerate()
        .filter_map(|(index, name)| {
            let own: Vec<&Run> = found
                .runs
                .iter()
                .zip(&assigned.runs)
                .filter(|(_, r)| r.configuration == index && !r.left_out)
                .map(|(run, _)| run)
                .collect();
            let time = |t: f64| -> Timestamp { found.clock.time(t) };
            Some(Configuration {
                name: name.clone(),
                from: time(own.first()?.start),
                to: time(own.last()?.end),
                source: source(assigned.configurations_noted),
                confidence: (assigned.probability).filter(|_| !assigned.configurations_noted),
            })
        })
        .collect()
}

/// Settings, slowest first.
pub(super) fn settings(assigned: &Assigned) -> Vec<Setting> {
    assigned
        .settings
        .iter()
        .enumerate()
        .map(|(index, name)| Setting {
            name: name.clone(),
            percent: assigned.percents.get(index).copied().flatten(),
            source: source(assigned.settings_noted),
            confidence: assigned.probability.filter(|_| !assigned.settings_noted),
        })
        .collect()
}

fn source(noted: bool) -> GroupSource {
    if noted {
        GroupSource::Notes
    } else {
        GroupSource::Track
    }
}
