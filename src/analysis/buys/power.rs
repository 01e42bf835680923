//! Draw of the cells, its comparison, and why it is faster.

use super::draw::Drawn;
use super::known::Known;
use super::result::{CellPower, EqualSpeedDraw, Power, PowerComparison, PowerSource, Ranged, Why};
use crate::analysis::{Comparison, Percent};
use crate::stats::interval::{Estimate, Interval, log_of_percent, percent_of_log};
use crate::stats::summary::mean;
use crate::trial::buys::draw::{PowerAt, at_equal_speed, by_cube_law, cell_log};
use crate::trial::buys::why::why;
use crate::trial::compare::{Change, changes, of_runs};

const NO_READINGS: &str = "This track cannot tell whether the boat is faster because the part is better or because it loads the motor more. Ten minutes with a clamp meter tell: read the current at each setting with either part, and add a [[reading]] to the notes, or log the draw and give it with --power-log.";

pub(super) fn power(known: &Known<'_>, drawn: Drawn) -> Power {
    let motor = known.noted.notes.energy.motor;
    let comparisons = comparisons(known, &drawn);
    let equal_speed = equal_speed(known, &drawn);
    Power {
        source: drawn.source,
        cells: cells(known, &drawn),
        why: reasons(&comparisons, &equal_speed),
        comparisons,
        equal_speed,
        limit_w: motor.limit_watts,
        limit_a: motor.limit_amps,
        reason: (drawn.source == PowerSource::None).then(|| NO_READINGS.to_owned()),
        clock: drawn.clock,
        legs: drawn.legs,
        double_runs: drawn.runs,
        nominal_volts: drawn.nominal_volts,
        remarks: drawn.remarks,
    }
}

fn cells(known: &Known<'_>, drawn: &Drawn) -> Vec<CellPower> {
    let motor = known.noted.notes.energy.motor;
    crate::trial::compare::cells(of_runs(&drawn.watts))
        .into_iter()
        .filter_map(|cell| {
            let power = cell_log(&drawn.watts, cell, known.level())?;
            let energy = cell_log(&drawn.energy, cell, known.level());
            let amps: Vec<f64> = drawn
                .amps
                .iter()
                .filter(|(of, _)| *of == cell)
                .map(|(_, a)| *a)
                .collect();
            let amps = mean(&amps);
            let own = |(c, s): (usize, usize)| (c, s) == cell;
            let speeds: Vec<f64> = known
                .counted
                .speeds
                .iter()
                .filter(|r| own((r.configuration, r.setting)))
                .map(|r| r.mean.ln())
                .collect();
            let over = [
                motor.limit_watts.map(|limit| power.value.exp() > limit),
                motor
                    .limit_amps
                    .and_then(|limit| amps.map(|amps| amps > limit)),
            ];
            Some(CellPower {
                configuration: known.configuration(cell.0),
                setting: known.setting(cell.1),
                count: drawn
                    .watts
                    .iter()
                    .filter(|r| own((r.configuration, r.setting)))
                    .count(),
                speed_m_s: mean(&speeds)?.exp(),
                watts: Ranged::raised(power),
                amps,
                energy_j_per_m: energy.map_or_else(Ranged::default, Ranged::raised),
                over_limit: over.into_iter().flatten().reduce(|a, b| a || b),
            })
        })
        .collect()
}

/// A change as percent: its interval from the scatter between runs or, without one, from the readings' own errors.
fn percent_of(change: &Change, level: f64) -> Percent {
    let interval = change
        .percent()
        .map(|p| Interval {
            low: p.low,
            high: p.high,
        })
        .or_else(|| change.within_percent(level));
    Percent {
        value: percent_of_log(change.log_ratio),
        low: interval.map(|i| i.low),
        high: interval.map(|i| i.high),
    }
}

fn comparisons(known: &Known<'_>, drawn: &Drawn) -> Vec<PowerComparison> {
    let level = known.level();
    let energy = changes(&drawn.energy, level);
    changes(&drawn.watts, level)
        .iter()
        .map(|change| {
            let same = |e: &&Change| (e.changed, e.setting) == (change.changed, change.setting);
            let reason = change.log_estimate.is_none().then(|| {
                "read once at each, so the interval is that of a reading alone".to_owned()
            });
            PowerComparison {
                baseline: known.configuration(0),
                changed: known.configuration(change.changed),
                setting: change.setting.map(|s| known.setting(s)),
                power_percent: percent_of(change, level),
                energy_percent: energy
                    .iter()
                    .find(same)
                    .map_or_else(Percent::default, |e| percent_of(e, level)),
                reason,
            }
        })
        .collect()
}

/// Power at equal speed by the fitted curve, else by the cube law from the changes at equal setting.
fn equal_speed(known: &Known<'_>, drawn: &Drawn) -> Vec<EqualSpeedDraw> {
    let level = known.level();
    let points: Vec<PowerAt> = drawn
        .watts
        .iter()
        .zip(&drawn.speeds)
        .map(|(power, speed)| PowerAt {
            configuration: power.configuration,
            setting: power.setting,
            speed: *speed,
            watts: power.mean,
            own: power.se.map(|se| se / power.mean),
        })
        .collect();
    let drawn_changes = changes(&drawn.watts, level);
    drawn_changes
        .iter()
        .filter(|change| change.setting.is_none())
        .map(|change| {
            let mut out = EqualSpeedDraw {
                baseline: known.configuration(0),
                changed: known.configuration(change.changed),
                percent: Percent::default(),
                method: None,
                from_m_s: None,
                to_m_s: None,
                reason: None,
            };
            if let Some(found) = at_equal_speed(&points, change.changed, level) {
                out.percent = percent(found.log);
                out.method = Some("fitted curve");
                [out.from_m_s, out.to_m_s] = found.speeds.map(Some);
                return out;
            }
            let speed = pooled_speed(known, &out.changed);
            let power = power_estimate(change, level);
            match (power, speed) {
                (Some(power), Some(speed)) => {
                    if let Some(log) = by_cube_law(power, speed, level) {
                        out.percent = percent(log);
                        out.method = Some("cube law");
                    }
                }
                _ => {
                    out.reason = Some("the change of speed or of draw has no interval".to_owned());
                }
            }
            out
        })
        .collect()
}

fn power_estimate(change: &Change, level: f64) -> Option<Estimate> {
    change
        .log_estimate
        .or_else(|| Estimate::new(change.log_ratio, change.within_se?, f64::INFINITY, level))
}

fn percent(log: Estimate) -> Percent {
    log.percent_of_log()
        .map_or_else(Percent::default, |p| Percent {
            value: Some(p.value),
            low: Some(p.low),
            high: Some(p.high),
        })
}

/// The pooled change of speed as a logarithm, from the comparison itself.
fn pooled_speed(known: &Known<'_>, changed: &str) -> Option<Estimate> {
    let of = |c: &&Comparison| c.changed == changed && c.setting.is_none();
    let found = known.analysis.comparisons.iter().find(of)?;
    let (value, low, high) = (
        log_of_percent(found.percent.value?)?,
        log_of_percent(found.percent.low?)?,
        log_of_percent(found.percent.high?)?,
    );
    let df = found.difference_m_s.df.unwrap_or(f64::INFINITY);
    let t = crate::stats::distribution::t_critical(known.level(), df)?;
    Estimate::new(value, (high - low) / (2.0 * t), df, known.level())
}

fn reasons(comparisons: &[PowerComparison], equal_speed: &[EqualSpeedDraw]) -> Vec<Why> {
    let interval = |p: &Percent| {
        Some(Interval {
            low: p.low?,
            high: p.high?,
        })
    };
    comparisons
        .iter()
        .map(|at_setting| {
            let at_speed = equal_speed
                .iter()
                .find(|e| e.changed == at_setting.changed)
                .and_then(|e| interval(&e.percent));
            Why {
                baseline: at_setting.baseline.clone(),
                changed: at_setting.changed.clone(),
                setting: at_setting.setting.clone(),
                verdict: why(interval(&at_setting.power_percent), at_speed),
            }
        })
        .collect()
}
