//! What the gain buys: from the comparison, the notes and the log of the draw.
//!
//! Every speed is a contrast of the comparison's posterior; the draws have a posterior of the same
//! model. The two are independent, and their contrasts are added up in [`estimate`].

mod calm;
mod draw;
mod equal_speed;
mod estimate;
mod home;
mod known;
mod power;
mod propeller;
mod reach;
mod result;

pub use result::*;

pub(crate) use known::Known;

pub mod power_log;

use serde::Serialize;

use crate::compare::CompareRules;
use power_log::{AlignRules, SiftRules};

/// What is assumed of draws.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GainRules {
    /// Standard error of a spot reading, as a share of it, apart from the meter's gain, which cancels in a
    /// comparison: flicker and resolution of a clamp meter read by eye (common practice, no source).
    pub reading_share: f64,
    /// Power of the speed with which power goes before any draw is seen: the cube (Admiralty law,
    /// "for small changes in speed"; E. A. Stokoe, *Reed's Naval Architecture for Marine
    /// Engineers*).
    pub exponent: f64,
    /// Standard deviation of that: hull drag between the powers 1.7 and 3 of speed, and a draw of
    /// instruments beside it, make 2 to 4 of it at two of them.
    pub exponent_sd: f64,
    /// Least share of the wind along the line by which the half differences determine the whole: 60
    /// degrees off it (common practice, no source).
    pub least_along: f64,
    /// Finding the offset of a log's clock.
    pub align: AlignRules,
    /// Rows of a log that cannot be.
    pub sift: SiftRules,
}

impl Default for GainRules {
    fn default() -> Self {
        Self {
            reading_share: 0.01,
            exponent: 3.0,
            exponent_sd: 0.5,
            least_along: 0.5,
            align: AlignRules::default(),
            sift: SiftRules::default(),
        }
    }
}

impl GainRules {
    /// The priors of the comparison for logarithms of power: each is so many times that of speed.
    fn of_power(&self, rules: &CompareRules) -> CompareRules {
        let mut out = rules.clone();
        let of_speed = [
            &mut out.setting_sd,
            &mut out.change_sd,
            &mut out.interaction_sd,
            &mut out.line_sd,
            &mut out.day_sd,
            &mut out.day_setting_sd,
            &mut out.scatter,
            &mut out.bad_run_sd,
            &mut out.hidden_wander_sd,
        ];
        for sd in of_speed
            .into_iter()
            .chain(&mut out.lever_sds)
            .chain(&mut out.day_change_sds)
        {
            *sd *= self.exponent;
        }
        for trend in &mut out.trends {
            trend.rate.mean *= self.exponent;
            trend.rate.sd *= self.exponent;
        }
        out.scatter_power /= self.exponent;
        // The scatter of a draw between runs does not hold the error of the meter.
        out.se_factor = 1.0;
        out
    }
}

/// Everything that follows from a trial whose runs and comparison are done.
pub(crate) fn gain(known: &Known<'_>) -> Gain {
    let drawn = draw::drawn(known);
    Gain {
        calm: calm::calm(known),
        equal_speed: equal_speed::equal_speed(known),
        reach: reach::reach(known, &drawn),
        propeller: propeller::propeller(known, &drawn),
        power: power::power(known, drawn),
    }
}
