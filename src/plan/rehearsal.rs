//! A plan lived through many times, read by the same code that will read the real track.
//!
//! [`rehearse`] simulates days on which the change has a known size, from none to twice the change
//! worth knowing, and counts how often each was shown, with notes of every swap and without any
//! notes: pure, the same plan, conditions and seed give the same figures whatever the number of
//! threads. Every day has a seed of its own, and days are counted, not summed, as they end.
//!
//! Boat, wind and recorder are models of our own ([`crate::simulate`]): a rehearsal shows what a
//! plan can do at best, not what a crew will make of it.

use std::fmt::Write;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use serde::Serialize;

use super::conditions::{Conditions, planned_day};
use super::draw_up::Plan;
use super::read_right::read_right;
use super::request::PlanError;
use crate::compare::Verdict;
use crate::notes::{self, quoted};
use crate::simulate::{SimulatedDay, simulate_in_steps};
use crate::stats::quantile::median;
use crate::trial::{ReadTrial, Settings, Trial};

/// Version of the serialised form.
pub const REHEARSAL_SCHEMA: u32 = 2;

/// Step of the equations of motion, s: twice that of the samples, at half the time. Means and
/// scatter of double runs are the same within what 200 days can show (our own simulated days).
pub const STEP_S: f64 = 0.5;

/// Sizes of change tried, in changes worth knowing: none, and a ladder round it.
const LADDER: [f64; 5] = [0.0, 0.5, 1.0, 1.5, 2.0];
/// The tide's phase moves on by the golden section of a circle from day to day, which spreads
/// evenly for any number of days.
const PHASE_STEP_DEG: f64 = 137.507_764_050_037_85;

/// What a rehearsal found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rehearsal {
    /// [`REHEARSAL_SCHEMA`].
    pub schema: u32,
    /// Days simulated in all.
    pub days: usize,
    /// The seed.
    pub seed: u64,
    /// The conditions.
    pub conditions: Conditions,
    /// The change worth knowing, a share.
    pub resolve: f64,
    /// The chance wanted of showing it.
    pub power_wanted: f64,
    /// One entry for each size of change tried, smallest first.
    pub sizes: Vec<Size>,
    /// Scatter between double runs of the same thing as it came out, a share; `None` where there is
    /// none.
    pub scatter: Option<f64>,
    /// Why days had no answer.
    pub lost: Vec<Lost>,
    /// Why days had none without notes.
    pub lost_without_notes: Vec<Lost>,
}

/// The days with a change of one size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Size {
    /// The change in a calm, a share.
    pub change: f64,
    /// Days simulated.
    pub days: usize,
    /// With notes that say when each part was fitted.
    #[serde(flatten)]
    pub noted: Counts,
    /// Without any notes.
    pub without_notes: Counts,
    /// Chance of showing it as planned; with no change, of claiming one.
    pub power_planned: f64,
}

/// What was answered on the days with a change of one size.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Counts {
    /// Days on which a change of the right sign was shown; with no change: none.
    pub shown: usize,
    /// Days on which a change of the wrong sign was shown.
    pub wrong_sign: usize,
    /// With no change: days on which one was claimed.
    pub claimed: usize,
    /// Days on which nothing was shown.
    pub not_shown: usize,
    /// Days without an answer.
    pub no_answer: usize,
    /// Days whose 95 % interval held the truth.
    pub covered: usize,
    /// Mean error of the change found, percentage points.
    pub bias_percent: Option<f64>,
    /// Median width of the interval, percentage points.
    pub median_width_percent: Option<f64>,
    /// Days on which double runs, parts and settings were read as they were run.
    pub read_right: usize,
}

/// Days without an answer, for one reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Lost {
    /// Why.
    pub reason: String,
    /// How many.
    pub days: usize,
}

impl Size {
    /// Share of the days on which a change was shown (or claimed, where there is none), with notes.
    pub fn share_shown(&self) -> Option<f64> {
        let shown = self.noted.shown + self.noted.claimed;
        (self.days > 0).then(|| shown as f64 / self.days as f64)
    }

    /// 95 % interval of that share.
    ///
    /// Wilson's score interval (Wilson 1927, J. Am. Stat. Assoc. 22, 209; from memory).
    pub fn share_interval(&self) -> Option<[f64; 2]> {
        const Z: f64 = 1.959_963_984_540_054;
        let (p, n) = (self.share_shown()?, self.days as f64);
        let middle = p + Z * Z / (2.0 * n);
        let half = Z * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
        let scale = 1.0 + Z * Z / n;
        Some([middle - half, middle + half].map(|end| (end / scale).clamp(0.0, 1.0)))
    }
}

/// The sizes of change tried for a plan, shares, smallest first.
pub fn change_sizes(plan: &Plan) -> Vec<f64> {
    LADDER.map(|times| times * plan.request.resolve).to_vec()
}

/// Day `number` of a rehearsal; sizes take turns.
fn day(plan: &Plan, conditions: &Conditions, seed: u64, number: usize) -> SimulatedDay {
    let size = LADDER.get(number % LADDER.len()).copied().unwrap_or(0.0);
    // The days of all sizes in one round have the same weather, so that sizes compare better.
    let round = number / LADDER.len();
    let phase = round as f64 * PHASE_STEP_DEG;
    let scenario = planned_day(plan, conditions, size * plan.request.resolve, phase);
    // A random number of the rehearsal's own stream: another seed has no day in common.
    let own = Pcg64::seed_from_u64(seed).random_iter().nth(round);
    simulate_in_steps(&scenario, own.unwrap_or(seed), STEP_S)
}

/// The first round of days, one of each size, to keep.
pub fn kept_days(plan: &Plan, conditions: &Conditions, seed: u64) -> Vec<(f64, SimulatedDay)> {
    let days = (0..LADDER.len()).map(|number| day(plan, conditions, seed, number));
    change_sizes(plan).into_iter().zip(days).collect()
}

/// Rehearses a plan on `days` days in all, shared out evenly among the sizes of change; `done` is
/// called after each.
///
/// # Errors
/// [`PlanError::Range`] where a condition is out of range.
pub fn rehearse(
    plan: &Plan,
    conditions: &Conditions,
    days: usize,
    seed: u64,
    done: &(dyn Fn() + Sync),
) -> Result<Rehearsal, PlanError> {
    conditions.check()?;
    let one = |number: usize| {
        let judged = judge(plan, &day(plan, conditions, seed, number));
        done();
        judged
    };
    let judged: Vec<Judged> = (0..days).into_par_iter().map(one).collect();
    let size = |(place, change): (usize, f64)| {
        let own: Vec<&Judged> = judged.iter().skip(place).step_by(LADDER.len()).collect();
        Size {
            change,
            days: own.len(),
            noted: counts(change, &own, |day| &day.noted),
            without_notes: counts(change, &own, |day| &day.without_notes),
            power_planned: plan.pooled.of(change),
        }
    };
    let sums = judged.iter().map(|day| day.scatter);
    let [squares, df] = sums.fold([0.0, 0.0], |a, b| [a[0] + b[0], a[1] + b[1]]);
    Ok(Rehearsal {
        schema: REHEARSAL_SCHEMA,
        days,
        seed,
        conditions: conditions.clone(),
        resolve: plan.request.resolve,
        power_wanted: plan.request.power,
        sizes: change_sizes(plan)
            .into_iter()
            .enumerate()
            .map(size)
            .collect(),
        scatter: (df > 0.0).then(|| (squares / df).sqrt()),
        lost: lost(&judged, |day| &day.noted),
        lost_without_notes: lost(&judged, |day| &day.without_notes),
    })
}

/// What came of a day.
struct Judged {
    /// The true change, percent.
    truth: f64,
    /// With the notes of a person who wrote each swap down.
    noted: Answer,
    /// Without any notes.
    without_notes: Answer,
    /// Sum of squares of the double runs about their cells' means, logarithms, and its degrees of
    /// freedom.
    scatter: [f64; 2],
}

/// What one reading of the day answered.
struct Answer {
    /// The change found, or why there was none.
    found: Result<Found, &'static str>,
    /// Whether double runs, parts and settings were read as they were run.
    read_right: bool,
}

/// A change as found, percent.
struct Found {
    value: f64,
    low: f64,
    high: f64,
    verdict: Verdict,
}

/// Reads a day as the report would, with notes of what was done when and without any, and judges
/// both. With several parts the second is judged, which is changed as all the others are.
fn judge(plan: &Plan, day: &SimulatedDay) -> Judged {
    let settings = Settings {
        // The zone given, so that it need not be looked up a thousand times.
        timezone: Some("UTC".to_owned()),
        ..Settings::default()
    };
    let with_notes = Settings {
        notes: notes::read(&true_notes(plan, day), "notes.toml").ok(),
        ..settings.clone()
    };
    let read = ReadTrial::of(vec![day.recording("day.gpx")], &settings.rules);
    let noted = read.clone().answer(&with_notes);
    let without = read.answer(&settings);
    let own = day
        .truth
        .changes
        .iter()
        .filter(|change| change.changed == 1);
    let truths: Vec<f64> = own.map(|change| change.percent).collect();
    let answer = |trial: &Trial, changed: &str| Answer {
        found: found(changed, trial).ok_or_else(|| why_lost(plan, trial)),
        read_right: read_right(&day.truth, trial),
    };
    Judged {
        truth: truths.iter().sum::<f64>() / truths.len().max(1) as f64,
        noted: answer(&noted, plan.part(1)),
        // Without notes the second part is called so.
        without_notes: answer(&without, "B"),
        scatter: scatter(&noted),
    }
}

/// The notes of a person who wrote down when each part was fitted.
fn true_notes(plan: &Plan, day: &SimulatedDay) -> String {
    let mut text = String::new();
    for fitted in &day.truth.configurations {
        let name = quoted(plan.part(fitted.configuration));
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "[[configuration]]\nname = {name}\nfrom = \"{}\"",
            fitted.from
        );
    }
    for setting in 1..=plan.request.speeds_m_s.len() {
        let _ = writeln!(text, "[[setting]]\nname = \"{setting}\"");
    }
    text
}

fn found(changed: &str, trial: &Trial) -> Option<Found> {
    let own = || trial.comparisons.iter().filter(|c| c.changed == changed);
    // With one setting there may be nothing to pool.
    let pooled = own().find(|c| c.setting.is_none());
    let comparison = pooled.or_else(|| own().next())?;
    Some(Found {
        value: comparison.percent.value?,
        low: comparison.percent.low?,
        high: comparison.percent.high?,
        verdict: comparison.verdict,
    })
}

fn why_lost(plan: &Plan, trial: &Trial) -> &'static str {
    if trial.double_runs.is_empty() {
        "no double run was found in the track"
    } else if trial.configurations.len() < plan.request.parts.len() {
        "the runs of one part were not found"
    } else if trial.settings.len() != plan.request.speeds_m_s.len() {
        "the settings were not told apart as run"
    } else {
        "too few double runs were found"
    }
}

fn scatter(trial: &Trial) -> [f64; 2] {
    let mut sum = [0.0, 0.0];
    for cell in &trial.cells {
        let own = trial.double_runs.iter();
        let own = own.filter(|run| cell.double_runs.contains(&run.double_run));
        let logs: Vec<f64> = own
            .map(|run| run.mean_m_s.ln())
            .filter(|log| log.is_finite())
            .collect();
        let mean = logs.iter().sum::<f64>() / logs.len().max(1) as f64;
        sum[0] += logs.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
        sum[1] += logs.len().saturating_sub(1) as f64;
    }
    sum
}

fn counts(change: f64, judged: &[&Judged], of: impl Fn(&Judged) -> &Answer) -> Counts {
    let mut counts = Counts::default();
    let (mut errors, mut widths) = (0.0, Vec::new());
    for day in judged {
        let answer = of(day);
        counts.read_right += usize::from(answer.read_right);
        let Ok(found) = &answer.found else {
            counts.no_answer += 1;
            continue;
        };
        match found.verdict {
            Verdict::Faster | Verdict::Slower if change == 0.0 => counts.claimed += 1,
            Verdict::Faster => counts.shown += 1,
            Verdict::Slower => counts.wrong_sign += 1,
            Verdict::NotShown | Verdict::NoLargerDifference | Verdict::TooFewRuns => {
                counts.not_shown += 1;
            }
        }
        counts.covered += usize::from((found.low..=found.high).contains(&day.truth));
        errors += found.value - day.truth;
        widths.push(found.high - found.low);
    }
    counts.bias_percent = (!widths.is_empty()).then(|| errors / widths.len() as f64);
    counts.median_width_percent = median(&widths);
    counts
}

/// Reasons for days without an answer, the most frequent first.
fn lost(judged: &[Judged], of: impl Fn(&Judged) -> &Answer) -> Vec<Lost> {
    let mut list: Vec<Lost> = Vec::new();
    for reason in judged.iter().filter_map(|day| of(day).found.as_ref().err()) {
        match list.iter_mut().find(|lost| lost.reason == *reason) {
            Some(lost) => lost.days += 1,
            None => list.push(Lost {
                reason: (*reason).to_owned(),
                days: 1,
            }),
        }
    }
    list.sort_by(|a, b| b.days.cmp(&a.days).then_with(|| a.reason.cmp(&b.reason)));
    list
}
