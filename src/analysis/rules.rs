//! Every threshold in force, as written into the result.

use serde::Serialize;

use super::buys::BuysRules;
use super::hidden::HiddenWindRules;
use super::wind::WindRules;
use crate::clean::CleanRules;
use crate::compare::CompareRules;
use crate::segmenter::SegmentRules;
use crate::trial::gauge::{BesideRules, GaugeRules};
use crate::trial::idle::IdleRules;

/// The rules of all stages.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Rules {
    /// Cleaning.
    pub clean: CleanRules,
    /// Legs, lines and double runs.
    #[serde(flatten)]
    pub segment: SegmentRules,
    /// What the boat did at its stops.
    pub idle: IdleRules,
    /// The wind.
    pub wind: WindRules,
    /// The comparison.
    pub comparison: ComparisonRules,
    /// The model of the comparison.
    pub compare: CompareRules,
    /// Taking a changing wind out of it.
    pub gauge: GaugeRules,
    /// Allowing for a wind that a current hides.
    pub hidden_wind: HiddenWindRules,
    /// Taking a wind apart from a current beside it.
    pub beside_current: BesideRules,
    /// What the gain buys.
    pub buys: BuysRules,
}

/// How configurations are compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparisonRules {
    /// Level of every interval: 95 % is what readers of trials expect (common practice, no source).
    pub level: f64,
    /// Share of the interval's width from which on the way of averaging is worth telling.
    pub averaging_share: f64,
    /// How far taking wind and current out may be wrong, as a share of what it moves a change by and one standard
    /// deviation: hull drag may grow with another power of speed than the second, and the wind veer. On our own
    /// simulated days of slow boats in a growing wind, both settings near each other, intervals held 86 to 90 times in 100
    /// with it and 84 to 88 without.
    pub balance_share: f64,
    /// A difference in drift along the line between configurations is told from this many
    /// of its standard errors on.
    pub unequal_drift_se: f64,
    /// And from this share of the speed on: below it the mean of two directions moves by
    /// less than a third of that (0.3 of the half difference, our own simulated days).
    pub unequal_drift_share: f64,
    /// A steady change of the drift through the day is told below this two-sided p value. Gusts
    /// shared by neighbours make it come up more often than that by chance. Source: our own simulated days.
    pub trend_level: f64,
    /// And, where the drift keeps its direction, from this change of its logarithm on between the
    /// configurations: by two fifths. Source: our own simulated days.
    pub trend_log: f64,
    /// And from this share of the speed on, of which the mean of two directions moves by less than a
    /// third (0.3 of the half difference, our own simulated days).
    pub trend_share: f64,
}

impl Default for ComparisonRules {
    fn default() -> Self {
        Self {
            level: 0.95,
            averaging_share: 0.1,
            balance_share: 0.1,
            unequal_drift_se: 3.5,
            unequal_drift_share: 0.02,
            trend_level: 0.01,
            trend_log: 0.33,
            trend_share: 0.015,
        }
    }
}
