//! What could be wrong, and by how much it could move the answer.

use super::{headline_comparisons, name, pair_title};
use crate::compare::{Comparison, Doubt, DoubtKind};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, signed};
use crate::trial::Trial;

/// Below this a figure would print as nothing, percentage points.
const WORTH_SAYING_PERCENT: f64 = 0.05;

/// What could move the answers most, a sentence each, at most so many, the gravest first.
pub(crate) fn doubts(trial: &Trial, most: usize) -> Vec<String> {
    let several = trial.configurations.len() > 2;
    let compared = headline_comparisons(trial).into_iter();
    let mut all: Vec<(&Comparison, &Doubt)> = compared
        .flat_map(|c| c.doubts.iter().map(move |doubt| (c, doubt)))
        .collect();
    all.sort_by(|(_, a), (_, b)| b.could_move_percent.total_cmp(&a.could_move_percent));
    let said = all.into_iter().take(most).map(|(comparison, doubt)| {
        let whose = if several {
            format!(" ({})", pair_title(comparison))
        } else {
            String::new()
        };
        sentence(trial, comparison, doubt, &whose)
    });
    said.collect()
}

fn sentence(trial: &Trial, comparison: &Comparison, doubt: &Doubt, whose: &str) -> String {
    let s = NO_BREAK_SPACE;
    let by = fixed(doubt.could_move_percent, 1);
    let taken_out = (doubt.taken_out_percent)
        .filter(|percent| percent.abs() >= WORTH_SAYING_PERCENT)
        .map_or_else(String::new, |percent| {
            format!("; {}{s}% is already taken out", signed(percent, 1))
        });
    match doubt.kind {
        DoubtKind::Time => format!(
            "Conditions that drift through a day, such as battery, weeds or load{}: they could move the answer by up to {by} percentage points either way{whose}{taken_out}.",
            not_again(trial, comparison)
        ),
        DoubtKind::Wind => format!(
            "Wind or current that was not the same for both: up to {by} percentage points{whose}{taken_out}."
        ),
        DoubtKind::DoubleRun(number) => format!(
            "One double run that weighs much: without number{s}{number} the answer would move by {by} percentage points{whose}."
        ),
    }
}

/// That the baseline was not gone back to, so that a drift looks the same as a change.
fn not_again(trial: &Trial, comparison: &Comparison) -> String {
    let at = |own: bool| {
        let runs = trial.double_runs.iter();
        runs.filter(move |run| (run.configuration == comparison.baseline) == own)
            .map(|run| run.at)
    };
    match (at(true).max(), at(false).min()) {
        (Some(last), Some(first)) if last < first => {
            format!(
                " ({} was not run again at the end)",
                name(&comparison.baseline)
            )
        }
        _ => String::new(),
    }
}
