//! The boat's speed in a calm, and how it falls against and rises with a wind.
//!
//! The same balance as the comparison's, with the same doubt about the windage: what each drive would
//! give in no wind at all, averaged over the windages by their weights.

use super::tried::within;
use super::{
    GaugeRules, GaugedRun, NotGauged, Tried, cells_of, degrees, mean, of_cell, own_scatter, signal,
    tried, weights,
};
use crate::stats::interval::Estimate;
use crate::trial::balance::Windage;

/// Weight of the windages, of 1, with which a boat must make way for its speed to be told.
const LEAST_TOLD: f64 = 0.95;

/// Speed of one configuration at one setting in a wind along the line, on the log scale.
#[derive(Debug, Clone, PartialEq)]
pub struct CalmCell {
    /// The configuration.
    pub configuration: usize,
    /// The setting.
    pub setting: usize,
    /// Double runs it rests on.
    pub runs: usize,
    /// Speed through the water in no wind.
    pub calm: Estimate,
    /// Speeds against and with each of the winds asked for; `None` where the boat makes no way.
    pub against: Vec<Option<Estimate>>,
    /// See [`Self::against`].
    pub with: Vec<Option<Estimate>>,
}

/// The calm speed of every cell, and its speed against and with each of `winds` (m/s) along its course.
///
/// # Errors
/// [`NotGauged`] where the runs do not support it. Whether a current may pose as the wind is for the
/// caller to judge.
pub fn calm_speeds(
    runs: &[GaugedRun],
    winds: &[f64],
    level: f64,
    rules: &GaugeRules,
) -> Result<Vec<CalmCell>, NotGauged> {
    signal(runs, rules)?;
    let tried = tried(runs, rules);
    let weights = weights(&tried, runs).ok_or(NotGauged::NoWindExplains)?;
    // Under one windage nothing but the cells is fitted, so the windage takes no degree of freedom
    // here: the doubt about it is counted in the spread, and once is enough.
    let df = degrees(runs).max(1.0) + 1.0;
    let own = own_scatter(runs);
    let estimate = |cell: (usize, usize), wind: f64, towards: f64| -> Option<Estimate> {
        let mut each: Vec<(f64, f64, f64)> = tried
            .iter()
            .zip(&weights)
            .filter_map(|(t, w)| {
                let all = t.in_wind(wind, towards)?;
                // The scatter of the very figures that are averaged.
                let scatter = (within(runs, &all) / df).sqrt().max(own.unwrap_or(0.0));
                let logs = of_cell(runs, &all, cell);
                Some((*w, mean(&logs)?, scatter * scatter / logs.len() as f64))
            })
            .collect();
        // With a windage that is hardly likely the boat may make no way in the wind asked for.
        let told: f64 = each.iter().map(|(w, ..)| w).sum();
        if told < LEAST_TOLD {
            return None;
        }
        for (weight, ..) in &mut each {
            *weight /= told;
        }
        averaged(&each, df, level)
    };
    Ok(cells_of(runs)
        .into_iter()
        .filter_map(|cell| {
            Some(CalmCell {
                configuration: cell.0,
                setting: cell.1,
                runs: runs
                    .iter()
                    .filter(|r| (r.configuration, r.setting) == cell)
                    .count(),
                calm: estimate(cell, 0.0, 1.0)?,
                against: winds.iter().map(|w| estimate(cell, *w, 1.0)).collect(),
                with: winds.iter().map(|w| estimate(cell, *w, -1.0)).collect(),
            })
        })
        .collect())
}

/// The mean of weighted values, each with a variance from the scatter that has `df` degrees of freedom.
///
/// The weights sum to 1. The doubt between the values is known outright, the scatter with its degrees
/// of freedom (Satterthwaite 1946, Biometrics Bulletin 2, 110-114).
pub(super) fn averaged(each: &[(f64, f64, f64)], df: f64, level: f64) -> Option<Estimate> {
    let value: f64 = each.iter().map(|(w, v, _)| w * v).sum();
    let noise: f64 = each.iter().map(|(w, _, var)| w * var).sum();
    let spread: f64 = each.iter().map(|(w, v, _)| w * (v - value).powi(2)).sum();
    Estimate::new(value, noise.sqrt(), df, level)?.with_doubt(spread.sqrt(), f64::INFINITY, level)
}

impl Tried {
    /// Logarithm of the speed that each run's drive gives in a wind straight against (1) or behind (-1).
    fn in_wind(&self, wind: f64, towards: f64) -> Option<Vec<f64>> {
        let windage = Windage {
            ratio: self.log_windage.exp(),
            off_line_deg: 0.0,
        };
        self.drives
            .iter()
            .map(|drive| {
                let speed = windage.speed(*drive, wind, towards)?;
                (speed > 0.0).then(|| speed.ln())
            })
            .collect()
    }
}
