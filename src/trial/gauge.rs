//! The comparison with a changing wind taken out: each double run is its own wind gauge.
//!
//! In still water the two speeds of a double run differ by the wind alone. Given the boat's
//! windage, the balance of [`super::balance`] tells from them the wind of that run and what the
//! run's mean would have been in the mean wind of all. Configurations are then compared in one
//! wind. The windage is one number for the boat. It is not known beforehand but within limits,
//! and the right one makes the runs of each cell agree best; so it is averaged over, each value
//! weighing by both, on a grid (Bayesian averaging over one nuisance number; the scatter is profiled).
//! What the averaging leaves open widens the interval.

mod beside;
pub use beside::{Beside, BesideChange, BesideRules, KnownWind, TimedRun, beside};

mod calm;
pub use calm::{CalmCell, calm_speeds};

mod still;
pub use still::still_speeds;

mod logged;
pub use logged::{LoggedWind, adjusted_by_log};

mod tried;
use tried::Tried;

use serde::Serialize;

use super::compare::{self, cells};
use crate::stats::interval::Estimate;
use crate::stats::summary::mean;
use crate::units::Bearing;

/// What is assumed of the boat and asked of the track.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GaugeRules {
    /// Fewest double runs: below six the windage is a mere guess.
    pub fewest_runs: usize,
    /// Middle of the windage assumed before the runs are seen: an open boat of 4-5 m with two
    /// people has an air drag of 0.5-1 kg/m and a hull drag of 25-60 kg/m at 1-3 m/s
    /// (our own estimate from drag areas; common practice, no source).
    pub windage: f64,
    /// How far it may be off, as a standard deviation of its logarithm: within a factor of 2.7 at two of them, which
    /// holds the corners of the ranges above.
    pub windage_log_sd: f64,
    /// The same where a log tells the wind, which also blew somewhere else and at another height than on
    /// the boat: a constant factor of 0.6 to 1.6 on its speed, which goes into the windage as its
    /// square (our own estimate; no source).
    pub logged_log_sd: f64,
    /// The wind is taken out where it is at least so probable that it, and not a current, makes the
    /// two directions differ.
    pub least_probability: f64,
    /// The mean half difference must be this many times its own error to tell the wind at all.
    pub least_signal: f64,
    /// Mean half difference, as a share of the speed, up to which the mean of both directions is near the
    /// speed in a calm whatever made them differ: by the balance in light wind it then lies at most
    /// 1 % below, with the middle windage.
    pub little_share: f64,
    /// Least part of the wind with which an idle boat drifts: 3-6 % (common practice, no source).
    pub least_idle_share: f64,
    /// How far a wind told by eye or by a station may fall short of the one at the boat, m/s: Beaufort's
    /// calm is a wind of less than a knot (WMO-No. 306, code table 1100).
    pub by_eye_m_s: f64,
}

impl Default for GaugeRules {
    fn default() -> Self {
        Self {
            fewest_runs: 6,
            windage: 0.02,
            windage_log_sd: 0.5,
            logged_log_sd: 0.9,
            least_probability: 0.8,
            least_signal: 3.0,
            little_share: 0.02,
            least_idle_share: 0.03,
            by_eye_m_s: 0.5,
        }
    }
}

/// What the gauge needs of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugedRun {
    /// Configuration, numbered from 0 in the order run.
    pub configuration: usize,
    /// Setting, numbered from 0 slowest first.
    pub setting: usize,
    /// Speed of the leg along the axis of its line, m/s; positive.
    pub along: f64,
    /// Speed of the leg against it, m/s; positive.
    pub against: f64,
    /// Standard error of their mean from the two legs alone, m/s; half their difference has the same.
    pub se: Option<f64>,
    /// Direction of the line, degrees, `[0, 180)`.
    pub axis: Bearing,
    /// Angle of the wind off the line, degrees, `[0, 90]`; 0 where it is not known.
    pub off_line_deg: f64,
}

impl GaugedRun {
    fn mean(&self) -> f64 {
        f64::midpoint(self.along, self.against)
    }

    fn half_difference(&self) -> f64 {
        (self.along - self.against) / 2.0
    }
}

/// A comparison in one wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdjustedChange {
    /// The configuration compared with the baseline.
    pub changed: usize,
    /// The setting; `None` for all.
    pub setting: Option<usize>,
    /// Geometric mean speeds of baseline and changed in the mean wind, m/s; `None` when pooled.
    pub speeds: Option<[f64; 2]>,
    /// Difference of the mean logarithms, with its interval.
    pub log_estimate: Estimate,
}

/// The comparisons in one wind, and the boat they imply.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjusted {
    /// Windage: drag factor of the air over that of the hull, and the standard deviation of its logarithm.
    pub windage: f64,
    /// See [`Self::windage`].
    pub windage_log_sd: f64,
    /// Mean wind the balance finds, m/s.
    pub wind: f64,
    /// One entry for each comparison.
    pub changes: Vec<AdjustedChange>,
}

/// Why the wind is not taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotGauged {
    /// Too few double runs.
    TooFew,
    /// No double run differs enough between its directions to tell a wind.
    NoSignal,
    /// The faster direction changed sides, which a wind that stays does not do.
    TurnedRound,
    /// No wind explains the two speeds of some run.
    NoWindExplains,
}

/// Windages tried, evenly spaced in the logarithm over three standard deviations to either side.
const GRID: usize = 61;

/// Compares every configuration with the first in the mean wind of the day.
///
/// # Errors
/// [`NotGauged`] where the runs do not support it. Whether a current may pose as the wind is for
/// the caller to judge.
pub fn adjusted(runs: &[GaugedRun], level: f64, rules: &GaugeRules) -> Result<Adjusted, NotGauged> {
    signal(runs, rules)?;
    averaged(runs, &tried(runs, rules), level)
}

/// The comparisons averaged over the windages tried.
fn averaged(runs: &[GaugedRun], tried: &[Tried], level: f64) -> Result<Adjusted, NotGauged> {
    let weights = weights(tried, runs).ok_or(NotGauged::NoWindExplains)?;
    let average = |value: &dyn Fn(&Tried) -> Option<f64>| -> Option<f64> {
        tried
            .iter()
            .zip(&weights)
            .map(|(t, w)| value(t).map(|v| v * w))
            .sum()
    };
    // Under one windage nothing but the cells is fitted, so the windage takes no degree of freedom
    // here: the doubt about it is counted in the spread, and once is enough.
    let df = degrees(runs).max(1.0) + 1.0;
    let own = own_scatter(runs);
    let changes = asked(runs)
        .into_iter()
        .filter_map(|(changed, setting)| {
            let contrast = |t: &Tried| t.contrast(runs, changed, setting, own, df - 1.0);
            let value = average(&|t| Some(contrast(t)?.log_ratio))?;
            let noise = average(&|t| Some(contrast(t)?.se.powi(2)))?;
            let spread = average(&|t| Some((contrast(t)?.log_ratio - value).powi(2)))?;
            let baseline = average(&|t| Some(contrast(t)?.log_baseline));
            Some(AdjustedChange {
                changed,
                setting,
                speeds: setting
                    .and(baseline)
                    .map(|log| [log.exp(), (log + value).exp()]),
                log_estimate: Estimate::new(value, (noise + spread).sqrt(), df, level)?,
            })
        })
        .collect();
    let log_windage = average(&|t| Some(t.log_windage)).ok_or(NotGauged::NoWindExplains)?;
    let spread = average(&|t| Some((t.log_windage - log_windage).powi(2)));
    Ok(Adjusted {
        windage: log_windage.exp(),
        windage_log_sd: spread.unwrap_or(0.0).sqrt(),
        wind: average(&|t| Some(t.wind)).ok_or(NotGauged::NoWindExplains)?,
        changes,
    })
}

fn tried(runs: &[GaugedRun], rules: &GaugeRules) -> Vec<Tried> {
    grid()
        .filter_map(|sds| Tried::new(runs, sds, rules))
        .collect()
}

/// The windages tried, in standard deviations off the one assumed.
fn grid() -> impl Iterator<Item = f64> {
    (0..GRID).map(|step| 6.0 * step as f64 / (GRID - 1) as f64 - 3.0)
}

/// Whether the half differences tell a wind that stays on its side.
fn signal(runs: &[GaugedRun], rules: &GaugeRules) -> Result<(), NotGauged> {
    if runs.len() < rules.fewest_runs || degrees(runs) < 1.0 {
        return Err(NotGauged::TooFew);
    }
    let halves: Vec<f64> = runs.iter().map(GaugedRun::half_difference).collect();
    let error = own_scatter(runs).unwrap_or(0.0);
    let of = |run: &GaugedRun| error * run.mean();
    // Before the mean is asked, which nearly vanishes where the drift turned half way.
    let beyond = |side: f64| {
        let mut both = runs.iter().zip(&halves);
        both.any(|(run, half)| side * half > rules.least_signal * of(run))
    };
    if beyond(1.0) && beyond(-1.0) {
        return Err(NotGauged::TurnedRound);
    }
    if faint(runs, rules) {
        return Err(NotGauged::NoSignal);
    }
    Ok(())
}

/// Whether the two directions differ too little to tell a wind, on average over all runs.
fn faint(runs: &[GaugedRun], rules: &GaugeRules) -> bool {
    let n = runs.len() as f64;
    let usual = runs.iter().map(GaugedRun::half_difference).sum::<f64>() / n;
    let error = own_scatter(runs).unwrap_or(0.0);
    let typical = runs.iter().map(|run| error * run.mean()).sum::<f64>() / n;
    usual.abs() < rules.least_signal * typical / n.sqrt()
}

/// Whether the two directions hardly differ, so that the mean of both is near the speed in a calm
/// whatever made them differ; see [`still_speeds`].
pub fn hardly_differ(runs: &[GaugedRun], rules: &GaugeRules) -> bool {
    !runs.is_empty() && (faint(runs, rules) || still::usual_share(runs).abs() < rules.little_share)
}

/// Runs less cells less the windage.
fn degrees(runs: &[GaugedRun]) -> f64 {
    runs.len() as f64 - cells_of(runs).len() as f64 - 1.0
}

fn cells_of(runs: &[GaugedRun]) -> Vec<(usize, usize)> {
    cells(runs.iter().map(|r| (r.configuration, r.setting)))
}

/// Every comparison: each configuration with the first, at each setting and over all of them.
fn asked(runs: &[GaugedRun]) -> Vec<(usize, Option<usize>)> {
    let last = runs.iter().map(|r| r.configuration).max().unwrap_or(0);
    let settings = settings_of(runs);
    let of = |changed| {
        let single = settings.iter().map(move |s| (changed, Some(*s)));
        single.chain([(changed, None)])
    };
    (1..=last).flat_map(of).collect()
}

/// The settings, slowest first.
fn settings_of(runs: &[GaugedRun]) -> Vec<usize> {
    let mut settings: Vec<usize> = runs.iter().map(|r| r.setting).collect();
    settings.sort_unstable();
    settings.dedup();
    settings
}

fn own_scatter(runs: &[GaugedRun]) -> Option<f64> {
    compare::own_scatter(runs.iter().map(|r| (r.mean(), r.se)))
}

fn of_cell(runs: &[GaugedRun], logs: &[f64], cell: (usize, usize)) -> Vec<f64> {
    runs.iter()
        .zip(logs)
        .filter(|(run, _)| (run.configuration, run.setting) == cell)
        .map(|(_, log)| *log)
        .collect()
}

/// How much each windage weighs: by what is assumed and by how well the runs agree; they sum to 1.
fn weights(tried: &[Tried], runs: &[GaugedRun]) -> Option<Vec<f64>> {
    let least = tried.iter().map(|t| t.within).min_by(f64::total_cmp)?;
    let own = own_scatter(runs).unwrap_or(0.0);
    let variance = (least / degrees(runs).max(1.0)).max(own * own);
    let weight = |t: &Tried| {
        let misfit = if variance > 0.0 {
            (t.within - least) / variance
        } else {
            0.0
        };
        (-0.5 * (misfit + t.off_sds.powi(2))).exp()
    };
    let total: f64 = tried.iter().map(weight).sum();
    (total > 0.0 && total.is_finite()).then(|| tried.iter().map(|t| weight(t) / total).collect())
}
