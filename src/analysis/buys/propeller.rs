//! Slip and the cube law, by names.

use super::draw::Drawn;
use super::known::Known;
use super::result::{CellSlip, CubeLaw, Propeller, Ranged};
use crate::notes::ConfigurationNote;
use crate::stats::summary::mean;
use crate::trial::buys::propeller::{power_exponent, slip, slip_range};
use crate::trial::compare::RunSpeed;

/// What the cube law says.
const CUBE: f64 = 3.0;

pub(super) fn propeller(known: &Known<'_>, drawn: &Drawn) -> Propeller {
    let mut noted = known.noted.notes.configurations.iter();
    let cells: Vec<CellSlip> = known
        .cells()
        .into_iter()
        .filter_map(|cell| slip_of(known, cell))
        .collect();
    let reason = if !cells.is_empty() {
        None
    } else if noted.all(|note| note.pitch_m.is_none()) {
        Some(
            "Slip takes the pitch of the propeller in the notes: `pitch = \"10 in\"` under [[configuration]].",
        )
    } else {
        Some(
            "Slip takes the speed of the propeller's shaft: `rpm = 900` in a [[reading]] of the notes.",
        )
    };
    Propeller {
        cells,
        cube_law: cube_law(known, drawn),
        reason: reason.map(str::to_owned),
    }
}

fn slip_of(known: &Known<'_>, cell: (usize, usize)) -> Option<CellSlip> {
    let energy = &known.noted.notes.energy;
    let (configuration, setting) = (known.configuration(cell.0), known.setting(cell.1));
    let own = |note: &&ConfigurationNote| note.name == configuration;
    let mut noted = known.noted.notes.configurations.iter().filter(own);
    let pitch_m = noted.find_map(|note| note.pitch_m)?;
    let turns: Vec<f64> = energy
        .readings
        .iter()
        .filter(|r| r.configuration == configuration && r.setting == setting)
        .filter_map(|r| r.rpm)
        .collect();
    let rpm = mean(&turns)?;
    let slip_percent = known.speed_log(cell).map_or_else(
        || {
            let own = |r: &&RunSpeed| (r.configuration, r.setting) == cell;
            let speed = known.counted.speeds.iter().find(own).map(|r| r.mean);
            speed
                .and_then(|v| slip(pitch_m, rpm, v))
                .map_or_else(Ranged::default, Ranged::bare)
        },
        |speed| slip_range(pitch_m, rpm, speed),
    );
    Some(CellSlip {
        configuration,
        setting,
        pitch_m,
        rpm,
        pitch_speed_m_s: pitch_m * rpm / 60.0,
        slip_percent: slip_percent.map(|share| 100.0 * share),
    })
}

fn cube_law(known: &Known<'_>, drawn: &Drawn) -> Vec<CubeLaw> {
    (0..known.counted.assigned.configurations.len())
        .filter_map(|configuration| {
            let (watts, speeds): (Vec<f64>, Vec<f64>) = drawn
                .watts
                .iter()
                .zip(&drawn.speeds)
                .filter(|(w, _)| w.configuration == configuration)
                .map(|(w, v)| (w.mean, *v))
                .unzip();
            let exponent = power_exponent(&speeds, &watts, known.level())?;
            Some(CubeLaw {
                configuration: known.configuration(configuration),
                exponent,
                cube: exponent.interval()?.contains(CUBE),
            })
        })
        .collect()
}
