//! The result's cells and comparisons.

use serde::Serialize;

use super::across::AcrossDays;
use crate::stats::interval::Interval;

/// One configuration at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cell {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Its included double runs.
    pub double_runs: Vec<usize>,
    /// Geometric mean of their means (the comparison works on the log scale).
    pub mean_m_s: f64,
    /// 95 % interval of that mean, with the scatter pooled over all cells.
    pub mean_interval_m_s: Option<Interval>,
    /// Mean of means over all legs of the cell in order, where they alternate: cancels a drift that changes.
    pub mean_of_means_m_s: Option<f64>,
    /// Mean drift along the line (mean half difference).
    pub half_difference_m_s: f64,
    /// Change of that drift per hour, where there are three or more double runs.
    pub half_difference_per_hour_m_s: Option<f64>,
}

/// A changed configuration against the baseline.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Comparison {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The setting, or `None` for all settings pooled.
    pub setting: Option<String>,
    /// How many double runs stand on each side.
    pub double_runs: [usize; 2],
    /// Speed of the baseline; `None` when pooled.
    pub baseline_m_s: Option<f64>,
    /// Speed of the changed configuration; `None` when pooled.
    pub changed_m_s: Option<f64>,
    /// Difference in speed with its 95 % interval; `None` when pooled over settings.
    pub difference_m_s: Difference,
    /// Change in percent with its 95 % interval.
    pub percent: Percent,
    /// The difference of the mean logarithms of speed, which percent, interval and verdict follow from:
    /// `percent = 100 (exp(value ± t se) - 1)`.
    pub log_ratio: Option<LogRatio>,
    /// The interval that holds together with those of all other configurations against the baseline;
    /// `None` where there are but two.
    pub simultaneous: Option<Simultaneous>,
    /// No change larger than this, in percent and either way: the smallest margin that two one-sided
    /// tests at 5 % each support (Schuirmann 1987).
    pub no_change_beyond_percent: Option<f64>,
    /// How it was pooled over days; `None` for one day.
    pub across_days: Option<AcrossDays>,
    /// The same by the plain means, before the wind was taken out or doubt about it widened the
    /// interval (see [`Gauge`]); `None` where there is no interval.
    pub unadjusted_percent: Option<Percent>,
    /// How far a change of the wind that a current hid may have moved this one, percent, as one standard
    /// deviation; the interval allows for it. `None` where no wind is hidden.
    pub hidden_wind_percent: Option<f64>,
    /// The same from the legs' own uncertainty only: a lower bound, given where runs are too few.
    pub within_run_percent: Option<Interval>,
    /// Two-sided p value of no change.
    pub p_value: Option<f64>,
    /// What may be said.
    pub verdict: Verdict,
    /// Why something is missing, a sentence.
    pub reason: Option<String>,
}

/// A difference of mean logarithms.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct LogRatio {
    /// The difference.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
    /// Degrees of freedom of Student's t; `None` for the normal distribution.
    pub df: Option<f64>,
}

/// An interval that holds together with others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Simultaneous {
    /// Lower end of the 95 % interval, percent.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// p value, adjusted for the whole set.
    pub p_value: f64,
    /// The method and its source.
    pub method: &'static str,
}

/// Two of three configurations or more, compared so that all pairs hold together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pair {
    /// The one run earlier.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The setting, or `None` for all settings pooled.
    pub setting: Option<String>,
    /// Change in percent.
    pub percent: f64,
    /// The difference of mean logarithms.
    pub log_ratio: LogRatio,
    /// The interval that holds together with those of all other pairs at the setting.
    pub simultaneous: Simultaneous,
}

/// Whether each double run served as a gauge of its own wind, so that a wind that changed between
/// configurations is taken out of the comparisons.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Gauge {
    /// Whether it is taken out so.
    pub applied: bool,
    /// Whether it could be: `applied` too, unless a wind log serves in its place.
    pub supported: bool,
    /// Why not, a clause.
    pub reason: Option<String>,
    /// How probable it is that the drift along the line is the wind's and not a current's, `[0, 1]`;
    /// what it leaves open widens the intervals.
    pub probability: Option<f64>,
    /// The part of it that the double runs give: natural logarithm of the odds of wind alone against a wind with a
    /// current along the line, both fitted; `None` where they were not.
    pub odds_of_wind_alone_log: Option<f64>,
    /// Windage found: drag factor of the air over that of the hull, both with the square of speed.
    pub windage: Option<f64>,
    /// Standard deviation of its logarithm.
    pub windage_log_sd: Option<f64>,
    /// Mean wind along the line that explains the two directions, m/s.
    pub wind_m_s: Option<f64>,
    /// What was found of the wind where a current runs beside it and both were fitted together; the comparisons
    /// then stand in its middle wind. `None` where they were not.
    pub beside_current: Option<BesideCurrent>,
}

/// A wind along the line that was fitted together with a current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BesideCurrent {
    /// Windage: drag factor of the air over that of the hull.
    pub windage: f64,
    /// Standard deviation of its logarithm.
    pub windage_log_sd: f64,
    /// Wind along the line in the middle of the trial, m/s.
    pub wind_m_s: f64,
    /// Natural logarithm of what the wind grew by from the first double run to the last.
    pub wind_growth_log: f64,
    /// Its standard deviation.
    pub wind_growth_log_sd: f64,
}

/// A difference in speed, m/s; each part `None` where it cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct Difference {
    /// Changed less baseline.
    pub value: Option<f64>,
    /// Standard error.
    pub se: Option<f64>,
    /// Degrees of freedom of the scatter.
    pub df: Option<f64>,
    /// Lower end of the 95 % interval.
    pub low: Option<f64>,
    /// Upper end of the 95 % interval.
    pub high: Option<f64>,
}

/// A change in percent; each part `None` where it cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct Percent {
    /// `100 (changed / baseline - 1)`.
    pub value: Option<f64>,
    /// Lower end of the 95 % interval.
    pub low: Option<f64>,
    /// Upper end of the 95 % interval.
    pub high: Option<f64>,
}

/// What may be said of a change. It follows from the interval alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Default)]
pub enum Verdict {
    /// The whole interval lies above zero.
    #[serde(rename = "faster")]
    Faster,
    /// The whole interval lies below zero.
    #[serde(rename = "slower")]
    Slower,
    /// The interval contains zero.
    #[serde(rename = "not shown")]
    NotShown,
    /// There is no interval: the scatter between runs is not known.
    #[serde(rename = "too few runs")]
    #[default]
    TooFewRuns,
}
