//! Every threshold in force, as written into the result.

use serde::Serialize;

use crate::clean::CleanRules;
use crate::compare::CompareRules;
use crate::day::DayRules;
use crate::gain::GainRules;
use crate::segmenter::SegmentRules;

/// The rules of all stages.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Rules {
    /// Cleaning.
    pub clean: CleanRules,
    /// Legs, lines and double runs.
    #[serde(flatten)]
    pub segment: SegmentRules,
    /// Stops and wind.
    #[serde(flatten)]
    pub day: DayRules,
    /// The model of the comparison.
    pub compare: CompareRules,
    /// What the gain buys.
    pub gain: GainRules,
}
