//! One of several days in the result.

use serde::Serialize;
use serde::ser::{SerializeStruct, Serializer};

use super::result::Analysis;

/// One of several days.
#[derive(Debug, Clone, PartialEq)]
pub struct DayOfTrial {
    /// Number, from 1, in order of time.
    pub day: usize,
    /// The day by itself; its legs, lines and double runs bear the numbers of the whole.
    pub analysis: Analysis,
}

/// The parts that differ from day to day; legs and double runs stand once, at the top.
impl Serialize for DayOfTrial {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let own = &self.analysis;
        let files: Vec<&str> = own.tracks.iter().map(|t| t.file.as_str()).collect();
        let mut out = serializer.serialize_struct("DayOfTrial", 22)?;
        out.serialize_field("day", &self.day)?;
        out.serialize_field("files", &files)?;
        out.serialize_field("from", &own.tracks.iter().filter_map(|t| t.from).min())?;
        out.serialize_field("to", &own.tracks.iter().filter_map(|t| t.to).max())?;
        out.serialize_field("wind", &own.wind)?;
        out.serialize_field("configurations", &own.configurations)?;
        out.serialize_field("settings", &own.settings)?;
        out.serialize_field("cells", &own.cells)?;
        out.serialize_field("comparisons", &own.comparisons)?;
        out.serialize_field("pairs", &own.pairs)?;
        out.serialize_field("adjustment", &own.adjustment)?;
        out.serialize_field("wind_covariate", &own.wind_covariate)?;
        out.serialize_field("headings", &own.headings)?;
        out.serialize_field("circles", &own.circles)?;
        out.serialize_field("idle", &own.idle)?;
        out.serialize_field("settling_distance_m", &own.settling_distance_m)?;
        out.serialize_field("calm", &own.buys.calm)?;
        out.serialize_field("equal_speed", &own.buys.equal_speed)?;
        out.serialize_field("power", &own.buys.power)?;
        out.serialize_field("reach", &own.buys.reach)?;
        out.serialize_field("propeller", &own.buys.propeller)?;
        out.serialize_field("warnings", &own.warnings)?;
        out.end()
    }
}
