//! What could be wrong, and by how much it could move the answer.

use super::{headline_comparisons, name, pair_title};
use crate::compare::{Comparison, Doubt, DoubtKind};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, signed};
use crate::trial::Trial;

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
    let by = format!("{} percentage points", fixed(doubt.could_move_percent, 1));
    match doubt.kind {
        DoubtKind::Time => format!(
            "Conditions that drift through a day, such as battery, weeds or load{}: up to {by} either way{whose}.",
            not_again(trial, comparison)
        ),
        DoubtKind::Wind => {
            let taken_out = doubt.taken_out_percent.map_or_else(String::new, |percent| {
                format!(", beside the {}{s}% already taken out", signed(percent, 1))
            });
            format!(
                "Wind or current that was not the same for both: up to {by} either way{taken_out}{whose}."
            )
        }
        DoubtKind::DoubleRun(number) => format!(
            "One double run that weighs much: without number{s}{number} the answer moves by {by}{whose}."
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
