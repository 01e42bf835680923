//! The two sample days: a windy lake without current, and a tidal firth.

use super::day::{GpxStyle, SimulatedDay, simulate};
use super::motor::{Drawing, Motor, simulate_drawing};
use super::scenario::Scenario;

/// A windy day on a big lake: does the battery amidships instead of in the stern locker help?
pub fn lake() -> Scenario {
    read(include_str!("lake.toml"))
}

/// A day in a tidal firth: what does scrubbing the weed off the hull bring?
pub fn firth() -> Scenario {
    read(include_str!("firth.toml"))
}

/// A scenario of our own.
fn read(text: &str) -> Scenario {
    toml::from_str(text).unwrap_or_else(|e| unreachable!("a sample day is none: {e}"))
}

/// Seeds with which the two days show what they are meant to.
const LAKE_SEED: u64 = 41;
const FIRTH_SEED: u64 = 7;

/// The lake boat's motor, its clock a minute and a half slow.
const MOTOR: Motor = Motor {
    idle_w: 14.0,
    race_m_s: 1.0,
    efficiency: 0.58,
    volts: 26.2,
    ohms: 0.022,
    meter_a: 0.15,
    every_s: 5.0,
    clock_offset_s: 94.0,
};

/// What the person on the lake wrote down.
const LAKE_NOTES: &str = include_str!("lake_trim.notes.toml");

/// A sample day and how its file is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Stem of the files' names.
    pub name: &'static str,
    /// The day.
    pub day: SimulatedDay,
    /// Which GPX.
    pub style: GpxStyle,
    /// The meter's log, where there was one, and the notes that go with it.
    pub drawing: Option<(Drawing, &'static str)>,
}

/// The sample days; the same bytes every time.
pub fn samples() -> [Sample; 2] {
    let (day, drawing) = simulate_drawing(&lake(), LAKE_SEED, &MOTOR);
    [
        Sample {
            name: "lake_trim",
            day,
            style: GpxStyle::V1_1,
            drawing: Some((drawing, LAKE_NOTES)),
        },
        Sample {
            name: "firth_scrub",
            day: simulate(&firth(), FIRTH_SEED),
            style: GpxStyle::V1_0,
            drawing: None,
        },
    ]
}

impl Sample {
    /// The sample's files by name: track and truth, and log, notes and true draw where there are
    /// any.
    pub fn files(&self) -> Vec<(String, Vec<u8>)> {
        let name = self.name;
        let mut files = vec![
            (format!("{name}.gpx"), self.day.to_gpx(self.style)),
            (
                format!("{name}.truth.json"),
                self.day.truth_json().into_bytes(),
            ),
        ];
        if let Some((drawing, notes)) = &self.drawing {
            let truth = pretty(&drawing.truth);
            files.push((
                format!("{name}.power.csv"),
                drawing.csv.clone().into_bytes(),
            ));
            files.push((format!("{name}.notes.toml"), notes.as_bytes().to_vec()));
            files.push((format!("{name}.power.truth.json"), truth.into_bytes()));
        }
        files
    }
}

impl SimulatedDay {
    /// The truth as the text of a `.truth.json`.
    pub fn truth_json(&self) -> String {
        pretty(&self.truth)
    }
}

/// Numbers, names and times alone; none of them can fail.
fn pretty(value: &impl serde::Serialize) -> String {
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}
