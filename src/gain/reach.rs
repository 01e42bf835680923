//! How long and how far a charge lasts.
//!
//! `hours = usable energy / power`, `distance = speed · usable energy / power`. The usable share is the
//! person's own statement: what a battery may give depends on its kind, age and cold, and nothing is
//! assumed. Power is taken to be what was drawn on the day at that setting, with and against the wind.

use super::draw::Drawn;
use super::estimate::{Cell, LogEstimate, product};
use super::home::home;
use super::known::Known;
use super::result::{CellReach, Ranged, Reach};
use crate::notes::BatteryNote;

/// Seconds in an hour: 1 W h is 3600 J (NIST SP 811, B.8).
const HOUR_S: f64 = 3600.0;

pub(super) fn reach(known: &Known<'_>, drawn: &Drawn) -> Reach {
    let battery = known.noted.notes.energy.battery;
    let rated_j = battery
        .and_then(BatteryNote::rated_wh)
        .map(|wh| wh * HOUR_S);
    let usable_share = battery.and_then(|b| b.usable);
    let usable_j = rated_j.zip(usable_share).map(|(j, share)| j * share);
    let cells = drawn.cells();
    let reason = match (battery, usable_share) {
        (None, _) => Some(
            "How long and how far a charge lasts takes a [battery] in the notes, with its capacity and the share you let it give: `usable = \"80 %\"`.",
        ),
        (Some(_), _) if rated_j.is_none() => Some(
            "The notes state the battery’s volts and not what it holds, so how long and how far a charge lasts is not known. Add `amp_hours = 100` and `usable = \"80 %\"` under [battery].",
        ),
        (Some(_), None) => Some(
            "The usable share of the battery is not stated, and none is assumed: it depends on its kind, its age and the cold. Add `usable = \"80 %\"` or what its maker says under [battery].",
        ),
        (Some(_), Some(_)) if cells.is_empty() => {
            Some("How long a charge lasts takes the draw of the motor, which was not read.")
        }
        _ => None,
    };
    let of_cell = |cell: &Cell| Some(cell_reach(known, *cell, usable_j?, drawn.power(*cell)?));
    Reach {
        rated_j,
        usable_share,
        usable_j,
        used_j: drawn.used_j,
        trial_taken_off: false,
        cells: cells.iter().filter_map(of_cell).collect(),
        home: home(known, drawn, usable_j),
        reason: reason.map(str::to_owned),
    }
}

fn cell_reach(known: &Known<'_>, cell: Cell, usable_j: f64, power: LogEstimate) -> CellReach {
    let calm = known
        .posterior
        .and_then(|p| LogEstimate::of(p, &p.calm(cell.0, cell.1)?));
    let far = |speed: Option<LogEstimate>| {
        speed.map_or_else(Ranged::default, |speed| {
            product(usable_j, &[(1.0, speed), (-1.0, power)])
        })
    };
    CellReach {
        configuration: known.configuration(cell.0),
        setting: known.setting(cell.1),
        time_s: product(usable_j, &[(-1.0, power)]),
        calm_m: far(calm),
        against_m: far(known.one_way(cell, -1.0)),
        with_m: far(known.one_way(cell, 1.0)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// 1024 Wh (100 Ah at 12.8 V, 80 %) at 256 W: 4 h, and at 1.5 m/s 21.6 km; a product of units only.
    #[test]
    fn a_charge_lasts_as_long_as_its_energy() {
        let usable = 1024.0 * HOUR_S;
        let log = |v: f64| LogEstimate {
            value: v.ln(),
            low: v.ln() - 0.02,
            high: v.ln() + 0.02,
            few: false,
        };
        let (power, speed) = (log(256.0), log(1.5));
        let hours = product(usable, &[(-1.0, power)]).value.unwrap() / HOUR_S;
        assert!((hours - 4.0).abs() < 1e-9);
        let far = product(usable, &[(1.0, speed), (-1.0, power)]);
        assert!((far.value.unwrap() - 21_600.0).abs() < 1e-6);
        assert!(far.low.unwrap() < 21_600.0 && far.high.unwrap() > 21_600.0);
        let home = product(21_600.0, &[(1.0, power), (-1.0, speed)]);
        assert!((home.value.unwrap() - usable).abs() < 1.0);
    }
}
