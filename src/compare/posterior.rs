//! The posterior of the model, and every figure as a contrast of it.

use nalgebra::{DMatrix, DVector};
use serde::Serialize;
use statrs::function::erf::erfc;

use super::contrast::{Contrast, Term};
use super::known::{Known, over};
use super::{RunRow, balance, shares, vector};
use crate::stats::distribution::normal_quantile;
use crate::stats::roots::zero_between;
use crate::units::Current;

/// A contrast with its uncertainty, in logarithms of speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// Mean of the posterior.
    pub value: f64,
    /// Its standard deviation.
    pub se: f64,
    /// Lower bound of the interval.
    pub low: f64,
    /// Upper bound.
    pub high: f64,
    /// Twice the smaller posterior probability of either sign; of several together, the
    /// probability that one of them lies as far from its mean as this mean from zero.
    pub p: f64,
    /// Whether it rests on a configuration with a single double run: the priors make the interval.
    pub few: bool,
}

/// What the runs said of wind and current, and so what was adjusted for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "by", content = "detail", rename_all = "snake_case")]
pub enum Adjustment {
    /// The wind makes the half differences, with this probability; its changes are taken out.
    Wind {
        /// Probability, `[0, 1]`.
        share: f64,
    },
    /// A current makes them, with this probability; a changing one is taken out, and the interval
    /// allows for a wind that it hides.
    Current {
        /// Probability, `[0, 1]`.
        share: f64,
    },
    /// It could not be determined which; both are averaged over.
    Both {
        /// Probability of the wind, `[0, 1]`.
        wind: f64,
    },
    /// The logged wind is taken out.
    Logged,
    /// The water is known to be still: the wind makes them.
    StillWater,
    /// Nothing, for this reason; the model is the same.
    None(NotAdjusted),
}

/// Why nothing is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NotAdjusted {
    /// One double run has nothing to be compared with.
    OneRun,
    /// No double run differs between its two directions by more than runs of the same thing do.
    NoHalfDifference,
}

/// A point of the grid, but for the scatter and the bad run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Case {
    /// Place among the combinations of causes.
    pub(super) causes: usize,
    /// Share of the days on which the wind makes the half differences.
    #[serde(skip)]
    pub(super) wind_share: f64,
    /// Place among [`CompareRules::trends`].
    pub(super) trend: usize,
    /// Place among [`CompareRules::lever_sds`].
    pub(super) lever: usize,
    /// Place among [`CompareRules::day_change_sds`].
    pub(super) day_change: usize,
}

/// A cause is named alone from this probability on (common practice, no source).
const SURE: f64 = 0.8;

/// One point of the grid: the coefficients, no run being bad.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) log_weight: f64,
    pub(super) mean: DVector<f64>,
    pub(super) covariance: DMatrix<f64>,
    /// For each coefficient, how far each residual moves it.
    pub(super) gain: DMatrix<f64>,
    /// The residuals, weighted by the inverse of their covariance.
    pub(super) pull: DVector<f64>,
    /// The diagonal of that inverse.
    pub(super) precision: DVector<f64>,
    pub(super) case: Case,
    pub(super) scatter: f64,
}

impl Node {
    /// Were this run bad, by a normal deviation of this variance: the logarithm of what that adds
    /// to the weight, and the shares of its residual and of its deviation that go into the
    /// coefficients.
    fn with_bad_run(&self, run: usize, variance: f64) -> Option<[f64; 3]> {
        let (pull, precision) = (self.pull.get(run)?, self.precision.get(run)?);
        let loss = 1.0 + variance * precision;
        let log = -0.5 * loss.ln() + 0.5 * variance * pull * pull / loss;
        Some([log, variance * pull / loss, (variance / loss).sqrt()])
    }

    /// Contrasts of it.
    fn view(&self, contrasts: &[Contrast], terms: &[Term]) -> View {
        let wind_share = self.case.wind_share;
        let rows = contrasts.iter().map(|c| c.weights(terms, wind_share));
        let weights = DMatrix::from_rows(&rows.collect::<Vec<_>>());
        let doubts = contrasts.iter().map(|c| c.doubt * (1.0 - wind_share));
        let doubts = DMatrix::from_diagonal(&vector(doubts.map(|doubt| doubt * doubt)));
        View {
            mean: &weights * &self.mean + vector(contrasts.iter().map(|c| c.constant)),
            covariance: &weights * &self.covariance * weights.transpose() + doubts,
            gain: weights * &self.gain,
        }
    }
}

/// Some contrasts of a node: means, covariance, and how far each residual moves each.
struct View {
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    gain: DMatrix<f64>,
}

/// A normal part of the mixture.
#[derive(Debug, Clone, Copy)]
struct Part {
    weight: f64,
    node: usize,
    /// The run taken for bad.
    bad: Option<usize>,
}

/// Weight of a part of the mixture, means and covariance of some contrasts in it.
type Normals = (f64, DVector<f64>, DMatrix<f64>);

/// The posterior: a mixture of normals.
#[derive(Debug, Clone)]
pub struct Posterior {
    pub(super) known: Known,
    pub(super) terms: Vec<Term>,
    parts: Vec<Part>,
    nodes: Vec<Node>,
}

/// The least probable parts of the mixture that together make this share of it are left out.
const NEGLIGIBLE: f64 = 1e-5;

/// Bounds are found to this, in logarithms of speed.
const TOLERANCE: f64 = 1e-9;

/// Where a bound is looked for first, in standard deviations from the mean: that of a normal is at
/// two.
const NEAR_BOUND: [f64; 2] = [1.4, 3.0];

/// Points at which the joint distribution of several contrasts is taken: enough for 0.5 % of a
/// bound.
const POINTS: usize = 8192;

impl Posterior {
    pub(super) fn new(known: Known, terms: Vec<Term>, nodes: Vec<Node>) -> Option<Self> {
        let (count, share) = (known.rows.len(), known.rules.bad_run_share);
        let variance = known.rules.bad_run_sd.powi(2);
        let sound = (-share).ln_1p();
        let odds = (count as f64 - 1.0) * sound + share.ln();
        // The logarithms of the weights first.
        let mut parts = Vec::new();
        for (node, own) in nodes.iter().enumerate() {
            let mut add = |log, bad| {
                let weight = own.log_weight + log;
                parts.push(Part { weight, node, bad });
            };
            add(count as f64 * sound, None);
            for run in 0..count {
                let [log, ..] = own.with_bad_run(run, variance)?;
                add(odds + log, Some(run));
            }
        }
        parts.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        let logs: Vec<f64> = parts.iter().map(|part| part.weight).collect();
        let (_, weights) = shares(&logs);
        let sums = weights.iter().scan(0.0, |sum, weight| {
            *sum += weight;
            Some(*sum)
        });
        let most = 1 + sums.take_while(|sum| *sum < 1.0 - NEGLIGIBLE).count();
        parts.truncate(most);
        let kept: f64 = weights.iter().take(most).sum();
        for (part, weight) in parts.iter_mut().zip(weights) {
            part.weight = weight / kept;
        }
        (kept.is_finite() && kept > 0.0).then_some(Self {
            known,
            terms,
            parts,
            nodes,
        })
    }

    /// The configurations that were run, in order.
    pub fn configurations(&self) -> Vec<usize> {
        self.known.distinct(|r| r.configuration)
    }

    /// The settings that were run, in order.
    pub fn settings(&self) -> Vec<usize> {
        self.known.distinct(|r| r.setting)
    }

    /// The wind along the line behind the mean half difference, m/s, from the largest to the least
    /// that the air's share allows at two standard deviations, were it the wind's: `[low, high]`.
    /// `None` without a half difference.
    pub fn wind_behind(&self) -> Option<[f64; 2]> {
        let share = self.known.mean_share();
        let speed = over(&self.known.rows, |r| r.speed);
        let air = self.known.rules.air_share;
        // Two standard deviations below the mean may be nothing; a fifth of it is the least that
        // is a boat.
        let [most, least] = [
            air.mean + 2.0 * air.sd,
            (air.mean - 2.0 * air.sd).max(air.mean / 5.0),
        ];
        let bounds = [most, least].map(|q| balance::wind_behind(speed, share, q));
        (share > 0.0 && bounds.iter().all(|b| b.is_finite())).then_some(bounds)
    }

    /// Whether the faster direction is the one that the stated wind helps, where that is sure
    /// either way; `None` where it is not, or where no direction is stated.
    pub fn agrees_with_wind(&self) -> Option<bool> {
        let rows: Vec<&RunRow> = self.known.rows.iter().collect();
        let agrees = self
            .known
            .agreement(&rows)
            .filter(|_| !self.hardly_differ())?;
        let is_sure = agrees >= SURE || agrees <= 1.0 - SURE;
        is_sure.then_some(agrees >= SURE)
    }

    /// Whether the two directions of every run differ by less than runs of the same thing do.
    fn hardly_differ(&self) -> bool {
        let scatter = self.scatter();
        (self.known.rows.iter()).all(|r| r.share().abs() < scatter)
    }

    /// Probability that the conditions had the large trend of a failing battery.
    pub fn failing_trend(&self) -> f64 {
        let last = self.known.rules.trends.len() - 1;
        self.probability(|_, node| node.case.trend == last)
    }

    /// Scatter of a double run beside the legs' own errors, as a share of the speed.
    pub fn scatter(&self) -> f64 {
        self.average(|_, node| node.scatter)
    }

    /// Probability of each run, in the order of the rows, that something went wrong in it.
    pub fn bad_runs(&self) -> Vec<f64> {
        let of = |run| self.probability(|part, _| part.bad == Some(run));
        (0..self.known.rows.len()).map(of).collect()
    }

    /// How far the mean of a contrast moves where each run, in the order of the rows, is left out
    /// for bad.
    pub fn moved_without_each(&self, contrast: &Contrast) -> Vec<f64> {
        let contrast = std::slice::from_ref(contrast);
        let variance = self.known.rules.bad_run_sd.powi(2);
        let whole = moments(&self.joint(contrast)).0[0];
        let view = |node: &Node| node.view(contrast, &self.terms);
        let views: Vec<View> = self.nodes.iter().map(view).collect();
        let moved = |run: usize| {
            let without = |(node, view): (&Node, &View)| {
                let [log, step, _] = node.with_bad_run(run, variance)?;
                Some((node.log_weight + log, view.mean[0] - step * view.gain[run]))
            };
            let both = self.nodes.iter().zip(&views).filter_map(without);
            let (logs, means): (Vec<f64>, Vec<f64>) = both.unzip();
            let without: f64 = shares(&logs).1.iter().zip(&means).map(|(w, m)| w * m).sum();
            Some(without - whole)
                .filter(|moved| moved.is_finite())
                .unwrap_or(0.0)
        };
        (0..self.known.rows.len()).map(moved).collect()
    }

    fn average(&self, value: impl Fn(&Part, &Node) -> f64) -> f64 {
        let of = |part: &Part| Some(part.weight * value(part, self.nodes.get(part.node)?));
        self.parts.iter().filter_map(of).sum()
    }

    fn probability(&self, holds: impl Fn(&Part, &Node) -> bool) -> f64 {
        self.average(|part, node| if holds(part, node) { 1.0 } else { 0.0 })
    }

    /// Probability of one point of the grid.
    pub(super) fn weight_of(&self, case: Case) -> f64 {
        self.probability(|_, node| node.case == case)
    }

    /// Mean and covariance of the coefficients, over the whole mixture.
    pub(super) fn coefficients(&self) -> (DVector<f64>, DMatrix<f64>) {
        let all = self.terms.iter().map(|term| Contrast::of([(*term, 1.0)]));
        moments(&self.joint(&all.collect::<Vec<_>>()))
    }

    /// What the runs said of wind and current.
    pub fn adjustment(&self) -> Adjustment {
        let wind = self.average(|_, node| node.case.wind_share).clamp(0.0, 1.0);
        if self.known.rows.len() < 2 {
            Adjustment::None(NotAdjusted::OneRun)
        } else if self.known.logged {
            Adjustment::Logged
        } else if self.hardly_differ() {
            Adjustment::None(NotAdjusted::NoHalfDifference)
        } else if self.known.conditions.current == Some(Current::None) {
            Adjustment::StillWater
        } else if wind >= SURE {
            Adjustment::Wind { share: wind }
        } else if wind <= 1.0 - SURE {
            Adjustment::Current { share: 1.0 - wind }
        } else {
            Adjustment::Both { wind }
        }
    }

    /// The value of a contrast with its interval at the level of the rules; `None` where it is not
    /// finite.
    pub fn contrast(&self, contrast: &Contrast) -> Option<Estimate> {
        let normals = self.normals(contrast);
        let average = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
            normals.iter().map(|(w, m, s)| w * of(*m, *s)).sum()
        };
        let value = average(&|m, _| m);
        let se = average(&|m, s| s * s + (m - value).powi(2)).sqrt();
        // Thousands of tails a bound: this one errs by 1e-10 of a probability and takes a tenth of
        // the time.
        let tail = |z: f64| erfc(-z / std::f64::consts::SQRT_2) / 2.0;
        let below = |x: f64| -> f64 {
            let own = normals.iter().map(|(w, m, s)| w * tail((x - m) / s));
            own.sum()
        };
        let reach = |side: f64| {
            let ends = normals.iter().map(|(_, m, s)| side * m + 9.0 * s);
            side * ends.fold(f64::NEG_INFINITY, f64::max)
        };
        let out = (1.0 - self.known.rules.level) / 2.0;
        let bound = |p: f64, side: f64| {
            let off = |x: f64| Some(below(x) - p);
            let near = NEAR_BOUND.map(|ses| value + side * ses * se);
            let found = zero_between(off, near[0], near[1], TOLERANCE);
            found.or_else(|| zero_between(off, reach(-1.0), reach(1.0), TOLERANCE))
        };
        let (low, high, at_zero) = (bound(out, -1.0)?, bound(1.0 - out, 1.0)?, below(0.0));
        let p = (2.0 * at_zero.min(1.0 - at_zero)).clamp(0.0, 1.0);
        let numbers = [value, se, low, high, p];
        numbers.iter().all(|v| v.is_finite()).then_some(Estimate {
            value,
            se,
            low,
            high,
            p,
            few: contrast.few,
        })
    }

    /// Several contrasts with intervals that hold together with the confidence of the rules: the
    /// mean, give or take the largest deviation of any of them, in standard deviations, that the
    /// joint posterior holds. `None` where one is not finite or without error.
    pub fn together(&self, contrasts: &[Contrast]) -> Option<Vec<Estimate>> {
        let alone: Option<Vec<Estimate>> = contrasts.iter().map(|c| self.contrast(c)).collect();
        let alone = alone?;
        if alone.len() < 2 {
            return Some(alone);
        }
        if alone.iter().any(|e| e.se <= 0.0) {
            return None;
        }
        let mut largest = self.largest_deviations(contrasts, &alone);
        largest.sort_by(f64::total_cmp);
        let place = (self.known.rules.level * largest.len() as f64).ceil() as usize;
        let critical = largest.get(place.saturating_sub(1).min(largest.len().saturating_sub(1)))?;
        let estimate = |e: &Estimate| {
            let beyond = largest.partition_point(|d| *d < (e.value / e.se).abs());
            Estimate {
                // A single one may be skewed and reach farther on one side.
                low: e.low.min(e.value - critical * e.se),
                high: e.high.max(e.value + critical * e.se),
                p: 1.0 - beyond as f64 / largest.len() as f64,
                ..*e
            }
        };
        Some(alone.iter().map(estimate).collect())
    }

    /// The largest deviation of the contrasts at evenly strewn points of the joint posterior: the
    /// multiples of the roots of the primes, modulo 1 (Richtmyer 1951; Niederreiter 1978,
    /// *Bulletin of the American Mathematical Society* 84, 957-1041).
    fn largest_deviations(&self, contrasts: &[Contrast], alone: &[Estimate]) -> Vec<f64> {
        let values = vector(alone.iter().map(|e| e.value));
        let ses = vector(alone.iter().map(|e| e.se));
        let roots = primes().take(alone.len() + 1).map(f64::sqrt);
        let steps: Vec<f64> = roots.map(f64::fract).collect();
        let mut sum = 0.0;
        let part = |(weight, mean, covariance): Normals| {
            sum += weight;
            (sum, mean - &values, semidefinite_root(&covariance))
        };
        let parts: Vec<_> = self.joint(contrasts).into_iter().map(part).collect();
        let deviation = |point: usize| -> Option<f64> {
            let mut at = steps.iter().map(|s| (s * (point as f64 + 0.5)).fract());
            let chosen = at.next()?;
            let place = parts.partition_point(|part| part.0 < chosen);
            let (_, off, root) = parts.get(place).or(parts.last())?;
            let normals: Vec<f64> = at.map(normal_quantile).collect::<Option<_>>()?;
            let off = off + root * DVector::from_vec(normals);
            Some(off.component_div(&ses).amax())
        };
        (0..POINTS).filter_map(deviation).collect()
    }

    /// One contrast in each part of the mixture: weight, mean and standard deviation.
    fn normals(&self, contrast: &Contrast) -> Vec<(f64, f64, f64)> {
        let variance = self.known.rules.bad_run_sd.powi(2);
        let view = |node: &Node| {
            let wind_share = node.case.wind_share;
            let weights = contrast.weights(&self.terms, wind_share);
            let doubt = contrast.doubt * (1.0 - wind_share);
            let spread = (&weights * &node.covariance).dot(&weights) + doubt * doubt;
            let mean = weights.tr_dot(&node.mean) + contrast.constant;
            (mean, spread, weights * &node.gain)
        };
        let views: Vec<_> = self.nodes.iter().map(view).collect();
        let one = |part: &Part| {
            let (node, (mean, spread, gain)) = (self.nodes.get(part.node)?, views.get(part.node)?);
            let (mut mean, mut spread) = (*mean, *spread);
            if let Some(run) = part.bad {
                let [_, step, size] = node.with_bad_run(run, variance)?;
                let gain = gain.get(run)?;
                mean -= step * gain;
                spread += (size * gain).powi(2);
            }
            Some((part.weight, mean, spread.max(f64::MIN_POSITIVE).sqrt()))
        };
        self.parts.iter().filter_map(one).collect()
    }

    /// Several contrasts in each part of the mixture.
    fn joint(&self, contrasts: &[Contrast]) -> Vec<Normals> {
        let view = |node: &Node| node.view(contrasts, &self.terms);
        let views: Vec<View> = self.nodes.iter().map(view).collect();
        let variance = self.known.rules.bad_run_sd.powi(2);
        let one = |part: &Part| {
            let (node, view) = (self.nodes.get(part.node)?, views.get(part.node)?);
            let (mut mean, mut covariance) = (view.mean.clone(), view.covariance.clone());
            if let Some(run) = part.bad {
                let [_, step, size] = node.with_bad_run(run, variance)?;
                let gain = view.gain.column(run);
                mean.axpy(-step, &gain, 1.0);
                covariance.ger(size * size, &gain, &gain, 1.0);
            }
            Some((part.weight, mean, covariance))
        };
        self.parts.iter().filter_map(one).collect()
    }
}

/// Mean and covariance of a mixture.
fn moments(normals: &[Normals]) -> (DVector<f64>, DMatrix<f64>) {
    let mean: DVector<f64> = normals.iter().map(|(w, m, _)| *w * m).sum();
    let mut covariance: DMatrix<f64> = normals.iter().map(|(w, _, c)| *w * c).sum();
    for (weight, own, _) in normals {
        let off = own - &mean;
        covariance.ger(*weight, &off, &off, 1.0);
    }
    (mean, covariance)
}

fn primes() -> impl Iterator<Item = f64> {
    let is_prime = |n: &u32| (2..*n).all(|d| !n.is_multiple_of(d));
    (2..).filter(is_prime).map(f64::from)
}

/// Share of its own variance below which a contrast counts as a combination of those before it.
const DEPENDENT: f64 = 1e-10;

/// Lower triangle `L` with `L Lᵀ` the matrix, which may be singular: contrasts may hang together.
fn semidefinite_root(matrix: &DMatrix<f64>) -> DMatrix<f64> {
    let count = matrix.nrows();
    let mut root = DMatrix::zeros(count, count);
    for (i, j) in (0..count).flat_map(|i| (0..=i).map(move |j| (i, j))) {
        let left: f64 = matrix[(i, j)] - root.row(i).dot(&root.row(j));
        root[(i, j)] = match root[(j, j)] {
            _ if i == j && left > DEPENDENT * matrix[(i, i)] => left.sqrt(),
            pivot if i > j && pivot > 0.0 => left / pivot,
            _ => 0.0,
        };
    }
    root
}
