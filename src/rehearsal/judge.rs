//! One rehearsed day: what the report would have said, beside the truth.

use std::fmt::Write;

use super::matched::read_right;
use crate::compare::Verdict;
use crate::notes::{self, quoted};
use crate::plan::Plan;
use crate::rehearse::SimulatedDay;
use crate::trial::{ReadTrial, Settings, Trial};

/// What came of a day. Percent.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The true change.
    pub truth: f64,
    /// With the notes of a person who wrote each swap down.
    pub noted: Answer,
    /// Without any notes.
    pub without_notes: Answer,
    /// Sum of squares of the double runs about their cells' means, logarithms, and its degrees of freedom.
    pub scatter: [f64; 2],
}

/// What one reading of the day answered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// The change found, with its interval; `None` where there was no answer.
    pub found: Option<Found>,
    /// Why there was none.
    pub lost: Option<&'static str>,
    /// Whether double runs, parts and settings were read as they were run.
    pub read_right: bool,
}

/// A change as found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Percent.
    pub value: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Whether a change was claimed: +1 faster, -1 slower, 0 none.
    pub claim: i8,
}

/// Reads a day as the report would, with notes of what was done when and without any, and judges
/// both.
///
/// With several parts the second is judged, which is changed as all the others are.
pub fn judge(plan: &Plan, day: &SimulatedDay) -> Judged {
    let settings = Settings {
        // The zone given, so that it need not be looked up a thousand times.
        timezone: Some("UTC".to_owned()),
        notes: notes::read(&true_notes(plan, day), "notes.toml").ok(),
        ..Settings::default()
    };
    let read = ReadTrial::of(vec![day.recording("day.gpx")], &settings.rules);
    let noted = read.clone().answer(&settings);
    let without = read.answer(&Settings {
        notes: None,
        ..settings
    });
    let truths: Vec<f64> = day
        .truth
        .changes
        .iter()
        .filter(|change| change.changed == 1)
        .map(|change| change.percent)
        .collect();
    Judged {
        truth: truths.iter().sum::<f64>() / truths.len().max(1) as f64,
        noted: answer(plan, day, &noted, plan.part(1)),
        without_notes: answer(plan, day, &without, SECOND),
        scatter: scatter(&noted),
    }
}

/// What the second part is called without notes.
const SECOND: &str = "B";

fn answer(plan: &Plan, day: &SimulatedDay, analysis: &Trial, changed: &str) -> Answer {
    let found = found(changed, analysis);
    Answer {
        lost: found.is_none().then(|| lost(plan, analysis)),
        found,
        read_right: read_right(&day.truth, analysis),
    }
}

/// The notes of a person who wrote down when each part was fitted.
fn true_notes(plan: &Plan, day: &SimulatedDay) -> String {
    let mut text = String::new();
    for fitted in &day.truth.configurations {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "[[configuration]]\nname = {}\nfrom = \"{}\"",
            quoted(plan.part(fitted.configuration)),
            fitted.from
        );
    }
    for setting in 1..=plan.asked.speeds_m_s.len() {
        let _ = writeln!(text, "[[setting]]\nname = \"{setting}\"");
    }
    text
}

fn found(changed: &str, analysis: &Trial) -> Option<Found> {
    let own = || analysis.comparisons.iter().filter(|c| c.changed == changed);
    // With one setting there may be nothing to pool.
    let comparison = own()
        .find(|c| c.setting.is_none())
        .or_else(|| own().next())?;
    Some(Found {
        value: comparison.percent.value?,
        low: comparison.percent.low?,
        high: comparison.percent.high?,
        claim: match comparison.verdict {
            Verdict::Faster => 1,
            Verdict::Slower => -1,
            Verdict::NotShown | Verdict::NoLargerDifference | Verdict::TooFewRuns => 0,
        },
    })
}

fn lost(plan: &Plan, analysis: &Trial) -> &'static str {
    if analysis.double_runs.is_empty() {
        "no double run was found in the track"
    } else if analysis.configurations.len() < plan.asked.parts.len() {
        "the runs of one part were not found"
    } else if analysis.settings.len() != plan.asked.speeds_m_s.len() {
        "the settings were not told apart as run"
    } else {
        "too few double runs were found"
    }
}

fn scatter(analysis: &Trial) -> [f64; 2] {
    let mut sum = [0.0, 0.0];
    for cell in &analysis.cells {
        let logs: Vec<f64> = analysis
            .double_runs
            .iter()
            .filter(|run| cell.double_runs.contains(&run.double_run) && run.mean_m_s > 0.0)
            .map(|run| run.mean_m_s.ln())
            .collect();
        if logs.len() > 1 {
            let mean = logs.iter().sum::<f64>() / logs.len() as f64;
            sum[0] += logs.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
            sum[1] += logs.len() as f64 - 1.0;
        }
    }
    sum
}
