//! The speed in a calm on a day without a wind to speak of.
//!
//! Where the two directions differ too little to tell a wind, the mean of both is near the speed in a
//! calm. How near depends on the wind that the half differences leave room for: one straight along the
//! line shows in them at once, one across it slows both directions alike and does not. So every wind up
//! to the most that can have blown is tried, from every side and with every windage; each weighs by how
//! well it agrees with the half differences, and what they leave open widens the interval.

use super::calm::averaged;
use super::tried::within;
use super::{CalmCell, GaugeRules, GaugedRun, NotGauged, cells_of, of_cell, own_scatter};
use crate::stats::summary::{mean, sum_of_squares};
use crate::trial::balance::Windage;

/// Windages tried, evenly spaced in the logarithm over two and a half standard deviations to either side.
const WINDAGES: usize = 15;
/// Winds tried, from none to the most.
const WINDS: usize = 9;
/// Angles off the line tried, from along to across.
const ANGLES: usize = 7;

/// The calm speed of every cell, and its speed against and with each of `winds` (m/s) along its course,
/// where no more than `most_wind` (m/s) can have blown.
///
/// # Errors
/// [`NotGauged::TooFew`] where no cell holds two runs, [`NotGauged::NoWindExplains`] where no wind can be
/// weighed against the two directions.
pub fn still_speeds(
    runs: &[GaugedRun],
    winds: &[f64],
    most_wind: f64,
    level: f64,
    rules: &GaugeRules,
) -> Result<Vec<CalmCell>, NotGauged> {
    let cells = cells_of(runs);
    let df = runs.len() as f64 - cells.len() as f64;
    if df < 1.0 {
        return Err(NotGauged::TooFew);
    }
    let logs: Vec<f64> = runs.iter().map(|run| run.mean().ln()).collect();
    let own = own_scatter(runs).unwrap_or(0.0);
    let scatter = (within(runs, &logs) / df).sqrt().max(own);
    let seen: Vec<Seen> = cells
        .iter()
        .filter_map(|cell| Seen::of(runs, &logs, *cell))
        .collect();
    let error = halves_error(runs, df, own);
    let tried = tried(&seen, most_wind, error, rules).ok_or(NotGauged::NoWindExplains)?;
    let estimate = |place: usize, in_wind: Option<(f64, f64)>| {
        let cell = seen.get(place)?;
        let noise = scatter * scatter / cell.runs as f64;
        let each: Vec<(f64, f64, f64)> = tried
            .iter()
            .map(|t| {
                let calm = cell.log + t.raised.get(place)?;
                let value = match in_wind {
                    None => calm,
                    Some((wind, towards)) => {
                        let drive = calm.exp() * (1.0 + t.windage.ratio).sqrt();
                        let speed = t.windage.speed(drive, wind, towards)?;
                        (speed > 0.0).then(|| speed.ln())?
                    }
                };
                Some((t.weight, value, noise))
            })
            .collect::<Option<_>>()?;
        averaged(&each, df, level)
    };
    Ok(seen
        .iter()
        .enumerate()
        .filter_map(|(place, cell)| {
            let along = |towards: f64| -> Vec<_> {
                winds
                    .iter()
                    .map(|wind| estimate(place, Some((*wind, towards))))
                    .collect()
            };
            Some(CalmCell {
                configuration: cell.cell.0,
                setting: cell.cell.1,
                runs: cell.runs,
                calm: estimate(place, None)?,
                against: along(1.0),
                with: along(-1.0),
            })
        })
        .collect())
}

/// What was seen of one cell.
struct Seen {
    cell: (usize, usize),
    runs: usize,
    /// Mean logarithm of the runs' mean speeds.
    log: f64,
    /// Mean half difference, m/s.
    half: f64,
}

impl Seen {
    fn of(runs: &[GaugedRun], logs: &[f64], cell: (usize, usize)) -> Option<Self> {
        let halves: Vec<f64> = runs.iter().map(GaugedRun::half_difference).collect();
        let own = of_cell(runs, &halves, cell);
        Some(Self {
            cell,
            runs: own.len(),
            log: mean(&of_cell(runs, logs, cell))?,
            half: mean(&own)?,
        })
    }
}

/// Standard error of one run's half difference as a wind's doing, as a share of its speed: from the legs'
/// own errors, or from how the half differences scatter or what they are on average where that is more.
fn halves_error(runs: &[GaugedRun], df: f64, own: f64) -> f64 {
    let shares: Vec<f64> = runs
        .iter()
        .map(|run| run.half_difference() / run.mean())
        .collect();
    let scatter: f64 = cells_of(runs)
        .into_iter()
        .filter_map(|cell| sum_of_squares(&of_cell(runs, &shares, cell)))
        .sum();
    // A current may have made all of what the two directions differ by.
    (scatter / df).sqrt().max(own).max(usual_share(runs).abs())
}

/// Mean half difference as a share of the speed.
pub(super) fn usual_share(runs: &[GaugedRun]) -> f64 {
    let sum: f64 = (runs.iter())
        .map(|run| run.half_difference() / run.mean())
        .sum();
    sum / runs.len().max(1) as f64
}

/// A wind and a windage that may have been.
struct Tried {
    windage: Windage,
    /// Of 1.
    weight: f64,
    /// By how much, as a logarithm, the calm speed lies above the mean of both directions, per cell.
    raised: Vec<f64>,
}

fn tried(seen: &[Seen], most: f64, error: f64, rules: &GaugeRules) -> Option<Vec<Tried>> {
    let mut out = Vec::new();
    for (step, angle, wind) in (0..WINDAGES)
        .flat_map(|s| (0..ANGLES).flat_map(move |a| (0..WINDS).map(move |w| (s, a, w))))
    {
        let sds = 5.0 * step as f64 / (WINDAGES - 1) as f64 - 2.5;
        let windage = Windage {
            ratio: rules.windage * (sds * rules.windage_log_sd).exp(),
            off_line_deg: 90.0 * angle as f64 / (ANGLES - 1) as f64,
        };
        let wind = most * wind as f64 / (WINDS - 1) as f64;
        // From either end of the line.
        let (mut ahead, mut astern) = (0.0, 0.0);
        let mut raised = Vec::new();
        for cell in seen {
            let speed = cell.log.exp();
            // The ratio hardly depends on the drive, so that which gives the mean in a calm will do.
            let drive = speed * (1.0 + windage.ratio).sqrt();
            let against = windage.speed(drive, wind, 1.0)?;
            let with = windage.speed(drive, wind, -1.0)?;
            raised.push((speed / f64::midpoint(against, with)).ln());
            let half = (with - against) / 2.0 * speed / f64::midpoint(against, with);
            let sd = error * speed / (cell.runs as f64).sqrt();
            ahead += ((cell.half - half) / sd).powi(2);
            astern += ((cell.half + half) / sd).powi(2);
        }
        let agreement = (-0.5 * ahead).exp() + (-0.5 * astern).exp();
        out.push(Tried {
            windage,
            weight: agreement * (-0.5 * sds * sds).exp(),
            raised,
        });
    }
    let total: f64 = out.iter().map(|t| t.weight).sum();
    let explained = total > 0.0 && total.is_finite();
    for t in &mut out {
        t.weight /= total;
    }
    explained.then_some(out)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::units::Bearing;

    fn runs(halves: [f64; 6]) -> Vec<GaugedRun> {
        let wobbles = [0.004, -0.003, -0.001, 0.002, -0.004, 0.002];
        halves
            .iter()
            .zip(wobbles)
            .enumerate()
            .map(|(place, (half, wobble))| GaugedRun {
                configuration: place / 3,
                setting: 0,
                along: 1.5 * (1.0 + wobble) + half,
                against: 1.5 * (1.0 + wobble) - half,
                se: Some(0.004),
                axis: Bearing::new(10.0).unwrap(),
                off_line_deg: 0.0,
            })
            .collect()
    }

    const NONE: [f64; 6] = [0.003, -0.002, 0.004, -0.003, 0.001, -0.002];

    #[test]
    fn without_wind_the_mean_is_the_calm_speed() {
        let found = still_speeds(&runs(NONE), &[2.5], 0.0, 0.95, &GaugeRules::default()).unwrap();
        assert_eq!(found.len(), 2);
        for cell in &found {
            assert!(
                (cell.calm.value.exp() / 1.5 - 1.0).abs() < 0.002,
                "{cell:?}"
            );
            assert!(cell.against[0].unwrap().value < cell.calm.value);
            assert!(cell.with[0].unwrap().value > cell.calm.value);
        }
    }

    /// A wind that may have blown across raises the figure and widens the interval.
    #[test]
    fn what_may_have_blown_across_is_allowed_for() {
        let rules = GaugeRules::default();
        let [none, some] =
            [0.0, 4.0].map(|most| still_speeds(&runs(NONE), &[], most, 0.95, &rules).unwrap());
        let width = |cells: &[CalmCell]| cells[0].calm.high - cells[0].calm.low;
        assert!(some[0].calm.value > none[0].calm.value);
        assert!(width(&some) > width(&none));
        // 4 m/s square across a boat of windage 0.02 costs it 1.7 % at 1.5 m/s.
        assert!(some[0].calm.high > none[0].calm.value + 0.017);
    }

    #[test]
    fn too_few_runs_are_refused() {
        let rules = GaugeRules::default();
        assert_eq!(
            still_speeds(&[], &[], 0.5, 0.95, &rules),
            Err(NotGauged::TooFew)
        );
        let one_each = [runs(NONE)[0], runs(NONE)[3]];
        assert_eq!(
            still_speeds(&one_each, &[], 0.5, 0.95, &rules),
            Err(NotGauged::TooFew)
        );
    }
}
