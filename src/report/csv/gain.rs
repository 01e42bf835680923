//! `power.csv`: what each configuration draws and how far a charge takes it, a row for each cell.

use super::cells::{PERCENT_DECIMALS, maybe, speed, text};
use super::write;
use crate::gain::Ranged;
use crate::report::ReportError;
use crate::report::tables::watt_hours;
use crate::trial::Trial;

/// The table, or `None` where neither a draw nor a speed in a calm is known.
///
/// # Errors
/// As [`super::legs_csv`].
pub fn power_csv(analysis: &Trial) -> Result<Option<Vec<u8>>, ReportError> {
    let buys = &analysis.gain;
    if buys.power.cells.is_empty() && buys.calm.cells.is_none() {
        return Ok(None);
    }
    let unit = analysis.units;
    let u = unit.column();
    let (mile, mile_m) = unit.long_distance();
    let mut header: Vec<String> = vec!["configuration".into(), "setting".into()];
    for column in [
        format!("speed_{u}"),
        format!("calm_{u}"),
        format!("calm_low_{u}"),
        format!("calm_high_{u}"),
        "power_w".into(),
        "power_low_w".into(),
        "power_high_w".into(),
        "current_a".into(),
        format!("energy_wh_per_{mile}"),
        format!("energy_low_wh_per_{mile}"),
        format!("energy_high_wh_per_{mile}"),
        "time_h".into(),
        format!("calm_reach_{mile}"),
        format!("slower_way_reach_{mile}"),
        format!("faster_way_reach_{mile}"),
        "apparent_slip_percent".into(),
    ] {
        header.push(column);
    }
    let rows = analysis.cells.iter().map(|cell| {
        let own = |configuration: &str, setting: &str| {
            configuration == cell.configuration && setting == cell.setting
        };
        let calm = (buys.calm.cells.iter().flatten())
            .find(|c| own(&c.configuration, &c.setting))
            .map_or_else(Ranged::default, |c| c.calm_m_s);
        let power = (buys.power.cells.iter()).find(|c| own(&c.configuration, &c.setting));
        let watts = power.map_or_else(Ranged::default, |c| c.watts);
        let energy = power
            .map_or_else(Ranged::default, |c| c.energy_j_per_m)
            .map(|j| watt_hours(j, unit));
        let reach = (buys.reach.cells.iter()).find(|c| own(&c.configuration, &c.setting));
        let far = |of: Option<Ranged>| maybe(of.and_then(|r| r.value).map(|m| m / mile_m), 2);
        let slip = (buys.propeller.cells.iter()).find(|c| own(&c.configuration, &c.setting));
        vec![
            text(Some(&cell.configuration)),
            text(Some(&cell.setting)),
            speed(Some(cell.mean_m_s), unit),
            speed(calm.value, unit),
            speed(calm.low, unit),
            speed(calm.high, unit),
            maybe(watts.value, 1),
            maybe(watts.low, 1),
            maybe(watts.high, 1),
            maybe(power.and_then(|c| c.amps), 2),
            maybe(energy.value, 2),
            maybe(energy.low, 2),
            maybe(energy.high, 2),
            maybe(reach.and_then(|c| c.time_s.value).map(|s| s / 3600.0), 3),
            far(reach.map(|c| c.calm_m)),
            far(reach.map(|c| c.against_m)),
            far(reach.map(|c| c.with_m)),
            maybe(slip.and_then(|c| c.slip_percent.value), PERCENT_DECIMALS),
        ]
    });
    write(&header, rows).map(Some)
}
