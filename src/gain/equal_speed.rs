//! Which setting of the new part gives the speed of the old one.
//!
//! The monotone curve through the corrected speeds of a configuration, in logarithms of setting
//! and speed, is read backwards (Fritsch & Carlson 1980, see [`crate::stats::monotone`]); with two
//! settings it is a power law. The interval is that of the difference between the curve at the
//! answer and the baseline's speed, a contrast of the comparison; how the true curve runs between
//! the settings is not in it. Nothing is said outside the settings that were run.

use super::estimate::{Cell, LogEstimate};
use super::known::Known;
use super::result::{Curve, CurvePoint, EqualSetting, EqualSpeed, Ranged};
use crate::compare::{Contrast, Posterior};
use crate::stats::monotone::{MonotoneCurve, monotone_curve};

/// Speed against setting of one configuration.
struct SpeedCurve {
    configuration: usize,
    /// Cells of different settings, by rising percent.
    cells: Vec<Cell>,
    /// Logarithms of percent and of speed, m/s.
    percents: Vec<f64>,
    speeds: Vec<f64>,
    curve: MonotoneCurve,
}

impl SpeedCurve {
    fn of(known: &Known<'_>, configuration: usize) -> Option<Self> {
        let own = known.cells().into_iter().filter(|c| c.0 == configuration);
        let mut points: Vec<(f64, f64, Cell)> = own
            .filter_map(|cell| {
                let percent = known.percents.get(cell.1).copied().flatten()?;
                Some((percent.ln(), known.speed(cell)?.value, cell))
            })
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points.dedup_by(|a, b| a.0.total_cmp(&b.0).is_eq());
        let percents: Vec<f64> = points.iter().map(|p| p.0).collect();
        let speeds: Vec<f64> = points.iter().map(|p| p.1).collect();
        Some(Self {
            configuration,
            cells: points.iter().map(|p| p.2).collect(),
            curve: monotone_curve(&percents, &speeds)?,
            percents,
            speeds,
        })
    }

    /// How far the curve at `x` moves with each of its speeds.
    fn weights(&self, x: f64) -> Option<Vec<f64>> {
        /// Step of the differences, in logarithms of speed: small beside any gain.
        const STEP: f64 = 1e-5;
        let here = self.curve.at(x)?;
        let moved = |place: usize| {
            let mut speeds = self.speeds.clone();
            *speeds.get_mut(place)? += STEP;
            Some((monotone_curve(&self.percents, &speeds)?.at(x)? - here) / STEP)
        };
        (0..self.speeds.len()).map(moved).collect()
    }

    /// The percent that gives the speed of `cell`; no value where it lies outside the settings run
    /// and an end of the interval within. Or why there is neither, a clause.
    fn reading(&self, posterior: &Posterior, cell: Cell) -> Result<Ranged, &'static str> {
        const FLAT: &str = "the speed does not rise with the setting";
        let found = || -> Option<(f64, Option<f64>, [Option<f64>; 2])> {
            let old = posterior.level(cell.0, cell.1)?;
            let wanted = LogEstimate::of(posterior, &old)?.value;
            let value = self.curve.inverse(wanted);
            let end = if wanted < *self.speeds.first()? {
                self.percents.first()?
            } else {
                self.percents.last()?
            };
            let weights = self.weights(value.unwrap_or(*end))?;
            let level = |(weight, (j, k)): (f64, &Cell)| Some((weight, posterior.level(*j, *k)?));
            let parts: Option<Vec<_>> = weights.into_iter().zip(&self.cells).map(level).collect();
            let apart = LogEstimate::of(posterior, &Contrast::sum(&parts?).minus(&old))?;
            let bounds = [apart.value - apart.high, apart.value - apart.low];
            Some((
                wanted,
                value,
                bounds.map(|by| self.curve.inverse(wanted + by)),
            ))
        };
        // Only a curve that rises all along has its own ends again.
        let rises = self.speeds.is_sorted_by(|a, b| a < b);
        let (wanted, value, [low, high]) = found().filter(|_| rises).ok_or(FLAT)?;
        let is_below = self.speeds.first().is_some_and(|v| wanted < *v);
        match (value, low, high) {
            (None, None, None) => Err(if is_below {
                "the new part is faster than that at its lowest setting run; run a lower one"
            } else {
                "the new part does not reach that speed at its highest setting run"
            }),
            _ => Ok(Ranged { value, low, high }.map(f64::exp)),
        }
    }
}

pub(super) fn equal_speed(known: &Known<'_>) -> EqualSpeed {
    let percents = &known.percents;
    let curves: Vec<SpeedCurve> = (0..known.configurations.len())
        .filter_map(|configuration| SpeedCurve::of(known, configuration))
        .collect();
    let settings: Vec<EqualSetting> = (curves.iter())
        .filter(|curve| curve.configuration != known.baseline())
        .flat_map(|curve| {
            let baseline = known
                .cells()
                .into_iter()
                .filter(|cell| cell.0 == known.baseline());
            baseline.filter_map(|cell| equal_setting(known, curve, cell))
        })
        .collect();
    let reason = if !settings.is_empty() {
        None
    } else if percents.iter().flatten().count() < 2 {
        Some(
            "Which setting of the new part gives the old one's speed takes two settings or more whose percent is in the notes: `percent = 50` under [[setting]].",
        )
    } else {
        Some("No changed configuration was run at two settings of known percent.")
    };
    EqualSpeed {
        curves: curves.iter().map(|curve| drawn(known, curve)).collect(),
        settings,
        reason: reason.map(str::to_owned),
    }
}

fn equal_setting(known: &Known<'_>, curve: &SpeedCurve, cell: Cell) -> Option<EqualSetting> {
    let found = curve.reading(known.posterior?, cell);
    Some(EqualSetting {
        baseline: known.configuration(cell.0),
        changed: known.configuration(curve.configuration),
        setting: known.setting(cell.1),
        percent: known.percents.get(cell.1).copied().flatten()?,
        speed_m_s: known.speed(cell)?.value.exp(),
        changed_percent: found.unwrap_or_default(),
        reason: found.err().map(str::to_owned),
    })
}

/// The curve as it is drawn.
fn drawn(known: &Known<'_>, curve: &SpeedCurve) -> Curve {
    let point = |cell: &Cell| {
        Some(CurvePoint {
            percent: known.percents.get(cell.1).copied().flatten()?,
            speed_m_s: known.speed(*cell)?.raised(),
        })
    };
    Curve {
        configuration: known.configuration(curve.configuration),
        points: curve.cells.iter().filter_map(point).collect(),
    }
}
