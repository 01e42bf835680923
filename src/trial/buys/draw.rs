//! The draw of the motor: of cells, of configurations at one setting, and at one speed.
//!
//! Power is compared as speed is, on the log scale with one scatter for all cells
//! ([`crate::trial::compare`]). At equal speed: `ln power = part of the configuration + exponent · ln speed`
//! with one exponent for all configurations (analysis of covariance), which needs two settings; with one,
//! power is taken to go with the cube of speed (Admiralty law, "for small changes in speed"; E. A. Stokoe,
//! *Reed's Naval Architecture for Marine Engineers*).

use super::sum_of_logs;
use crate::stats::interval::Estimate;
use crate::stats::least_squares::ordinary;
use crate::stats::quantile::median;
use crate::stats::summary::mean;
use crate::trial::compare::{RunSpeed, own_scatter, pooled_scatter};

/// Power over speed cubed: the usual law.
pub const CUBE: f64 = 3.0;

/// Two legs, there and back, as they were run and what they drew.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThereAndBack {
    /// Speeds, m/s.
    pub speeds: [f64; 2],
    /// Powers, W.
    pub watts: [f64; 2],
}

impl ThereAndBack {
    /// Mean power over the way there and back: each leg weighs by its time over the same distance.
    pub fn watts(self) -> Option<f64> {
        let times = self.speeds.map(|v| 1.0 / v);
        let total = times[0] + times[1];
        let mean = (self.watts[0] * times[0] + self.watts[1] * times[1]) / total;
        (mean.is_finite() && mean > 0.0).then_some(mean)
    }

    /// Energy there and back over the distance there and back, J/m.
    pub fn energy(self) -> Option<f64> {
        let energy = f64::midpoint(
            self.watts[0] / self.speeds[0],
            self.watts[1] / self.speeds[1],
        );
        (energy.is_finite() && energy > 0.0).then_some(energy)
    }
}

/// The geometric mean of a cell's values as an estimate of its logarithm; scatter pooled over all cells,
/// or from the values' own errors where no cell holds two. `None` for an empty cell or no error at all.
pub fn cell_log(values: &[RunSpeed], cell: (usize, usize), level: f64) -> Option<Estimate> {
    let own: Vec<&RunSpeed> = values
        .iter()
        .filter(|r| (r.configuration, r.setting) == cell)
        .collect();
    let logs: Vec<f64> = own.iter().map(|r| r.mean.ln()).collect();
    let centre = mean(&logs)?;
    let (sd, df) = match pooled_scatter(values) {
        Some(scatter) => (scatter.sd, scatter.df),
        None => (
            own_scatter(own.iter().map(|r| (r.mean, r.se)))?,
            f64::INFINITY,
        ),
    };
    Estimate::new(centre, sd / (logs.len() as f64).sqrt(), df, level)
}

/// A power and the speed it gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerAt {
    /// Configuration, 0 the baseline.
    pub configuration: usize,
    /// Setting.
    pub setting: usize,
    /// Speed, m/s: mean of the two directions.
    pub speed: f64,
    /// Power, W.
    pub watts: f64,
    /// Standard error of the logarithm of the power as its speed would have it, from the readings' own errors.
    pub own: Option<f64>,
}

/// Power at equal speed of one configuration against the baseline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EqualSpeedPower {
    /// Difference of the logarithms of power.
    pub log: Estimate,
    /// The speeds it holds for, m/s: those both were run at.
    pub speeds: [f64; 2],
    /// Exponent of the speed, fitted.
    pub exponent: f64,
}

/// Compares power at equal speed by one curve for all; `None` where either side has fewer than two settings,
/// their speeds do not overlap, or nothing is left for the scatter.
pub fn at_equal_speed(points: &[PowerAt], changed: usize, level: f64) -> Option<EqualSpeedPower> {
    let usable: Vec<&PowerAt> = points
        .iter()
        .filter(|p| p.speed > 0.0 && p.watts > 0.0)
        .collect();
    let spans = [0, changed].map(|c| span(&usable, c));
    let [Some(a), Some(b)] = spans else {
        return None;
    };
    let speeds = [a[0].max(b[0]), a[1].min(b[1])];
    if speeds[0] >= speeds[1] {
        return None;
    }
    let two: Vec<&PowerAt> = usable
        .into_iter()
        .filter(|p| p.configuration == 0 || p.configuration == changed)
        .collect();
    let logs: Vec<f64> = two.iter().map(|p| p.speed.ln()).collect();
    let centre = mean(&logs)?;
    let columns = vec![
        vec![1.0; two.len()],
        two.iter()
            .map(|p| f64::from(u8::from(p.configuration == changed)))
            .collect(),
        logs.iter().map(|l| l - centre).collect(),
    ];
    let power: Vec<f64> = two.iter().map(|p| p.watts.ln()).collect();
    let fit = ordinary(&columns, &power)?;
    let own: Vec<f64> = two.iter().filter_map(|p| p.own).collect();
    let least = median(&own).unwrap_or(0.0).powi(2);
    let variance = fit.residual_variance()?.max(least);
    Some(EqualSpeedPower {
        log: fit.contrast_of(&[0.0, 1.0, 0.0], variance, fit.df as f64, level)?,
        speeds,
        exponent: *fit.coefficients.get(2)?,
    })
}

/// Lowest and highest speed of a configuration; `None` for fewer than two settings.
fn span(points: &[&PowerAt], configuration: usize) -> Option<[f64; 2]> {
    let own: Vec<&&PowerAt> = points
        .iter()
        .filter(|p| p.configuration == configuration)
        .collect();
    let first = own.first()?;
    own.iter().find(|p| p.setting != first.setting)?;
    let speeds = || own.iter().map(|p| p.speed);
    Some([
        speeds().min_by(f64::total_cmp)?,
        speeds().max_by(f64::total_cmp)?,
    ])
}

/// Power at equal speed by the cube law: the change of power at one setting less three times that of speed.
pub fn by_cube_law(power: Estimate, speed: Estimate, level: f64) -> Option<Estimate> {
    sum_of_logs(&[(1.0, power), (-CUBE, speed)], level)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_weighted_by_time() {
        let run = ThereAndBack {
            speeds: [2.0, 1.0],
            watts: [300.0, 330.0],
        };
        // 1 m there in 0.5 s, 1 m back in 1 s: 150 J + 330 J over 2 m and 1.5 s.
        assert!((run.energy().unwrap() - 240.0).abs() < 1e-12);
        assert!((run.watts().unwrap() - 320.0).abs() < 1e-12);
    }

    /// Power at equal speed 10 % lower, by cube curves with a little scatter.
    #[test]
    fn equal_speed_is_read_off_the_curves() {
        let mut points = Vec::new();
        for (configuration, factor) in [(0, 100.0), (1, 90.0)] {
            for (setting, speed) in [(0, 1.3_f64), (1, 1.9)] {
                for wobble in [0.995, 1.0, 1.005] {
                    points.push(PowerAt {
                        configuration,
                        setting,
                        speed: speed * (1.0 + 0.02 * configuration as f64),
                        watts: factor
                            * (speed * (1.0 + 0.02 * configuration as f64)).powi(3)
                            * wobble,
                        own: None,
                    });
                }
            }
        }
        let found = at_equal_speed(&points, 1, 0.95).unwrap();
        assert!((found.log.value.exp() - 0.9).abs() < 1e-9);
        assert!((found.exponent - 3.0).abs() < 1e-9);
        assert!(found.log.low < found.log.value && found.log.value < found.log.high);
    }

    /// Admiralty law: a 2 % gain of speed at equal power is 5.8 % less power at equal speed
    /// (1.02^-3 = 0.9423; the cube law itself, Stokoe, *Reed's Naval Architecture*).
    #[test]
    fn the_cube_law_turns_speed_into_power() {
        let power = Estimate::new(0.0, 0.01, 8.0, 0.95).unwrap();
        let speed = Estimate::new(1.02_f64.ln(), 0.005, 8.0, 0.95).unwrap();
        let found = by_cube_law(power, speed, 0.95).unwrap();
        assert!((found.value.exp() - 0.9423).abs() < 1e-4);
        assert!((found.se - 0.01_f64.hypot(0.015)).abs() < 1e-12);
    }
}
