//! What an earlier trial's `result.json` says of this boat.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::stats::distribution::normal_quantile;
use crate::stats::summary::mean;

/// Taken from an earlier trial. SI units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Earlier {
    /// Name of the file.
    pub file: String,
    /// Scatter between double runs of the same thing, standard deviation as a share of the speed.
    pub scatter: f64,
    /// Its degrees of freedom.
    pub df: f64,
    /// Mean time of the legs it was measured with, s.
    pub leg_s: Option<f64>,
    /// Speed at each setting in the first configuration, m/s, slowest first.
    pub speeds_m_s: Vec<f64>,
    /// Percent of full power of each, where it was noted.
    #[serde(default)]
    pub percents: Vec<Option<f64>>,
    /// Settling distance, m.
    pub settling_m: Option<f64>,
}

/// Why nothing can be planned from a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EarlierError {
    /// The file is not a result of this program.
    #[error(
        "this is no `result.json` of a report: {0}\nhint: name the `result.json` that `thereback report` wrote"
    )]
    NoResult(String),
    /// It has no scatter to plan with.
    #[error(
        "the earlier trial gives no scatter between double runs: {why} (`{key}`)\nhint: plan without `--from`, with the speeds given"
    )]
    NoScatter {
        /// The key of `result.json` that it should come from.
        key: &'static str,
        /// What is wrong with it.
        why: &'static str,
    },
}

/// What is read of a `result.json`.
#[derive(Deserialize)]
struct Result_ {
    legs: Vec<Leg>,
    double_runs: Vec<DoubleRun>,
    #[serde(default)]
    settings: Vec<Setting>,
    #[serde(default)]
    days: Vec<Day>,
}

#[derive(Deserialize)]
struct Day {
    settling_distance_m: Option<f64>,
}

#[derive(Deserialize)]
struct Leg {
    included: bool,
    duration_s: f64,
}

#[derive(Deserialize)]
struct DoubleRun {
    mean_m_s: Option<f64>,
    configuration: String,
    setting: String,
}

#[derive(Deserialize)]
struct Setting {
    name: String,
    percent: Option<f64>,
}

impl Earlier {
    /// Reads the text of a `result.json`.
    ///
    /// # Errors
    /// [`EarlierError::NoResult`] where it is none, [`EarlierError::NoScatter`] where no cell has
    /// two double runs or a speed is missing.
    pub fn read(text: &str, file: &str) -> Result<Self, EarlierError> {
        let result: Result_ =
            serde_json::from_str(text).map_err(|e| EarlierError::NoResult(e.to_string()))?;
        let no_scatter = |key, why| EarlierError::NoScatter { key, why };
        // Logarithms of speed by configuration and setting.
        let mut cells: BTreeMap<(&str, &str), Vec<f64>> = BTreeMap::new();
        for run in &result.double_runs {
            let speed = run.mean_m_s.filter(|v| v.is_finite() && *v > 0.0);
            let speed = speed.ok_or(no_scatter("double_runs[].mean_m_s", "a speed is missing"))?;
            let cell = (run.configuration.as_str(), run.setting.as_str());
            cells.entry(cell).or_default().push(speed.ln());
        }
        let (mut squares, mut df) = (0.0, 0.0);
        for logs in cells.values() {
            let mean = mean(logs).unwrap_or_default();
            squares += logs.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
            df += logs.len() as f64 - 1.0;
        }
        if df < 1.0 {
            return Err(no_scatter(
                "double_runs",
                "no configuration has two at one setting",
            ));
        }
        let times = result
            .legs
            .iter()
            .filter(|leg| leg.included && leg.duration_s > 0.0);
        let times: Vec<f64> = times.map(|leg| leg.duration_s).collect();
        let first = result
            .double_runs
            .first()
            .map(|run| run.configuration.as_str());
        let percent = |name: &str| result.settings.iter().find(|s| s.name == name)?.percent;
        let mut settings: Vec<(f64, Option<f64>)> = (cells.iter())
            .filter(|((configuration, _), _)| Some(*configuration) == first)
            .filter_map(|((_, setting), logs)| Some((mean(logs)?.exp(), percent(setting))))
            .collect();
        settings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (speeds_m_s, percents) = settings.into_iter().unzip();
        Ok(Self {
            file: file.to_owned(),
            scatter: (squares / df).sqrt(),
            df,
            leg_s: mean(&times),
            speeds_m_s,
            percents,
            settling_m: (result.days.first())
                .and_then(|day| day.settling_distance_m)
                .filter(|d| *d > 0.0),
        })
    }

    /// The scatter to plan with: the upper end of its one-sided 80 % interval, since one found from
    /// few runs is often too small (Browne 1995, *Statistics in Medicine* 14, 1933-1940, from
    /// memory), with the chi-square quantile by Wilson & Hilferty (1931, *PNAS* 17, 684).
    pub(super) fn scatter_to_plan_with(&self) -> f64 {
        let spread = 2.0 / (9.0 * self.df.max(1.0));
        let fifth = normal_quantile(0.2).unwrap_or(-1.0);
        self.scatter / (1.0 - spread + fifth * spread.sqrt()).powf(1.5)
    }
}

#[cfg(test)]
mod tests {
    use super::Earlier;

    /// Chi-square quantiles of 20 %: 1.6488 at 4 degrees of freedom, 6.1791 at 10 (tables).
    #[test]
    fn few_runs_are_planned_with_a_larger_scatter() {
        for (df, quantile) in [(4.0_f64, 1.6488_f64), (10.0, 6.1791)] {
            let earlier = Earlier {
                file: String::new(),
                scatter: 0.01,
                df,
                leg_s: None,
                speeds_m_s: Vec::new(),
                percents: Vec::new(),
                settling_m: None,
            };
            let want = 0.01 * (df / quantile).sqrt();
            assert!((earlier.scatter_to_plan_with() / want - 1.0).abs() < 0.01);
        }
    }
}
