//! The groups, cells and comparisons of the result.

use jiff::Timestamp;

use super::legs::name;
use super::result::{Cell, Configuration, GroupSource, Setting};
use super::rules::ComparisonRules;
use crate::segmenter::{Assigned, Run, Segmented};
use crate::stats::interval::{Estimate, Interval};
use crate::stats::meanofmeans::mean_of_means;
use crate::stats::regression::fit_line;
use crate::stats::samples::PooledScatter;
use crate::stats::summary::mean;
use crate::trial::changing_drift::DriftSeen;
use crate::trial::compare::{RunSpeed, cells, of_runs, pooled_scatter};
use crate::trial::gauge::{GaugedRun, TimedRun};
use crate::units::Bearing;

/// The double runs that count, in order of time.
pub(super) struct Counted<'a> {
    found: &'a Segmented,
    pub(super) assigned: &'a Assigned,
    /// Indices of the double runs.
    pub runs: Vec<usize>,
    /// What the comparison sees of each.
    pub speeds: Vec<RunSpeed>,
}

impl<'a> Counted<'a> {
    pub(super) fn new(found: &'a Segmented, assigned: &'a Assigned) -> Self {
        let runs: Vec<usize> = (0..found.runs.len())
            .filter(|i| assigned.runs.get(*i).is_some_and(|r| !r.left_out))
            .collect();
        let speeds = runs
            .iter()
            .filter_map(|index| {
                let run = found.runs.get(*index)?;
                let own = assigned.runs.get(*index)?;
                Some(RunSpeed {
                    configuration: own.configuration,
                    setting: own.setting,
                    mean: run.speed,
                    se: run.se,
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
            .filter_map(|index| Some(self.found.runs.get(*index)?.middle()))
            .collect()
    }

    /// Index, start and end of the same runs.
    pub(super) fn spans(&self) -> impl Iterator<Item = (usize, [Timestamp; 2])> {
        self.runs.iter().filter_map(|index| {
            let run = self.found.runs.get(*index)?;
            Some((
                *index,
                [run.start, run.end].map(|t| self.found.clock.time(t)),
            ))
        })
    }

    /// How the drift along the line showed in the same runs.
    pub(super) fn drifts(&self) -> Vec<DriftSeen> {
        let seen = |(index, speed): (&usize, &RunSpeed)| {
            let run = self.found.runs.get(*index)?;
            let middle = |leg: usize| -> Option<f64> {
                let leg = self.found.legs.get(leg)?;
                Some(f64::midpoint(leg.start, leg.end))
            };
            let [first, second] = [middle(run.legs[0])?, middle(run.legs[1])?];
            let [along_at, against_at] = if run.first_along {
                [first, second]
            } else {
                [second, first]
            };
            Some(DriftSeen {
                line: run.line,
                setting: speed.setting,
                half_difference: run.drift_along,
                along_at,
                against_at,
            })
        };
        self.runs
            .iter()
            .zip(&self.speeds)
            .filter_map(seen)
            .collect()
    }

    /// The same runs as gauges of a wind from `from`.
    pub(super) fn gauged(&self, from: Option<Bearing>) -> Vec<GaugedRun> {
        self.speeds
            .iter()
            .zip(&self.runs)
            .filter_map(|(speed, index)| {
                let run = self.found.runs.get(*index)?;
                let axis = run.axis;
                Some(GaugedRun {
                    configuration: speed.configuration,
                    setting: speed.setting,
                    along: run.along(),
                    against: run.against(),
                    se: speed.se,
                    axis,
                    off_line_deg: from.map_or(0.0, |from| from.off_line(axis)),
                })
            })
            .collect()
    }

    /// The same with the middles of their legs in time.
    pub(super) fn timed(&self, from: Option<Bearing>) -> Vec<TimedRun> {
        self.gauged(from)
            .into_iter()
            .zip(self.drifts())
            .map(|(run, seen)| TimedRun {
                run,
                along_at: seen.along_at,
                against_at: seen.against_at,
            })
            .collect()
    }

    /// The same runs with the root mean square in place of the mean.
    pub(super) fn root_mean_squares(&self) -> Vec<RunSpeed> {
        self.speeds
            .iter()
            .zip(&self.runs)
            .map(|(speed, index)| RunSpeed {
                mean: self
                    .found
                    .runs
                    .get(*index)
                    .map_or(speed.mean, Run::root_mean_square),
                ..*speed
            })
            .collect()
    }

    /// The runs of a cell, in order of time.
    pub(super) fn of(&self, configuration: usize, setting: Option<usize>) -> Vec<&Run> {
        self.runs
            .iter()
            .zip(&self.speeds)
            .filter(|(_, s)| {
                s.configuration == configuration && setting.is_none_or(|k| k == s.setting)
            })
            .filter_map(|(index, _)| self.found.runs.get(*index))
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
            let own: Vec<&Run> = found
                .runs
                .iter()
                .zip(&assigned.runs)
                .filter(|(_, r)| r.configuration == index && !r.left_out)
                .map(|(run, _)| run)
                .collect();
            let time = |t: f64| -> Timestamp { found.clock.time(t) };
            Some(Configuration {
                name: name.clone(),
                from: time(own.first()?.start),
                to: time(own.last()?.end),
                source: source(assigned.configurations_noted),
                confidence: (assigned.probability).filter(|_| !assigned.configurations_noted),
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
            confidence: assigned.probability.filter(|_| !assigned.settings_noted),
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
            let logs: Vec<f64> = runs.iter().map(|r| r.speed.ln()).collect();
            let centre = mean(&logs)?;
            let halves: Vec<f64> = runs.iter().map(|r| r.drift_along).collect();
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
fn consecutive_mean(runs: &[&Run]) -> Option<f64> {
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
fn drift_trend(runs: &[&Run]) -> Option<f64> {
    if runs.len() < 3 {
        return None;
    }
    let hours: Vec<f64> = runs.iter().map(|r| r.middle() / 3600.0).collect();
    let drift: Vec<f64> = runs.iter().map(|r| r.drift_along).collect();
    fit_line(&hours, &drift).map(|line| line.slope)
}
