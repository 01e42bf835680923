//! Which setting of the new part gives the speed of the old one.
//!
//! Speed is taken as a power of the setting, `speed = factor · percent^exponent`, fitted per
//! configuration through the logarithms of its double runs; its inverse has Fieller's interval
//! (see [`crate::stats::calibration`]). With three settings or more the monotone curve through the
//! cells' means (Fritsch & Carlson 1980, see [`crate::stats::monotone`]) is read too, as a check on
//! the power law. Nothing is said outside the settings that were run.

use super::Ranged;
use crate::stats::calibration::{PowerLaw, power_law};
use crate::stats::monotone::monotone_curve;
use crate::stats::summary::mean;
use crate::trial::compare::RunSpeed;

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
    law: PowerLaw,
    points: Vec<[f64; 2]>,
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
    pub interpolated_percent: Option<f64>,
    /// Why there is none, a clause.
    pub reason: Option<&'static str>,
}

/// Fits a curve to each configuration that was run at two or more settings of known percent.
pub fn curves(runs: &[RunSpeed], percents: &[Option<f64>], level: f64) -> Vec<SpeedCurve> {
    let last = runs.iter().map(|r| r.configuration).max();
    (0..=last.unwrap_or(0))
        .filter_map(|configuration| curve(runs, percents, configuration, level))
        .collect()
}

fn percent_of(percents: &[Option<f64>], run: &RunSpeed) -> Option<f64> {
    percents.get(run.setting).copied().flatten()
}

fn curve(
    runs: &[RunSpeed],
    percents: &[Option<f64>],
    configuration: usize,
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
    let points = settings
        .iter()
        .filter_map(|percent| {
            let logs: Vec<f64> = own
                .iter()
                .filter(|(p, _)| p.total_cmp(percent).is_eq())
                .map(|(_, speed)| speed.ln())
                .collect();
            Some([*percent, mean(&logs)?.exp()])
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
        law,
        points,
    })
}

/// For every setting of the baseline, the setting of each changed configuration that gives its speed.
pub fn equal_settings(
    runs: &[RunSpeed],
    percents: &[Option<f64>],
    curves: &[SpeedCurve],
    level: f64,
) -> Vec<EqualSetting> {
    let mut out = Vec::new();
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
                setting,
                percent,
                log.exp(),
                logs.len(),
                level,
            ));
        }
    }
    out
}

fn equal_setting(
    curve: &SpeedCurve,
    setting: usize,
    percent: f64,
    speed: f64,
    count: usize,
    level: f64,
) -> EqualSetting {
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
        interpolated_percent: interpolated(curve, speed).filter(within),
        reason,
    }
}

/// Read off the monotone curve through the means, in logarithms as the power law.
fn interpolated(curve: &SpeedCurve, speed: f64) -> Option<f64> {
    /// With two points the curve is the power law itself.
    const FEWEST: usize = 3;
    if curve.points.len() < FEWEST {
        return None;
    }
    let logs = |place: usize| -> Vec<f64> { curve.points.iter().map(|p| p[place].ln()).collect() };
    Some(
        monotone_curve(&logs(0), &logs(1))?
            .inverse(speed.ln())?
            .exp(),
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
            assert!((found[at].interpolated_percent.unwrap() / wanted - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn one_setting_gives_no_curve() {
        let runs = runs(&[(0, 0, 1.0), (0, 0, 1.1), (1, 0, 1.2)]);
        assert!(curves(&runs, &[Some(50.0)], 0.95).is_empty());
        assert!(curves(&[], &[], 0.95).is_empty());
    }
}
