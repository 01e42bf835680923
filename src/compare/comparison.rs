//! The result's cells and comparisons.

use serde::Serialize;

use crate::stats::interval::Interval;

/// One configuration at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cell {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Its double runs.
    pub double_runs: Vec<usize>,
    /// Its speed in the mean conditions of the setting, by the model of the comparison.
    pub mean_m_s: f64,
    /// 95 % interval of that speed.
    pub mean_interval_m_s: Option<Interval>,
    /// Geometric mean of its double runs as measured.
    pub as_measured_m_s: f64,
    /// Mean drift along the line (mean half difference).
    pub half_difference_m_s: f64,
    /// Change of that drift per hour, where there are three or more double runs on one day.
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
    /// How many double runs each side has.
    pub double_runs: [usize; 2],
    /// Speed of the baseline; `None` when pooled.
    pub baseline_m_s: Option<f64>,
    /// Speed of the changed configuration; `None` when pooled.
    pub changed_m_s: Option<f64>,
    /// Difference in speed with its 95 % interval; `None` when pooled over settings.
    pub difference_m_s: Difference,
    /// Change in percent with its 95 % interval.
    pub percent: Percent,
    /// The change as a difference of logarithms of speed.
    pub log_ratio: Option<LogRatio>,
    /// The interval that holds together with those of all other configurations against the
    /// baseline; `None` where there are but two.
    pub simultaneous: Option<Simultaneous>,
    /// No change larger than this, in percent and either way: the end of the interval that lies
    /// farther from zero.
    pub no_change_beyond_percent: Option<f64>,
    /// The change on each day; `None` for one day.
    pub across_days: Option<AcrossDays>,
    /// The change by the plain means of the double runs, percent.
    pub as_measured_percent: Option<f64>,
    /// Twice the smaller posterior probability of either sign.
    pub p_value: Option<f64>,
    /// What may be said.
    pub verdict: Verdict,
    /// What could move the change most, the gravest first; at most two.
    pub doubts: Vec<Doubt>,
    /// Why something is missing or doubtful, a clause.
    pub reason: Option<String>,
}

/// Something that could move a change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Doubt {
    /// What it is.
    #[serde(flatten)]
    pub kind: DoubtKind,
    /// What the comparison took out for it, percent; `None` for what is not taken out.
    pub taken_out_percent: Option<f64>,
    /// By how much it could move the change either way, percentage points; half the width of a
    /// 95 % interval, where it is one.
    pub could_move_percent: f64,
}

/// What a doubt is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "doubt", content = "double_run", rename_all = "snake_case")]
pub enum DoubtKind {
    /// Conditions that drifted through the day: battery, weeds, load, a wind that does not show.
    Time,
    /// A wind or current that was not the same for both.
    Wind,
    /// One double run, by its number: what the change would move by without it.
    DoubleRun(usize),
}

/// What the fit of all double runs says beside the comparisons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FitSummary {
    /// Usual scatter of a double run beside its legs' own errors, percent of the speed.
    pub scatter_percent: f64,
    /// Steady drift of the speed through the day, percent an hour; `None` for several days.
    pub trend_percent_per_hour: Option<Percent>,
    /// Probability that it is the large one of a failing battery, `[0, 1]`.
    pub failing_trend_probability: f64,
    /// Double runs in which something may have gone wrong, the probability of each 0.1 or more.
    pub bad_runs: Vec<BadRun>,
    /// Wind along the line that would explain the mean half difference, from the least to the
    /// largest, m/s; `None` without one.
    pub wind_along_m_s: Option<[f64; 2]>,
    /// Whether the comparison takes the half differences for the wind's.
    pub wind_makes_half_differences: bool,
    /// Whether the faster direction is the one that the wind helps; `None` where the wind's
    /// direction is not known.
    pub agrees_with_wind: Option<bool>,
    /// What of the known wind blows along the line, m/s; all of it where its direction is not
    /// known, `None` where its speed is not.
    pub stated_along_m_s: Option<f64>,
}

/// A double run in which something may have gone wrong.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BadRun {
    /// Its number.
    pub double_run: usize,
    /// How probable it is, `[0, 1]`.
    pub probability: f64,
}

/// A change on each of several days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AcrossDays {
    /// The days that ran both configurations.
    pub days: Vec<DayShare>,
}

/// A change on one of several days, by the model of all of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayShare {
    /// The day.
    pub day: usize,
    /// Its change in percent with its 95 % interval.
    pub percent: Percent,
}

/// A difference of logarithms.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct LogRatio {
    /// The difference.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
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
    /// The difference of logarithms of speed.
    pub log_ratio: LogRatio,
    /// The interval that holds together with those of all other pairs at the setting.
    pub simultaneous: Simultaneous,
}

/// A difference in speed, m/s; each part `None` where it cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct Difference {
    /// Changed less baseline.
    pub value: Option<f64>,
    /// Standard error.
    pub se: Option<f64>,
    /// Degrees of freedom; always `None`, the interval being that of a posterior.
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

/// What may be said of a change.
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
    /// The interval contains zero and lies within the change worth knowing, either way.
    #[serde(rename = "no larger difference")]
    NoLargerDifference,
    /// A configuration has a single double run: the interval rests on what is usual.
    #[serde(rename = "too few runs")]
    #[default]
    TooFewRuns,
}
