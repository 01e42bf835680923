//! The posterior, by a grid over what is not linear: cause of the drift, kinds of trend, lever
//! and difference between days, scatter; and which run, if any, is bad.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::design::Column;
use super::drift::Explanation;
use super::known::{Cause, Known};
use super::posterior::{Case, Node, Posterior};
use super::{CompareRules, Conditions, RunRow, shares, vector};
use crate::stats::multivariate_normal::{Whitened, square};

/// Scatters tried first, evenly spaced in the logarithm: from 0.05 % to 10 % of the speed.
const COARSE: (usize, f64, f64) = (15, 0.0005, 0.1);

/// Scatters tried in the end, evenly spaced over [`REACH`] standard deviations to either side.
const FINE: usize = 19;

/// How far: the logarithm of a scatter found from few runs is skewed to the large side.
const REACH: f64 = 5.0;

/// Least standard deviation of the logarithm of the scatter that the fine grid is made for: below,
/// the coarse one cannot tell it.
const LEAST_LOG_SD: f64 = 0.1;

/// Combinations and bad runs less probable than this share of the best are left out.
const NEGLIGIBLE: f64 = 1e-6;

/// Most combinations of causes over several days that are followed.
const MOST_CAUSES: usize = 8;

/// The drift left in a mean is taken out to at most this share of the speed: more is no drift.
const MOST_LEFT_IN: f64 = 0.5;

/// Standard deviation added to every logarithm of speed (0.001 %), so that runs all alike leave a
/// root to take.
const LEAST_SD: f64 = 1e-5;

/// Fits the model; `None` for no rows, and where a number of a row is not finite or a speed not
/// positive.
///
/// # Example: four runs, two of them with the new part
/// ```
/// use thereback::compare::{CompareRules, Conditions, RunRow, fit};
/// use thereback::units::Bearing;
///
/// let run = |configuration, speed, at| RunRow {
///     configuration, setting: 0, line: 0, day: 0, axis: Bearing::new(0.0).unwrap(),
///     speed, half_difference: 0.02, se: None, at, apart: 300.0, wind: None, water_speed: None,
/// };
/// let rows = [run(0, 1.50, 0.0), run(0, 1.51, 700.0), run(1, 1.58, 2000.0), run(1, 1.57, 2700.0)];
/// let posterior = fit(&rows, &Conditions::default(), &CompareRules::default()).unwrap();
/// let change = posterior.contrast(&posterior.change(1, 0, Some(0)).unwrap()).unwrap();
/// assert!(change.low > 0.0 && (change.value - (1.575_f64 / 1.505).ln()).abs() < 0.01);
/// ```
pub fn fit(rows: &[RunRow], conditions: &Conditions, rules: &CompareRules) -> Option<Posterior> {
    if rows.is_empty() || !rows.iter().all(RunRow::is_sound) {
        return None;
    }
    let known = Known {
        rows: rows.to_vec(),
        conditions: *conditions,
        rules: rules.clone(),
        logged: rows.iter().all(|r| r.wind.is_some()),
    };
    let mut kept: Vec<(Setup<'_>, [f64; 3])> = Vec::new();
    for setup in known.setups(&known.causes()) {
        let (count, low, high) = COARSE;
        let at = |i: usize| low * (high / low).powf(i as f64 / (count - 1) as f64);
        let solve = |s: f64| Some((setup.solve(s)?.0, s.ln()));
        let (logs, at): (Vec<f64>, Vec<f64>) = (0..count).filter_map(|i| solve(at(i))).unzip();
        let (log_sum, weights) = shares(&logs);
        let (at, weights) = (DVector::from_vec(at), DVector::from_vec(weights));
        let mean = at.dot(&weights);
        let sd = at.map(|s| (s - mean).powi(2)).dot(&weights).sqrt();
        if log_sum.is_finite() {
            kept.push((setup, [log_sum, mean, sd.max(LEAST_LOG_SD)]));
        }
    }
    let terms = kept.first()?.0.columns.iter().map(|c| c.term).collect();
    retain_likely(&mut kept, |k| k.1[0]);
    let mut solved = Vec::new();
    for (setup, [_, mean, sd]) in &kept {
        for i in 0..FINE {
            let off = REACH * (2.0 * i as f64 / (FINE - 1) as f64 - 1.0);
            let scatter = (mean + off * sd).exp();
            // Each stands for a stretch of the logarithm of the scatter.
            let one = setup.solve(scatter);
            solved.extend(one.map(|(log, own)| (log + sd.ln(), setup, scatter, own)));
        }
    }
    retain_likely(&mut solved, |s| s.0);
    let node = |(log, setup, scatter, own): &(_, &Setup<'_>, _, _)| setup.node(*log, *scatter, own);
    let nodes = solved.iter().filter_map(node).collect();
    Posterior::new(known.clone(), terms, nodes)
}

/// Leaves out what is negligible beside the best, by the logarithms of the weights.
fn retain_likely<T>(all: &mut Vec<T>, log: impl Fn(&T) -> f64) {
    let best = all.iter().map(&log).fold(f64::NEG_INFINITY, f64::max);
    all.retain(|one| log(one) - best > NEGLIGIBLE.ln());
}

/// What makes the half differences of each day.
pub(super) struct Causes {
    /// Logarithm of the probability.
    pub(super) log: f64,
    /// The cause on each day.
    pub(super) by_day: Vec<Cause>,
    /// What the drift left in each run, see [`Explanation::left_in`].
    left_in: Vec<[f64; 2]>,
}

impl Known {
    /// The combinations of causes that are not negligible.
    pub(super) fn causes(&self) -> Vec<Causes> {
        let mut combinations = vec![Causes {
            log: 0.0,
            by_day: Vec::new(),
            left_in: vec![[0.0, 0.0]; self.rows.len()],
        }];
        let possible = [Cause::Wind, Cause::Current].into_iter();
        let possible = possible.filter(|c| !self.logged || *c == Cause::Current);
        for day in self.days() {
            let own: Vec<&RunRow> = self.rows.iter().filter(|r| r.day == day).collect();
            let explain = |cause| Some((cause, self.explain(&own, cause)?));
            let mut said: Vec<_> = possible.clone().filter_map(explain).collect();
            if said.is_empty() {
                said.extend(possible.clone().map(|c| (c, Explanation::default())));
            }
            let with = |so_far: &Causes, (cause, explanation): &(Cause, Explanation)| {
                let mut left_in = so_far.left_in.clone();
                let slots = left_in.iter_mut().zip(&self.rows);
                let slots = slots.filter(|(_, r)| r.day == day);
                for ((slot, _), left) in slots.zip(&explanation.left_in) {
                    *slot = *left;
                }
                Causes {
                    log: so_far.log + explanation.log_evidence,
                    by_day: so_far.by_day.iter().copied().chain([*cause]).collect(),
                    left_in,
                }
            };
            combinations = (combinations.iter())
                .flat_map(|so_far| said.iter().map(move |one| with(so_far, one)))
                .collect();
            combinations.sort_by(|a, b| b.log.total_cmp(&a.log));
            combinations.truncate(MOST_CAUSES);
        }
        retain_likely(&mut combinations, |c| c.log);
        combinations
    }

    /// The points of the grid, but for the scatter and the bad run.
    pub(super) fn setups(&self, found: &[Causes]) -> Vec<Setup<'_>> {
        let rules = &self.rules;
        let mut out = Vec::new();
        for (place, combination) in found.iter().enumerate() {
            let causes = &combination.by_day;
            let by_wind = causes.iter().filter(|c| **c == Cause::Wind).count();
            // Of one day there is nothing that the change from day to day could matter to.
            let most = if causes.len() > 1 {
                rules.day_change_sds.len()
            } else {
                1
            };
            for trend in 0..rules.trends.len() {
                for lever in 0..rules.lever_sds.len() {
                    out.extend((0..most).filter_map(|day_change| {
                        let case = Case {
                            causes: place,
                            wind_share: by_wind as f64 / causes.len() as f64,
                            trend,
                            lever,
                            day_change,
                        };
                        Setup::new(self, case, combination)
                    }));
                }
            }
        }
        out
    }

    /// The logarithm of each speed, without what the drift left in, and its variance but for the
    /// scatter.
    pub(super) fn speeds(&self, causes: &Causes) -> Vec<[f64; 2]> {
        let one = |(row, [mean, variance]): (&RunRow, &[f64; 2])| {
            let own = (self.rules.se_factor * row.se.unwrap_or(0.0)).powi(2);
            let most = MOST_LEFT_IN * row.speed;
            let by_track = (row.speed - mean.clamp(-most, most), own + variance);
            let (speed, variance) = row.water_speed.map_or(by_track, |speed| (speed, own));
            [speed.ln(), variance / (speed * speed)]
        };
        self.rows.iter().zip(&causes.left_in).map(one).collect()
    }

    /// The number of each run's hold of the lever: runs of one cell that follow each other.
    fn holds(&self) -> Vec<usize> {
        let mut order: Vec<(usize, &RunRow)> = self.rows.iter().enumerate().collect();
        order.sort_by(|(_, a), (_, b)| a.at.total_cmp(&b.at));
        let cell = |r: &RunRow| (r.day, r.configuration, r.setting);
        let stretches = order.chunk_by(|(_, a), (_, b)| cell(a) == cell(b));
        let places = |(number, runs): (usize, &[(usize, _)])| {
            let places = runs.iter().map(|run| (run.0, number));
            places.collect::<Vec<_>>()
        };
        let holds: BTreeMap<usize, usize> = stretches.enumerate().flat_map(places).collect();
        holds.into_values().collect()
    }
}

/// The model at one such point.
pub(super) struct Setup<'a> {
    pub(super) case: Case,
    rules: &'a CompareRules,
    /// Logarithm of its probability, that of the speeds left out.
    log_weight: f64,
    pub(super) columns: Vec<Column>,
    /// The columns, each times the variance of its prior.
    spread: DMatrix<f64>,
    /// Logarithm of each speed less what the priors' means make of it.
    residuals: DVector<f64>,
    /// Covariance of the speeds without scatter.
    fixed: DMatrix<f64>,
    /// Variance of the scatter, in units of that at the mean speed.
    noise: DVector<f64>,
}

/// Row, hours from the middle of its day, number of its hold, variance of the logarithm of its
/// speed.
type Placed<'a> = (&'a RunRow, f64, usize, f64);

impl<'a> Setup<'a> {
    fn new(known: &'a Known, case: Case, causes: &Causes) -> Option<Self> {
        let rules = &known.rules;
        let trend = rules.trends.get(case.trend)?;
        let lever = rules.lever_sds.get(case.lever)?.powi(2);
        let day_change_sd = *rules.day_change_sds.get(case.day_change)?;
        let hidden = case.wind_share < 1.0 && !known.logged;
        let walk = if hidden {
            rules.hidden_wander_sd.powi(2)
        } else {
            0.0
        };
        let columns = known.columns(&causes.by_day, trend.rate, day_change_sd);
        let usual = known.usual_log();
        let speeds = known.speeds(causes);
        let (runs, terms) = (speeds.len(), columns.len());
        let values = columns.iter().flat_map(|c| c.values.iter().copied());
        let design = DMatrix::from_iterator(runs, terms, values);
        let means = vector(columns.iter().map(|c| c.prior.mean));
        let variances = vector(columns.iter().map(|c| c.prior.sd.powi(2)));
        let spread = &design * DMatrix::from_diagonal(&variances);
        let logs = vector(speeds.iter().map(|s| s[0] - usual));
        let all: Vec<Placed<'_>> = (known.rows.iter().zip(known.holds()).zip(&speeds))
            .map(|((row, hold), speed)| (row, known.hours(row), hold, speed[1]))
            .collect();
        let own = square(
            &all,
            |(i, (a, s, hold, variance)), (j, (b, t, other, _))| {
                let own = if i == j {
                    variance + LEAST_SD * LEAST_SD
                } else {
                    0.0
                };
                // The walk starts at the middle of the day, either way.
                let together = a.day == b.day && s * t > 0.0;
                let common = if together { s.abs().min(t.abs()) } else { 0.0 };
                own + walk * common + if hold == other { lever } else { 0.0 }
            },
        );
        Some(Self {
            case,
            rules,
            log_weight: causes.log + trend.share.ln(),
            fixed: own + &spread * design.transpose(),
            noise: logs.map(|log| (-2.0 * rules.scatter_power * log).exp()),
            residuals: logs - design * means,
            spread,
            columns,
        })
    }
}

impl Setup<'_> {
    /// At one scatter, with the logarithm of the weight.
    fn solve(&self, scatter: f64) -> Option<(f64, Whitened)> {
        let variance = scatter * scatter;
        let mut covariance = self.fixed.clone();
        covariance.set_diagonal(&(self.fixed.diagonal() + variance * &self.noise));
        let own = Whitened::new(covariance, &self.residuals)?;
        // Scaled inverse chi-square of the variance, as a density of the logarithm of the scatter.
        let df = self.rules.scatter_df;
        let prior = -df * scatter.ln() - df / 2.0 * self.rules.scatter.powi(2) / variance;
        let log_weight = self.log_weight + prior + own.log_density;
        log_weight.is_finite().then_some((log_weight, own))
    }

    /// The posterior of the coefficients, with what each single bad run would make of it.
    fn node(&self, log_weight: f64, scatter: f64, own: &Whitened) -> Option<Node> {
        let runs = self.residuals.len();
        let inverse = own
            .root
            .solve_lower_triangular(&DMatrix::identity(runs, runs))?;
        let spread = &inverse * &self.spread;
        let priors = |value: fn(&Column) -> f64| vector(self.columns.iter().map(value));
        let variances = priors(|c| c.prior.sd.powi(2));
        Some(Node {
            log_weight,
            mean: priors(|c| c.prior.mean) + spread.tr_mul(&own.white),
            covariance: DMatrix::from_diagonal(&variances) - spread.tr_mul(&spread),
            gain: spread.tr_mul(&inverse),
            pull: inverse.tr_mul(&own.white),
            precision: vector(inverse.column_iter().map(|column| column.norm_squared())),
            case: self.case,
            scatter,
        })
    }
}
