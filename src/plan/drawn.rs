//! A plan as drawn up: one plain, serialisable value that card, notes and rehearsal read, and only that.

use serde::{Deserialize, Serialize};

use super::Asked;
use super::remedy::Remedies;
use super::tell::Tell;
use crate::units::Bearing;

/// Version of the serialised form.
pub const SCHEMA: u32 = 1;

/// A plan. SI units, directions in degrees true, times in seconds after the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// [`SCHEMA`].
    pub schema: u32,
    /// What was asked, the speeds slowest first.
    pub asked: Asked,
    /// Scatter between double runs planned with.
    pub scatter: Scatter,
    /// Air drag over hull drag reckoned with.
    pub windage: f64,
    /// Settling distance reckoned with, m.
    pub settling_m: f64,
    /// The legs.
    pub leg: Leg,
    /// The line on the water; `None` where neither wind nor water gives a direction.
    pub line: Option<Line>,
    /// Double runs of each part at each setting.
    pub double_runs: usize,
    /// Whether the first part comes again at the end.
    pub alternating: bool,
    /// What is run, in order.
    pub blocks: Vec<Block>,
    /// Minute by minute.
    pub steps: Vec<Step>,
    /// From beginning to end, s.
    pub total_s: f64,
    /// Whether that is no more than the time given.
    pub in_time: bool,
    /// Over all settings together.
    pub pooled: Tell,
    /// At one setting alone.
    pub single: Tell,
    /// Whether the plan is in time and tells the change worth knowing with the chance wanted.
    pub suffices: bool,
    /// What would help, where it does not.
    pub remedies: Remedies,
    /// The energy it takes, where the draw is known.
    pub energy: Option<Energy>,
    /// What was taken for granted.
    pub assumed: Vec<Assumed>,
    /// What to keep in mind, a sentence each.
    pub remarks: Vec<String>,
}

/// Scatter between double runs of the same thing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Scatter {
    /// Standard deviation as a share of the speed, for the legs planned.
    pub share: f64,
    /// Where it comes from.
    pub source: ScatterSource,
}

/// Where the scatter comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ScatterSource {
    /// An earlier trial of this boat.
    Earlier,
    /// The rule from wind and speed, fitted to our own simulated days.
    Simulated,
}

/// The legs planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Leg {
    /// From mark to mark, m.
    pub length_m: f64,
    /// The first part of it, which is not measured, m.
    pub approach_m: f64,
    /// Each setting's times, slowest first.
    pub times: Vec<LegTime>,
}

/// One setting's times.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LegTime {
    /// Speed expected, m/s.
    pub speed_m_s: f64,
    /// From mark to mark, s.
    pub leg_s: f64,
    /// Without the approach, s.
    pub steady_s: f64,
}

/// The line on the water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Course out.
    pub out: Bearing,
    /// Course back.
    pub back: Bearing,
    /// Wind off the bow on the way out, degrees, positive to starboard; `None` without a wind.
    pub wind_off_bow_deg: Option<f64>,
    /// Whether the water dictates it.
    pub given: bool,
}

/// Double runs done one after another with one part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Which of [`Asked::parts`].
    pub part: usize,
    /// Settings in the order run, indices into the speeds.
    pub settings: Vec<usize>,
    /// Double runs at each setting.
    pub double_runs: usize,
}

/// Something done, from and to in seconds after the start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What.
    #[serde(flatten)]
    pub kind: StepKind,
    /// From.
    pub from_s: f64,
    /// To.
    pub to_s: f64,
}

/// What is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum StepKind {
    /// Recorder on, adrift, run-up.
    SetUp,
    /// A double run, turns included.
    DoubleRun {
        /// Number, from 1.
        number: usize,
        /// Which part.
        part: usize,
        /// Which setting.
        setting: usize,
    },
    /// A swap to this part.
    Swap {
        /// Which part.
        part: usize,
    },
}

/// Energy at the motor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Energy {
    /// What the runs and turns take, Wh.
    pub needed_wh: f64,
    /// What the battery holds, Wh.
    pub battery_wh: Option<f64>,
}

/// Something taken for granted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Assumed {
    /// What, with its value.
    pub what: String,
    /// Why, and from where.
    pub why: String,
}

impl Plan {
    /// Reads the text of a `plan.json`.
    ///
    /// # Errors
    /// [`super::PlanError::NoPlan`] where it is none.
    pub fn read(text: &str) -> Result<Self, super::PlanError> {
        let plan: Self =
            serde_json::from_str(text).map_err(|e| super::PlanError::NoPlan(e.to_string()))?;
        if plan.schema != SCHEMA {
            return Err(super::PlanError::NoPlan(format!(
                "its schema is {}",
                plan.schema
            )));
        }
        // Whatever was written into the file by hand, what follows from the request is drawn up anew.
        super::draw_up(&plan.asked)
    }

    /// The plan as the text of a `plan.json`.
    pub fn json(&self) -> String {
        // A plan holds numbers, names and lists alone; none of them can fail.
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }

    /// Name of a part.
    pub fn part(&self, number: usize) -> &str {
        self.asked.parts.get(number).map_or("", String::as_str)
    }

    /// Speed expected at a setting, m/s.
    pub fn speed(&self, setting: usize) -> Option<f64> {
        self.asked.speeds_m_s.get(setting).copied()
    }

    /// How many double runs there are in all.
    pub fn all_double_runs(&self) -> usize {
        self.double_runs * self.asked.parts.len() * self.asked.speeds_m_s.len()
    }
}
