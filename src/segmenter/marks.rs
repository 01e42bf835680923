//! What a person says of the day: where configurations begin, what settings are
//! called, which legs to leave out. All optional.

use jiff::Timestamp;

/// The notes, in terms of times.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Marks {
    /// Configurations in the order they were fitted.
    pub configurations: Vec<ConfigurationMark>,
    /// Settings, slowest first.
    pub settings: Vec<SettingMark>,
    /// Corrections of single legs.
    pub legs: Vec<LegMark>,
}

/// A configuration and when it was fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct ConfigurationMark {
    /// Its name.
    pub name: String,
    /// From when on; `None` where only the name is known.
    pub from: Option<Timestamp>,
}

/// A power setting.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingMark {
    /// Its name.
    pub name: String,
    /// Percent of full power.
    pub percent: Option<f64>,
}

/// A correction of the leg that was being run at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct LegMark {
    /// Any time inside the leg.
    pub at: Timestamp,
    /// Leave it out, and why.
    pub exclude: Option<String>,
    /// The configuration it was run in.
    pub configuration: Option<String>,
    /// The setting it was run at.
    pub setting: Option<String>,
}
