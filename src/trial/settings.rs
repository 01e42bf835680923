//! What a person may ask of an analysis.

use super::rules::Rules;
use crate::notes::Notes;
use crate::parser::{PowerLog, WindLog};
use crate::units::{Bearing, ClockFace, Current, Speed, SpeedUnit};

/// Settings of one analysis. Every field may be left at its default.
///
/// What is given here goes before what the notes say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Direction the true wind blows from.
    pub wind_from: Option<Bearing>,
    /// Its speed.
    pub wind_speed: Option<Speed>,
    /// Whether the water runs.
    pub current: Option<Current>,
    /// The smallest change worth knowing, percent.
    pub resolve_percent: Option<f64>,
    /// Unit in which results are shown; knots by default.
    pub units: Option<SpeedUnit>,
    /// How the hours are counted where times are shown; 24 hours by default.
    pub clock: Option<ClockFace>,
    /// IANA name of the time zone; found from the position by default.
    pub timezone: Option<String>,
    /// The notes.
    pub notes: Option<Notes>,
    /// A station's wind log.
    pub wind_log: Option<WindLog>,
    /// A log of what the motor drew.
    pub power_log: Option<PowerLog>,
    /// Every threshold.
    pub rules: Rules,
}
