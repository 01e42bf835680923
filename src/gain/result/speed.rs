//! Speeds in the result: in a calm, in a wind, and at what setting both parts go equally fast.

use serde::Serialize;

use super::Ranged;
use crate::stats::monotone::monotone_curve;

/// Speed in a calm.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Calm {
    /// One entry for each cell; `None` where there is none.
    pub cells: Option<Vec<CalmSpeed>>,
    /// Why there is none, a clause.
    pub reason: Option<String>,
    /// What is taken for granted, a sentence.
    pub assumption: Option<String>,
}

/// One configuration at one setting in a calm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalmSpeed {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Double runs it rests on.
    pub double_runs: usize,
    /// Speed through the water in no wind.
    pub calm_m_s: Ranged,
    /// The same in winds straight ahead and astern.
    pub winds: Vec<InWind>,
}

/// Speed in a wind along the course.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InWind {
    /// Speed of the wind.
    pub wind_m_s: f64,
    /// Speed of the boat against it.
    pub against_m_s: Ranged,
    /// And with it.
    pub with_m_s: Ranged,
}

/// Speed against setting.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct EqualSpeed {
    /// The curve of each configuration that was run at two settings or more of known percent.
    pub curves: Vec<Curve>,
    /// The setting of each changed configuration that gives the baseline's speed.
    pub settings: Vec<EqualSetting>,
    /// Why there is none at all, a sentence.
    pub reason: Option<String>,
}

/// Speed against setting of one configuration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// Configuration.
    pub configuration: String,
    /// The settings that were run, by rising percent.
    pub points: Vec<CurvePoint>,
}

/// A setting and its corrected speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Percent of full power.
    pub percent: f64,
    /// Speed.
    pub speed_m_s: Ranged,
}

impl Curve {
    /// The speed at a percent between those that were run, m/s: the monotone curve through the
    /// points, in logarithms.
    pub fn at(&self, percent: f64) -> Option<f64> {
        let logs = |of: fn(&CurvePoint) -> Option<f64>| -> Option<Vec<f64>> {
            self.points.iter().map(|p| Some(of(p)?.ln())).collect()
        };
        let (x, y) = (logs(|p| Some(p.percent))?, logs(|p| p.speed_m_s.value)?);
        Some(monotone_curve(&x, &y)?.at(percent.ln())?.exp())
    }
}

/// A setting of equal speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EqualSetting {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The baseline's setting.
    pub setting: String,
    /// The same in percent of full power.
    pub percent: f64,
    /// Speed of the baseline there.
    pub speed_m_s: f64,
    /// The setting of the changed configuration, percent; an end beyond the settings run is `None`.
    pub changed_percent: Ranged,
    /// Why there is none, a clause.
    pub reason: Option<String>,
}
