//! The speed in a calm, and against and with a wind.

use super::estimate::{Cell, LogEstimate};
use super::known::Known;
use super::result::{Calm, CalmSpeed, InWind, Ranged};
use crate::compare::{Adjustment, Posterior};
use crate::units::{Speed, SpeedUnit};

/// Round winds in the unit shown, as people speak of them.
fn winds(unit: SpeedUnit) -> [f64; 2] {
    let in_unit = match unit {
        SpeedUnit::Knots | SpeedUnit::MilesPerHour => [5.0, 10.0],
        SpeedUnit::KilometresPerHour => [10.0, 20.0],
        SpeedUnit::MetresPerSecond => [2.5, 5.0],
    };
    in_unit.map(|v| v * unit.metres_per_second())
}

pub(super) fn calm(known: &Known<'_>) -> Calm {
    let Some(posterior) = known.posterior else {
        return Calm {
            reason: Some("there are no double runs to determine it from".to_owned()),
            ..Calm::default()
        };
    };
    let winds = winds(known.units);
    let cells = known.cells();
    let cells = cells
        .iter()
        .map(|cell| of_cell(known, posterior, *cell, &winds));
    Calm {
        cells: Some(cells.collect()),
        reason: None,
        assumption: Some(assumption(known, posterior.adjustment())),
    }
}

fn of_cell(known: &Known<'_>, posterior: &Posterior, cell: Cell, winds: &[f64]) -> CalmSpeed {
    let (j, k) = cell;
    let in_wind = |against: f64| {
        let speed = posterior.in_wind(j, k, against);
        let speed = speed.and_then(|c| LogEstimate::of(posterior, &c));
        speed.map_or_else(Ranged::default, LogEstimate::raised)
    };
    let calm = posterior
        .calm(j, k)
        .and_then(|c| LogEstimate::of(posterior, &c));
    CalmSpeed {
        configuration: known.configuration(j),
        setting: known.setting(k),
        double_runs: known.runs_of(cell).count(),
        calm_m_s: calm.map_or_else(Ranged::default, LogEstimate::raised),
        winds: winds
            .iter()
            .map(|wind| InWind {
                wind_m_s: *wind,
                against_m_s: in_wind(*wind),
                with_m_s: in_wind(-wind),
            })
            .collect(),
    }
}

/// What the speed in a calm takes for granted.
fn assumption(known: &Known<'_>, adjustment: Adjustment) -> String {
    let unit = known.units;
    let blew = || {
        let (wind, whose) = (known.wind.speed_m_s).map_or_else(
            || (known.compare.usual_wind, "a usual wind"),
            |stated| (stated, "the stated wind"),
        );
        let shown = Speed::metres_per_second(wind).in_unit(unit);
        format!(
            "how much the wind slowed both directions is estimated for {whose} of {shown:.1} {unit}, and the interval allows for another"
        )
    };
    let because = match adjustment {
        Adjustment::Wind { .. } | Adjustment::StillWater => {
            "the wind is what the two directions differ by".to_owned()
        }
        Adjustment::Logged => "the wind is that of the log".to_owned(),
        Adjustment::Current { .. } => {
            format!("a current is what the two directions differ by; {}", blew())
        }
        Adjustment::Both { .. } => format!(
            "it could not be determined whether the two directions differ by a wind or by a current, so both are averaged over; in a current, {}",
            blew()
        ),
        Adjustment::None(_) => {
            format!("the two directions say nothing of the wind; {}", blew())
        }
    };
    format!(
        "For the speed in a calm, {because}. It assumes that the thrust stays the same at one setting, and that waves and leeway cost nothing."
    )
}
