//! What the half differences of a day say: wind or current, and what their change left in the
//! means.
//!
//! The drift along a line is a smooth function of time: a Gaussian process with a steady part, the
//! same in m/s for every run where a current makes it, inverse to the speed where a wind does (the
//! same push is a smaller share of a larger drag). How probable the half differences are under
//! either is the evidence for it. The mean of the two speeds of a run takes out a drift that
//! holds; of one that changes, half of what it changed by between the two legs is left in. The
//! process gives that with its error, as the mean of means does for equal intervals (ITTC
//! 7.5-04-01-01.1).

use serde::Serialize;

use super::{CompareRules, Conditions, RunRow};
use crate::stats::distribution::normal_cdf;
use crate::stats::triangles::{cholesky, dot, forward};
use crate::units::Current;

/// Added to every variance, m²/s², so that runs at one time leave a root to take.
const LEAST_VARIANCE: f64 = 1e-8;

/// What makes the half differences.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// The wind, in still water.
    Wind,
    /// A current.
    Current,
}

/// What one cause makes of the half differences of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// Logarithm of the probability of the half differences, the prior of the cause included.
    pub log_evidence: f64,
    /// For each run, what the mean of the two speeds still holds of the drift, m/s, and the
    /// variance of that.
    pub left_in: Vec<[f64; 2]>,
}

/// The explanation by `cause` of the runs of one day; `None` where it is ruled out or nothing can
/// be said.
pub fn explain(
    rows: &[&RunRow],
    cause: Cause,
    conditions: &Conditions,
    rules: &CompareRules,
) -> Option<Explanation> {
    let prior = prior(rows, cause, conditions, rules)?;
    let scale = |row: &RunRow| match cause {
        Cause::Wind => 1.0 / row.speed,
        Cause::Current => 1.0,
    };
    let steady = match cause {
        // The half difference times the speed, by the balance, for a wind faster than the boat.
        Cause::Wind => rows.first().and_then(|row| conditions.wind_at(row)).map_or(
            rules.wind_drift,
            |[along, across]| {
                let squares = rows
                    .iter()
                    .map(|row| row.speed.powi(2) + along.hypot(across) * along.abs());
                rules.air_share.mean * squares.sum::<f64>() / rows.len() as f64
            },
        ),
        Cause::Current => rules.current_drift,
    };
    let halves: Vec<f64> = rows.iter().map(|row| row.half_difference).collect();
    let mut tried: Vec<(f64, Vec<[f64; 2]>)> = Vec::new();
    for size in rules.drift_sizes {
        for length in rules.drift_lengths_s {
            for noise in rules.drift_noises {
                let shape = |t: f64| (-0.5 * (t / length).powi(2)).exp();
                let between = |a: &RunRow, b: &RunRow| {
                    if a.line == b.line {
                        scale(a) * scale(b)
                    } else {
                        0.0
                    }
                };
                let entry = |(i, a): (usize, &&RunRow), (j, b): (usize, &&RunRow)| {
                    let t = a.at - b.at;
                    let own = if i == j {
                        noise * noise + LEAST_VARIANCE
                    } else {
                        0.0
                    };
                    between(a, b) * (steady * steady + size * size * shape(t)) + own
                };
                let covariance: Vec<Vec<f64>> = (rows.iter().enumerate())
                    .map(|a| rows.iter().enumerate().map(|b| entry(a, b)).collect())
                    .collect();
                let Some(root) = cholesky(&covariance) else {
                    continue;
                };
                let Some(white) = forward(&root, &halves) else {
                    continue;
                };
                let log_det: f64 = diagonal(&root).map(f64::ln).sum();
                let left = rows.iter().map(|a| {
                    // Half of the drift along the axis less that against it.
                    let with: Vec<f64> = (rows.iter())
                        .map(|b| {
                            let [along, against] = [-0.5, 0.5].map(|h| a.at + h * a.apart - b.at);
                            between(a, b) * size * size * (shape(along) - shape(against)) / 2.0
                        })
                        .collect();
                    let seen = forward(&root, &with)?;
                    let own = (scale(a) * size).powi(2) * (1.0 - shape(a.apart)) / 2.0;
                    Some([dot(&seen, &white), (own - dot(&seen, &seen)).max(0.0)])
                });
                let Some(left) = left.collect::<Option<Vec<_>>>() else {
                    continue;
                };
                tried.push((-0.5 * dot(&white, &white) - log_det, left));
            }
        }
    }
    let best = tried.iter().map(|t| t.0).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = tried.iter().map(|t| (t.0 - best).exp()).collect();
    let total: f64 = weights.iter().sum();
    let left_in = (0..rows.len())
        .map(|i| {
            let own = || {
                tried
                    .iter()
                    .zip(&weights)
                    .filter_map(move |(t, w)| Some((w / total, t.1.get(i)?)))
            };
            let mean: f64 = own().map(|(w, [m, _])| w * m).sum();
            let variance = own().map(|(w, [m, v])| w * (v + (m - mean).powi(2))).sum();
            [mean, variance]
        })
        .collect();
    let log_evidence = prior + best + (total / tried.len() as f64).ln();
    log_evidence.is_finite().then_some(Explanation {
        log_evidence,
        left_in,
    })
}

/// The entries on the diagonal.
pub(super) fn diagonal(matrix: &[Vec<f64>]) -> impl Iterator<Item = f64> + '_ {
    matrix
        .iter()
        .enumerate()
        .filter_map(|(i, row)| row.get(i).copied())
}

/// Logarithm of the prior probability of the cause, with what the wind's direction says of it.
fn prior(
    rows: &[&RunRow],
    cause: Cause,
    conditions: &Conditions,
    rules: &CompareRules,
) -> Option<f64> {
    let current = match conditions.current {
        Some(Current::None) => 0.0,
        Some(Current::River | Current::Tide) => 1.0,
        None => rules.current_probability,
    };
    let probability: f64 = match cause {
        Cause::Wind => (1.0 - current) * (2.0 * agreement(rows, conditions, rules).unwrap_or(0.5)),
        Cause::Current => current,
    };
    (probability > 0.0).then(|| probability.ln())
}

/// Probability of the side that was faster, had the stated wind made it; `None` where no direction
/// is known.
pub(super) fn agreement(
    rows: &[&RunRow],
    conditions: &Conditions,
    rules: &CompareRules,
) -> Option<f64> {
    let from = conditions.wind_from?;
    let se = conditions
        .wind_se_deg
        .unwrap_or(rules.direction_se_deg)
        .max(1.0)
        .to_radians();
    let toward = |row: &RunRow| row.axis.turn_to(from).degrees().to_radians();
    // Along the axis the boat is slower where the wind comes from ahead of it.
    let with: f64 = rows
        .iter()
        .map(|row| -row.half_difference * toward(row).cos())
        .sum();
    let first = rows.first()?;
    let off = toward(first).cos().abs().asin();
    let right = normal_cdf(off / se)?;
    let agrees = if with < 0.0 { 1.0 - right } else { right };
    Some(agrees.max(rules.least_agreement))
}
