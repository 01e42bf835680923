//! The groups of the result.

use jiff::Timestamp;

use super::result::{Configuration, GroupSource, Setting};
use crate::segmenter::{Assigned, Run, Segmented};

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
