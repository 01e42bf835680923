//! Several days in the result: each by itself, and how their comparisons were pooled.

use serde::Serialize;
use serde::ser::{SerializeStruct, Serializer};

use super::compared::Percent;
use super::result::Analysis;
use crate::stats::interval::Interval;

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
        out.serialize_field("gauge", &own.gauge)?;
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

/// How a comparison was pooled over days: by random effects on the log scale, each day's true change
/// being the common one plus a deviation of its own (see `stats::random_effects`).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AcrossDays {
    /// The days that tell, each with its own change and its share.
    pub days: Vec<DayShare>,
    /// Standard deviation of the true change between days, percentage points (that of the logarithm
    /// times 100); Paule & Mandel (1982).
    pub tau_percent: f64,
    /// Cochran's Q: how far the days lie apart, in their own errors.
    pub q: f64,
    /// Its degrees of freedom.
    pub q_df: f64,
    /// p value of so large a Q where all days had one true change.
    pub q_p_value: f64,
    /// Share of the scatter that lies between days, `[0, 1]`.
    pub i_squared: f64,
    /// Where the true change of one more such day lies with 95 % confidence, percent; `None` for two days.
    pub prediction_percent: Option<Interval>,
    /// The same by `DerSimonian` & Laird (1986) with the normal distribution, for comparison: too
    /// narrow for a handful of days.
    pub der_simonian_laird: Option<PlainPooling>,
}

/// One day's part in a pooled comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayShare {
    /// The day.
    pub day: usize,
    /// Its own change in percent with its own 95 % interval.
    pub percent: Percent,
    /// Share of the pooled change, `[0, 1]`; the shares sum to one.
    pub weight: f64,
}

/// A pooled change by another method.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlainPooling {
    /// The change in percent with its 95 % interval.
    pub percent: Percent,
    /// As [`AcrossDays::tau_percent`], by this method.
    pub tau_percent: f64,
}
