//! Speeds in the result: in a calm, in a wind, and at what setting both parts go equally fast.

use serde::Serialize;

use super::Ranged;

/// Speed in a calm, by the balance of thrust, hull and wind drag.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Calm {
    /// One entry for each cell; `None` where it is refused.
    pub cells: Option<Vec<CalmSpeed>>,
    /// Why it is refused, a clause.
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
    /// A fitted curve for each configuration: `speed = factor · percent^exponent`.
    pub curves: Vec<Curve>,
    /// The setting of each changed configuration that gives the baseline's speed.
    pub settings: Vec<EqualSetting>,
    /// Why there is none at all, a sentence.
    pub reason: Option<String>,
}

/// The power law of one configuration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// Configuration.
    pub configuration: String,
    /// Lowest setting run, percent of full power.
    pub from_percent: f64,
    /// Highest setting run.
    pub to_percent: f64,
    /// Speed at 1 %, m/s: for drawing the curve within its range only.
    pub factor_m_s: f64,
    /// Exponent with its interval.
    pub exponent: Ranged,
    /// Whether the means lie on that law as far as their scatter tells; `None` with fewer than three
    /// settings, or where nothing was run twice.
    pub power_law_holds: Option<bool>,
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
    /// The same by the monotone curve through the means, where three settings were run.
    pub interpolated_percent: Option<f64>,
    /// Lower end of its interval; an end beyond the settings run is `None`.
    pub interpolated_low_percent: Option<f64>,
    /// Upper end.
    pub interpolated_high_percent: Option<f64>,
    /// Whether the changed configuration's means lie on a power law as far as their scatter tells, see
    /// [`Curve::power_law_holds`]. Where they do not, the monotone curve is the answer.
    pub power_law_holds: Option<bool>,
    /// Why there is none, a clause.
    pub reason: Option<String>,
}

impl EqualSetting {
    /// The setting of equal speed by the curve that fits: the power law, or the monotone one where the
    /// means do not lie on a power law.
    pub fn best_percent(&self) -> Ranged {
        if self.power_law_holds == Some(false) {
            self.interpolated()
        } else {
            self.changed_percent
        }
    }

    /// The setting by the monotone curve.
    pub fn interpolated(&self) -> Ranged {
        Ranged {
            value: self.interpolated_percent,
            low: self.interpolated_low_percent,
            high: self.interpolated_high_percent,
        }
    }
}
