//! The comparison where a current may run beside the wind.
//!
//! A current carries the boat alike at every setting and changes as tides do, slowly; a wind moves a slow boat more
//! than a fast one, and lowers the mean of both directions besides. So both are fitted together: the two speeds of
//! every double run by the balance of [`crate::trial::balance`] with one drive to each cell, one windage, a wind along
//! the line that grows or falls as a share of itself with a slow swell upon it, and a current along the line that is
//! steady in part and in part the lunar tide's. What is assumed of each before the runs are seen is in
//! [`BesideRules`]; the fit is the most probable one under these and its errors are those of the curvature there
//! (Laplace's approximation: Tierney & Kadane 1986, *Journal of the American Statistical Association* 81, 82-86). The
//! wind may blow from either end of the line, and both are averaged by how probable the runs make them. The same
//! without a current, set against it, tells how probable a current is (Kass & Raftery 1995, same journal 90, 773-795).

use std::f64::consts::TAU;

use serde::Serialize;

use super::{GaugeRules, GaugedRun, cells_of, degrees, own_scatter, settings_of};
use crate::stats::interval::{Estimate, JUDGED_DF};
use crate::stats::nonlinear::{NonlinearFit, least_squares_to};
use crate::stats::summary::mean;
use crate::trial::balance::speed_along;
use crate::trial::compare::weight_of;

/// What is assumed of a wind and a current that run together, before the runs are seen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BesideRules {
    /// Wind along the line where nobody told it, m/s: a gentle breeze, Beaufort 3 (3.4-5.4 m/s), in which trials are run.
    pub wind_m_s: f64,
    /// How far it may be off, as a standard deviation of its logarithm: from 2 to 10 m/s.
    pub wind_log_sd: f64,
    /// The same where the person or a log told it: for the angle off the line and the eye (our own estimate; no source).
    pub stated_log_sd: f64,
    /// How much the wind grows or falls over half of the trial, as a standard deviation of its logarithm: by half
    /// (common practice, no source).
    pub growth_log_sd: f64,
    /// Current along the line, steady part and either part of the tide, m/s, as a standard deviation: half a knot is
    /// usual on tidal waters that small boats use (common practice, no source).
    pub current_m_s: f64,
    /// Slow swell of the wind as a share of it, and the time over which it forgets itself, s (our own estimate, as
    /// for the outings of the rehearsal; no source).
    pub swell_share: f64,
    /// See [`Self::swell_share`].
    pub swell_time_s: f64,
    /// So many half differences tell as much as one by itself would, for gusts last from one run to the next.
    pub told_by_one: f64,
    /// Most double runs, for the fit's time grows with their cube.
    pub most_runs: usize,
    /// All of them run within this angle of one line, degrees, for a wind has another part along another line.
    pub one_line_deg: f64,
}

impl Default for BesideRules {
    fn default() -> Self {
        Self {
            wind_m_s: 4.4,
            wind_log_sd: 0.4,
            stated_log_sd: 0.3,
            growth_log_sd: 0.4,
            current_m_s: 0.3,
            swell_share: 0.08,
            swell_time_s: 900.0,
            told_by_one: 2.0,
            most_runs: 60,
            one_line_deg: 15.0,
        }
    }
}

/// Period of the principal lunar tide, s (M2, 12.4206 h; Doodson's constituent, from memory).
const LUNAR_TIDE_S: f64 = 44_714.0;

/// A double run and when its legs were run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimedRun {
    /// The run.
    pub run: GaugedRun,
    /// Middle of the leg along the axis, s.
    pub along_at: f64,
    /// Middle of the leg against it, s.
    pub against_at: f64,
}

impl TimedRun {
    fn middle(&self) -> f64 {
        f64::midpoint(self.along_at, self.against_at)
    }
}

/// What is known of the wind beforehand.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct KnownWind {
    /// Its speed along the line, m/s; `None` where nobody told it.
    pub along_m_s: Option<f64>,
    /// Whether it blew from the end that the axis of the line points at (`true`) or from the other;
    /// `None` where that is not known or it blew across.
    pub from_ahead: Option<bool>,
}

/// The comparisons with wind and current taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// Every configuration against the first, at each setting and over all, in the middle wind.
    pub changes: Vec<BesideChange>,
    /// Windage found.
    pub windage: f64,
    /// Standard deviation of its logarithm.
    pub windage_log_sd: f64,
    /// Wind along the line in the middle of the trial, m/s.
    pub wind: f64,
    /// Natural logarithm of the wind's growth from the beginning of the trial to its end, with its standard deviation.
    pub growth_log: [f64; 2],
    /// Probability that the wind came from the end that the axis points at, `[0, 1]`.
    pub from_ahead: f64,
    /// Log odds that the runs give for wind alone against a wind with a current, `[-8, 8]`.
    pub odds_of_wind_alone: f64,
}

/// One comparison with wind and current taken apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BesideChange {
    /// The configuration compared with the first.
    pub changed: usize,
    /// The setting; `None` for all.
    pub setting: Option<usize>,
    /// Geometric mean speeds of baseline and changed in the middle wind and no current, m/s; `None` when pooled.
    pub speeds: Option<[f64; 2]>,
    /// Difference of the mean logarithms, with its interval.
    pub log_estimate: Estimate,
    /// The part of its standard error that is left of wind and current.
    pub doubt: f64,
}

/// Compares every configuration with the first with the wind and a current along the line fitted together.
///
/// The runs in order of time. `None` where they are fewer than the gauge asks for or more than the rules allow, where
/// they were run on several lines, or where the fit finds no end.
pub fn beside(
    runs: &[TimedRun],
    known: KnownWind,
    level: f64,
    gauge: &GaugeRules,
    rules: &BesideRules,
) -> Option<Beside> {
    let own: Vec<GaugedRun> = runs.iter().map(|timed| timed.run).collect();
    let first = own.first()?;
    let one_line = own.iter().all(|run| {
        let off = run.axis.apart(first.axis);
        off.min(180.0 - off) <= rules.one_line_deg
    });
    if own.len() < gauge.fewest_runs
        || own.len() > rules.most_runs
        || degrees(&own) < 1.0
        || !one_line
    {
        return None;
    }
    let ends: &[f64] = match known.from_ahead {
        Some(true) => &[1.0],
        Some(false) => &[-1.0],
        None => &[1.0, -1.0],
    };
    let fits = |with_current: bool, ends: &[f64]| -> Vec<Fitted> {
        ends.iter()
            .filter_map(|end| {
                Model::new(runs, &own, *end, with_current, known, gauge, rules)?.fitted(rules)
            })
            .collect()
    };
    let flowing = fits(true, ends);
    // Without a current the boat is slower towards the wind, and from the other end no wind explains the runs.
    let usual: f64 = own.iter().map(GaugedRun::half_difference).sum();
    let slower_towards = if usual > 0.0 { -1.0 } else { 1.0 };
    let likely: Vec<f64> = (ends.iter().copied())
        .filter(|end| ends.len() == 1 || *end * slower_towards > 0.0)
        .collect();
    let still = fits(false, &likely);
    let weights = weights(&flowing, rules)?;
    let average = |value: &dyn Fn(&Fitted) -> f64| -> f64 {
        flowing
            .iter()
            .zip(&weights)
            .map(|(f, w)| w * value(f))
            .sum()
    };
    let log_windage = average(&|f| f.log_windage.0);
    let growth = average(&|f| f.growth.0);
    let spread_of = |value: &dyn Fn(&Fitted) -> (f64, f64), centre: f64| -> f64 {
        average(&|f| {
            let (v, sd) = value(f);
            sd * sd + (v - centre).powi(2)
        })
        .sqrt()
    };
    Some(Beside {
        changes: changes(&own, &flowing, &weights, level),
        windage: log_windage.exp(),
        windage_log_sd: spread_of(&|f| f.log_windage, log_windage),
        wind: average(&|f| f.log_wind).exp(),
        growth_log: [growth, spread_of(&|f| f.growth, growth)],
        from_ahead: average(&|f| f64::from(u8::from(f.end > 0.0))),
        odds_of_wind_alone: (evidence(&still, rules) - evidence(&flowing, rules))
            .clamp(-MOST_ODDS, MOST_ODDS),
    })
}

/// Log odds beyond these would claim to know the balance better than anybody does.
const MOST_ODDS: f64 = 8.0;

/// How probable each fit is; they sum to 1.
fn weights(fits: &[Fitted], rules: &BesideRules) -> Option<Vec<f64>> {
    let all = evidence(fits, rules);
    let each = |f: &Fitted| (-f.misfit / rules.told_by_one - all).exp();
    all.is_finite().then(|| fits.iter().map(each).collect())
}

/// Logarithm of how probable the runs are under all of these, but for a constant.
fn evidence(fits: &[Fitted], rules: &BesideRules) -> f64 {
    let each = fits.iter().map(|f| -f.misfit / rules.told_by_one);
    let best = each.clone().fold(f64::NEG_INFINITY, f64::max);
    if best.is_finite() {
        best + each.map(|e| (e - best).exp()).sum::<f64>().ln()
    } else {
        f64::NEG_INFINITY
    }
}

/// Every comparison, averaged over the ends the wind may have come from.
fn changes(runs: &[GaugedRun], fits: &[Fitted], weights: &[f64], level: f64) -> Vec<BesideChange> {
    let cells = cells_of(runs);
    let df = degrees(runs) + 1.0;
    let settings = settings_of(runs);
    let last = runs.iter().map(|run| run.configuration).max().unwrap_or(0);
    let asked = (1..=last).flat_map(|changed| {
        let single = settings.iter().map(move |s| (changed, Some(*s)));
        single.chain([(changed, None)]).collect::<Vec<_>>()
    });
    asked
        .filter_map(|(changed, setting)| {
            let contrast = Contrast::of(runs, &cells, changed, setting)?;
            let found: Vec<(f64, f64)> = fits
                .iter()
                .map(|f| f.contrast(&contrast))
                .collect::<Option<_>>()?;
            let value: f64 = found.iter().zip(weights).map(|((v, _), w)| w * v).sum();
            let spread = |(v, variance): &(f64, f64)| variance + (v - value).powi(2);
            let all: f64 = found.iter().zip(weights).map(|(f, w)| w * spread(f)).sum();
            let noise: f64 = fits
                .iter()
                .zip(weights)
                .map(|(f, w)| w * f.scatter.powi(2) / contrast.weight)
                .sum();
            // The assumptions hold the drives of a cell together too, so noise may be counted twice.
            let noise = noise.min(all);
            let doubt = (all - noise).sqrt();
            let baseline = fits
                .iter()
                .zip(weights)
                .map(|(f, w)| Some(w * f.log_mean(contrast.pairs.first()?.baseline)?))
                .sum::<Option<f64>>();
            Some(BesideChange {
                changed,
                setting,
                speeds: setting
                    .and(baseline)
                    .map(|log| [log.exp(), (log + value).exp()]),
                log_estimate: Estimate::new(value, noise.sqrt(), df, level)?
                    .with_doubt(doubt, JUDGED_DF, level)?,
                doubt,
            })
        })
        .collect()
}

/// Which cells a comparison sets against each other, and how they weigh.
struct Contrast {
    pairs: Vec<CellPair>,
    /// The inverse of the comparison's variance in units of the scatter's.
    weight: f64,
}

struct CellPair {
    baseline: usize,
    changed: usize,
    /// Of 1.
    share: f64,
}

impl Contrast {
    fn of(
        runs: &[GaugedRun],
        cells: &[(usize, usize)],
        changed: usize,
        setting: Option<usize>,
    ) -> Option<Self> {
        let place = |cell: (usize, usize)| cells.iter().position(|c| *c == cell);
        let count = |cell: (usize, usize)| {
            let own = runs.iter().map(|run| (run.configuration, run.setting));
            own.filter(|c| *c == cell).count()
        };
        let asked = settings_of(runs)
            .into_iter()
            .filter(|s| setting.is_none_or(|one| one == *s));
        let mut pairs: Vec<CellPair> = asked
            .filter_map(|s| {
                let (first, second) = ((0, s), (changed, s));
                Some(CellPair {
                    baseline: place(first)?,
                    changed: place(second)?,
                    share: weight_of([count(first), count(second)]),
                })
            })
            .collect();
        let weight: f64 = pairs.iter().map(|p| p.share).sum();
        for pair in &mut pairs {
            pair.share /= weight;
        }
        (weight > 0.0).then_some(Self { pairs, weight })
    }
}

/// Wind and current along one line, the wind from one of its ends.
struct Model<'a> {
    runs: &'a [TimedRun],
    /// The cell of each run, and how many cells there are.
    cell_of: Vec<usize>,
    cells: usize,
    /// 1 where the wind blows from ahead of the axis, -1 from the other end.
    end: f64,
    with_current: bool,
    /// When each run was, from -1 to about 1 over the trial.
    times: Vec<f64>,
    /// Cosine and sine of the tide's phase in the middle of the legs along and against the axis.
    tides: Vec<[(f64, f64); 2]>,
    /// What is left of the swell from the run before.
    kept: Vec<f64>,
    /// Middle and standard deviation assumed of each number after the drives and before the swell.
    assumed: Vec<(f64, f64)>,
    swell_share: f64,
    /// Standard error of one run from its own legs, as a share of its speed.
    own: f64,
    /// Scatter of the runs within their cells, the same.
    scatter: f64,
}

/// Places of the numbers of the wind and the current behind the drives.
const WINDAGE: usize = 0;
const WIND: usize = 1;
const GROWTH: usize = 2;
const CURRENT: usize = 3;

/// Sizes of the errors, as shares of the speed.
#[derive(Clone, Copy)]
struct Errors {
    mean: f64,
    half: f64,
}

impl<'a> Model<'a> {
    fn new(
        runs: &'a [TimedRun],
        own: &[GaugedRun],
        end: f64,
        with_current: bool,
        known: KnownWind,
        gauge: &GaugeRules,
        rules: &BesideRules,
    ) -> Option<Self> {
        let cells = cells_of(own);
        let cell_of = own
            .iter()
            .map(|run| {
                cells
                    .iter()
                    .position(|c| *c == (run.configuration, run.setting))
            })
            .collect::<Option<_>>()?;
        let middles: Vec<f64> = runs.iter().map(TimedRun::middle).collect();
        let centre = mean(&middles)?;
        let (first, last) = (middles.first()?, middles.last()?);
        let half_span = (last - first) / 2.0;
        if half_span <= 0.0 {
            return None;
        }
        let phase = |at: f64| {
            let (sin, cos) = (TAU * (at - centre) / LUNAR_TIDE_S).sin_cos();
            (cos, sin)
        };
        let kept = middles
            .windows(2)
            .map(|pair| (-(pair[1] - pair[0]).abs() / rules.swell_time_s).exp());
        let logs: Vec<f64> = own.iter().map(|run| run.mean().ln()).collect();
        let least = own_scatter(own).unwrap_or(0.0).max(LEAST_SCATTER);
        let wind = (known.along_m_s).map_or((rules.wind_m_s, rules.wind_log_sd), |told| {
            (told, rules.stated_log_sd)
        });
        let mut assumed = vec![
            (gauge.windage.ln(), gauge.windage_log_sd),
            (wind.0.max(LEAST_WIND).ln(), wind.1),
            (0.0, rules.growth_log_sd),
        ];
        if with_current {
            assumed.extend([(0.0, rules.current_m_s); 3]);
        }
        Some(Self {
            runs,
            cells: cells.len(),
            cell_of,
            end,
            with_current,
            times: middles.iter().map(|t| (t - centre) / half_span).collect(),
            tides: runs
                .iter()
                .map(|run| [phase(run.along_at), phase(run.against_at)])
                .collect(),
            kept: std::iter::once(0.0).chain(kept).collect(),
            assumed,
            swell_share: rules.swell_share,
            own: least,
            scatter: (super::tried::within(own, &logs) / (degrees(own) + 1.0))
                .sqrt()
                .max(least),
        })
    }

    /// The number at a place behind the drives; those are given in standard deviations off what is assumed.
    fn number(&self, parameters: &[f64], place: usize) -> Option<f64> {
        let (middle, sd) = self.assumed.get(place)?;
        Some(middle + sd * parameters.get(self.cells + place)?)
    }

    /// Speeds along the axis and against it that the model gives each run, m/s.
    fn speeds(&self, parameters: &[f64]) -> Option<Vec<(f64, f64)>> {
        let ratio = self.number(parameters, WINDAGE)?.exp();
        let log_wind = self.number(parameters, WIND)?;
        let growth = self.number(parameters, GROWTH)?;
        let swells = parameters.get(self.cells + self.assumed.len()..)?;
        let current = if self.with_current {
            let part = |place| self.number(parameters, CURRENT + place);
            [part(0)?, part(1)?, part(2)?]
        } else {
            [0.0; 3]
        };
        let flow = |(cos, sin): (f64, f64)| current[0] + current[1] * cos + current[2] * sin;
        let mut swell = 0.0;
        let mut out = Vec::with_capacity(self.runs.len());
        for (place, cell) in self.cell_of.iter().enumerate() {
            let kept = self.kept.get(place)?;
            swell =
                kept * swell + self.swell_share * (1.0 - kept * kept).sqrt() * swells.get(place)?;
            let drive = parameters.get(*cell)?.exp();
            let wind = (log_wind + growth * self.times.get(place)? + swell).exp();
            let [along_tide, against_tide] = self.tides.get(place)?;
            let along = speed_along(ratio, drive, wind, self.end)? + flow(*along_tide);
            let against = speed_along(ratio, drive, wind, -self.end)? - flow(*against_tide);
            (along + against > 0.0).then_some(())?;
            out.push((along, against));
        }
        Some(out)
    }

    /// Means, half differences and what was assumed, each by how far the model is off in its error.
    fn residuals(&self, parameters: &[f64], errors: Errors) -> Option<Vec<f64>> {
        let speeds = self.speeds(parameters)?;
        let of = |timed: &TimedRun| (timed.run.mean(), timed.run.half_difference());
        let means = self.runs.iter().zip(&speeds).map(|(run, (a, b))| {
            let (mean, _) = of(run);
            (f64::midpoint(*a, *b) / mean).ln() / errors.mean
        });
        let halves = self.runs.iter().zip(&speeds).map(|(run, (a, b))| {
            let (mean, half) = of(run);
            ((a - b) / 2.0 - half) / (errors.half * mean)
        });
        let assumed = parameters.get(self.cells..)?.iter().copied();
        Some(means.chain(halves).chain(assumed).collect())
    }

    /// The most probable numbers. The errors are found on the way: twice from what the fit leaves.
    fn fitted(self, rules: &BesideRules) -> Option<Fitted> {
        let count = self.runs.len();
        let mut start = self.start();
        // Half differences feel gusts more than means do; the first round finds by how much.
        let mut errors = Errors {
            mean: self.scatter,
            half: FIRST_HALVES * self.scatter,
        };
        let mut fit = None;
        for round in 0..ROUNDS {
            let found = least_squares_to(ENOUGH, &start, |p| self.residuals(p, errors))?;
            start.clone_from(&found.parameters);
            let size = |from: usize| -> Option<f64> {
                let left = found.linear.residuals.get(from..from + count)?;
                let leverages = found.linear.leverages.get(from..from + count)?;
                let squares: f64 = left.iter().map(|r| r * r).sum();
                let free = count as f64 - leverages.iter().sum::<f64>();
                Some((squares / free.max(1.0)).sqrt())
            };
            let found_errors = Errors {
                mean: (errors.mean * size(0)?).max(self.own),
                half: (errors.half * size(count)?).max(self.own),
            };
            fit = Some((found, errors, found_errors));
            if round + 1 < ROUNDS {
                errors = Errors {
                    mean: found_errors.mean,
                    half: found_errors.half * rules.told_by_one.sqrt(),
                };
            }
        }
        let (fit, used, found) = fit?;
        self.finish(fit, used, found)
    }

    /// The drives that would give each cell's mean in the assumed wind, everything else as assumed, and a current
    /// that makes up for the rest of the half differences.
    fn start(&self) -> Vec<f64> {
        let cells = (0..self.cells).map(|cell| {
            let own = self.runs.iter().zip(&self.cell_of);
            let logs: Vec<f64> = own
                .filter(|(_, c)| **c == cell)
                .map(|(run, _)| run.run.mean().ln())
                .collect();
            mean(&logs).unwrap_or(0.0) + FIRST_LOSS
        });
        let others = std::iter::repeat_n(0.0, self.assumed.len() + self.runs.len());
        let mut start: Vec<f64> = cells.chain(others).collect();
        let halves: Option<Vec<f64>> = self.speeds(&start).map(|speeds| {
            let left = |(run, (along, against)): (&TimedRun, &(f64, f64))| {
                run.run.half_difference() - (along - against) / 2.0
            };
            self.runs.iter().zip(&speeds).map(left).collect()
        });
        let left = halves.and_then(|halves| mean(&halves)).unwrap_or(0.0);
        let steady = self.assumed.get(CURRENT).map(|(_, sd)| left / sd);
        if let Some((place, steady)) = start.get_mut(self.cells + CURRENT).zip(steady) {
            *place = steady;
        }
        start
    }

    fn finish(self, fit: NonlinearFit, used: Errors, found: Errors) -> Option<Fitted> {
        let covariance = &fit.linear.unscaled_covariance;
        let number = |place: usize| -> Option<(f64, f64)> {
            let at = self.cells + place;
            let variance = covariance.get(at)?.get(at)?;
            let (_, sd) = self.assumed.get(place)?;
            Some((self.number(&fit.parameters, place)?, sd * variance.sqrt()))
        };
        let count = self.runs.len() as f64;
        // What was assumed stands in units of itself, so its own size is in the determinant already.
        let misfit = fit.linear.residual_squares / 2.0
            + count * (used.mean.ln() + used.half.ln())
            + fit.linear.log_determinant / 2.0;
        let growth = number(GROWTH)?;
        let span = self.times.last()? - self.times.first()?;
        misfit.is_finite().then_some(Fitted {
            end: self.end,
            misfit,
            scatter: found.mean,
            log_windage: number(WINDAGE)?,
            log_wind: self.number(&fit.parameters, WIND)?,
            wind_sd: self.assumed.get(WIND)?.1,
            windage_sd: self.assumed.get(WINDAGE)?.1,
            growth: (growth.0 * span, growth.1 * span),
            cells: self.cells,
            fit,
        })
    }
}

/// Errors of the half differences before the runs are fitted, in those of the means.
const FIRST_HALVES: f64 = 1.5;
/// By how much of itself a usual wind lowers the mean of a boat at 2 m/s.
const FIRST_LOSS: f64 = 0.01;
/// Fits, the first two of which find the errors.
const ROUNDS: usize = 3;
/// Share of the sum of squares below which a step of the fit is its last.
const ENOUGH: f64 = 1e-6;
/// Scatter below which speeds are not known, as a share: a hundredth of a per cent.
const LEAST_SCATTER: f64 = 1e-4;
/// A wind that was told to be none is this much, m/s: Beaufort's calm is below 0.3 (WMO-No. 306, code table 1100).
const LEAST_WIND: f64 = 0.3;

/// The model at its most probable numbers.
struct Fitted {
    end: f64,
    /// Minus the logarithm of how probable the runs are, but for a constant.
    misfit: f64,
    /// Scatter of one run's mean that is left, as a share.
    scatter: f64,
    /// Value and standard deviation.
    log_windage: (f64, f64),
    log_wind: f64,
    wind_sd: f64,
    windage_sd: f64,
    growth: (f64, f64),
    cells: usize,
    fit: NonlinearFit,
}

impl Fitted {
    /// Logarithm of the mean of both directions of a cell in the middle wind and no current.
    fn log_mean(&self, cell: usize) -> Option<f64> {
        let drive = self.fit.parameters.get(cell)?;
        mean_in_wind(*drive, self.log_windage.0, self.log_wind)
    }

    /// A comparison, and its variance.
    fn contrast(&self, contrast: &Contrast) -> Option<(f64, f64)> {
        let value = |moved: Option<(usize, f64)>| -> Option<f64> {
            let by = |place: usize| moved.filter(|(p, _)| *p == place).map_or(0.0, |(_, b)| b);
            let windage = self.log_windage.0 + by(self.cells + WINDAGE) * self.windage_sd;
            let wind = self.log_wind + by(self.cells + WIND) * self.wind_sd;
            let log = |cell: usize| {
                mean_in_wind(self.fit.parameters.get(cell)? + by(cell), windage, wind)
            };
            let each =
                |pair: &CellPair| Some(pair.share * (log(pair.changed)? - log(pair.baseline)?));
            contrast.pairs.iter().map(each).sum()
        };
        let slopes: Vec<f64> = (0..self.cells + 2)
            .map(|place| {
                let up = value(Some((place, SLOPE_STEP)))?;
                let down = value(Some((place, -SLOPE_STEP)))?;
                Some((up - down) / (2.0 * SLOPE_STEP))
            })
            .collect::<Option<_>>()?;
        let covariance = self.fit.linear.unscaled_covariance.iter();
        let variance: f64 = slopes
            .iter()
            .zip(covariance)
            .map(|(s, row)| s * row.iter().zip(&slopes).map(|(c, t)| c * t).sum::<f64>())
            .sum();
        Some((value(None)?, variance.max(0.0)))
    }
}

/// Step of the slopes: a hundredth of a per cent of a speed.
const SLOPE_STEP: f64 = 1e-4;

fn mean_in_wind(log_drive: f64, log_windage: f64, log_wind: f64) -> Option<f64> {
    let speed = |towards| speed_along(log_windage.exp(), log_drive.exp(), log_wind.exp(), towards);
    let mean = f64::midpoint(speed(1.0)?, speed(-1.0)?);
    (mean > 0.0).then(|| mean.ln())
}
