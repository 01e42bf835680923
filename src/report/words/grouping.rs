//! How the runs were told apart, in words.

use super::{capital, list, name};
use crate::day::DoubleRun;
use crate::report::clock::Clock;
use crate::report::rounding::NO_BREAK_SPACE;
use crate::trial::{Configuration, GroupSource, Trial};

/// How the settings came about, a sentence; none where there are none.
pub fn grouping(analysis: &Trial) -> Option<String> {
    each_day(analysis, grouping).or_else(|| settings(analysis))
}

/// What is said of each of several days, days alike together; none for a single day.
fn each_day(analysis: &Trial, said: fn(&Trial) -> Option<String>) -> Option<String> {
    let days: Vec<(String, String)> = analysis
        .several()
        .iter()
        .filter_map(|day| Some((said(&analysis.only(day.day))?, day.day.to_string())))
        .collect();
    let told: Vec<String> = alike(days)
        .into_iter()
        .map(|(text, days)| match days.as_slice() {
            [only] => format!("Day {only}: {text}"),
            all if all.len() == analysis.days.len() => text,
            some => format!("Days {}: {text}", list(some)),
        })
        .collect();
    (!told.is_empty()).then(|| told.join(" "))
}

/// The same texts put together, each with the days it is said of, in the order first met.
fn alike(said: Vec<(String, String)>) -> Vec<(String, Vec<String>)> {
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for (text, day) in said {
        match out.iter_mut().find(|(known, _)| *known == text) {
            Some((_, days)) => days.push(day),
            None => out.push((text, vec![day])),
        }
    }
    out
}

/// What the answer stands on, a few sentences: which runs were with what and how that is known, and
/// what their order leaves open; none where there are no double runs.
pub fn standing(analysis: &Trial) -> Option<String> {
    let parts: Vec<String> = if analysis.days.len() < 2 {
        let known = Known::of(analysis);
        known
            .map(|known| known.sentence(&known.series(analysis)))
            .into_iter()
            .chain(order(analysis))
            .collect()
    } else {
        standing_of_days(analysis)
    };
    (!parts.is_empty() && has_series(analysis)).then(|| parts.join(" "))
}

fn has_series(analysis: &Trial) -> bool {
    let own = |analysis: &Trial| !analysis.configurations.is_empty();
    own(analysis)
        || analysis
            .several()
            .iter()
            .any(|day| own(&analysis.only(day.day)))
}

/// The same of several days: what holds for all of them is said once.
fn standing_of_days(analysis: &Trial) -> Vec<String> {
    let mut out = Vec::new();
    for kind in [Known::Noted, Known::OneSeries, Known::Read] {
        let told: Vec<String> = (analysis.several().iter())
            .filter(|day| Known::of(&analysis.only(day.day)) == Some(kind))
            .map(|day| {
                format!(
                    "on day {} {}",
                    day.day,
                    kind.series(&analysis.only(day.day))
                )
            })
            .collect();
        if !told.is_empty() {
            out.push(kind.sentence(&told.join("; ")));
        }
    }
    let orders = (analysis.several().iter())
        .filter_map(|day| Some((order(&analysis.only(day.day))?, format!("day {}", day.day))))
        .collect();
    for (text, days) in alike(orders) {
        out.push(if days.len() == analysis.days.len() {
            text
        } else {
            format!("On {}: {text}", list(&days))
        });
    }
    out
}

/// What the order leaves open, where the baseline was never gone back to.
fn order(analysis: &Trial) -> Option<String> {
    let baseline = analysis.comparisons.first()?.baseline.as_str();
    let (own, others): (Vec<&DoubleRun>, Vec<&DoubleRun>) = analysis
        .double_runs
        .iter()
        .partition(|run| run.configuration == baseline);
    let last = own.iter().map(|run| run.at).max()?;
    let first = others.iter().map(|run| run.at).min()?;
    (last < first).then(|| {
        format!(
            "{} was run first and not again, so whatever else changed in between, the battery or the load, say, looks the same as the change; the interval allows for what is usual.",
            capital(&name(baseline))
        )
    })
}

/// How it is known what was run when.
#[derive(Clone, Copy, PartialEq)]
enum Known {
    Noted,
    OneSeries,
    Read,
}

impl Known {
    fn of(analysis: &Trial) -> Option<Self> {
        let read = |c: &Configuration| c.source == GroupSource::Track;
        match analysis.configurations.as_slice() {
            [] => None,
            some if !some.iter().any(read) => Some(Self::Noted),
            [_] => Some(Self::OneSeries),
            _ => Some(Self::Read),
        }
    }

    /// The series as they stand in [`Self::sentence`].
    fn series(self, analysis: &Trial) -> String {
        let spans = spans(analysis);
        if self == Self::Noted {
            format!("with {spans}")
        } else {
            spans
        }
    }

    fn sentence(self, spans: &str) -> String {
        match self {
            Self::Noted => {
                format!("The notes say what was fitted when; double runs were made {spans}.")
            }
            Self::OneSeries => format!("The track shows one series of double runs: {spans}."),
            Self::Read => format!(
                "What was run when is read from the track, where a change is a long stop between two series at the same settings: {spans}. Where that is wrong, correct notes.toml, which lies beside this report, and pass it back."
            ),
        }
    }
}

/// `A from 09:43 to 10:39 and B from 10:54 to 11:48`.
fn spans(analysis: &Trial) -> String {
    let clock = Clock::of(analysis);
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
    list(&spans)
}

fn settings(analysis: &Trial) -> Option<String> {
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
