//! The comparison with a changing wind taken out by a log of the wind.
//!
//! The logged wind of each double run is a covariate in the model of the comparison: one mean a cell on
//! the log scale, and beside it what the balance of [`crate::trial::balance`] says a wind takes from the mean of
//! the two directions. How much that is depends on one number, the windage, which is averaged over as
//! with the half differences: within the limits of what is assumed, each value weighing by how well
//! the runs of each cell agree under it (analysis of covariance with a prior on the slope; Fisher,
//! *Statistical Methods for Research Workers*, 1932, section 49.1). The half differences are not asked, so a
//! current does no harm so long as it holds steady over a double run, or what it changes by has been taken
//! off the two speeds (see [`crate::trial::changing_drift`]).

use super::tried::within;
use super::{Adjusted, GaugeRules, GaugedRun, NotGauged, Tried, averaged, degrees, grid};
use crate::trial::balance::Windage;

/// What a log says of one double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoggedWind {
    /// Wind speed during the run, m/s.
    pub speed: f64,
    /// Its angle off the run's line, degrees, `[0, 90]`.
    pub off_line_deg: f64,
    /// Angle of the trial's mean wind off the same line, degrees, `[0, 90]`.
    pub usual_off_line_deg: f64,
}

/// Compares every configuration with the first in the mean of the logged winds, one for each run.
///
/// # Errors
/// [`NotGauged::TooFew`] and [`NotGauged::NoWindExplains`], the latter where the boat could not have made way in
/// the wind that the log tells.
pub fn adjusted_by_log(
    runs: &[GaugedRun],
    winds: &[LoggedWind],
    level: f64,
    rules: &GaugeRules,
) -> Result<Adjusted, NotGauged> {
    if runs.len() < rules.fewest_runs || degrees(runs) < 1.0 || winds.len() != runs.len() {
        return Err(NotGauged::TooFew);
    }
    let tried: Vec<Tried> = grid()
        .filter_map(|sds| in_logged_wind(runs, winds, sds, rules))
        .collect();
    averaged(runs, &tried, level)
}

/// The runs brought to the mean of the logged winds under one windage.
fn in_logged_wind(
    runs: &[GaugedRun],
    winds: &[LoggedWind],
    off_sds: f64,
    rules: &GaugeRules,
) -> Option<Tried> {
    let log_windage = rules.windage.ln() + off_sds * rules.logged_log_sd;
    let ratio = log_windage.exp();
    let usual = winds.iter().map(|w| w.speed).sum::<f64>() / winds.len() as f64;
    let drives: Vec<f64> = runs
        .iter()
        .zip(winds)
        .map(|(run, wind)| {
            let off_line_deg = wind.off_line_deg;
            let windage = Windage {
                ratio,
                off_line_deg,
            };
            windage.drive(run.mean(), wind.speed)
        })
        .collect::<Option<_>>()?;
    let logs: Vec<f64> = drives
        .iter()
        .zip(winds)
        .map(|(drive, wind)| {
            let off_line_deg = wind.usual_off_line_deg;
            let windage = Windage {
                ratio,
                off_line_deg,
            };
            Some(windage.mean_speed(*drive, usual)?.ln())
        })
        .collect::<Option<_>>()?;
    Some(Tried {
        log_windage,
        off_sds,
        wind: usual,
        drives,
        within: within(runs, &logs),
        logs,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::units::Bearing;

    /// Three runs of each of two configurations at two settings, the second 4 % faster, in a wind that grows from 3 to
    /// 6 m/s and a current that makes nonsense of the half differences.
    fn runs(windage: f64, current: f64) -> (Vec<GaugedRun>, Vec<LoggedWind>) {
        let mut runs = Vec::new();
        let mut winds = Vec::new();
        for n in 0..12 {
            let wind = 3.0 + 3.0 * f64::from(n) / 11.0 + [0.0, 0.3, -0.2][n as usize % 3];
            let (configuration, setting) = ((n / 6) as usize, (n / 3) as usize % 2);
            let drive = [1.8, 2.6][setting] * [1.0, 1.04][configuration];
            let boat = Windage {
                ratio: windage,
                off_line_deg: 20.0,
            };
            let along = boat.speed(drive, wind, -1.0).unwrap() + current;
            let against = boat.speed(drive, wind, 1.0).unwrap() - current;
            runs.push(GaugedRun {
                configuration,
                setting,
                along,
                against,
                se: Some(0.001),
                axis: Bearing::new(40.0).unwrap(),
                off_line_deg: 20.0,
            });
            winds.push(LoggedWind {
                speed: wind,
                off_line_deg: 20.0,
                usual_off_line_deg: 20.0,
            });
        }
        (runs, winds)
    }

    #[test]
    fn a_growing_wind_is_taken_out_whatever_the_current() {
        for current in [0.0, -0.4] {
            let (runs, winds) = runs(0.03, current);
            let rules = GaugeRules::default();
            let found = adjusted_by_log(&runs, &winds, 0.95, &rules).unwrap();
            let pooled = found.changes.iter().find(|c| c.setting.is_none()).unwrap();
            assert!(
                (pooled.log_estimate.value - 1.04_f64.ln()).abs() < 0.003,
                "{pooled:?}"
            );
            assert!((found.windage / 0.03).ln().abs() < 0.2, "{}", found.windage);
            // The plain means take the wind for a slower boat.
            let log = |n: usize| runs[n].mean().ln();
            let plain = [6, 9].iter().map(|n| log(*n) - log(n - 6)).sum::<f64>() / 2.0;
            assert!(plain < 0.02, "{plain}");
        }
    }

    #[test]
    fn a_log_in_another_place_scales_the_windage_and_no_change() {
        let (runs, mut winds) = runs(0.02, 0.0);
        for wind in &mut winds {
            wind.speed *= 1.4;
        }
        let found = adjusted_by_log(&runs, &winds, 0.95, &GaugeRules::default()).unwrap();
        let pooled = found.changes.iter().find(|c| c.setting.is_none()).unwrap();
        assert!(
            (pooled.log_estimate.value - 1.04_f64.ln()).abs() < 0.004,
            "{pooled:?}"
        );
        assert!(found.windage < 0.015, "{}", found.windage);
    }

    #[test]
    fn few_runs_and_winds_no_boat_stands_are_refused() {
        let (runs, mut winds) = runs(0.02, 0.0);
        let rules = GaugeRules::default();
        let few = adjusted_by_log(&runs[..5], &winds[..5], 0.95, &rules);
        assert_eq!(few, Err(NotGauged::TooFew));
        assert_eq!(
            adjusted_by_log(&runs, &winds[..5], 0.95, &rules),
            Err(NotGauged::TooFew)
        );
        for wind in &mut winds {
            wind.speed = 200.0;
        }
        let gale = adjusted_by_log(&runs, &winds, 0.95, &rules);
        assert_eq!(gale, Err(NotGauged::NoWindExplains));
    }
}
