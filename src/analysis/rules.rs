//! Every threshold in force, as written into the result.

use serde::Serialize;

use super::buys::BuysRules;
use super::wind::WindRules;
use crate::clean::CleanRules;
use crate::compare::CompareRules;
use crate::segmenter::SegmentRules;
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
    /// The model of the comparison.
    pub compare: CompareRules,
    /// What the gain buys.
    pub buys: BuysRules,
}
