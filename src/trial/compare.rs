//! Compares configurations by their double runs, on the log scale.
//!
//! Model: the logarithm of a double run's mean speed is that of its cell
//! (configuration and setting) plus scatter of one size for all cells. The
//! scatter is pooled over the cells, its degrees of freedom are the runs less
//! the cells, and every comparison is a difference of cell means with a Student
//! t interval: the two-sample t test with common variance (NIST/SEMATECH
//! e-Handbook 1.3.5.3), its variance taken from all cells as in the analysis of
//! variance. On the log scale a change is a ratio, so its percentage and the
//! percentage's interval follow by the exponential alone.

use crate::stats::interval::{Estimate, Interval, Percent};
use crate::stats::quantile::median;
use crate::stats::samples::{self, PooledScatter, Sample};
use crate::stats::summary::mean;

/// What the comparison needs of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunSpeed {
    /// Configuration, numbered from 0 in the order run.
    pub configuration: usize,
    /// Setting, numbered from 0 slowest first.
    pub setting: usize,
    /// Mean of the two speeds, m/s; positive.
    pub mean: f64,
    /// Standard error of that mean from the two legs alone, m/s.
    pub se: Option<f64>,
}

/// A comparison at one setting, or over all of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// The configuration compared with the baseline.
    pub changed: usize,
    /// The setting; `None` for all.
    pub setting: Option<usize>,
    /// Runs on each side.
    pub runs: [usize; 2],
    /// Geometric mean speeds of baseline and changed, m/s; `None` when pooled.
    pub speeds: Option<[f64; 2]>,
    /// Difference of the mean logarithms.
    pub log_ratio: f64,
    /// The same with its interval from the scatter between runs; `None` where there is no scatter.
    pub log_estimate: Option<Estimate>,
    /// Its standard error from the legs' own errors: a lower bound.
    pub within_se: Option<f64>,
}

impl Change {
    /// The change in percent with its interval.
    pub fn percent(&self) -> Option<Percent> {
        self.log_estimate?.percent_of_log()
    }

    /// Interval in percent from the legs' own errors alone, at `level`.
    pub fn within_percent(&self, level: f64) -> Option<Interval> {
        let own = Estimate::new(self.log_ratio, self.within_se?, f64::INFINITY, level)?;
        let percent = own.percent_of_log()?;
        Some(Interval {
            low: percent.low,
            high: percent.high,
        })
    }

    /// The difference in speed, m/s, to first order: each cell's mean carries the
    /// scatter as a share of its speed.
    pub fn difference(&self, scatter: PooledScatter, level: f64) -> Option<Estimate> {
        let [baseline, changed] = self.speeds?;
        let [n, m] = self.runs.map(|n| n as f64);
        let se = scatter.sd * (baseline.powi(2) / n + changed.powi(2) / m).sqrt();
        Estimate::new(changed - baseline, se, scatter.df, level)
    }
}

/// Scatter pooled over all cells, on the log scale; `None` where no cell holds two runs.
///
/// Never less than the runs' own standard errors give: with a few degrees of freedom chance often makes runs agree better than any of them is known.
pub fn pooled_scatter(runs: &[RunSpeed]) -> Option<PooledScatter> {
    let samples: Vec<Sample> = cells(of_runs(runs))
        .into_iter()
        .filter_map(|cell| Sample::of(&logs(runs, cell)))
        .collect();
    let scatter = samples::pooled_scatter(&samples)?;
    let least = own_scatter(runs.iter().map(|r| (r.mean, r.se))).unwrap_or(0.0);
    Some(PooledScatter {
        sd: scatter.sd.max(least),
        ..scatter
    })
}

/// The runs' own standard errors as a share of their speeds, from speed and standard error of each:
/// their median, for each is rough.
pub fn own_scatter(runs: impl Iterator<Item = (f64, Option<f64>)>) -> Option<f64> {
    let own: Vec<f64> = runs.filter_map(|(mean, se)| Some(se? / mean)).collect();
    median(&own)
}

/// Every configuration against the first, at each setting both were run at and over all of those.
pub fn changes(runs: &[RunSpeed], level: f64) -> Vec<Change> {
    let scatter = pooled_scatter(runs);
    let last = runs.iter().map(|r| r.configuration).max().unwrap_or(0);
    let mut out = Vec::new();
    for changed in 1..=last {
        let mut settings: Vec<usize> = runs.iter().map(|r| r.setting).collect();
        settings.sort_unstable();
        settings.dedup();
        let single: Vec<Change> = settings
            .iter()
            .filter_map(|setting| at_setting(runs, changed, *setting, scatter, level))
            .collect();
        out.extend(single.iter().copied());
        out.extend(over_settings(&single, changed, scatter, level));
    }
    out
}

fn at_setting(
    runs: &[RunSpeed],
    changed: usize,
    setting: usize,
    scatter: Option<PooledScatter>,
    level: f64,
) -> Option<Change> {
    let (first, second) = (logs(runs, (0, setting)), logs(runs, (changed, setting)));
    let (a, b) = (mean(&first)?, mean(&second)?);
    let (n, m) = (first.len() as f64, second.len() as f64);
    let within = |cell| -> Option<f64> {
        let own: Vec<f64> = members(runs, cell)
            .map(|r| r.se.map(|se| (se / r.mean).powi(2)))
            .collect::<Option<_>>()?;
        Some(own.iter().sum::<f64>() / (own.len() as f64).powi(2))
    };
    Some(Change {
        changed,
        setting: Some(setting),
        runs: [first.len(), second.len()],
        speeds: Some([a.exp(), b.exp()]),
        log_ratio: b - a,
        log_estimate: scatter
            .and_then(|s| Estimate::new(b - a, s.sd * (1.0 / n + 1.0 / m).sqrt(), s.df, level)),
        within_se: match (within((0, setting)), within((changed, setting))) {
            (Some(x), Some(y)) => Some((x + y).sqrt()),
            _ => None,
        },
    })
}

/// The mean of the settings' log ratios, each weighted by how well it is known:
/// `n m / (n + m)`, the least-squares weight under a common scatter.
fn over_settings(
    single: &[Change],
    changed: usize,
    scatter: Option<PooledScatter>,
    level: f64,
) -> Option<Change> {
    let weights: Vec<f64> = single.iter().map(|c| weight_of(c.runs)).collect();
    let total: f64 = weights.iter().sum();
    if total <= 0.0 {
        return None;
    }
    let log_ratio = single
        .iter()
        .zip(&weights)
        .map(|(c, w)| c.log_ratio * w / total)
        .sum();
    let within = single
        .iter()
        .zip(&weights)
        .map(|(c, w)| c.within_se.map(|se| (se * w / total).powi(2)))
        .sum::<Option<f64>>()
        .map(f64::sqrt);
    Some(Change {
        changed,
        setting: None,
        runs: [0, 1].map(|side| single.iter().map(|c| c.runs[side]).sum()),
        speeds: None,
        log_ratio,
        log_estimate: scatter
            .and_then(|s| Estimate::new(log_ratio, s.sd / total.sqrt(), s.df, level)),
        within_se: within,
    })
}

/// The cells that hold runs, as (configuration, setting), in order.
pub fn cells(of_runs: impl Iterator<Item = (usize, usize)>) -> Vec<(usize, usize)> {
    let mut cells: Vec<(usize, usize)> = of_runs.collect();
    cells.sort_unstable();
    cells.dedup();
    cells
}

/// The cell of each run.
pub fn of_runs(runs: &[RunSpeed]) -> impl Iterator<Item = (usize, usize)> {
    runs.iter().map(|r| (r.configuration, r.setting))
}

/// Weight of a setting with so many runs on either side: `n m / (n + m)`, the least-squares weight
/// under a common scatter.
pub fn weight_of(runs: [usize; 2]) -> f64 {
    let [n, m] = runs.map(|n| n as f64);
    n * m / (n + m)
}

fn members(runs: &[RunSpeed], cell: (usize, usize)) -> impl Iterator<Item = &RunSpeed> {
    runs.iter()
        .filter(move |r| (r.configuration, r.setting) == cell)
}

fn logs(runs: &[RunSpeed], cell: (usize, usize)) -> Vec<f64> {
    members(runs, cell).map(|r| r.mean.ln()).collect()
}
