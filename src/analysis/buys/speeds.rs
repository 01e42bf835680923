//! The speed in a calm, or why it is refused.

use super::known::Known;
use super::result::{Calm, CalmSpeed, InWind};
use crate::analysis::IdleDrift;
use crate::trial::buys::Ranged;
use crate::trial::gauge::{
    CalmCell, GaugedRun, NotGauged, calm_speeds, hardly_differ, still_speeds,
};
use crate::units::{Bearing, Speed, SpeedUnit};

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
    let from = known.analysis.wind.from_deg.and_then(Bearing::new);
    let winds = winds(known.analysis.units);
    let runs = known.counted.gauged(from);
    if !gauge.supported {
        if hardly_differ(&runs, &known.asked.rules.gauge) {
            return without_wind(known, &runs, &winds).unwrap_or_else(refused);
        }
        return refused(
            gauge
                .reason
                .as_deref()
                .unwrap_or("there are no double runs to tell it from"),
        );
    }
    let found = match calm_speeds(&runs, &winds, known.level(), &known.asked.rules.gauge) {
        Ok(found) => found,
        Err(NotGauged::TooFew) => return refused("there are too few double runs"),
        Err(_) => return refused("no wind explains how much the two directions differ"),
    };
    told(known, found, &winds, ASSUMPTION.to_owned())
}

/// Where the two directions differ too little to tell a wind: near the mean of both.
fn without_wind(
    known: &Known<'_>,
    runs: &[GaugedRun],
    winds: &[f64],
) -> Result<Calm, &'static str> {
    let most = most_wind(known).ok_or(
        "the two directions hardly differ, so no wind blew along the line, but one across it would not show in them and slows both alike; note the wind’s speed (`speed = \"0 kn\"` under [wind] in a calm), or let the boat drift idle for five minutes",
    )?;
    let found = still_speeds(runs, winds, most, known.level(), &known.asked.rules.gauge);
    let found = found.map_err(|why| match why {
        NotGauged::TooFew => "no setting was run twice with one configuration",
        _ => "no wind explains how much the two directions differ",
    })?;
    let unit = known.analysis.units;
    let shown = Speed::metres_per_second(most).in_unit(unit);
    let assumption = format!(
        "The two directions hardly differ, so the speed in a calm is told as near the mean of both: the interval allows for any wind of up to {shown:.1} {unit} that they leave room for, above all one across the line. It takes for granted that thrust stays the same at one setting and that no current hid a wind.",
    );
    Ok(told(known, found, winds, assumption))
}

/// The most wind there can have been, m/s: by what was stated, or by how fast the boat drifted idle.
fn most_wind(known: &Known<'_>) -> Option<f64> {
    let rules = &known.asked.rules.gauge;
    let stated = known.analysis.wind.speed_m_s.map(|v| v + rules.by_eye_m_s);
    let by_drift = usual_drift(&known.analysis.idle).map(|drift| drift / rules.least_idle_share);
    match (stated, by_drift) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// How fast the boat drifted in the longest time it lay idle, m/s: in a shorter one it may still have carried way.
fn usual_drift(idle: &[IdleDrift]) -> Option<f64> {
    idle.iter()
        .max_by_key(|d| d.end.duration_since(d.start))
        .map(|d| d.speed_m_s)
}

fn told(known: &Known<'_>, found: Vec<CalmCell>, winds: &[f64], assumption: String) -> Calm {
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
        assumption: Some(assumption),
    }
}
