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

mod model;

use model::{Fitted, Model};
use serde::Serialize;

use super::{GaugeRules, GaugedRun, asked, cells_of, degrees, settings_of};
use crate::stats::interval::{Estimate, JUDGED_DF};
use crate::trial::compare::weight_of;

/// What is assumed of a wind and a current that run together, before the runs are seen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BesideRules {
    /// Wind along the line where nobody told it, m/s: a gentle breeze, Beaufort 3 (3.4-5.4 m/s), in which trials are run.
    pub wind_m_s: f64,
    /// How far it may be off, as a standard deviation of its logarithm: from 2 to 10 m/s at two of them
    /// (common practice, no source).
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
    /// So many half differences tell as much as one by itself would, for gusts last from one run to the next
    /// (our own simulated days).
    pub told_by_one: f64,
    /// Most double runs, for the fit's time grows with their cube: 60 take about a second (measured).
    pub most_runs: usize,
    /// All of them run within this angle of one line, degrees, for a wind has another part along another line:
    /// 15 degrees change it by 3 % head on (their cosine).
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
    let one_line = (own.iter()).all(|run| run.axis.off_line(first.axis) <= rules.one_line_deg);
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
    asked(runs)
        .into_iter()
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
        let settings = settings_of(runs)
            .into_iter()
            .filter(|s| setting.is_none_or(|one| one == *s));
        let mut pairs: Vec<CellPair> = settings
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
