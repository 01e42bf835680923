//! The project's sample days: two scenarios of our own from fixed seeds.

use super::{GpxStyle, SimulatedDay, firth, lake, simulate};

/// Seeds with which the two days show what they are meant to.
const LAKE_SEED: u64 = 41;
const FIRTH_SEED: u64 = 7;

/// A sample day and how its file is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Stem of the files' names.
    pub name: &'static str,
    /// The day.
    pub day: SimulatedDay,
    /// Which GPX.
    pub style: GpxStyle,
}

/// The sample days; the same bytes every time.
pub fn samples() -> [Sample; 2] {
    [
        Sample {
            name: "lake_trim",
            day: simulate(&lake(), LAKE_SEED),
            style: GpxStyle::V1_1,
        },
        Sample {
            name: "firth_scrub",
            day: simulate(&firth(), FIRTH_SEED),
            style: GpxStyle::V1_0,
        },
    ]
}

impl SimulatedDay {
    /// The truth as the text of a `.truth.json`.
    pub fn truth_json(&self) -> String {
        // Numbers, names and times alone; none of them can fail.
        let mut text = serde_json::to_string_pretty(&self.truth).unwrap_or_default();
        text.push('\n');
        text
    }
}
