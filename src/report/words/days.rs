//! Several days in words.

use super::answer::headline_comparisons;
use super::{counted, list, one_line, pair_title, wind_in_short};
use crate::analysis::{AcrossDays, Analysis, Comparison};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, percent_decimals, signed};

/// How the days were pooled and how far they differ, a sentence or two for each pair; empty for one day.
pub fn across_days(analysis: &Analysis) -> Vec<String> {
    let several = analysis.configurations.len() > 2;
    headline_comparisons(analysis)
        .into_iter()
        .filter_map(|comparison| Some((comparison, comparison.across_days.as_ref()?)))
        .map(|(comparison, across)| pooled(comparison, across, several))
        .collect()
}

fn pooled(comparison: &Comparison, across: &AcrossDays, named: bool) -> String {
    let s = NO_BREAK_SPACE;
    let whose = if named {
        format!(", {}", pair_title(comparison))
    } else {
        String::new()
    };
    let days = counted(across.days.len(), "day", "days");
    let spread = if across.tau_percent < LEAST_SPREAD {
        "The days differ by no more than the errors of each allow".to_owned()
    } else {
        format!(
            "From day to day the true change differs by some {}{s}% (standard deviation), which the interval allows for",
            fixed(across.tau_percent, 1)
        )
    };
    let decimals = percent_decimals(&comparison.percent);
    let next = across.prediction_percent.map_or_else(String::new, |next| {
        format!(
            "; on one more such day it would lie between {} and {}{s}% (95{s}% prediction interval)",
            signed(next.low, decimals),
            signed(next.high, decimals)
        )
    });
    format!("{days} are pooled by random effects{whose}. {spread}{next}.")
}

/// Less is not worth a figure, percentage points.
const LEAST_SPREAD: f64 = 0.05;

/// The wind of each day, one after another.
pub(super) fn winds(analysis: &Analysis) -> String {
    let told: Vec<String> = analysis
        .days
        .iter()
        .map(|day| format!("Day {}: {}", day.day, wind_in_short(&day.analysis)))
        .collect();
    told.join(" ")
}

/// What was done about the wind on each day, days alike told together; none where nothing was compared.
pub(super) fn one_wind_of_days(analysis: &Analysis) -> Option<String> {
    let (mut taken, mut logged, mut left) = (Vec::new(), Vec::new(), Vec::new());
    let mut beside = Vec::new();
    for day in &analysis.days {
        let own = &day.analysis;
        if own.comparisons.is_empty() {
            continue;
        }
        if own.wind_covariate.as_ref().is_some_and(|c| c.applied) {
            logged.push(format!("day {}", day.day));
        } else if own.gauge.applied {
            taken.push(format!("day {}", day.day));
        } else if own.gauge.beside_current.is_some() {
            beside.push(format!("day {}", day.day));
        } else if let Some(why) = own.gauge.reason.as_deref() {
            let why = one_line(why);
            left.push(format!("day {} ({})", day.day, why.trim_end_matches('.')));
        }
    }
    if [&taken, &logged, &beside, &left]
        .iter()
        .all(|days| days.is_empty())
    {
        return None;
    }
    let mut out = Vec::new();
    if !taken.is_empty() {
        out.push(format!(
            "On {} the wind is taken out of the comparison: it shows in how much the two legs of a double run differ, and each run was brought to the mean wind of its day.",
            list(&taken)
        ));
    }
    if !beside.is_empty() {
        out.push(format!(
            "On {} wind and current were fitted together, and the configurations are compared in the middle wind of the day and no current.",
            list(&beside)
        ));
    }
    if !logged.is_empty() {
        out.push(format!(
            "On {} the wind is taken out of the comparison by the wind log.",
            list(&logged)
        ));
    }
    if !left.is_empty() {
        out.push(format!(
            "A wind that was not the same for all runs is not taken out on {}; how much that may matter is allowed for in the intervals.",
            list(&left)
        ));
    }
    Some(out.join(" "))
}
