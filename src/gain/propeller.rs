//! Slip of the propeller, and the cube-law check.
//!
//! Apparent slip is `(pitch speed - boat speed) / pitch speed`, pitch speed being the pitch times the
//! turns; "apparent" because the boat's speed takes the place of that of the water at the propeller.
//! It may be negative, and is not cut at zero.

use super::draw::Drawn;
use super::estimate::Cell;
use super::known::Known;
use super::power::exponent;
use super::result::{CellSlip, CubeLaw, Propeller, Ranged};
use crate::notes::ConfigurationNote;
use crate::stats::summary::mean;

pub(super) fn propeller(known: &Known<'_>, drawn: &Drawn) -> Propeller {
    let mut noted = known.noted.notes.configurations.iter();
    let cells: Vec<CellSlip> = (known.cells().into_iter())
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

/// Apparent slip, as a share of the pitch speed; `None` where the propeller does not turn or has no
/// pitch.
fn slip(pitch_m: f64, rpm: f64, speed_m_s: f64) -> Option<f64> {
    let pitch_speed = pitch_m * rpm / 60.0;
    let slip = 1.0 - speed_m_s / pitch_speed;
    (pitch_speed > 0.0 && slip.is_finite()).then_some(slip)
}

fn slip_of(known: &Known<'_>, cell: Cell) -> Option<CellSlip> {
    let (configuration, setting) = (known.configuration(cell.0), known.setting(cell.1));
    let own = |note: &&ConfigurationNote| note.name == configuration;
    let mut noted = known.noted.notes.configurations.iter().filter(own);
    let pitch_m = noted.find_map(|note| note.pitch_m)?;
    let turns: Vec<f64> = (known.noted.notes.energy.readings.iter())
        .filter(|r| r.configuration == configuration && r.setting == setting)
        .filter_map(|r| r.rpm)
        .collect();
    let rpm = mean(&turns)?;
    let speed = known.speed(cell)?;
    let percent = |log: f64| slip(pitch_m, rpm, log.exp()).map(|share| 100.0 * share);
    Some(CellSlip {
        configuration,
        setting,
        pitch_m,
        rpm,
        pitch_speed_m_s: pitch_m * rpm / 60.0,
        slip_percent: Ranged {
            value: percent(speed.value),
            // The faster the boat, the less the slip.
            low: percent(speed.high),
            high: percent(speed.low),
        },
    })
}

fn cube_law(known: &Known<'_>, drawn: &Drawn) -> Vec<CubeLaw> {
    let cube = known.rules.exponent;
    (0..known.configurations.len())
        .filter_map(|configuration| {
            let exponent = exponent(known, drawn, &[configuration])?;
            Some(CubeLaw {
                configuration: known.configuration(configuration),
                exponent: exponent.ranged(),
                cube: exponent.interval().contains(cube),
            })
        })
        .collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// United States Coast Guard deck examination questions, by the nautical mile of 1852 m: pitch
    /// 19.0 ft, 44 turns a minute, 183.5 miles in 24 h, 7.38 %; and a ship faster than her
    /// propeller, 115 200 turns of 20 ft against 404.16 miles observed, -6.585 %.
    #[test]
    fn slip_is_that_of_the_examination() {
        let found = slip(19.0 * 0.3048, 44.0, 183.5 * 1852.0 / 86_400.0).unwrap();
        assert!((100.0 * found - 7.382).abs() < 0.001);
        let turns_a_minute = 115_200.0 / 1440.0;
        let speed = 404.16 * 1852.0 / 86_400.0;
        let found = slip(20.0 * 0.3048, turns_a_minute, speed).unwrap();
        assert!((100.0 * found + 6.585).abs() < 0.001, "{found}");
        assert_eq!(slip(0.25, 0.0, 1.0), None);
    }

    /// Inches times turns a minute over 1215.2231 are knots (1852/0.0254/60, exact).
    #[test]
    fn pitch_speed_in_knots() {
        let knots = 10.0 * 1000.0 / 1_215.223_097;
        let at_pitch_speed = slip(0.254, 1000.0, knots * 1852.0 / 3600.0).unwrap();
        assert!(at_pitch_speed.abs() < 1e-9);
    }
}
