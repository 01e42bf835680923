//! What a plan can show: the report's own comparison, asked with runs as the plan would make them.
//!
//! The runs are invented from what the plan assumes: the scatter of a double run, most of it from
//! gusts that slow the boat on one way more than they help it on the other; a lever set again
//! within a percent; a battery that sags; a wind that makes the two directions differ. What comes
//! of them is the half width of the interval that the report will show, with the priors and the
//! adjustments of [`crate::compare`].

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use serde::{Deserialize, Serialize};

use super::assumptions::{CALM_SCATTER, LEVER_ERROR, SAG_PER_H, TURN_S};
use super::layout::{Leg, Step, StepKind};
use super::request::Request;
use crate::compare::{CompareRules, Conditions, RunRow, fit};
use crate::stats::distribution::{normal_cdf, normal_quantile};
use crate::units::Bearing;

/// Invented days over which the interval is averaged.
const DAYS: u64 = 5;
/// Sets the invented days apart from any other; any number would do.
const SEED: u64 = 17;

/// What can be shown, over all settings together or at one of them. Logarithms of the speed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Power {
    /// Half of the 95 % interval expected.
    pub half_width: f64,
    /// Standard error of the change found.
    pub se: f64,
}

impl Power {
    /// Chance that the interval leaves out zero where the change is of this share.
    pub fn of(&self, change: f64) -> f64 {
        let beyond = |side: f64| (side * change.ln_1p() - self.half_width) / self.se;
        let chances = [1.0, -1.0]
            .into_iter()
            .filter_map(|side| normal_cdf(beyond(side)));
        chances.sum()
    }

    /// Smallest change, a share, shown with a chance.
    pub fn smallest(&self, chance: f64) -> f64 {
        (self.half_width + normal_quantile(chance).unwrap_or_default() * self.se).exp_m1()
    }

    /// Half of the 95 % interval expected, a share.
    pub fn half_width_share(&self) -> f64 {
        self.half_width.exp_m1()
    }
}

/// What is run, and how it scatters.
#[derive(Clone, Copy)]
pub(super) struct Design<'a> {
    pub(super) request: &'a Request,
    pub(super) leg: &'a Leg,
    pub(super) steps: &'a [Step],
    /// Standard deviation of a double run, a share of the speed.
    pub(super) scatter: f64,
    /// Air drag over hull drag.
    pub(super) windage: f64,
}

impl Design<'_> {
    /// What it can show of the second part against the first: over all settings, or at one.
    pub(super) fn power(&self, setting: Option<usize>) -> Option<Power> {
        let mut power = Power::default();
        for day in 0..DAYS {
            let rows = self.rows(&mut Pcg64::seed_from_u64(SEED + day));
            let posterior = fit(&rows, &Conditions::default(), &CompareRules::default())?;
            let change = posterior.contrast(&posterior.change(1, 0, setting)?)?;
            power.half_width += (change.high - change.low) / 2.0 / DAYS as f64;
            power.se += change.se / DAYS as f64;
        }
        Some(power)
    }

    /// The double runs of one invented day on which nothing changed the speed.
    fn rows(&self, rng: &mut Pcg64) -> Vec<RunRow> {
        let speeds = &self.request.speeds_m_s;
        let inverse = speeds.iter().map(|v| v.powi(-2)).sum::<f64>() / speeds.len().max(1) as f64;
        let along = self.request.wind() * std::f64::consts::FRAC_1_SQRT_2;
        let runs = self
            .steps
            .iter()
            .filter(|step| matches!(step.kind, StepKind::DoubleRun { .. }));
        let mut drawn = standard_normals(4 * runs.count(), rng).into_iter();
        let mut draw = || drawn.next().unwrap_or_default();
        let (mut held, mut lever) = (None, 0.0);
        let mut row = |step: &Step| {
            let StepKind::DoubleRun { part, setting, .. } = step.kind else {
                return None;
            };
            let meant = *speeds.get(setting)?;
            if held.replace((part, setting)) != Some((part, setting)) {
                let off = rng.random_range(-LEVER_ERROR..=LEVER_ERROR);
                // Speed goes with the root of the thrust.
                lever = off / 2.0;
            }
            // The same gust is a smaller share of a larger drag.
            let scatter = self.scatter / (meant * inverse.sqrt());
            let calm = scatter.min(CALM_SCATTER);
            let gusts = (scatter * scatter - calm * calm).max(0.0).sqrt();
            // Gusts on the way out slow the boat, on the way back they help it, the less the
            // nearer its speed is to that of the wind.
            let (out, back) = (along + meant, (along - meant).abs());
            let [out, back] = [out, back].map(|felt| gusts * felt / out.hypot(back) * draw());
            let mean = back - out + calm * draw();
            let half = back + out + calm * draw();
            let at = f64::midpoint(step.from_s, step.to_s);
            let speed = meant * (lever + mean - SAG_PER_H / 2.0 * at / 3600.0).exp();
            Some(RunRow {
                configuration: part,
                setting,
                line: 0,
                day: 0,
                axis: Bearing::new(0.0)?,
                speed,
                half_difference: -speed * (half + self.wind_share(along, meant)),
                se: Some(speed * scatter),
                at,
                apart: self.leg.times_s.get(setting)? + TURN_S,
                wind: None,
                water_speed: None,
            })
        };
        self.steps.iter().filter_map(&mut row).collect()
    }

    /// The half difference that a wind along the line makes, as a share of the speed: the balance
    /// of thrust, hull drag and air drag, both with the square of speed.
    fn wind_share(&self, along: f64, speed: f64) -> f64 {
        let drag = |through_air: f64| through_air * through_air.abs();
        self.windage * (drag(along + speed) + drag(along - speed)) / (4.0 * speed * speed)
    }
}

/// So many standard normal numbers, scaled to a mean square of one: days that scatter by chance
/// more or less than others would need many more of them.
fn standard_normals(count: usize, rng: &mut Pcg64) -> Vec<f64> {
    let drawn: Vec<f64> = (0..count).map(|_| rng.sample(StandardNormal)).collect();
    let square = drawn.iter().map(|z| z * z).sum::<f64>() / count.max(1) as f64;
    drawn.iter().map(|z| z / square.sqrt()).collect()
}
