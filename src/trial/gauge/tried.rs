//! The double runs under one windage: what each would have done in one wind.

use super::{GaugeRules, GaugedRun, cells_of, of_cell, settings_of};
use crate::stats::summary::{mean, sum_of_squares};
use crate::trial::balance::{Pair, Windage};
use crate::trial::compare::weight_of;

/// The runs under one windage.
pub(super) struct Tried {
    pub(super) log_windage: f64,
    /// Standard deviations off the windage assumed.
    pub(super) off_sds: f64,
    /// Mean wind, m/s.
    pub(super) wind: f64,
    /// Drive of each run, m/s.
    pub(super) drives: Vec<f64>,
    /// Logarithm of what each run's mean would have been in the mean wind.
    pub(super) logs: Vec<f64>,
    /// Sum of squares of these within the cells.
    pub(super) within: f64,
}

/// A comparison under one windage.
pub(super) struct Contrast {
    pub(super) log_ratio: f64,
    /// From the scatter alone.
    pub(super) se: f64,
    pub(super) log_baseline: f64,
}

impl Tried {
    pub(super) fn new(runs: &[GaugedRun], off_sds: f64, rules: &GaugeRules) -> Option<Self> {
        let log_windage = rules.windage.ln() + off_sds * rules.windage_log_sd;
        let usual: f64 = runs.iter().map(GaugedRun::half_difference).sum();
        let solved: Vec<(Windage, f64, f64)> = runs
            .iter()
            .map(|run| {
                let windage = Windage {
                    ratio: log_windage.exp(),
                    off_line_deg: run.off_line_deg,
                };
                let (faster, slower) = if usual >= 0.0 {
                    (run.along, run.against)
                } else {
                    (run.against, run.along)
                };
                // In a lull noise may turn the two round; then there was no wind to speak of.
                let pair = Pair {
                    slower: slower.min(faster),
                    faster: faster.max(slower),
                };
                let balance = windage.solve(pair)?;
                Some((windage, balance.drive, balance.wind))
            })
            .collect::<Option<_>>()?;
        let wind = solved.iter().map(|s| s.2).sum::<f64>() / solved.len() as f64;
        let logs: Vec<f64> = solved
            .iter()
            .map(|(windage, drive, _)| Some(windage.mean_speed(*drive, wind)?.ln()))
            .collect::<Option<_>>()?;
        let within = within(runs, &logs);
        Some(Self {
            log_windage,
            off_sds,
            wind,
            drives: solved.iter().map(|s| s.1).collect(),
            logs,
            within,
        })
    }

    /// The difference of the mean logarithms and its standard error from the scatter.
    pub(super) fn contrast(
        &self,
        runs: &[GaugedRun],
        changed: usize,
        setting: Option<usize>,
        own: Option<f64>,
        df: f64,
    ) -> Option<Contrast> {
        let settings = settings_of(runs)
            .into_iter()
            .filter(|s| setting.is_none_or(|asked| asked == *s));
        let (mut total, mut sum, mut baseline) = (0.0, 0.0, 0.0);
        for setting in settings {
            let a = of_cell(runs, &self.logs, (0, setting));
            let b = of_cell(runs, &self.logs, (changed, setting));
            let (Some(mean_a), Some(mean_b)) = (mean(&a), mean(&b)) else {
                continue;
            };
            let weight = weight_of([a.len(), b.len()]);
            total += weight;
            sum += weight * (mean_b - mean_a);
            baseline += weight * mean_a;
        }
        let scatter = (self.within / df).sqrt().max(own.unwrap_or(0.0));
        (total > 0.0).then(|| Contrast {
            log_ratio: sum / total,
            se: scatter / total.sqrt(),
            log_baseline: baseline / total,
        })
    }
}

/// Sum of squares within the cells.
pub(super) fn within(runs: &[GaugedRun], logs: &[f64]) -> f64 {
    cells_of(runs)
        .into_iter()
        .filter_map(|cell| sum_of_squares(&of_cell(runs, logs, cell)))
        .sum()
}
