//! Which setting of the new part gives the speed of the old one.
//!
//! Speed is taken as a power of the setting, `speed = factor · percent^exponent`, fitted per
//! configuration through the logarithms of its double runs; its inverse has Fieller's interval
//! (see [`crate::stats::calibration`]). With three settings or more the monotone curve through the
//! cells' means (Fritsch & Carlson 1980, see [`crate::stats::monotone`]) is read too, with the interval of
//! [`crate::stats::monotone_interval`]. It is the answer where the means do not lie on a power law.
//! Nothing is said outside the settings that were run.

use super::Ranged;
use crate::stats::calibration::{PowerLaw, power_law};
use crate::stats::distribution::t_critical;
use crate::stats::monotone_interval::{Knot, crossing};
use crate::stats::samples::PooledScatter;
use crate::stats::summary::mean;
use crate::trial::compare::{RunSpeed, pooled_scatter};

/// Speed against setting of one configuration.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedCurve {
    /// The configuration.
    pub configuration: usize,
    /// Lowest and highest setting run, percent.
    pub range: [f64; 2],
    /// Speed at 1 %, m/s: for drawing, never to be read off.
    pub factor: f64,
    /// Exponent with its interval.
    pub exponent: Ranged,
    /// Whether the means at three settings or more lie on the power law as far as their scatter tells;
    /// `None` with two settings, or where nothing was run twice.
    pub holds: Option<bool>,
    law: PowerLaw,
    /// Means, in logarithms of percent and m/s.
    knots: Vec<Knot>,
}

/// The setting of a changed configuration that gives the baseline's speed.
#[derive(Debug, Clone, PartialEq)]
pub struct EqualSetting {
    /// The changed configuration; the baseline is 0.
    pub changed: usize,
    /// The baseline's setting.
    pub setting: usize,
    /// That setting, percent.
    pub percent: f64,
    /// Speed of the baseline there, m/s.
    pub speed: f64,
    /// The setting of the changed configuration, percent.
    pub changed_percent: Ranged,
    /// The same by the monotone curve, where there are three settings.
    pub interpolated_percent: Ranged,
    /// Why there is none, a clause.
    pub reason: Option<&'static str>,
}

/// Fits a curve to each configuration that was run at two or more settings of known percent.
pub fn curves(runs: &[RunSpeed], percents: &[Option<f64>], level: f64) -> Vec<SpeedCurve> {
    let last = runs.iter().map(|r| r.configuration).max();
    let scatter = pooled_scatter(runs);
    (0..=last.unwrap_or(0))
        .filter_map(|configuration| curve(runs, percents, configuration, scatter, level))
        .collect()
}

fn percent_of(percents: &[Option<f64>], run: &RunSpeed) -> Option<f64> {
    percents.get(run.setting).copied().flatten()
}

fn curve(
    runs: &[RunSpeed],
    percents: &[Option<f64>],
    configuration: usize,
    scatter: Option<PooledScatter>,
    level: f64,
) -> Option<SpeedCurve> {
    let own: Vec<(f64, f64)> = runs
        .iter()
        .filter(|r| r.configuration == configuration)
        .filter_map(|r| Some((percent_of(percents, r)?, r.mean)))
        .collect();
    let (x, y): (Vec<f64>, Vec<f64>) = own.iter().copied().unzip();
    let law = power_law(&x, &y)?;
    let mut settings = x.clone();
    settings.sort_by(f64::total_cmp);
    settings.dedup();
    let knots: Vec<Knot> = settings
        .iter()
        .filter_map(|percent| {
            let logs: Vec<f64> = own
                .iter()
                .filter(|(p, _)| p.total_cmp(percent).is_eq())
                .map(|(_, speed)| speed.ln())
                .collect();
            Some(Knot {
                x: percent.ln(),
                y: mean(&logs)?,
                count: logs.len(),
            })
        })
        .collect();
    let exponent = law.exponent(level).map_or_else(
        || {
            let steeper = law.at(std::f64::consts::E).zip(law.factor());
            steeper.map_or_else(Ranged::default, |(e, one)| Ranged::bare((e / one).ln()))
        },
        Ranged::plain,
    );
    Some(SpeedCurve {
        configuration,
        range: [*settings.first()?, *settings.last()?],
        factor: law.factor()?,
        exponent,
        holds: scatter.and_then(|scatter| holds(&knots, &law, scatter, level)),
        law,
        knots,
    })
}

/// With two settings the monotone curve is the power law itself.
const FEWEST: usize = 3;

/// Whether every mean lies as near the law as its scatter allows: each by Student's t, at a level shared out
/// among them (Bonferroni's inequality).
fn holds(knots: &[Knot], law: &PowerLaw, scatter: PooledScatter, level: f64) -> Option<bool> {
    if knots.len() < FEWEST {
        return None;
    }
    let t = t_critical(1.0 - (1.0 - level) / knots.len() as f64, scatter.df)?;
    let off = |knot: &Knot| Some((knot.y - law.at(knot.x.exp())?.ln()).abs());
    let most = |knot: &Knot| t * scatter.sd / (knot.count as f64).sqrt();
    let near: Option<Vec<bool>> = knots.iter().map(|k| Some(off(k)? <= most(k))).collect();
    Some(near?.into_iter().all(|near| near))
}

/// For every setting of the baseline, the setting of each changed configuration that gives its speed.
pub fn equal_settings(
    runs: &[RunSpeed],
    percents: &[Option<f64>],
    curves: &[SpeedCurve],
    level: f64,
) -> Vec<EqualSetting> {
    let mut out = Vec::new();
    let scatter = pooled_scatter(runs);
    for curve in curves.iter().filter(|c| c.configuration > 0) {
        for (setting, percent) in percents.iter().enumerate() {
            let logs: Vec<f64> = runs
                .iter()
                .filter(|r| (r.configuration, r.setting) == (0, setting))
                .map(|r| r.mean.ln())
                .collect();
            let (Some(percent), Some(log)) = (*percent, mean(&logs)) else {
                continue;
            };
            out.push(equal_setting(
                curve,
                Asked {
                    setting,
                    percent,
                    speed: log.exp(),
                    count: logs.len(),
                },
                scatter,
                level,
            ));
        }
    }
    out
}

/// A setting of the baseline, its speed, and the double runs that tell it.
#[derive(Clone, Copy)]
struct Asked {
    setting: usize,
    percent: f64,
    speed: f64,
    count: usize,
}

fn equal_setting(
    curve: &SpeedCurve,
    asked: Asked,
    scatter: Option<PooledScatter>,
    level: f64,
) -> EqualSetting {
    let Asked {
        setting,
        percent,
        speed,
        count,
    } = asked;
    let [low, high] = curve.range;
    let found = curve.law.inverse(speed);
    let within = |p: &f64| (low..=high).contains(p);
    let reason = match found {
        Some(p) if p < low => {
            Some("the new part is faster than that at its lowest setting run; run a lower one")
        }
        Some(p) if p > high => {
            Some("the new part does not reach that speed at its highest setting run")
        }
        Some(_) => None,
        None => Some("the speed does not rise with the setting"),
    };
    let mut changed_percent = Ranged::default();
    if let Some(value) = found.filter(within) {
        let interval = curve.law.inverse_interval(speed, Some(count), level);
        changed_percent = Ranged::of(value, interval);
        // An end beyond the settings run is not known.
        changed_percent.low = changed_percent.low.filter(within);
        changed_percent.high = changed_percent.high.filter(within);
    }
    EqualSetting {
        changed: curve.configuration,
        setting,
        percent,
        speed,
        changed_percent,
        interpolated_percent: interpolated(curve, speed, count, scatter, level),
        reason,
    }
}

/// Read off the monotone curve through the means, in logarithms as the power law.
fn interpolated(
    curve: &SpeedCurve,
    speed: f64,
    count: usize,
    scatter: Option<PooledScatter>,
    level: f64,
) -> Ranged {
    if curve.knots.len() < FEWEST {
        return Ranged::default();
    }
    // Without any scatter the curve is read all the same, and has no interval.
    let scatter = scatter.unwrap_or(PooledScatter { sd: 0.0, df: 1.0 });
    crossing(&curve.knots, scatter, speed.ln(), count, level).map_or_else(
        Ranged::default,
        |found| {
            Ranged {
                value: Some(found.at),
                low: found.low,
                high: found.high,
            }
            .map(f64::exp)
        },
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn runs(of: &[(usize, usize, f64)]) -> Vec<RunSpeed> {
        of.iter()
            .map(|(configuration, setting, mean)| RunSpeed {
                configuration: *configuration,
                setting: *setting,
                mean: *mean,
                se: None,
            })
            .collect()
    }

    /// Exact power laws: old 0.1 p^0.5, new 5 % faster at every setting; so the setting for the old speed
    /// is lower by the factor 1.05^-2.
    #[test]
    fn exact_laws_are_inverted() {
        let percents = [Some(40.0), Some(60.0), Some(90.0)];
        let mut all = Vec::new();
        for (setting, p) in [40.0_f64, 60.0, 90.0].into_iter().enumerate() {
            for wobble in [0.999, 1.0, 1.001] {
                all.push((0, setting, 0.1 * p.sqrt() * wobble));
                all.push((1, setting, 1.05 * 0.1 * p.sqrt() * wobble));
            }
        }
        let runs = runs(&all);
        let curves = curves(&runs, &percents, 0.95);
        let found = equal_settings(&runs, &percents, &curves, 0.95);
        assert_eq!(found.len(), 3);
        assert!(found[0].changed_percent.value.is_none() && found[0].reason.is_some());
        for (at, percent) in [(1, 60.0), (2, 90.0)] {
            let wanted = percent / 1.05_f64.powi(2);
            let got = found[at].changed_percent;
            assert!((got.value.unwrap() - wanted).abs() < 1e-3, "{got:?}");
            assert!(got.low.unwrap() < wanted && wanted < got.high.unwrap());
            let curve = found[at].interpolated_percent;
            assert!(
                (curve.value.unwrap() / wanted - 1.0).abs() < 1e-3,
                "{curve:?}"
            );
            assert!(curve.low.unwrap() < wanted && wanted < curve.high.unwrap());
        }
        assert!(curves.iter().all(|c| c.holds == Some(true)));
    }

    /// A boat that hardly gains above 60 %: no power law, and the curve is told to be none.
    #[test]
    fn a_bent_curve_is_no_power_law() {
        let percents = [Some(40.0), Some(60.0), Some(90.0)];
        let mut all = Vec::new();
        for (setting, speed) in [1.2, 1.7, 1.75].into_iter().enumerate() {
            for wobble in [0.995, 1.0, 1.005] {
                all.push((0, setting, speed * wobble));
                all.push((1, setting, 1.02 * speed * wobble));
            }
        }
        let runs = runs(&all);
        let curves = curves(&runs, &percents, 0.95);
        assert!(curves.iter().all(|c| c.holds == Some(false)));
        let found = equal_settings(&runs, &percents, &curves, 0.95);
        let at_60 = found[1].interpolated_percent;
        assert!((50.0..60.0).contains(&at_60.value.unwrap()), "{at_60:?}");
        assert!(at_60.low.unwrap() < at_60.value.unwrap());
    }

    #[test]
    fn one_setting_gives_no_curve() {
        let runs = runs(&[(0, 0, 1.0), (0, 0, 1.1), (1, 0, 1.2)]);
        assert!(curves(&runs, &[Some(50.0)], 0.95).is_empty());
        assert!(curves(&[], &[], 0.95).is_empty());
    }
}
