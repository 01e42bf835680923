//! Several days in words.

use super::wind_in_short;
use crate::analysis::Analysis;

/// The wind of each day, one after another.
pub(super) fn winds(analysis: &Analysis) -> String {
    let told: Vec<String> = analysis
        .days
        .iter()
        .map(|day| format!("Day {}: {}", day.day, wind_in_short(&day.analysis)))
        .collect();
    told.join(" ")
}
