//! The weather and the recorder that a rehearsal is held in.

use serde::{Deserialize, Serialize};

use crate::plan::{Plan, assume};
use crate::simulate::Sampling;

/// Conditions, SI units. The defaults are those of a plain day: steady wind, no tide, one fix a second.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Conditions {
    /// Wind in the middle of the trial, m/s; `None`: as planned.
    pub wind_m_s: Option<f64>,
    /// Standard deviation of the gusts as a share of the wind, `[0, 0.4]`.
    pub gusts: f64,
    /// Growth of the wind, m/s per hour, `[-3, 3]`.
    pub growth_m_s_per_h: f64,
    /// Amplitude of a tidal stream along the line, m/s, `[0, 2]`; its phase is another every day.
    pub tide_m_s: f64,
    /// Significant height of the waves, m, `[0, 1.5]`; `None`: what such a wind raises on a small water.
    pub waves_m: Option<f64>,
    /// When fixes are stored.
    pub sampling: Sampling,
    /// Decimals of a degree stored, `[4, 7]`.
    pub decimals: u8,
}

impl Default for Conditions {
    fn default() -> Self {
        Self {
            wind_m_s: None,
            gusts: assume::GUST_SHARE,
            growth_m_s_per_h: 0.0,
            tide_m_s: 0.0,
            waves_m: None,
            sampling: Sampling::Seconds(1.0),
            decimals: 6,
        }
    }
}

/// A condition outside what is simulated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} of `{met}` is outside {allowed}\nhint: rehearse a day on which one would go out")]
pub struct ConditionsError {
    what: &'static str,
    met: f64,
    allowed: &'static str,
}

impl Conditions {
    /// Whether every number is within its range.
    ///
    /// # Errors
    /// [`ConditionsError`] for the first that is not.
    pub fn check(&self) -> Result<(), ConditionsError> {
        let sampling = match self.sampling {
            Sampling::Seconds(seconds) => (
                "a fix every so many seconds",
                seconds,
                [1.0, 60.0],
                "1 to 60 s",
            ),
            Sampling::Metres(metres) => (
                "a fix every so many metres",
                metres,
                [1.0, 100.0],
                "1 to 100 m",
            ),
            Sampling::Adaptive { longest_s, .. } => (
                "a longest time between fixes",
                longest_s,
                [1.0, 120.0],
                "1 to 120 s",
            ),
        };
        for (what, met, range, allowed) in [
            (
                "a wind in m/s",
                self.wind_m_s.unwrap_or(0.0),
                [0.0, 15.0],
                "0 to 15 m/s",
            ),
            ("gusts as a share", self.gusts, [0.0, 0.4], "0 % to 40 %"),
            (
                "a growth of the wind in m/s per hour",
                self.growth_m_s_per_h,
                [-3.0, 3.0],
                "-3 to 3 m/s per hour",
            ),
            ("a tide in m/s", self.tide_m_s, [0.0, 2.0], "0 to 2 m/s"),
            (
                "waves in metres",
                self.waves_m.unwrap_or(0.0),
                [0.0, 1.5],
                "0 to 1.5 m",
            ),
            (
                "a number of decimals",
                f64::from(self.decimals),
                [4.0, 7.0],
                "4 to 7",
            ),
            sampling,
        ] {
            let [low, high] = range;
            if !(low..=high).contains(&met) {
                return Err(ConditionsError { what, met, allowed });
            }
        }
        Ok(())
    }

    /// The wind rehearsed in, m/s.
    pub fn wind(&self, plan: &Plan) -> f64 {
        self.wind_m_s
            .or(plan.asked.wind_m_s)
            .unwrap_or(assume::WIND_M_S)
    }
}
