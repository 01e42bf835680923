//! The speed in a calm, or why it is refused.

use super::known::Known;
use super::result::{Calm, CalmSpeed, InWind};
use crate::trial::buys::Ranged;
use crate::trial::gauge::{NotGauged, calm_speeds};
use crate::units::{Bearing, SpeedUnit};

/// Round winds in the unit shown, as people speak of them.
fn winds(unit: SpeedUnit) -> [f64; 2] {
    let in_unit = match unit {
        SpeedUnit::Knots | SpeedUnit::MilesPerHour => [5.0, 10.0],
        SpeedUnit::KilometresPerHour => [10.0, 20.0],
        SpeedUnit::MetresPerSecond => [2.5, 5.0],
    };
    in_unit.map(|v| v * unit.metres_per_second())
}

const ASSUMPTION: &str = "It takes for granted that what the two directions differ by is the wind's doing and not a current's, that thrust stays the same at one setting, that the drags of hull and air go with the square of speed, and that waves and leeway cost nothing.";

pub(super) fn calm(known: &Known<'_>) -> Calm {
    let refused = |reason: &str| Calm {
        cells: None,
        reason: Some(reason.to_owned()),
        assumption: None,
    };
    let gauge = &known.analysis.gauge;
    if !gauge.supported {
        return refused(
            gauge
                .reason
                .as_deref()
                .unwrap_or("there are no double runs to tell it from"),
        );
    }
    let from = known.analysis.wind.from_deg.and_then(Bearing::new);
    let winds = winds(known.analysis.units);
    let runs = known.counted.gauged(from);
    let found = match calm_speeds(&runs, &winds, known.level(), &known.asked.rules.gauge) {
        Ok(found) => found,
        Err(NotGauged::TooFew) => return refused("there are too few double runs"),
        Err(_) => return refused("no wind explains how much the two directions differ"),
    };
    let cells = found
        .into_iter()
        .map(|cell| CalmSpeed {
            configuration: known.configuration(cell.configuration),
            setting: known.setting(cell.setting),
            double_runs: cell.runs,
            calm_m_s: Ranged::raised(cell.calm),
            winds: winds
                .iter()
                .zip(cell.against.iter().zip(&cell.with))
                .map(|(wind, (against, with))| InWind {
                    wind_m_s: *wind,
                    against_m_s: against.map_or_else(Ranged::default, Ranged::raised),
                    with_m_s: with.map_or_else(Ranged::default, Ranged::raised),
                })
                .collect(),
        })
        .collect();
    Calm {
        cells: Some(cells),
        reason: None,
        assumption: Some(ASSUMPTION.to_owned()),
    }
}
