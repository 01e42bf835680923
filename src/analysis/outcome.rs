//! The groups, cells and comparisons of the result.

use jiff::Timestamp;

use super::gauge::Gauged;
use super::legs::{mean_se, name};
use super::result::{
    Cell, Comparison, Configuration, Difference, GroupSource, Percent, Setting, Verdict,
};
use super::rules::ComparisonRules;
use crate::segmenter::{Assigned, FoundDoubleRun, Segmented};
use crate::stats;
use crate::stats::interval::{Estimate, Interval, percent_of_log};
use crate::stats::meanofmeans::mean_of_means;
use crate::stats::regression::fit_line;
use crate::stats::samples::PooledScatter;
use crate::stats::summary::mean;
use crate::trial::compare::{Change, RunSpeed, cells, changes, of_runs, pooled_scatter};
use crate::trial::gauge::{AdjustedChange, GaugedRun};
use crate::units::Bearing;

/// The double runs that count, in order of time.
pub(super) struct Counted<'a> {
    found: &'a Segmented,
    assigned: &'a Assigned,
    /// Indices of the double runs.
    pub runs: Vec<usize>,
    /// What the comparison sees of each.
    pub speeds: Vec<RunSpeed>,
}

impl<'a> Counted<'a> {
    pub(super) fn new(found: &'a Segmented, assigned: &'a Assigned) -> Self {
        let runs: Vec<usize> = (0..found.double_runs.len())
            .filter(|i| assigned.runs.get(*i).is_some_and(|r| r.left_out.is_none()))
            .collect();
        let speeds = runs
            .iter()
            .filter_map(|index| {
                let run = found.double_runs.get(*index)?;
                let own = assigned.runs.get(*index)?;
                Some(RunSpeed {
                    configuration: own.configuration,
                    setting: own.setting,
                    mean: run.mean(),
                    se: mean_se(run, found),
                })
            })
            .collect();
        Self {
            found,
            assigned,
            runs,
            speeds,
        }
    }

    /// Middles of the same runs, s.
    pub(super) fn middles(&self) -> Vec<f64> {
        self.runs
            .iter()
            .filter_map(|index| Some(self.found.double_runs.get(*index)?.middle()))
            .collect()
    }

    /// The same runs as gauges of a wind from `from`.
    pub(super) fn gauged(&self, from: Option<Bearing>) -> Vec<GaugedRun> {
        self.speeds
            .iter()
            .zip(&self.runs)
            .filter_map(|(speed, index)| {
                let run = self.found.double_runs.get(*index)?;
                let axis = run.axis;
                let off = from.map_or(0.0, |from| from.apart(axis));
                Some(GaugedRun {
                    configuration: speed.configuration,
                    setting: speed.setting,
                    along: run.along,
                    against: run.against,
                    se: speed.se,
                    axis,
                    off_line_deg: off.min(180.0 - off),
                })
            })
            .collect()
    }

    /// The same runs with the root mean square in place of the mean.
    fn root_mean_squares(&self) -> Vec<RunSpeed> {
        self.speeds
            .iter()
            .zip(&self.runs)
            .map(|(speed, index)| RunSpeed {
                mean: self
                    .found
                    .double_runs
                    .get(*index)
                    .map_or(speed.mean, FoundDoubleRun::root_mean_square),
                ..*speed
            })
            .collect()
    }

    /// The runs of a cell, in order of time.
    pub(super) fn of(&self, configuration: usize, setting: Option<usize>) -> Vec<&FoundDoubleRun> {
        self.runs
            .iter()
            .zip(&self.speeds)
            .filter(|(_, s)| {
                s.configuration == configuration && setting.is_none_or(|k| k == s.setting)
            })
            .filter_map(|(index, _)| self.found.double_runs.get(*index))
            .collect()
    }
}

/// Configurations that hold a double run.
pub(super) fn configurations(found: &Segmented, assigned: &Assigned) -> Vec<Configuration> {
    assigned
        .configurations
        .iter()
        .enumerate()
        .filter_map(|(index, name)| {
            let own: Vec<&FoundDoubleRun> = found
                .double_runs
                .iter()
                .zip(&assigned.runs)
                .filter(|(_, r)| r.configuration == index)
                .map(|(run, _)| run)
                .collect();
            let time = |t: f64| -> Timestamp { found.clock.time(t) };
            Some(Configuration {
                name: name.clone(),
                from: time(own.first()?.start),
                to: time(own.last()?.end),
                source: source(assigned.configurations_noted),
            })
        })
        .collect()
}

/// Settings, slowest first.
pub(super) fn settings(assigned: &Assigned) -> Vec<Setting> {
    assigned
        .settings
        .iter()
        .enumerate()
        .map(|(index, name)| Setting {
            name: name.clone(),
            percent: assigned.percents.get(index).copied().flatten(),
            source: source(assigned.settings_noted),
        })
        .collect()
}

fn source(noted: bool) -> GroupSource {
    if noted {
        GroupSource::Notes
    } else {
        GroupSource::Track
    }
}

/// One entry for each configuration at each setting that was run.
pub(super) fn all_cells(counted: &Counted<'_>, rules: &ComparisonRules) -> Vec<Cell> {
    let scatter = pooled_scatter(&counted.speeds);
    cells(of_runs(&counted.speeds))
        .into_iter()
        .filter_map(|(configuration, setting)| {
            let runs = counted.of(configuration, Some(setting));
            let numbers = counted
                .runs
                .iter()
                .zip(&counted.speeds)
                .filter(|(_, s)| (s.configuration, s.setting) == (configuration, setting))
                .map(|(index, _)| index + 1)
                .collect();
            let logs: Vec<f64> = runs.iter().map(|r| r.mean().ln()).collect();
            let centre = mean(&logs)?;
            let halves: Vec<f64> = runs.iter().map(|r| r.half_difference()).collect();
            Some(Cell {
                configuration: name(&counted.assigned.configurations, configuration),
                setting: name(&counted.assigned.settings, setting),
                double_runs: numbers,
                mean_m_s: centre.exp(),
                mean_interval_m_s: scatter
                    .and_then(|s| mean_interval(centre, runs.len(), s, rules.level)),
                mean_of_means_m_s: consecutive_mean(&runs),
                half_difference_m_s: mean(&halves)?,
                half_difference_per_hour_m_s: drift_trend(&runs),
            })
        })
        .collect()
}

fn mean_interval(
    log_mean: f64,
    runs: usize,
    scatter: PooledScatter,
    level: f64,
) -> Option<Interval> {
    let se = scatter.sd / (runs as f64).sqrt();
    let log = Estimate::new(log_mean, se, scatter.df, level)?;
    Some(Interval {
        low: log.low.exp(),
        high: log.high.exp(),
    })
}

/// Mean of means of all the legs of a cell, where there are three or more; they
/// alternate in direction, double run by double run, only if every double run
/// starts at the same end.
fn consecutive_mean(runs: &[&FoundDoubleRun]) -> Option<f64> {
    if runs.len() < 2 {
        return None;
    }
    let same_end = runs
        .windows(2)
        .all(|pair| pair[0].first_along == pair[1].first_along);
    if !same_end {
        return None;
    }
    let speeds: Vec<f64> = runs.iter().flat_map(|run| run.speeds_in_order()).collect();
    mean_of_means(&speeds)
}

/// Change of the drift along the line, m/s per hour; needs three double runs.
fn drift_trend(runs: &[&FoundDoubleRun]) -> Option<f64> {
    if runs.len() < 3 {
        return None;
    }
    let hours: Vec<f64> = runs.iter().map(|r| r.middle() / 3600.0).collect();
    let drift: Vec<f64> = runs.iter().map(|r| r.half_difference()).collect();
    fit_line(&hours, &drift).map(|line| line.slope)
}

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
            let same =
                |a: &&AdjustedChange| (a.changed, a.setting) == (change.changed, change.setting);
            let found = (gauged.adjusted.as_ref()).and_then(|g| g.changes.iter().find(same));
            // What taking the wind out moves the change by, and so may move it by where it is not.
            let shift = found.map_or_else(
                || rough_shift(counted, change),
                |f| f.log_estimate.value - change.log_ratio,
            );
            let p = gauged.probability;
            let doubt = shift.abs() * (p * (1.0 - p)).sqrt();
            let widened =
                |e: Estimate| Estimate::new(e.value, e.se.hypot(doubt), e.df, rules.level);
            match found.filter(|_| gauged.told.applied) {
                Some(f) => match widened(f.log_estimate) {
                    Some(estimate) => with_estimate(plain, estimate, f.speeds),
                    None => plain,
                },
                None => match widened(own) {
                    Some(estimate) => with_estimate(plain, estimate, change.speeds),
                    None => plain,
                },
            }
        })
        .collect()
}

/// How much a wind that was not the same for both may have moved a change, as a logarithm, where the
/// runs are too few for the balance: some 0.4 of the difference of the half differences
/// (from 0.26 to 0.6 over winds of 2-8 m/s; our own simulated days).
fn rough_shift(counted: &Counted<'_>, change: &Change) -> f64 {
    let share = |configuration: usize| -> Option<f64> {
        let shares: Vec<f64> = counted
            .of(configuration, change.setting)
            .iter()
            .map(|run| run.half_difference().abs() / run.mean())
            .collect();
        mean(&shares)
    };
    match (share(0), share(change.changed)) {
        (Some(a), Some(b)) => 0.4 * (b - a),
        _ => 0.0,
    }
}

/// The comparison with another estimate, the plain one kept beside it.
fn with_estimate(plain: Comparison, log: Estimate, speeds: Option<[f64; 2]>) -> Comparison {
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
        percent: Percent {
            value: percent.map(|p| p.value),
            low: percent.map(|p| p.low),
            high: percent.map(|p| p.high),
        },
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
        unadjusted_percent: None,
        within_run_percent: if percent.is_none() {
            change.within_percent(rules.level)
        } else {
            None
        },
        p_value: change.log_estimate.and_then(|e| e.p_against(0.0)),
        verdict: verdict(percent),
        reason: reason(change, percent),
    }
}

fn verdict(percent: Option<stats::interval::Percent>) -> Verdict {
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
        .then(|| "speeds at different settings have no common mean; the percentage has".to_owned())
}

/// By how many percentage points the pooled changes move when root mean squares are
/// averaged instead, where that is more than the rules' share of the interval.
pub(super) fn averaging_shift(counted: &Counted<'_>, rules: &ComparisonRules) -> Option<f64> {
    let plain = changes(&counted.speeds, rules.level);
    let squared = changes(&counted.root_mean_squares(), rules.level);
    plain
        .iter()
        .zip(&squared)
        .filter(|(p, _)| p.setting.is_none())
        .filter_map(|(p, s)| {
            let shift = percent_of_log(s.log_ratio)? - percent_of_log(p.log_ratio)?;
            let width = p.percent().map(|i| i.high - i.low)?;
            (shift.abs() > rules.averaging_share * width).then_some(shift)
        })
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))
}
