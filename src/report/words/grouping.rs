//! How the runs were told apart, in words.

use super::{list, name};
use crate::analysis::{Analysis, GroupSource};
use crate::report::clock::Clock;
use crate::report::rounding::NO_BREAK_SPACE;

/// How configurations and settings came about, a sentence each; empty where there are none.
pub fn grouping(analysis: &Analysis) -> Vec<String> {
    if !analysis.days.is_empty() {
        let of_day = |day: &crate::analysis::DayOfTrial| {
            let told = grouping(&day.analysis).join(" ");
            (!told.is_empty()).then(|| format!("Day {}: {told}", day.day))
        };
        return analysis.days.iter().filter_map(of_day).collect();
    }
    [configurations(analysis), settings(analysis)]
        .into_iter()
        .flatten()
        .collect()
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
            "The track alone tells when something was changed (the long stop between two series that repeat the same settings): double runs were made with {spans}."
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
