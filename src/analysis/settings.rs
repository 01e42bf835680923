//! What a person may ask of an analysis.

use super::rules::Rules;
use crate::segmenter::Marks;
use crate::units::{Bearing, Speed, SpeedUnit};

/// Settings of one analysis. Every field may be left at its default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Direction the true wind blows from.
    pub wind_from: Option<Bearing>,
    /// Its speed.
    pub wind_speed: Option<Speed>,
    /// Unit in which results are shown; knots by default.
    pub units: Option<SpeedUnit>,
    /// IANA name of the time zone; found from the position by default.
    pub timezone: Option<String>,
    /// Title of the trial.
    pub title: Option<String>,
    /// What the notes say of configurations, settings and legs.
    pub marks: Marks,
    /// Every threshold.
    pub rules: Rules,
}
