//! The comparison: double runs in, one posterior out; every figure is a contrast of it.
//!
//! # The model
//! The logarithm of the speed of double run `i`, of configuration `j` at setting `k`, is
//! ```text
//! level(k) + part(j) + both(j, k) + line + day + setting on day + part on day
//!          + wind(i) + trend(i) + walk(i) + lever(stretch) + noise(i)
//! ```
//! * `part` and `both` have normal priors that are the same for all configurations, so any of them
//!   may be the baseline.
//! * The half difference of a run has one of two causes, both of which are fitted, each weighted
//!   by how well it explains the half differences of the day (`drift`). In still water it is the
//!   wind's: `wind(i)` is linear in its size over the speed, with a slope that the balance of
//!   forces gives within limits. In a current it says nothing of the wind, which is then left to
//!   a random walk. A wind log, where there is one, takes the place of the half difference.
//! * What a drift that changed between the two legs left in their mean is taken out, and the error
//!   of doing so is added to the run's own.
//! * `trend` is a steady drift of the conditions, of one of three kinds: what a battery does.
//! * `lever` is common to the runs of a cell that follow each other: the lever is set again for
//!   each such stretch, by one of two kinds of lever.
//! * `noise` is normal, larger for slow runs; its size is integrated out, from a prior worth two
//!   runs. At most one run of the day is bad (weeds, a lever moved): which one is averaged over.
//!   Half of the legs' own standard errors is added.
//!
//! Given the cause, the kinds of trend and lever, of several days the kind of difference between
//! days, the scatter and the bad run, everything is
//! normal and linear, so the posterior is a mixture of normals over a grid of those. There
//! are no gates and no random numbers: the same rows give the same figures. [`Posterior::record`]
//! gives all of it for others to check.
//!
//! # Units
//! Speeds in m/s, times in s, coefficients in logarithms of speed: 0.01 is 1 %.
//!
//! This module knows no tracks, files, zones or words: double runs come in as rows ([`RunRow`]),
//! cells, comparisons and pairs go out.
//!
//! # References
//! Box & Tiao (1968), A Bayesian approach to some outlier problems, *Biometrika* 55, 119-129;
//! Lindley & Smith (1972), Bayes estimates for the linear model, *Journal of the Royal Statistical
//! Society* B 34, 1-41; Rasmussen & Williams (2006), *Gaussian Processes for Machine Learning*,
//! chapters 2 and 5.

mod answer;
mod balance;
mod comparison;
mod contrast;
mod design;
mod drift;
mod figures;
mod fit;
mod known;
mod posterior;
mod record;
mod rows;
mod rules;

use nalgebra::DVector;
use serde::Serialize;

use crate::units::{Bearing, Current};
pub(crate) use answer::{Answer, Compared, Question};
pub use comparison::{
    AcrossDays, BadRun, Cell, Comparison, DayShare, Difference, Doubt, DoubtKind, FitSummary,
    LogRatio, Pair, Percent, Simultaneous, Verdict,
};
pub use contrast::Contrast;
pub use fit::fit;
pub use posterior::{Adjustment, Estimate, NotAdjusted, Posterior};
pub use record::ModelRecord;
pub(crate) use rows::{RunsOfTrial, conditions};
pub use rules::{CompareRules, Normal, Trend};

/// One double run as the model sees it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RunRow {
    /// What was compared; any number that names it.
    pub configuration: usize,
    /// The power setting held.
    pub setting: usize,
    /// The course line.
    pub line: usize,
    /// The day.
    pub day: usize,
    /// Direction of the line along which `half_difference` counts positive.
    pub axis: Bearing,
    /// Speed through the water, the mean of both directions, m/s; positive.
    pub speed: f64,
    /// Half of what the leg along the axis was faster than the one against it, m/s.
    pub half_difference: f64,
    /// Standard error of the speed from the two legs, m/s; `None` where it is unknown.
    pub se: Option<f64>,
    /// Middle of the run, s.
    pub at: f64,
    /// Middle of the leg against the axis less the middle of the leg along it, s: negative where
    /// the boat ran against the axis first; 0 where it is unknown.
    pub apart: f64,
    /// Logged wind: what blows against the axis, and across it, m/s.
    pub wind: Option<[f64; 2]>,
    /// Recorded speed through the water, the mean of both directions, m/s.
    pub water_speed: Option<f64>,
}

/// What is known of water and wind beside the runs.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Conditions {
    /// Whether the water runs; `None` where nobody said.
    pub current: Option<Current>,
    /// Mean true wind, m/s.
    pub wind_speed: Option<f64>,
    /// Where it blew from.
    pub wind_from: Option<Bearing>,
    /// Standard error of `wind_from`, degrees; `None` where it is unknown.
    pub wind_se_deg: Option<f64>,
}

impl Conditions {
    /// The stated wind at a run: what blows against its axis and across it, m/s; along the line
    /// where no direction is stated. `None` where no speed is.
    pub fn wind_at(&self, row: &RunRow) -> Option<[f64; 2]> {
        let speed = self.stated_wind()?;
        let off = self.wind_off(row).unwrap_or(0.0);
        Some([speed * off.cos(), speed * off.sin()])
    }

    fn stated_wind(&self) -> Option<f64> {
        self.wind_speed.filter(|w| w.is_finite() && *w >= 0.0)
    }

    /// Angle from the axis of a run to where the stated wind blows from, radians.
    fn wind_off(&self, row: &RunRow) -> Option<f64> {
        let from = self.wind_from?;
        Some(row.axis.turn_to(from).degrees().to_radians())
    }
}

impl RunRow {
    /// The half difference as a share of the speed.
    fn share(&self) -> f64 {
        self.half_difference / self.speed
    }

    /// Whether every number is finite and every speed and error possible.
    fn is_sound(&self) -> bool {
        let positive = |v: f64| v.is_finite() && v > 0.0;
        let numbers = [self.half_difference, self.share(), self.at, self.apart];
        positive(self.speed)
            && numbers.iter().all(|v| v.is_finite())
            && self.se.is_none_or(|se| se.is_finite() && se >= 0.0)
            && self.water_speed.is_none_or(positive)
            && self.wind.iter().flatten().all(|w| w.is_finite())
    }
}

/// Logarithm of the sum of what these are the logarithms of, and the share of each in it.
fn shares(logs: &[f64]) -> (f64, Vec<f64>) {
    let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|log| (log - best).exp()).sum();
    let share = |log: &f64| (log - best).exp() / sum;
    (best + sum.ln(), logs.iter().map(share).collect())
}

fn vector(values: impl Iterator<Item = f64>) -> DVector<f64> {
    DVector::from_vec(values.collect())
}
