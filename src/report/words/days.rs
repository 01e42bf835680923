//! Several days in words.

use super::wind_in_short;
use crate::trial::Trial;

/// The wind of each day, one after another.
pub(super) fn winds(analysis: &Trial) -> String {
    let told: Vec<String> = analysis
        .days
        .iter()
        .map(|day| {
            format!(
                "Day {}: {}",
                day.day,
                wind_in_short(&analysis.only(day.day))
            )
        })
        .collect();
    told.join(" ")
}
