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

use nalgebra::DVectorView;

use super::known::{Cause, Known};
use super::{RunRow, shares, vector};
use crate::stats::distribution::normal_cdf;
use crate::stats::multivariate_normal::{Whitened, square};
use crate::units::Current;

/// Added to every variance, m²/s², so that runs at one time leave a root to take.
const LEAST_VARIANCE: f64 = 1e-8;

/// What one cause makes of the half differences of a day.
#[derive(Default)]
pub(super) struct Explanation {
    /// Logarithm of the probability of the half differences, the prior of the cause included.
    pub(super) log_evidence: f64,
    /// For each run, what the mean of the two speeds still holds of the drift, m/s, and the
    /// variance of that.
    pub(super) left_in: Vec<[f64; 2]>,
}

/// A Gaussian process of the drift along the lines of a day.
struct Drift<'a> {
    rows: &'a [&'a RunRow],
    cause: Cause,
    /// Standard deviations of the steady and the changing part, and scatter about them, m/s.
    sds: [f64; 3],
    /// How long it takes to change, s.
    length: f64,
}

impl Drift<'_> {
    /// How the drift at a run goes with the process: not at all from line to line.
    fn scale(&self, a: &RunRow, b: &RunRow) -> f64 {
        match self.cause {
            _ if a.line != b.line => 0.0,
            Cause::Wind => 1.0 / (a.speed * b.speed),
            Cause::Current => 1.0,
        }
    }

    /// Covariance of the changing part at two times `t` seconds apart.
    fn change(&self, t: f64) -> f64 {
        self.sds[1].powi(2) * (-0.5 * (t / self.length).powi(2)).exp()
    }

    /// What it makes of the half differences, the prior left out.
    fn explain(&self) -> Option<Explanation> {
        let [steady, _, noise] = self.sds;
        let covariance = square(self.rows, |(i, a), (j, b)| {
            let own = if i == j {
                noise * noise + LEAST_VARIANCE
            } else {
                0.0
            };
            self.scale(a, b) * (steady * steady + self.change(a.at - b.at)) + own
        });
        // By columns: half of the drift along the axis of a run less that against it.
        let with = square(self.rows, |(_, a), (_, b)| {
            let [along, against] = [-0.5, 0.5].map(|h| self.change(a.at + h * a.apart - b.at));
            self.scale(a, b) * (along - against) / 2.0
        });
        let halves = vector(self.rows.iter().map(|row| row.half_difference));
        let own = Whitened::new(covariance, &halves)?;
        let seen = own.root.solve_lower_triangular(&with)?;
        let left = |(a, seen): (&&RunRow, DVectorView<'_, f64>)| {
            let changed = self.scale(a, a) * (self.change(0.0) - self.change(a.apart)) / 2.0;
            let variance = (changed - seen.norm_squared()).max(0.0);
            [seen.dot(&own.white), variance]
        };
        Some(Explanation {
            log_evidence: own.log_density,
            left_in: self.rows.iter().zip(seen.column_iter()).map(left).collect(),
        })
    }
}

impl Known {
    /// The explanation by `cause` of the runs of one day; `None` where it is ruled out or nothing
    /// can be said.
    pub(super) fn explain(&self, rows: &[&RunRow], cause: Cause) -> Option<Explanation> {
        let rules = &self.rules;
        let prior = self.prior(rows, cause)?;
        let steady = match cause {
            // The half difference times the speed, by the balance, for a wind faster than the boat.
            Cause::Wind => {
                let square = |row: &&RunRow| {
                    let [along, across] = self.conditions.wind_at(row)?;
                    Some(row.speed.powi(2) + along.hypot(across) * along.abs())
                };
                let sum = rows.iter().map(square).sum::<Option<f64>>();
                sum.map_or(rules.wind_drift, |sum| {
                    rules.air_share.mean * sum / rows.len() as f64
                })
            }
            Cause::Current => rules.current_drift,
        };
        let sizes = rules.drift_sizes.iter().flat_map(|size| {
            let noises = rules.drift_noises.iter();
            noises.map(move |noise| [steady, size * steady, *noise])
        });
        let drifts = sizes.flat_map(|sds| {
            let of = move |length: &f64| Drift {
                rows,
                cause,
                sds,
                length: *length,
            };
            rules.drift_lengths_s.iter().map(of)
        });
        let tried: Vec<Explanation> = drifts.filter_map(|drift| drift.explain()).collect();
        let logs: Vec<f64> = tried.iter().map(|t| t.log_evidence).collect();
        let (log_sum, weights) = shares(&logs);
        let left_in = |i: usize| {
            let own = || {
                let each = tried.iter().zip(&weights);
                each.filter_map(move |(t, w)| Some((w, t.left_in.get(i)?)))
            };
            let mean: f64 = own().map(|(w, [m, _])| w * m).sum();
            let variance = own().map(|(w, [m, v])| w * (v + (m - mean).powi(2))).sum();
            [mean, variance]
        };
        let log_evidence = prior + log_sum - (tried.len() as f64).ln();
        log_evidence.is_finite().then(|| Explanation {
            log_evidence,
            left_in: (0..rows.len()).map(left_in).collect(),
        })
    }

    /// Logarithm of the prior probability of the cause, with what the wind's direction says of it.
    fn prior(&self, rows: &[&RunRow], cause: Cause) -> Option<f64> {
        // With a log, a changing half difference is taken out whatever made it.
        let current = match self.conditions.current.filter(|_| !self.logged) {
            Some(Current::None) => 0.0,
            Some(Current::River | Current::Tide) => 1.0,
            None => self.rules.current_probability,
        };
        let probability: f64 = match cause {
            Cause::Wind => (1.0 - current) * 2.0 * self.agreement(rows).unwrap_or(0.5),
            Cause::Current => current,
        };
        (probability > 0.0).then(|| probability.ln())
    }

    /// Probability of the side that was faster, had the stated wind made it; `None` where no
    /// direction is known.
    pub(super) fn agreement(&self, rows: &[&RunRow]) -> Option<f64> {
        let se = self.conditions.wind_se_deg;
        let se = se
            .unwrap_or(self.rules.direction_se_deg)
            .max(1.0)
            .to_radians();
        let ahead = |row: &RunRow| Some(self.conditions.wind_off(row)?.cos());
        // Along the axis the boat is slower where the wind comes from ahead of it.
        let with = |row: &&RunRow| Some(-row.half_difference * ahead(row)?);
        let with = rows.iter().map(with).sum::<Option<f64>>()?;
        // Of several lines the one most nearly along the wind says most.
        let along = |row: &&RunRow| ahead(row).map(f64::abs);
        let off = rows.iter().filter_map(along).max_by(f64::total_cmp)?.asin();
        let right = normal_cdf(off / se)?;
        let agrees = if with < 0.0 { 1.0 - right } else { right };
        Some(agrees.max(self.rules.least_agreement))
    }
}
