//! How long and how far a charge lasts, by names.

use super::draw::Drawn;
use super::home::home;
use super::known::Known;
use super::result::{Calm, CellReach, Ranged, Reach};
use crate::notes::BatteryNote;
use crate::stats::interval::{Estimate, Interval};
use crate::trial::buys::draw::cell_log;
use crate::trial::buys::reach;
use crate::trial::compare::{cells, of_runs};

/// Seconds in an hour: 1 W h is 3600 J (NIST SP 811, B.8).
const HOUR_S: f64 = 3600.0;

/// A cell's power and speeds as estimates of their logarithms.
pub(super) struct CellRun {
    pub(super) cell: (usize, usize),
    pub(super) power: Estimate,
    /// In a calm.
    pub(super) calm: Option<Estimate>,
    /// In the slower direction.
    pub(super) against: Option<Estimate>,
    /// In the faster one.
    pub(super) with: Option<Estimate>,
}

pub(super) fn reach(known: &Known<'_>, drawn: &Drawn, calm: &Calm) -> Reach {
    let battery = known.noted.notes.energy.battery;
    let rated_j = battery
        .and_then(BatteryNote::rated_wh)
        .map(|wh| wh * HOUR_S);
    let usable_share = battery.and_then(|b| b.usable);
    let usable_j = rated_j.zip(usable_share).map(|(j, share)| j * share);
    let runs = cell_runs(known, drawn, calm);
    let reason = match (battery, usable_share) {
        (None, _) => Some(
            "How long and how far a charge lasts takes a [battery] in the notes, with its capacity and the share you let it give: `usable = \"80 %\"`.",
        ),
        (Some(_), _) if rated_j.is_none() => Some(
            "The notes state the battery’s volts and not what it holds, so how long and how far a charge lasts is not told. Add `amp_hours = 100` and `usable = \"80 %\"` under [battery].",
        ),
        (Some(_), None) => Some(
            "The usable share of the battery is not stated, and none is assumed: it depends on its kind, its age and the cold. Add `usable = \"80 %\"` or what its maker says under [battery].",
        ),
        (Some(_), Some(_)) if runs.is_empty() => {
            Some("How long a charge lasts takes the draw of the motor, which was not read.")
        }
        _ => None,
    };
    let level = known.level();
    let cells = usable_j
        .map(|usable| {
            runs.iter()
                .map(|run| {
                    let far = |speed: Option<Estimate>| {
                        speed
                            .and_then(|speed| reach::reach(usable, run.power, speed, level))
                            .unwrap_or_default()
                    };
                    CellReach {
                        configuration: known.configuration(run.cell.0),
                        setting: known.setting(run.cell.1),
                        time_s: reach::endurance(usable, run.power, level).unwrap_or_default(),
                        calm_m: far(run.calm),
                        against_m: far(run.against),
                        with_m: far(run.with),
                    }
                })
                .collect()
        })
        .unwrap_or_default();
    Reach {
        rated_j,
        usable_share,
        usable_j,
        cells,
        home: home(known, &runs, usable_j),
        reason: reason.map(str::to_owned),
    }
}

fn cell_runs(known: &Known<'_>, drawn: &Drawn, calm: &Calm) -> Vec<CellRun> {
    cells(of_runs(&drawn.watts))
        .into_iter()
        .filter_map(|cell| {
            let power = cell_log(&drawn.watts, cell, known.level())?;
            let mean = known.speed_log(cell);
            let half = known.half_difference(cell);
            let aside = |sign: f64| -> Option<Estimate> {
                let (mean, half) = (mean?, half?);
                let speed = mean.value.exp() + sign * half;
                (speed > 0.0)
                    .then(|| Estimate::new(speed.ln(), mean.se, mean.df, known.level()))
                    .flatten()
            };
            let (configuration, setting) = (known.configuration(cell.0), known.setting(cell.1));
            let in_calm = calm
                .cells
                .iter()
                .flatten()
                .find(|c| c.configuration == configuration && c.setting == setting);
            Some(CellRun {
                cell,
                power,
                calm: in_calm.and_then(|c| log_of(c.calm_m_s, known.level())),
                against: aside(-1.0),
                with: aside(1.0),
            })
        })
        .collect()
}

/// Back from a raised value and interval to the estimate of the logarithm; its t is spent, so the normal stands in.
fn log_of(ranged: Ranged, level: f64) -> Option<Estimate> {
    let Interval { low, high } = ranged.interval()?;
    let z = crate::stats::distribution::t_critical(level, f64::INFINITY)?;
    let se = (high / low).ln() / (2.0 * z);
    Estimate::new(ranged.value?.ln(), se, f64::INFINITY, level)
}
