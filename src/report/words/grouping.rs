//! How the runs were told apart, in words.

use super::{capital, list, name};
use crate::analysis::{Analysis, DoubleRun, GroupSource};
use crate::report::clock::Clock;
use crate::report::rounding::NO_BREAK_SPACE;

/// How the settings came about, a sentence; none where there are none.
pub fn grouping(analysis: &Analysis) -> Option<String> {
    each_day(analysis, grouping).or_else(|| settings(analysis))
}

/// What is said of each of several days; none for a single day.
fn each_day(analysis: &Analysis, said: fn(&Analysis) -> Option<String>) -> Option<String> {
    let days: Vec<String> = analysis
        .days
        .iter()
        .filter_map(|day| Some(format!("Day {}: {}", day.day, said(&day.analysis)?)))
        .collect();
    (!days.is_empty()).then(|| days.join(" "))
}

/// What the answer stands on, a few sentences: which runs were with what and how that is known, and
/// what their order leaves open; none where there are no double runs.
pub fn standing(analysis: &Analysis) -> Option<String> {
    if let Some(days) = each_day(analysis, standing) {
        return Some(days);
    }
    let mut words = configurations(analysis)?;
    if let Some(order) = order(analysis) {
        words.push(' ');
        words.push_str(&order);
    }
    Some(words)
}

/// What the order leaves open, where the baseline was never gone back to.
fn order(analysis: &Analysis) -> Option<String> {
    let baseline = analysis.comparisons.first()?.baseline.as_str();
    let (own, others): (Vec<&DoubleRun>, Vec<&DoubleRun>) = analysis
        .double_runs
        .iter()
        .partition(|run| run.configuration == baseline);
    let last = own.iter().map(|run| run.at).max()?;
    let first = others.iter().map(|run| run.at).min()?;
    (last < first).then(|| {
        format!(
            "{} was run first and not again, so whatever else changed in between, the battery or the load, say, counts as part of the change.",
            capital(&name(baseline))
        )
    })
}

fn configurations(analysis: &Analysis) -> Option<String> {
    let clock = Clock::of(analysis);
    if analysis.configurations.is_empty() {
        return None;
    }
    let spans: Vec<String> = analysis
        .configurations
        .iter()
        .map(|configuration| {
            format!(
                "{} from {} to {}",
                name(&configuration.name),
                clock.minute(configuration.from),
                clock.minute(configuration.to)
            )
        })
        .collect();
    let spans = list(&spans);
    let told = analysis
        .configurations
        .iter()
        .any(|c| c.source == GroupSource::Track);
    Some(if !told {
        format!("The notes say what was fitted when; double runs were made with {spans}.")
    } else if analysis.configurations.len() == 1 {
        format!("The track shows one series of double runs: {spans}.")
    } else {
        format!(
            "No notes were given, so what was run when is read from the track, where a change is a long stop between two series at the same settings: {spans}. Where that is wrong, correct notes.toml, which lies beside this report, and pass it back."
        )
    })
}

fn settings(analysis: &Analysis) -> Option<String> {
    let names: Vec<String> = analysis
        .settings
        .iter()
        .map(|setting| {
            setting
                .percent
                .filter(|percent| percent.is_finite())
                .map_or_else(
                    || name(&setting.name),
                    |percent| {
                        format!(
                            "{} ({percent:.0}{NO_BREAK_SPACE}% of full power)",
                            name(&setting.name)
                        )
                    },
                )
        })
        .collect();
    let told = analysis
        .settings
        .iter()
        .any(|s| s.source == GroupSource::Track);
    match (names.len(), told) {
        (0, _) => None,
        (1, true) => {
            Some("All of them were run at about one speed, taken as one setting.".to_owned())
        }
        (1, false) => Some(format!(
            "The setting was {}, as the notes say.",
            list(&names)
        )),
        (_, true) => Some(format!(
            "Settings were told apart by the speed of the double runs and numbered from the slowest: {}.",
            list(&names)
        )),
        (_, false) => Some(format!(
            "The settings, as the notes say, slowest first: {}.",
            list(&names)
        )),
    }
}
