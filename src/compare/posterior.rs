//! The posterior of the model, and every figure as a contrast of it.

use serde::Serialize;
use statrs::function::erf::erfc;

use super::contrast::{Contrast, Term};
use super::design::{distinct, over};
use super::fit::Case;
use super::{CompareRules, Conditions, RunRow, balance};
use crate::stats::distribution::normal_quantile;
use crate::stats::roots::zero_between;
use crate::stats::triangles::dot;
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

/// A cause is named alone from this probability on (common practice, no source).
const SURE: f64 = 0.8;

/// One point of the grid.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) log_weight: f64,
    pub(super) mean: Vec<f64>,
    pub(super) covariance: Vec<Vec<f64>>,
    /// For each coefficient, how far each residual moves it.
    pub(super) gain: Vec<Vec<f64>>,
    /// The residuals, weighted by the inverse of their covariance.
    pub(super) pull: Vec<f64>,
    /// The diagonal of that inverse.
    pub(super) precision: Vec<f64>,
    pub(super) case: Case,
    pub(super) scatter: f64,
}

impl Node {
    /// Were this run bad, by a normal deviation of this variance: the logarithm of what that adds
    /// to the weight, and the shares of its residual and of its deviation that go into the
    /// coefficients.
    fn with_bad_run(&self, run: usize, variance: f64) -> Option<(f64, [f64; 2])> {
        let (pull, precision) = (self.pull.get(run)?, self.precision.get(run)?);
        let loss = 1.0 + variance * precision;
        let log = -0.5 * loss.ln() + 0.5 * variance * pull * pull / loss;
        Some((log, [variance * pull / loss, (variance / loss).sqrt()]))
    }

    /// Contrasts of it, no run being bad.
    fn view(&self, contrasts: &[Contrast], terms: &[Term]) -> View {
        let wind_share = self.case.wind_share;
        let weights: Vec<Vec<f64>> = (contrasts.iter())
            .map(|c| c.weights(terms, wind_share))
            .collect();
        let all = || contrasts.iter().zip(&weights);
        let row = |(i, (c, w)): (usize, (&Contrast, &Vec<f64>))| {
            let spread: Vec<f64> = self.covariance.iter().map(|row| dot(row, w)).collect();
            let doubt = c.doubt * (1.0 - wind_share);
            let own = |j| if i == j { doubt * doubt } else { 0.0 };
            let entry = |(j, v): (usize, &Vec<f64>)| dot(&spread, v) + own(j);
            weights.iter().enumerate().map(entry).collect()
        };
        let gain = |w: &Vec<f64>| {
            let mut sums = vec![0.0; self.pull.len()];
            for (by, weight) in self.gain.iter().zip(w).filter(|(_, w)| **w != 0.0) {
                for (sum, g) in sums.iter_mut().zip(by) {
                    *sum += weight * g;
                }
            }
            sums
        };
        View {
            mean: all()
                .map(|(c, w)| c.constant + dot(&self.mean, w))
                .collect(),
            covariance: all().enumerate().map(row).collect(),
            gain: weights.iter().map(gain).collect(),
        }
    }
}

/// Some contrasts of a node: means, covariance, and how far each residual moves each.
struct View {
    mean: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    gain: Vec<Vec<f64>>,
}

/// What the fit was given.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) rows: Vec<RunRow>,
    pub(super) terms: Vec<Term>,
    pub(super) conditions: Conditions,
    pub(super) rules: CompareRules,
    /// Whether a log tells the wind of every run.
    pub(super) logged: bool,
}

/// A normal part of the mixture.
#[derive(Debug, Clone, Copy)]
struct Part {
    weight: f64,
    node: usize,
    /// The run taken for bad, and the shares of its residual and of its deviation that go into
    /// the coefficients.
    bad: Option<(usize, [f64; 2])>,
}

/// Weight, means and covariance of some contrasts in a part of the mixture.
type Normal = (f64, Vec<f64>, Vec<Vec<f64>>);

/// The posterior: a mixture of normals.
#[derive(Debug, Clone)]
pub struct Posterior {
    pub(super) known: Known,
    parts: Vec<Part>,
    nodes: Vec<Node>,
}

/// The least probable parts of the mixture that together make this share of it are left out.
const NEGLIGIBLE: f64 = 1e-5;

/// Bounds are found to this, in logarithms of speed.
const TOLERANCE: f64 = 1e-9;

/// Points at which the joint distribution of several contrasts is taken: enough for 0.5 % of a
/// bound.
const POINTS: usize = 8192;

impl Posterior {
    pub(super) fn new(known: Known, nodes: Vec<Node>) -> Option<Self> {
        let (count, share) = (known.rows.len() as f64, known.rules.bad_run_share);
        let variance = known.rules.bad_run_sd.powi(2);
        let mut all: Vec<(f64, Part)> = Vec::new();
        for (i, node) in nodes.iter().enumerate() {
            let mut add = |log, bad| {
                let weight = 0.0;
                all.push((
                    node.log_weight + log,
                    Part {
                        weight,
                        node: i,
                        bad,
                    },
                ));
            };
            add(count * (-share).ln_1p(), None);
            let odds = (count - 1.0) * (-share).ln_1p() + share.ln();
            for run in 0..known.rows.len() {
                if let Some((log, bad)) = node.with_bad_run(run, variance) {
                    add(odds + log, Some((run, bad)));
                }
            }
        }
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        let best = all.first()?.0;
        let total: f64 = all.iter().map(|a| (a.0 - best).exp()).sum();
        let mut left = 1.0 - NEGLIGIBLE;
        let mut parts: Vec<Part> = Vec::new();
        for (log, part) in all {
            let weight = (log - best).exp() / total;
            parts.extend((left > 0.0).then_some(Part { weight, ..part }));
            left -= weight;
        }
        let kept: f64 = parts.iter().map(|part| part.weight).sum();
        for part in &mut parts {
            part.weight /= kept;
        }
        kept.is_finite().then_some(Self {
            known,
            parts,
            nodes,
        })
    }

    /// The configurations that were run, in order.
    pub fn configurations(&self) -> Vec<usize> {
        distinct(self.known.rows.iter().map(|r| r.configuration))
    }

    /// The settings that were run, in order.
    pub fn settings(&self) -> Vec<usize> {
        distinct(self.known.rows.iter().map(|r| r.setting))
    }

    /// The wind along the line behind the mean half difference, m/s, from the largest to the least
    /// that the air's share allows at two standard deviations, were it the wind's: `[low, high]`.
    /// `None` without a half difference.
    pub fn wind_behind(&self) -> Option<[f64; 2]> {
        let share = over(self.known.rows.iter(), &|r| {
            (r.half_difference / r.speed).abs()
        });
        let speed = over(self.known.rows.iter(), &|r| r.speed);
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

    /// Whether the faster direction is the one that the stated wind helps; `None` where no
    /// direction is stated.
    pub fn agrees_with_wind(&self) -> Option<bool> {
        let rows: Vec<&RunRow> = self.known.rows.iter().collect();
        Some(super::drift::agreement(&rows, &self.known.conditions, &self.known.rules)? >= 0.5)
    }

    /// Probability that the conditions had the large trend of a failing battery.
    pub fn failing_trend(&self) -> f64 {
        let last = self.known.rules.trends.len() - 1;
        self.share(|_, node| f64::from(u8::from(node.case.trend == last)))
    }

    /// Scatter of a double run beside the legs' own errors, as a share of the speed.
    pub fn scatter(&self) -> f64 {
        self.share(|_, node| node.scatter)
    }

    /// Probability of each run, in the order of the rows, that something went wrong in it.
    pub fn bad_runs(&self) -> Vec<f64> {
        let is = |part: &Part, run| part.bad.is_some_and(|b| b.0 == run);
        let of = |run| self.share(|part, _| f64::from(u8::from(is(part, run))));
        (0..self.known.rows.len()).map(of).collect()
    }

    /// How far the mean of a contrast moves where this run, by its place among the rows, is left
    /// out for bad; 0 for one that is not there.
    pub fn moved_without(&self, run: usize, contrast: &Contrast) -> f64 {
        let variance = self.known.rules.bad_run_sd.powi(2);
        let value = |node: &Node| {
            let (log, [step, _]) = node.with_bad_run(run, variance)?;
            let weights = contrast.weights(&self.known.terms, node.case.wind_share);
            let gain = node.gain.iter().map(|g| step * g.get(run).unwrap_or(&0.0));
            let means = node.mean.iter().zip(gain).map(|(mean, by)| mean - by);
            let mean = means.zip(&weights).map(|(m, w)| m * w).sum::<f64>();
            Some((node.log_weight + log, mean + contrast.constant))
        };
        let all: Vec<(f64, f64)> = self.nodes.iter().filter_map(value).collect();
        let best = all.iter().map(|a| a.0).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = all.iter().map(|a| (a.0 - best).exp()).sum();
        let sum: f64 = all.iter().map(|a| (a.0 - best).exp() * a.1).sum();
        let [mean, _] = moments(&self.normals(contrast));
        let moved = sum / total - mean;
        if moved.is_finite() { moved } else { 0.0 }
    }

    fn share(&self, value: impl Fn(&Part, &Node) -> f64) -> f64 {
        let of = |part: &Part| Some(part.weight * value(part, self.nodes.get(part.node)?));
        self.parts.iter().filter_map(of).sum()
    }

    /// Probability of one point of the grid.
    pub(super) fn weight_of(&self, number: usize) -> f64 {
        self.share(|_, node| f64::from(u8::from(node.case.number == number)))
    }

    /// Mean and covariance of the coefficients, over the whole mixture.
    pub(super) fn coefficients(&self) -> (Vec<f64>, Vec<Vec<f64>>) {
        let all: Vec<Contrast> = self
            .known
            .terms
            .iter()
            .copied()
            .map(Contrast::from)
            .collect();
        let parts = self.joint(&all);
        let mut mean = vec![0.0; all.len()];
        for (weight, own, _) in &parts {
            for (sum, m) in mean.iter_mut().zip(own) {
                *sum += weight * m;
            }
        }
        let mut covariance = vec![vec![0.0; all.len()]; all.len()];
        for (weight, own, within) in &parts {
            let off: Vec<f64> = own.iter().zip(&mean).map(|(m, all)| m - all).collect();
            for ((sums, row), a) in covariance.iter_mut().zip(within).zip(&off) {
                for ((sum, w), b) in sums.iter_mut().zip(row).zip(&off) {
                    *sum += weight * (w + a * b);
                }
            }
        }
        (mean, covariance)
    }

    /// Whether the two directions of every run differ by less than runs of the same thing do.
    fn hardly_differ(&self) -> bool {
        let share = |r: &RunRow| (r.half_difference / r.speed).abs();
        self.known.rows.iter().all(|r| share(r) < self.scatter())
    }

    /// What the runs said of wind and current.
    pub fn adjustment(&self) -> Adjustment {
        let wind = self.share(|_, node| node.case.wind_share).clamp(0.0, 1.0);
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
        let [value, se] = moments(&normals);
        // Thousands of tails a bound: this one errs by 1e-10 of a probability and takes a tenth of
        // the time.
        let tail = |z: f64| erfc(-z / std::f64::consts::SQRT_2) / 2.0;
        let below = |x: f64| {
            Some(
                normals
                    .iter()
                    .map(|(w, m, s)| w * tail((x - m) / s))
                    .sum::<f64>(),
            )
        };
        let reach = |side: f64| {
            let ends = normals.iter().map(|(_, m, s)| side * m + 9.0 * s);
            side * ends.fold(f64::NEG_INFINITY, f64::max)
        };
        let bound =
            |p: f64| zero_between(|x| Some(below(x)? - p), reach(-1.0), reach(1.0), TOLERANCE);
        let out = (1.0 - self.known.rules.level) / 2.0;
        let (low, high, at_zero) = (bound(out)?, bound(1.0 - out)?, below(0.0)?);
        let p = (2.0 * at_zero.min(1.0 - at_zero)).clamp(0.0, 1.0);
        [value, se, low, high, p]
            .iter()
            .all(|v| v.is_finite())
            .then_some(Estimate {
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
        let alone: Vec<Estimate> = contrasts
            .iter()
            .map(|c| self.contrast(c))
            .collect::<Option<_>>()?;
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
            let (low, high) = (e.value - critical * e.se, e.value + critical * e.se);
            // A single one may be skewed and reach farther on one side.
            let (low, high) = (low.min(e.low), high.max(e.high));
            let p = 1.0 - beyond as f64 / largest.len() as f64;
            Estimate { low, high, p, ..*e }
        };
        Some(alone.iter().map(estimate).collect())
    }

    /// The largest deviation of the contrasts at evenly strewn points of the joint posterior: the
    /// multiples of the roots of the primes, modulo 1 (Richtmyer 1951; Niederreiter 1978,
    /// *Bulletin of the American Mathematical Society* 84, 957-1041).
    fn largest_deviations(&self, contrasts: &[Contrast], alone: &[Estimate]) -> Vec<f64> {
        let steps: Vec<f64> = primes()
            .take(contrasts.len() + 1)
            .map(|p| p.sqrt().fract())
            .collect();
        let mut sum = 0.0;
        let mut ends = Vec::new();
        let mut joint = Vec::new();
        for (weight, mean, covariance) in self.joint(contrasts) {
            sum += weight;
            ends.push(sum);
            joint.push((mean, semidefinite_root(&covariance)));
        }
        let deviation = |point: usize| -> Option<f64> {
            let mut at = steps.iter().map(|s| (s * (point as f64 + 0.5)).fract());
            let chosen = at.next()?;
            let place = ends
                .partition_point(|e| *e < chosen)
                .min(ends.len().checked_sub(1)?);
            let normals: Vec<f64> = at.map(normal_quantile).collect::<Option<_>>()?;
            let (means, root) = joint.get(place)?;
            let off = |((mean, row), e): ((&f64, &Vec<f64>), &Estimate)| {
                ((mean + dot(row, &normals) - e.value) / e.se).abs()
            };
            Some(
                means
                    .iter()
                    .zip(root)
                    .zip(alone)
                    .map(off)
                    .fold(0.0, f64::max),
            )
        };
        (0..POINTS).filter_map(deviation).collect()
    }

    /// Several contrasts in each part of the mixture.
    fn joint(&self, contrasts: &[Contrast]) -> Vec<Normal> {
        let view = |node: &Node| node.view(contrasts, &self.known.terms);
        let views: Vec<View> = self.nodes.iter().map(view).collect();
        let one = |part: &Part| {
            let view = views.get(part.node)?;
            let (run, [step, size]) = part.bad.unwrap_or((0, [0.0, 0.0]));
            let gain: Vec<f64> = (view.gain.iter())
                .map(|g| g.get(run).copied().unwrap_or(0.0))
                .collect();
            let mean = view.mean.iter().zip(&gain).map(|(m, g)| m - step * g);
            let row = |(own, a): (&Vec<f64>, &f64)| {
                let entry = |(c, b): (&f64, &f64)| c + size * size * a * b;
                own.iter().zip(&gain).map(entry).collect()
            };
            let covariance = view.covariance.iter().zip(&gain).map(row).collect();
            Some((part.weight, mean.collect(), covariance))
        };
        self.parts.iter().filter_map(one).collect()
    }

    /// Weight, mean and standard deviation of the contrast in each part of the mixture.
    fn normals(&self, contrast: &Contrast) -> Vec<(f64, f64, f64)> {
        let one = |(weight, mean, covariance): Normal| {
            let variance = covariance.first()?.first()?.max(f64::MIN_POSITIVE);
            Some((weight, *mean.first()?, variance.sqrt()))
        };
        let joint = self.joint(std::slice::from_ref(contrast));
        joint.into_iter().filter_map(one).collect()
    }
}

/// Mean and standard deviation of a mixture.
fn moments(normals: &[(f64, f64, f64)]) -> [f64; 2] {
    let mean: f64 = normals.iter().map(|(w, m, _)| w * m).sum();
    let variance: f64 = normals
        .iter()
        .map(|(w, m, s)| w * (s * s + (m - mean).powi(2)))
        .sum();
    [mean, variance.sqrt()]
}

fn primes() -> impl Iterator<Item = f64> {
    let is_prime = |n: &u32| {
        (2..*n)
            .take_while(|d| d * d <= *n)
            .all(|d| !n.is_multiple_of(d))
    };
    (2..).filter(is_prime).map(f64::from)
}

/// Share of its own variance below which a contrast counts as a combination of those before it.
const DEPENDENT: f64 = 1e-10;

/// Lower triangle `L` with `L Lᵀ` the matrix, which may be singular: contrasts may hang together.
fn semidefinite_root(matrix: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let mut root: Vec<Vec<f64>> = Vec::new();
    for (i, row) in matrix.iter().enumerate() {
        let mut own: Vec<f64> = Vec::new();
        for (above, value) in root.iter().zip(row) {
            let pivot = above.last().copied().unwrap_or(0.0);
            let left = value - dot(&own, above);
            own.push(if pivot > 0.0 { left / pivot } else { 0.0 });
        }
        let variance = row.get(i).copied().unwrap_or(0.0);
        let left = variance - dot(&own, &own);
        own.push(if left > DEPENDENT * variance {
            left.sqrt()
        } else {
            0.0
        });
        root.push(own);
    }
    root
}
