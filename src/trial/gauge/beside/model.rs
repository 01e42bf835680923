//! One wind along the line, one current, one windage and a drive to each cell: the most probable numbers.

use std::f64::consts::TAU;

use super::{BesideRules, CellPair, Contrast, KnownWind, TimedRun};
use crate::stats::nonlinear::{NonlinearFit, least_squares_to};
use crate::stats::summary::mean;
use crate::trial::balance::speed_along;
use crate::trial::gauge::tried::within;
use crate::trial::gauge::{GaugeRules, GaugedRun, cells_of, degrees, own_scatter};

/// Period of the principal lunar tide, s (M2, 12.4206 h; Doodson's constituent, from memory).
const LUNAR_TIDE_S: f64 = 44_714.0;

/// Wind and current along one line, the wind from one of its ends.
pub(super) struct Model<'a> {
    runs: &'a [TimedRun],
    /// The cell of each run, and how many cells there are.
    cell_of: Vec<usize>,
    cells: usize,
    /// 1 where the wind blows from ahead of the axis, -1 from the other end.
    end: f64,
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
    pub(super) fn new(
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
            times: middles.iter().map(|t| (t - centre) / half_span).collect(),
            tides: runs
                .iter()
                .map(|run| [phase(run.along_at), phase(run.against_at)])
                .collect(),
            kept: std::iter::once(0.0).chain(kept).collect(),
            assumed,
            swell_share: rules.swell_share,
            own: least,
            scatter: (within(own, &logs) / (degrees(own) + 1.0))
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
        // The model without a current has no numbers there.
        let current = |part| self.number(parameters, CURRENT + part).unwrap_or(0.0);
        let [steady, cosine, sine] = [current(0), current(1), current(2)];
        let flow = |(cos, sin): (f64, f64)| steady + cosine * cos + sine * sin;
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
    pub(super) fn fitted(self, rules: &BesideRules) -> Option<Fitted> {
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
pub(super) struct Fitted {
    pub(super) end: f64,
    /// Minus the logarithm of how probable the runs are, but for a constant.
    pub(super) misfit: f64,
    /// Scatter of one run's mean that is left, as a share.
    pub(super) scatter: f64,
    /// Value and standard deviation.
    pub(super) log_windage: (f64, f64),
    pub(super) log_wind: f64,
    wind_sd: f64,
    windage_sd: f64,
    pub(super) growth: (f64, f64),
    cells: usize,
    fit: NonlinearFit,
}

impl Fitted {
    /// Logarithm of the mean of both directions of a cell in the middle wind and no current.
    pub(super) fn log_mean(&self, cell: usize) -> Option<f64> {
        let drive = self.fit.parameters.get(cell)?;
        mean_in_wind(*drive, self.log_windage.0, self.log_wind)
    }

    /// A comparison, and its variance.
    pub(super) fn contrast(&self, contrast: &Contrast) -> Option<(f64, f64)> {
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
