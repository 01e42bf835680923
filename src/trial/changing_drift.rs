//! A drift along the line that changes between the two legs of a double run.
//!
//! The mean of the two speeds takes out a drift that holds; of one that changes, as a tide does, half of what it
//! changes by from the one leg to the other is left in, and the order of the legs gives that a sign. The half
//! differences of the day tell how the drift went: a polynomial in time is fitted to them, with a level of
//! its own for each setting, since a wind moves a slow boat more. That is the mean of means (ITTC
//! 7.5-04-01-01.1) for runs that stand minutes and hours apart.

use crate::stats::least_squares::ordinary;

/// The half difference of one double run and when its legs were run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DriftSeen {
    /// The course line.
    pub line: usize,
    /// Setting, numbered from 0 slowest first.
    pub setting: usize,
    /// Half of what the leg along the axis of the line was faster than the one against it, m/s.
    pub half_difference: f64,
    /// Middle of the leg along the axis, s.
    pub along_at: f64,
    /// Middle of the leg against it, s.
    pub against_at: f64,
}

/// Fewest double runs on a line for a parabola: its three numbers and a level for a second setting leave two over.
const FEWEST_FOR_PARABOLA: usize = 6;

/// Fewest for a cubic, which follows a tide over its turn: three runs to each of its numbers.
const FEWEST_FOR_CUBIC: usize = 12;

/// What each run's mean of the two speeds holds of a changing drift, m/s; to be subtracted. Zero on lines with too few runs.
pub fn left_in(runs: &[DriftSeen]) -> Vec<f64> {
    let mut out = vec![0.0; runs.len()];
    let mut lines: Vec<usize> = runs.iter().map(|run| run.line).collect();
    lines.sort_unstable();
    lines.dedup();
    for line in lines {
        let own: Vec<(usize, DriftSeen)> = (runs.iter().copied().enumerate())
            .filter(|(_, run)| run.line == line)
            .collect();
        let seen: Vec<DriftSeen> = own.iter().map(|(_, run)| *run).collect();
        for ((index, _), shift) in own.iter().zip(on_one_line(&seen)) {
            if let Some(slot) = out.get_mut(*index) {
                *slot = shift;
            }
        }
    }
    out
}

fn on_one_line(runs: &[DriftSeen]) -> Vec<f64> {
    let none = vec![0.0; runs.len()];
    let degree = match runs.len() {
        n if n >= FEWEST_FOR_CUBIC => 3,
        n if n >= FEWEST_FOR_PARABOLA => 2,
        _ => return none,
    };
    let middle = |run: &DriftSeen| f64::midpoint(run.along_at, run.against_at);
    let origin = runs.iter().map(middle).sum::<f64>() / runs.len() as f64;
    let reach = runs.iter().map(|run| (middle(run) - origin).abs());
    let reach = reach.fold(0.0, f64::max);
    let scaled = |t: f64| (t - origin) / reach;
    let mut columns: Vec<Vec<f64>> = (0..=degree)
        .map(|power| {
            let powers = runs.iter().map(|run| scaled(middle(run)).powi(power));
            powers.collect()
        })
        .collect();
    let mut settings: Vec<usize> = runs.iter().map(|run| run.setting).collect();
    settings.sort_unstable();
    settings.dedup();
    columns.extend(settings.iter().skip(1).map(|setting| {
        let own = runs.iter().map(|run| run.setting == *setting);
        own.map(|own| if own { 1.0 } else { 0.0 }).collect()
    }));
    let halves: Vec<f64> = runs.iter().map(|run| run.half_difference).collect();
    let Some(fit) = ordinary(&columns, &halves) else {
        return none;
    };
    let drift = |t: f64| -> f64 {
        let powers = (0..=degree).zip(&fit.coefficients);
        powers.map(|(power, c)| c * scaled(t).powi(power)).sum()
    };
    runs.iter()
        .map(|run| (drift(run.along_at) - drift(run.against_at)) / 2.0)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs of ten minutes each in a tide of this period, s, the boat at 2 m/s; with what their means hold of it.
    fn tide(count: usize, period: f64) -> (Vec<DriftSeen>, Vec<f64>) {
        let at = |t: f64| 0.4 * (std::f64::consts::TAU * t / period + 0.7).sin();
        (0..count)
            .map(|n| {
                let start = 600.0 * n as f64;
                let (along_at, against_at) = (start + 150.0, start + 450.0);
                let (along, against) = (2.0 + at(along_at), 2.0 - at(against_at));
                let seen = DriftSeen {
                    line: 0,
                    setting: n / 3 % 2,
                    half_difference: (along - against) / 2.0 + 0.1 * (n / 3 % 2) as f64,
                    along_at,
                    against_at,
                };
                (seen, f64::midpoint(along, against) - 2.0)
            })
            .unzip()
    }

    #[test]
    fn what_a_tide_leaves_in_the_means_is_found() {
        let (runs, truth) = tide(24, 44_700.0);
        assert!(truth.iter().any(|left| left.abs() > 0.005));
        for (found, left) in left_in(&runs).iter().zip(&truth) {
            assert!((found - left).abs() < 0.0012, "{found} {left}");
        }
    }

    #[test]
    fn a_steady_drift_and_few_runs_leave_nothing() {
        let (runs, _) = tide(12, 1e12);
        assert!(left_in(&runs).iter().all(|shift| shift.abs() < 1e-9));
        let (few, _) = tide(5, 44_700.0);
        assert_eq!(left_in(&few), [0.0; 5]);
        assert_eq!(left_in(&[]), Vec::<f64>::new());
    }

    #[test]
    fn runs_at_one_time_are_let_be() {
        let (mut runs, _) = tide(8, 44_700.0);
        for run in &mut runs {
            (run.along_at, run.against_at) = (100.0, 400.0);
        }
        assert_eq!(left_in(&runs), [0.0; 8]);
    }
}
