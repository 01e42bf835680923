//! When it was, what was found, and what was run when.

use super::{capital, counted, each_day, list, name};
use crate::day::DoubleRun;
use crate::report::clock::Clock;
use crate::report::rounding::{NO_BREAK_SPACE, axis};
use crate::trial::{Day, GroupSource, Trial};

/// The day, above the title of an article: `4 June 2025`, `4 June 2025 to 12 June 2025, 2 days`.
pub(crate) fn kicker(trial: &Trial) -> String {
    let clock = Clock::of(trial);
    let times = trial.days.iter().filter_map(|day| day.from.zip(day.to));
    let dates: Vec<String> = times.map(|(from, _)| clock.date(from)).collect();
    match dates.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [first, .., last] => format!("{first} to {last}, {} days", dates.len()),
    }
}

/// `4 June 2025, 09:12 to 13:05 (Europe/Stockholm)`, a line for each day.
pub(crate) fn day_line(trial: &Trial) -> String {
    let clock = Clock::of(trial);
    let line = |day: &Day| {
        let (from, to) = day.from.zip(day.to)?;
        let before = if trial.days.len() > 1 {
            format!("Day {}: ", day.day)
        } else {
            String::new()
        };
        Some(format!("{before}{}", clock.range(from, to)))
    };
    let lines: Vec<String> = trial.days.iter().filter_map(line).collect();
    if lines.is_empty() {
        return "No time was recorded".to_owned();
    }
    format!("{} ({})", lines.join("; "), name(clock.zone_name()))
}

/// `Of 24 legs found, 24 make 12 double runs on one course line (072°/252°), …`: a sentence.
pub(crate) fn found(trial: &Trial) -> String {
    let legs = match trial.legs.len() {
        0 => "no leg".to_owned(),
        some => counted(some, "leg", "legs"),
    };
    if trial.double_runs.is_empty() {
        return format!("Found {legs} and no double run.");
    }
    let days = match trial.days.len() {
        1 => String::new(),
        several => format!(" on {several} days"),
    };
    format!(
        "Of {legs} found, {} make {}{}{days}: {} at {}.",
        2 * trial.double_runs.len(),
        counted(trial.double_runs.len(), "double run", "double runs"),
        course_lines(trial),
        counted(
            trial.configurations.len(),
            "configuration",
            "configurations"
        ),
        counted(trial.settings.len(), "setting", "settings")
    )
}

/// ` on one course line (072°/252°)`; with a space before it.
pub(super) fn course_lines(trial: &Trial) -> String {
    let mut axes: Vec<String> = (trial.lines.iter())
        .filter(|line| trial.double_runs.iter().any(|run| run.line == line.line))
        .map(|line| axis(line.axis_deg))
        .collect();
    // One line on several days is found on each of them.
    axes.sort_unstable();
    axes.dedup();
    match axes.len() {
        0 => String::new(),
        1 => format!(" on one course line ({})", list(&axes)),
        several @ 2..=4 => format!(" on {several} course lines ({})", list(&axes)),
        several => format!(" on {several} course lines"),
    }
}

/// Which configuration was run when, day by day: `A from 09:43 to 10:39, then B from 10:54 to 11:48`.
pub(super) fn series(trial: &Trial) -> Vec<String> {
    let clock = Clock::of(trial);
    each_day(trial, |day| {
        let runs: Vec<&DoubleRun> = trial.runs_of(day.day).collect();
        let series = runs.chunk_by(|one, next| one.configuration == next.configuration);
        let spans = series.filter_map(|own| {
            let (first, last) = (own.first()?, own.last()?);
            let from = trial.leg(first.legs[0])?.start;
            let to = trial.leg(last.legs[1])?.end;
            let (from, to) = (clock.minute(from), clock.minute(to));
            Some(format!(
                "{} from {from} to {to}",
                name(&first.configuration)
            ))
        });
        let spans: Vec<String> = spans.collect();
        (!spans.is_empty()).then(|| spans.join(", then "))
    })
}

/// How the configurations and settings came about; one sentence or two, none where there are none.
pub(crate) fn grouping(trial: &Trial) -> Option<String> {
    let read = |source: &GroupSource| *source == GroupSource::Track;
    let series = series(trial).join(". ");
    if trial.configurations.is_empty() {
        return None;
    }
    let order = if !trial.configurations.iter().any(|c| read(&c.source)) {
        format!("The notes say what was fitted when: {series}.")
    } else if trial.configurations.len() == 1 {
        format!("The track shows one series of double runs: {series}.")
    } else {
        format!(
            "What was run when is read from the track, where a change is a long stop between two series at the same settings: {series}."
        )
    };
    let names: Vec<String> = trial
        .settings
        .iter()
        .map(|setting| {
            let percent = setting.percent.filter(|percent| percent.is_finite());
            percent.map_or_else(
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
    let settings = match (names.len(), trial.settings.iter().any(|s| read(&s.source))) {
        (0, _) => String::new(),
        (1, true) => " All were run at about one speed, taken as one setting.".to_owned(),
        (1, false) => format!(" The setting was {}, as the notes say.", list(&names)),
        (_, true) => format!(
            " Settings were told apart by the speed of the double runs and numbered from the slowest: {}.",
            list(&names)
        ),
        (_, false) => format!(
            " The settings, as the notes say, slowest first: {}.",
            list(&names)
        ),
    };
    Some(format!("{}{settings}", capital(&order)))
}
