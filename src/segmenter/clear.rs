//! Whether configurations and settings told from the track alone may be relied on.
//!
//! The best reading of a day can still be a poor one. Four signs tell it, each tried on simulated
//! days whose truth is known: another reading is nearly as good; a configuration lacks a setting that
//! another has; one of three configurations or more has a cell of a single run where others have
//! several; the step between two settings is no wider than the runs of one scatter. What the notes
//! say is never in doubt.

use super::assign::Assigned;
use super::groups::{GroupRules, Run, groups_in_words};

/// Why the groups cannot be relied on, a sentence without its full stop; `None` where they can.
pub(super) fn doubt(assigned: &Assigned, runs: &[Run], rules: &GroupRules) -> Option<String> {
    let read = format!(
        "The double runs were read as {}, but that is not clear",
        groups_in_words(count(assigned, |r| r.0), count(assigned, |r| r.1))
    );
    let by_track = !assigned.configurations_noted;
    let sure = &assigned.confidence;
    let why = if by_track && sure.configurations < rules.least_confidence
        || !assigned.settings_noted && sure.settings < rules.least_confidence
    {
        let other = assigned.second.as_deref();
        other.map_or_else(
            || "another reading fits nearly as well".to_owned(),
            |other| format!("{other} would fit nearly as well"),
        )
    } else if let Some(lack) = by_track.then(|| lacking(assigned)).flatten() {
        lack
    } else if by_track && odd_cell(assigned) {
        "one of the configurations stands on a single run at a setting, as if a pause had been taken for a change".to_owned()
    } else if !assigned.settings_noted && narrow_step(assigned, runs, rules) {
        "two settings lie no further apart than runs of one of them".to_owned()
    } else {
        return None;
    };
    Some(format!("{read}: {why}"))
}

/// Configuration and setting of each run.
fn cells(assigned: &Assigned) -> Vec<(usize, usize)> {
    let runs = assigned.runs.iter();
    runs.map(|run| (run.configuration, run.setting)).collect()
}

fn distinct(of: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut all: Vec<usize> = of.collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn count(assigned: &Assigned, part: impl Fn(&(usize, usize)) -> usize) -> usize {
    distinct(cells(assigned).iter().map(part)).len()
}

/// A configuration without a setting that another one has.
fn lacking(assigned: &Assigned) -> Option<String> {
    let cells = cells(assigned);
    let settings = distinct(cells.iter().map(|cell| cell.1));
    for configuration in distinct(cells.iter().map(|cell| cell.0)) {
        for setting in &settings {
            if !cells.contains(&(configuration, *setting)) {
                let name = |names: &[String], at: usize| names.get(at).cloned().unwrap_or_default();
                return Some(format!(
                    "configuration {} has no run at setting {}, which another has",
                    name(&assigned.configurations, configuration),
                    name(&assigned.settings, *setting)
                ));
            }
        }
    }
    None
}

/// Whether three configurations or more have some cell of one run beside others of several.
fn odd_cell(assigned: &Assigned) -> bool {
    let cells = cells(assigned);
    if distinct(cells.iter().map(|cell| cell.0)).len() < MANY_CONFIGURATIONS {
        return false;
    }
    let of = |cell: &(usize, usize)| cells.iter().filter(|other| *other == cell).count();
    cells.iter().any(|cell| of(cell) == 1) && cells.iter().any(|cell| of(cell) > 1)
}

/// From so many on, pauses taken for changes are the likelier explanation. Source: our own simulated days.
const MANY_CONFIGURATIONS: usize = 3;

/// Whether neighbouring settings of a configuration are closer than so many times the widest cell.
fn narrow_step(assigned: &Assigned, runs: &[Run], rules: &GroupRules) -> bool {
    let cells = cells(assigned);
    let (mut step, mut widest) = (f64::INFINITY, 0.0_f64);
    for configuration in distinct(cells.iter().map(|cell| cell.0)) {
        let mut before: Option<f64> = None;
        for setting in distinct(cells.iter().map(|cell| cell.1)) {
            let own = cells.iter().zip(runs);
            let own = own.filter(|(cell, _)| **cell == (configuration, setting));
            let speeds: Vec<f64> = own.map(|(_, run)| run.log_speed).collect();
            if speeds.is_empty() {
                continue;
            }
            let low = speeds.iter().copied().fold(f64::INFINITY, f64::min);
            let high = speeds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            widest = widest.max(high - low);
            step = before.map_or(step, |before| step.min(low - before));
            before = Some(high);
        }
    }
    step < rules.least_step * widest
}
