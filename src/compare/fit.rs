//! The posterior, by a grid over what is not linear: cause of the drift, kinds of trend and lever,
//! scatter; and which run, if any, is bad.

use super::design::{Column, Wind, columns, distinct, hours, usual_log};
use super::drift::{Cause, Explanation, diagonal, explain};
use super::posterior::{Known, Node, Posterior};
use super::{CompareRules, Conditions, RunRow};
use crate::stats::triangles::{backward, cholesky, dot, forward, invert_triangle};

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
    let found = Causes::of(rows, conditions, rules);
    let mut kept: Vec<(Setup, [f64; 3])> = Vec::new();
    for setup in setups(rows, &found, conditions, rules) {
        let (count, low, high) = COARSE;
        let at = |i: usize| low * (high / low).powf(i as f64 / (count - 1) as f64);
        let solve = |s: f64| Some((s.ln(), setup.solve(s)?.log_weight));
        let tried: Vec<(f64, f64)> = (0..count).filter_map(|i| solve(at(i))).collect();
        let best = tried.iter().map(|t| t.1).fold(f64::NEG_INFINITY, f64::max);
        let total = |value: &dyn Fn(f64) -> f64| -> f64 {
            tried
                .iter()
                .map(|(s, w)| (w - best).exp() * value(*s))
                .sum()
        };
        let weight = total(&|_| 1.0);
        let mean = total(&|s| s) / weight;
        let sd = (total(&|s| (s - mean).powi(2)) / weight).sqrt();
        if best.is_finite() {
            kept.push((setup, [best + weight.ln(), mean, sd.max(LEAST_LOG_SD)]));
        }
    }
    let top = kept
        .iter()
        .map(|k| k.1[0])
        .fold(f64::NEG_INFINITY, f64::max);
    let mut solved = Vec::new();
    for (setup, [weight, mean, sd]) in &kept {
        if weight - top < NEGLIGIBLE.ln() {
            continue;
        }
        for i in 0..FINE {
            let off = REACH * (2.0 * i as f64 / (FINE - 1) as f64 - 1.0);
            // Each stands for a stretch of the logarithm of the scatter.
            let one = setup.solve((mean + off * sd).exp());
            solved.extend(one.map(|s| (s.log_weight + sd.ln(), setup, s)));
        }
    }
    let best = solved.iter().map(|s| s.0).fold(f64::NEG_INFINITY, f64::max);
    solved.retain(|s| s.0 - best > NEGLIGIBLE.ln());
    let node = |(log_weight, setup, one): (f64, &Setup<'_>, Solved)| setup.node(log_weight, one);
    let nodes = solved.into_iter().filter_map(node).collect();
    let terms = kept.first()?.0.columns.iter().map(|c| c.term).collect();
    let (rows, rules) = (rows.to_vec(), rules.clone());
    let known = Known {
        rows,
        terms,
        conditions: *conditions,
        rules,
        logged: found.logged,
    };
    Posterior::new(known, nodes)
}

/// What makes the half differences of each day, in the combinations that are not negligible.
pub(super) struct Causes {
    /// Logarithm of the probability, causes, and what the drift left in each run.
    pub(super) combinations: Vec<(f64, Vec<Cause>, Vec<[f64; 2]>)>,
    pub(super) logged: bool,
}

/// A point of the grid, but for the scatter and the bad run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case {
    /// Its number.
    pub(super) number: usize,
    /// Place among [`Causes::combinations`].
    pub(super) causes: usize,
    /// Share of the days on which the wind makes the half differences.
    pub(super) wind_share: f64,
    /// Place among [`CompareRules::trends`].
    pub(super) trend: usize,
    /// Place among [`CompareRules::lever_sds`].
    pub(super) lever: usize,
    /// Place among [`CompareRules::day_change_sds`].
    pub(super) day_change: usize,
}

impl Causes {
    pub(super) fn of(rows: &[RunRow], conditions: &Conditions, rules: &CompareRules) -> Self {
        let logged = rows.iter().all(|r| r.wind.is_some());
        let nothing = vec![[0.0, 0.0]; rows.len()];
        let mut combinations = vec![(0.0, Vec::new(), nothing)];
        for day in distinct(rows.iter().map(|r| r.day)) {
            let own: Vec<&RunRow> = rows.iter().filter(|r| r.day == day).collect();
            let causes = if logged {
                vec![Cause::Current]
            } else {
                vec![Cause::Wind, Cause::Current]
            };
            // With a log, a changing half difference is taken out whatever made it.
            let conditions = if logged {
                &Conditions {
                    current: None,
                    ..*conditions
                }
            } else {
                conditions
            };
            let said: Vec<(Cause, Option<Explanation>)> = (causes.iter())
                .map(|cause| (*cause, explain(&own, *cause, conditions, rules)))
                .collect();
            let silent = said.iter().all(|(_, e)| e.is_none());
            let mut next = Vec::new();
            for (log, so_far, left) in &combinations {
                for (cause, explanation) in said.iter().filter(|(_, e)| silent || e.is_some()) {
                    let mut left = left.clone();
                    let mut of_day = explanation.iter().flat_map(|e| &e.left_in);
                    for (slot, _) in left.iter_mut().zip(rows).filter(|(_, r)| r.day == day) {
                        *slot = of_day.next().copied().unwrap_or_default();
                    }
                    let causes = so_far.iter().copied().chain([*cause]).collect();
                    next.push((
                        log + explanation.as_ref().map_or(0.0, |e| e.log_evidence),
                        causes,
                        left,
                    ));
                }
            }
            next.sort_by(|a, b| b.0.total_cmp(&a.0));
            next.truncate(MOST_CAUSES);
            combinations = next;
        }
        let top = combinations.first().map_or(0.0, |c| c.0);
        combinations.retain(|c| c.0 - top > NEGLIGIBLE.ln());
        Self {
            combinations,
            logged,
        }
    }
}

/// The model at one such point.
pub(super) struct Setup<'a> {
    pub(super) case: Case,
    rules: &'a CompareRules,
    /// Logarithm of its probability, that of the speeds left out.
    pub(super) log_weight: f64,
    pub(super) columns: Vec<Column>,
    /// Logarithm of each speed less what the priors' means make of it.
    residuals: Vec<f64>,
    /// Covariance of the speeds without scatter.
    fixed: Vec<Vec<f64>>,
    /// Variance of the scatter, in units of that at the mean speed.
    noise: Vec<f64>,
}

pub(super) fn setups<'a>(
    rows: &'a [RunRow],
    found: &Causes,
    conditions: &Conditions,
    rules: &'a CompareRules,
) -> Vec<Setup<'a>> {
    let mut out = Vec::new();
    let several_days = rows
        .iter()
        .any(|r| rows.first().is_some_and(|f| f.day != r.day));
    // Of one day there is nothing that it could matter to.
    let day_changes = &rules.day_change_sds[..if several_days { 3 } else { 1 }];
    for (place, (log, causes, left)) in found.combinations.iter().enumerate() {
        let by_wind = causes.iter().filter(|c| **c == Cause::Wind).count();
        let wind_share = by_wind as f64 / causes.len().max(1) as f64;
        let wind = if found.logged {
            Wind::Logged
        } else {
            Wind::HalfDifference(causes.clone())
        };
        let hidden = wind_share < 1.0 && !found.logged;
        let walk = if hidden { rules.hidden_wander_sd } else { 0.0 };
        for (trend, own) in rules.trends.iter().enumerate() {
            let levers = rules.lever_sds.iter().enumerate();
            let days = day_changes.iter().enumerate();
            let both = levers.flat_map(|lever| days.clone().map(move |day| (lever, day)));
            for ((lever, lever_sd), (day_change, day_change_sd)) in both {
                let priors = (own.rate, *day_change_sd);
                let columns = columns(rows, &wind, priors, conditions, rules);
                let speeds = speeds(rows, left, rules.se_factor);
                let case = Case {
                    number: out.len(),
                    causes: place,
                    wind_share,
                    trend,
                    lever,
                    day_change,
                };
                let log_weight = log + own.share.ln();
                out.push(Setup::new(
                    (case, log_weight),
                    rows,
                    rules,
                    columns,
                    &speeds,
                    [walk, *lever_sd],
                ));
            }
        }
    }
    out
}

/// The drift left in a mean is taken out to at most this share of the speed: more is no drift.
const MOST_LEFT_IN: f64 = 0.5;

/// The logarithm of each speed, without what the drift left in, and its variance but for the
/// scatter.
pub(super) fn speeds(rows: &[RunRow], left: &[[f64; 2]], factor: f64) -> Vec<[f64; 2]> {
    let one = |(row, [mean, variance]): (&RunRow, &[f64; 2])| {
        let own = factor * row.se.unwrap_or(0.0);
        let most = MOST_LEFT_IN * row.speed;
        let by_track = (row.speed - mean.clamp(-most, most), own * own + variance);
        let (speed, variance) = row.water_speed.map_or(by_track, |speed| (speed, own * own));
        [speed.ln(), variance / (speed * speed)]
    };
    rows.iter().zip(left).map(one).collect()
}

/// Place, row, hours from the middle of its day, logarithm of the speed with its variance.
type Placed<'a> = (usize, &'a RunRow, f64, &'a [f64; 2]);

impl<'a> Setup<'a> {
    fn new(
        (case, log_weight): (Case, f64),
        rows: &'a [RunRow],
        rules: &'a CompareRules,
        columns: Vec<Column>,
        speeds: &[[f64; 2]],
        [walk, lever_sd]: [f64; 2],
    ) -> Self {
        let usual = usual_log(rows);
        let mut residuals: Vec<f64> = speeds.iter().map(|[log, _]| log - usual).collect();
        for column in &columns {
            for (residual, value) in residuals.iter_mut().zip(&column.values) {
                *residual -= column.prior.mean * value;
            }
        }
        let all: Vec<Placed<'_>> = (rows.iter().zip(speeds).enumerate())
            .map(|(i, (r, speed))| (i, r, hours(rows, r), speed))
            .collect();
        let holds = holds(rows);
        let same_hold = |i: usize, j: usize| holds.get(i) == holds.get(j);
        let square = |entry: &dyn Fn(&Placed<'_>, &Placed<'_>) -> f64| -> Vec<Vec<f64>> {
            let row = |a| all.iter().map(|b| entry(a, b)).collect();
            all.iter().map(row).collect()
        };
        let fixed = square(&|(i, a, s, [_, variance]), (j, b, t, _)| {
            let prior =
                |c: &Column| Some(c.prior.sd.powi(2) * c.values.get(*i)? * c.values.get(*j)?);
            let priors: f64 = columns.iter().filter_map(prior).sum();
            let own = if i == j {
                variance + LEAST_SD * LEAST_SD
            } else {
                0.0
            };
            // The walk starts at the middle of the day, either way.
            let together = a.day == b.day && s * t > 0.0;
            let common = if together { s.abs().min(t.abs()) } else { 0.0 };
            let lever = if same_hold(*i, *j) {
                lever_sd * lever_sd
            } else {
                0.0
            };
            priors + own + walk * walk * common + lever
        });
        let scale = |[log, _]: &[f64; 2]| (2.0 * rules.scatter_power * (usual - log)).exp();
        let noise = speeds.iter().map(scale).collect();
        Self {
            case,
            rules,
            log_weight,
            columns,
            residuals,
            fixed,
            noise,
        }
    }
}

/// The number of each run's hold of the lever: runs of one cell that follow each other.
fn holds(rows: &[RunRow]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    let at = |i: &usize| rows.get(*i).map_or(0.0, |r| r.at);
    order.sort_by(|a, b| at(a).total_cmp(&at(b)));
    let mut holds = vec![0; rows.len()];
    let mut last = None;
    let mut count = 0;
    for i in order {
        let cell = rows.get(i).map(|r| (r.day, r.configuration, r.setting));
        count += usize::from(cell != last);
        last = cell;
        if let Some(slot) = holds.get_mut(i) {
            *slot = count;
        }
    }
    holds
}

/// A setup at one scatter.
struct Solved {
    log_weight: f64,
    root: Vec<Vec<f64>>,
    white: Vec<f64>,
    scatter: f64,
}

impl Setup<'_> {
    fn solve(&self, scatter: f64) -> Option<Solved> {
        let variance = scatter * scatter;
        let mut covariance = self.fixed.clone();
        for (i, (row, noise)) in covariance.iter_mut().zip(&self.noise).enumerate() {
            *row.get_mut(i)? += variance * noise;
        }
        let root = cholesky(&covariance)?;
        let white = forward(&root, &self.residuals)?;
        let log_det: f64 = diagonal(&root).map(f64::ln).sum();
        // Scaled inverse chi-square of the variance, as a density of the logarithm of the scatter.
        let df = self.rules.scatter_df;
        let prior = -df * scatter.ln() - df / 2.0 * self.rules.scatter.powi(2) / variance;
        let log_weight = self.log_weight + prior - log_det - 0.5 * dot(&white, &white);
        log_weight.is_finite().then_some(Solved {
            log_weight,
            root,
            white,
            scatter,
        })
    }

    /// The posterior of the coefficients, with what each single bad run would make of it.
    fn node(&self, log_weight: f64, solved: Solved) -> Option<Node> {
        let Solved {
            root,
            white,
            scatter,
            ..
        } = solved;
        let pull = backward(&root, &white)?;
        let mut mean = Vec::new();
        let mut gain = Vec::new();
        for column in &self.columns {
            let variance = column.prior.sd.powi(2);
            mean.push(column.prior.mean + variance * dot(&column.values, &pull));
            let solved = backward(&root, &forward(&root, &column.values)?)?;
            gain.push(solved.iter().map(|v| v * variance).collect::<Vec<f64>>());
        }
        let covariance = (self.columns.iter().zip(&gain).enumerate())
            .map(|(i, (a, own))| {
                let entry = |(j, b): (usize, &Column)| {
                    let prior = if i == j { a.prior.sd.powi(2) } else { 0.0 };
                    prior - dot(own, &b.values) * b.prior.sd.powi(2)
                };
                self.columns.iter().enumerate().map(entry).collect()
            })
            .collect();
        let triangle: Vec<Vec<f64>> = (root.iter().enumerate())
            .map(|(i, row)| row.iter().take(i + 1).copied().collect())
            .collect();
        let inverse = invert_triangle(&triangle);
        let precision = inverse.iter().map(|row| dot(row, row)).collect();
        Some(Node {
            log_weight,
            mean,
            covariance,
            gain,
            pull,
            precision,
            case: self.case,
            scatter,
        })
    }
}
