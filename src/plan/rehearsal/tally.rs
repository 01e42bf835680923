//! The figures of a rehearsal, counted from its days.

use serde::Serialize;

use super::conditions::Conditions;
use super::judge::{Answer, Judged};
use crate::plan::{Design, Plan, tell};
use crate::stats::quantile::median;

/// Version of the serialised form.
pub const SCHEMA: u32 = 1;

/// What a rehearsal found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rehearsal {
    /// [`SCHEMA`].
    pub schema: u32,
    /// Days simulated in all.
    pub days: usize,
    /// The seed.
    pub seed: u64,
    /// The conditions.
    pub conditions: Conditions,
    /// The change worth knowing, a share.
    pub resolve: f64,
    /// The chance wanted of telling it.
    pub power_wanted: f64,
    /// One entry for each size of change tried, smallest first.
    pub sizes: Vec<Size>,
    /// Scatter between double runs of the same thing as it came out, a share; `None` where none could be had.
    pub scatter: Option<f64>,
    /// Scatter planned with.
    pub scatter_planned: f64,
    /// Why days had no answer.
    pub lost: Vec<Lost>,
    /// Why days had none without notes.
    pub lost_without_notes: Vec<Lost>,
    /// What to alter, a sentence each.
    pub advice: Vec<String>,
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
    /// Chance of telling it by the noncentral t distribution with the scatter planned.
    pub power_planned: Option<f64>,
}

/// What was answered on the days with a change of one size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counts {
    /// Days on which a change of the right sign was shown; with no change: none.
    pub told: usize,
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

impl Rehearsal {
    /// Days on which double runs, parts and settings were read as run without any notes.
    pub fn read_right_without_notes(&self) -> usize {
        self.sizes
            .iter()
            .map(|size| size.without_notes.read_right)
            .sum()
    }
}

impl Size {
    /// Share of the days on which a change was shown (or claimed, where there is none), with notes.
    pub fn share_told(&self) -> Option<f64> {
        let told = if self.change == 0.0 {
            self.noted.claimed
        } else {
            self.noted.told
        };
        (self.days > 0).then(|| told as f64 / self.days as f64)
    }

    /// 95 % interval of that share.
    ///
    /// Wilson's score interval (Wilson 1927, J. Am. Stat. Assoc. 22, 209; from memory).
    pub fn share_interval(&self) -> Option<[f64; 2]> {
        const Z: f64 = 1.959_963_984_540_054;
        let (p, n) = (self.share_told()?, self.days as f64);
        let middle = p + Z * Z / (2.0 * n);
        let half = Z * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
        let scale = 1.0 + Z * Z / n;
        Some([
            ((middle - half) / scale).max(0.0),
            ((middle + half) / scale).min(1.0),
        ])
    }
}

/// Counts the days of one size.
pub(super) fn size(plan: &Plan, change: f64, judged: &[&Judged]) -> Size {
    Size {
        change,
        days: judged.len(),
        noted: counts(change, judged, |day| &day.noted),
        without_notes: counts(change, judged, |day| &day.without_notes),
        power_planned: planned_power(plan, change),
    }
}

fn counts(change: f64, judged: &[&Judged], of: impl Fn(&Judged) -> &Answer) -> Counts {
    let found: Vec<_> = judged
        .iter()
        .filter_map(|day| Some((of(day).found?, day.truth)))
        .collect();
    let count = |claim: i8| {
        found
            .iter()
            .filter(|(found, _)| found.claim == claim)
            .count()
    };
    let none = change == 0.0;
    let right: i8 = if change < 0.0 { -1 } else { 1 };
    let errors: f64 = found.iter().map(|(found, truth)| found.value - truth).sum();
    let widths: Vec<f64> = found
        .iter()
        .map(|(found, _)| found.high - found.low)
        .collect();
    Counts {
        told: if none { 0 } else { count(right) },
        wrong_sign: if none { 0 } else { count(-right) },
        claimed: if none { count(1) + count(-1) } else { 0 },
        not_shown: count(0),
        no_answer: judged.len() - found.len(),
        covered: found
            .iter()
            .filter(|(found, truth)| (found.low..=found.high).contains(truth))
            .count(),
        bias_percent: (!found.is_empty()).then(|| errors / found.len() as f64),
        median_width_percent: median(&widths),
        read_right: judged.iter().filter(|day| of(day).read_right).count(),
    }
}

/// Chance of telling a change as the plan reckons it.
pub(crate) fn planned_power(plan: &Plan, change: f64) -> Option<f64> {
    let settings = plan.asked.speeds_m_s.len();
    let design = Design {
        parts: plan.asked.parts.len(),
        settings,
        pooled: settings,
        scatter: plan.scatter.share,
    };
    tell(design, plan.double_runs, change, plan.asked.power).map(|tell| tell.power)
}

/// Scatter over all days, a share.
pub(super) fn scatter(judged: &[Judged]) -> Option<f64> {
    let [squares, df] = judged.iter().fold([0.0, 0.0], |sum, day| {
        [sum[0] + day.scatter[0], sum[1] + day.scatter[1]]
    });
    (df > 0.0).then(|| (squares / df).sqrt())
}

/// Reasons for days without an answer, the most frequent first.
pub(super) fn lost(judged: &[Judged], of: impl Fn(&Judged) -> &Answer) -> Vec<Lost> {
    let mut list: Vec<Lost> = Vec::new();
    for reason in judged.iter().filter_map(|day| of(day).lost) {
        match list.iter_mut().find(|lost| lost.reason == reason) {
            Some(lost) => lost.days += 1,
            None => list.push(Lost {
                reason: reason.to_owned(),
                days: 1,
            }),
        }
    }
    list.sort_by(|a, b| b.days.cmp(&a.days).then_with(|| a.reason.cmp(&b.reason)));
    list
}
