//! Each configuration against the first: plain, or with a changing wind taken out.

use super::gauge::Gauged;
use super::legs::name;
use super::outcome::Counted;
use super::pool::log_ratio;
use super::result::{Comparison, Difference, Percent, Verdict};
use super::rules::ComparisonRules;
use crate::stats;
use crate::stats::equivalence::smallest_percent;
use crate::stats::interval::{Estimate, JUDGED_DF, percent_of_log};
use crate::stats::samples::PooledScatter;
use crate::stats::summary::mean;
use crate::trial::compare::{Change, changes, pooled_scatter};
use crate::trial::gauge::{AdjustedChange, BesideChange};

/// Each configuration against the first, per setting and pooled.
pub(super) fn comparisons(
    counted: &Counted<'_>,
    gauged: &Gauged,
    rules: &ComparisonRules,
) -> Vec<Comparison> {
    let scatter = pooled_scatter(&counted.speeds);
    changes(&counted.speeds, rules.level)
        .iter()
        .map(|change| {
            let plain = comparison(change, counted, scatter, rules);
            let Some(own) = change.log_estimate else {
                return plain;
            };
            let asked = |changed, setting| (changed, setting) == (change.changed, change.setting);
            let beside = gauged.beside.iter().flat_map(|b| &b.changes);
            let beside = beside.copied().find(|b| asked(b.changed, b.setting));
            let adjusted = gauged.adjusted.iter().flat_map(|g| &g.changes);
            let found = adjusted.copied().find(|a| asked(a.changed, a.setting));
            // The balance of forces is no nearer to the truth than a part of what it takes out.
            let model = |log: &Estimate| rules.balance_share * (log.value - change.log_ratio).abs();
            if let Some((beside, _)) = beside.zip(gauged.hidden) {
                let log = beside.log_estimate;
                let Some(log) = log.with_doubt(model(&log), JUDGED_DF, rules.level) else {
                    return plain;
                };
                return Comparison {
                    hidden_wind_percent: percent_of_log(beside.doubt),
                    ..with_estimate(plain, log, beside.speeds, rules)
                };
            }
            // What taking the wind out moves the change by, and so may move it by where it is not.
            let shift = match (found, beside) {
                (Some(alone), Some(beside)) => apart(&alone, &beside),
                (Some(alone), None) => (alone.log_estimate.value - change.log_ratio).abs(),
                (None, _) => rough_shift(counted, change).abs(),
            };
            let p = gauged.probability;
            let unseen = gauged.hidden.map(|hidden| hidden.doubt(counted, change));
            let doubt = (shift * (p * (1.0 - p)).sqrt()).hypot(unseen.unwrap_or(0.0));
            let (log, speeds) = match found.filter(|_| gauged.in_one_wind().is_some()) {
                Some(f) => (f.log_estimate, f.speeds),
                None => (own, change.speeds),
            };
            let doubt = doubt.hypot(model(&log));
            let Some(estimate) = log.with_doubt(doubt, JUDGED_DF, rules.level) else {
                return plain;
            };
            Comparison {
                hidden_wind_percent: unseen.and_then(percent_of_log),
                ..with_estimate(plain, estimate, speeds, rules)
            }
        })
        .collect()
}

/// How far the comparison in one wind lies from that beside a current, as a logarithm, beyond what the latter's
/// larger error would make of it by chance.
fn apart(alone: &AdjustedChange, beside: &BesideChange) -> f64 {
    let (a, b) = (alone.log_estimate, beside.log_estimate);
    let chance = (b.se.powi(2) - a.se.powi(2)).max(0.0);
    ((a.value - b.value).powi(2) - chance).max(0.0).sqrt()
}

/// How much a wind that was not the same for both may have moved a change, as a logarithm, where the
/// runs are too few for the balance: some 0.4 of the difference of the half differences
/// (from 0.26 to 0.6 over winds of 2-8 m/s; our own simulated days).
fn rough_shift(counted: &Counted<'_>, change: &Change) -> f64 {
    let share = |configuration: usize| -> Option<f64> {
        let shares: Vec<f64> = counted
            .of(configuration, change.setting)
            .iter()
            .map(|run| run.drift_along.abs() / run.speed)
            .collect();
        mean(&shares)
    };
    match (share(0), share(change.changed)) {
        (Some(a), Some(b)) => 0.4 * (b - a),
        _ => 0.0,
    }
}

/// The comparison with another estimate, the plain one kept beside it.
fn with_estimate(
    plain: Comparison,
    log: Estimate,
    speeds: Option<[f64; 2]>,
    rules: &ComparisonRules,
) -> Comparison {
    let percent = log.percent_of_log();
    let difference = speeds.map(|[baseline, changed]| Difference {
        value: Some(changed - baseline),
        // To first order: the ratio's error as a share of the speed.
        se: Some(log.se * changed),
        df: Some(log.df),
        low: Some(baseline * log.low.exp_m1()),
        high: Some(baseline * log.high.exp_m1()),
    });
    Comparison {
        baseline_m_s: speeds.map(|s| s[0]),
        changed_m_s: speeds.map(|s| s[1]),
        difference_m_s: difference.unwrap_or_default(),
        percent: percent.map_or_else(Percent::default, told),
        log_ratio: Some(log_ratio(&log)),
        no_change_beyond_percent: no_change_beyond(&log, rules),
        unadjusted_percent: Some(plain.percent),
        within_run_percent: None,
        p_value: log.p_against(0.0),
        verdict: verdict(percent),
        ..plain
    }
}

fn comparison(
    change: &Change,
    counted: &Counted<'_>,
    scatter: Option<PooledScatter>,
    rules: &ComparisonRules,
) -> Comparison {
    let names = &counted.assigned.configurations;
    let percent = change.percent();
    let difference = scatter.and_then(|s| change.difference(s, rules.level));
    Comparison {
        baseline: name(names, 0),
        changed: name(names, change.changed),
        setting: change
            .setting
            .map(|setting| name(&counted.assigned.settings, setting)),
        double_runs: change.runs,
        baseline_m_s: change.speeds.map(|s| s[0]),
        changed_m_s: change.speeds.map(|s| s[1]),
        difference_m_s: Difference {
            value: change.speeds.map(|[baseline, changed]| changed - baseline),
            se: difference.map(|d| d.se),
            df: difference.map(|d| d.df),
            low: difference.map(|d| d.low),
            high: difference.map(|d| d.high),
        },
        percent: Percent {
            value: percent_of_log(change.log_ratio),
            low: percent.map(|p| p.low),
            high: percent.map(|p| p.high),
        },
        log_ratio: change.log_estimate.as_ref().map(log_ratio),
        no_change_beyond_percent: change
            .log_estimate
            .and_then(|log| no_change_beyond(&log, rules)),
        within_run_percent: if percent.is_none() {
            change.within_percent(rules.level)
        } else {
            None
        },
        p_value: change.log_estimate.and_then(|e| e.p_against(0.0)),
        verdict: verdict(percent),
        reason: reason(change, percent),
        ..Comparison::default()
    }
}

/// A percent change as the result has it.
pub(super) fn told(percent: stats::interval::Percent) -> Percent {
    Percent {
        value: Some(percent.value),
        low: Some(percent.low),
        high: Some(percent.high),
    }
}

/// The smallest margin in percent that two one-sided tests support, each at the level of the intervals.
pub(super) fn no_change_beyond(log: &Estimate, rules: &ComparisonRules) -> Option<f64> {
    smallest_percent(log, rules.level)
}

pub(super) fn verdict(percent: Option<stats::interval::Percent>) -> Verdict {
    match percent {
        None => Verdict::TooFewRuns,
        Some(p) if p.low > 0.0 => Verdict::Faster,
        Some(p) if p.high < 0.0 => Verdict::Slower,
        Some(_) => Verdict::NotShown,
    }
}

fn reason(change: &Change, percent: Option<stats::interval::Percent>) -> Option<String> {
    if percent.is_none() {
        return Some(
            "one double run in each cell: how far two runs of the same thing would differ is not known"
                .to_owned(),
        );
    }
    change
        .setting
        .is_none()
        .then(|| "a mean of slow and fast runs would mean nothing, so no speed is given; the change in percent can be averaged".to_owned())
}

/// By how many percentage points the pooled changes move when root mean squares are
/// averaged instead, where that is more than the rules' share of the interval.
pub(super) fn averaging_shift(
    counted: &Counted<'_>,
    rules: &ComparisonRules,
) -> Option<AveragingShift> {
    let plain = changes(&counted.speeds, rules.level);
    let squared = changes(&counted.root_mean_squares(), rules.level);
    plain
        .iter()
        .zip(&squared)
        .filter(|(p, _)| p.setting.is_none())
        .filter_map(|(p, s)| {
            let shift = percent_of_log(s.log_ratio)? - percent_of_log(p.log_ratio)?;
            let width = p.percent().map(|i| i.high - i.low)?;
            (shift.abs() > rules.averaging_share * width).then_some(AveragingShift {
                percent: shift,
                beyond: shift.abs() > width / 2.0,
            })
        })
        .max_by(|a, b| a.percent.abs().total_cmp(&b.percent.abs()))
}

/// How far the root mean square of two directions moves a change from their arithmetic mean.
pub(super) struct AveragingShift {
    /// Percentage points.
    pub(super) percent: f64,
    /// Whether that is more than half of the interval.
    pub(super) beyond: bool,
}
