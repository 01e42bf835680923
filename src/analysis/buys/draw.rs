//! The draw of legs, from a log or from spot readings, joined to the double runs.

use super::known::Known;
use super::result::{LegPower, LogClock, PowerSource, RunPower};
use crate::notes::LegRef;
use crate::trial::buys::draw::ThereAndBack;
use crate::trial::compare::RunSpeed;
use crate::trial::power_log::{NotAligned, Point, PowerLog, align, mean_draw};

/// All draws, as the other parts need them.
#[derive(Debug, Default)]
pub(super) struct Drawn {
    pub(super) source: PowerSource,
    pub(super) clock: Option<LogClock>,
    pub(super) legs: Vec<LegPower>,
    pub(super) runs: Vec<RunPower>,
    /// Power per double run or reading, W, as the comparison takes speeds.
    pub(super) watts: Vec<RunSpeed>,
    /// Energy over distance per double run, J/m.
    pub(super) energy: Vec<RunSpeed>,
    /// Speed that went with each of `watts`, m/s.
    pub(super) speeds: Vec<f64>,
    /// Currents, A, with their cells.
    pub(super) amps: Vec<((usize, usize), f64)>,
    /// The battery's volts, V, where they stood in for volts that were not read.
    pub(super) nominal_volts: Option<f64>,
    pub(super) remarks: Vec<String>,
}

pub(super) fn drawn(known: &Known<'_>) -> Drawn {
    let mut out = Drawn::default();
    if let Some(log) = &known.asked.power_log {
        from_log(known, log, &mut out);
    }
    if out.legs.is_empty() {
        from_leg_readings(known, &mut out);
    } else if !known.noted.readings.is_empty() {
        let why = "The readings of single legs are not used, since the log covers the legs.";
        out.remarks.push(why.to_owned());
    }
    join(known, &mut out);
    from_readings(known, &mut out);
    out
}

fn from_log(known: &Known<'_>, log: &PowerLog, out: &mut Drawn) {
    let speeds: Vec<Point> = known
        .analysis
        .trail
        .speeds
        .iter()
        .map(|p| Point {
            t: seconds(p.time),
            value: p.speed_m_s,
            amps: None,
        })
        .collect();
    let Some(middle) = known.analysis.trail.speeds.get(speeds.len() / 2) else {
        return;
    };
    let points = log.points(middle.time, known.zone);
    let clock = match known.noted.notes.energy.log.clock_offset {
        Some(offset) => Ok(LogClock {
            offset_s: offset.as_secs_f64(),
            given: true,
            correlation: None,
            margin: None,
        }),
        None => align(&points, &speeds, &known.asked.rules.buys.align).map(|found| LogClock {
            offset_s: found.offset_s,
            given: false,
            correlation: Some(found.correlation),
            margin: Some(found.margin),
        }),
    };
    let clock = match clock {
        Ok(clock) => clock,
        Err(why) => {
            out.remarks.push(not_aligned(why));
            return;
        }
    };
    let moved: Vec<Point> = points
        .iter()
        .map(|p| Point {
            t: p.t + clock.offset_s,
            ..*p
        })
        .collect();
    for leg in known.analysis.legs.iter().filter(|leg| leg.included) {
        let Some(from) = leg.steady_from else {
            continue;
        };
        if let Some(found) = mean_draw(&moved, seconds(from), seconds(leg.end))
            && found.watts > 0.0
        {
            out.legs.push(LegPower {
                leg: leg.leg,
                watts: found.watts,
                watts_se: found.se,
                amps: found.amps,
            });
        }
    }
    if out.legs.is_empty() {
        out.remarks
            .push("The log of the draw covers no leg that counts; check its times.".to_owned());
    } else {
        out.source = PowerSource::Log;
    }
    out.clock = Some(clock);
}

fn not_aligned(why: NotAligned) -> String {
    let hint =
        "Give it in the notes, `clock_offset = \"0 s\"` under [power] where the clocks agree.";
    match why {
        NotAligned::NoSteps => format!(
            "The log of the draw and the track share too little to tell the offset of the log's clock. {hint}"
        ),
        NotAligned::NoMatch { correlation } => format!(
            "The logged draw follows the boat's speed at no offset of its clock (best correlation {correlation:.2}). {hint}"
        ),
        NotAligned::Ambiguous { margin } => format!(
            "The logged draw follows the boat's speed as well at several offsets of its clock (the best leads by {margin:.3}). {hint}"
        ),
    }
}

/// Seconds since 1970 with their fraction.
fn seconds(time: jiff::Timestamp) -> f64 {
    time.as_second() as f64 + f64::from(time.subsec_nanosecond()) * 1e-9
}

/// Volts of the battery as stated, V: what stands in where the current alone was read.
fn battery_volts(known: &Known<'_>) -> Option<f64> {
    known.noted.notes.energy.battery.and_then(|b| b.volts)
}

fn from_leg_readings(known: &Known<'_>, out: &mut Drawn) {
    let share = known.asked.rules.buys.reading_share;
    let volts = battery_volts(known);
    for reading in &known.noted.readings {
        let inside = |leg: &&crate::analysis::Leg| match reading.leg {
            LegRef::Number(number) => leg.leg == number,
            LegRef::At(at) => leg.start <= at && at <= leg.end,
        };
        let draw = reading.draw.with_volts(volts);
        let (Some(leg), Some(watts)) = (known.analysis.legs.iter().find(inside), draw.power())
        else {
            let why = if draw.power().is_none() {
                "has no power: it takes watts, or volts and amps"
            } else {
                "is of no leg that was found"
            };
            let line = reading.line;
            out.remarks
                .push(format!("The reading on line {line} of the notes {why}."));
            continue;
        };
        if reading.draw.is_amps_alone() {
            out.nominal_volts = volts;
        }
        out.source = PowerSource::Readings;
        out.legs.push(LegPower {
            leg: leg.leg,
            watts,
            watts_se: Some(share * watts),
            amps: draw.current(),
        });
    }
}

/// Draws of legs joined to the double runs; where one leg alone was read its draw stands for both.
fn join(known: &Known<'_>, out: &mut Drawn) {
    let of_leg = |number: usize| out.legs.iter().find(|l| l.leg == number);
    let (mut runs, mut watts, mut energy) = (Vec::new(), Vec::new(), Vec::new());
    let (mut speeds, mut amps) = (Vec::new(), Vec::new());
    for (run, speed) in known.runs() {
        let drawn = run.legs.map(of_leg);
        let (Some(first), Some(second)) = (drawn[0].or(drawn[1]), drawn[1].or(drawn[0])) else {
            continue;
        };
        let Some(own) = known.leg_speeds(run) else {
            continue;
        };
        let both = ThereAndBack {
            speeds: own,
            watts: [first.watts, second.watts],
        };
        let (Some(mean), Some(joules)) = (both.watts(), both.energy()) else {
            continue;
        };
        let se = first
            .watts_se
            .zip(second.watts_se)
            .map(|(a, b)| a.hypot(b) / 2.0);
        runs.push(RunPower {
            double_run: run.double_run,
            watts: mean,
            energy_j_per_m: joules,
        });
        watts.push(RunSpeed { mean, se, ..*speed });
        energy.push(RunSpeed {
            mean: joules,
            se: se
                .zip(speed.se)
                .map(|(p, v)| joules * (p / mean).hypot(v / speed.mean)),
            ..*speed
        });
        speeds.push(speed.mean);
        amps.extend(
            [first.amps, second.amps]
                .into_iter()
                .flatten()
                .map(|a| ((speed.configuration, speed.setting), a)),
        );
    }
    (out.runs, out.watts, out.energy) = (runs, watts, energy);
    (out.speeds, out.amps) = (speeds, amps);
}

/// Spot readings of cells that nothing else tells of.
fn from_readings(known: &Known<'_>, out: &mut Drawn) {
    let logged: Vec<(usize, usize)> = out
        .watts
        .iter()
        .map(|r| (r.configuration, r.setting))
        .collect();
    let share = known.asked.rules.buys.reading_share;
    let volts = battery_volts(known);
    for note in &known.noted.notes.energy.readings {
        let Some(cell) = known.cell(&note.configuration, &note.setting) else {
            out.remarks.push(format!(
                "There is no {} at {} among the double runs, so its reading is not used.",
                note.configuration, note.setting
            ));
            continue;
        };
        if logged.contains(&cell) || note.draw.is_empty() {
            continue;
        }
        let draw = note.draw.with_volts(volts);
        let Some(power) = draw.power() else {
            out.remarks.push(format!(
                "The reading of {} at {} has no power: it takes watts, or volts and amps.",
                note.configuration, note.setting
            ));
            continue;
        };
        if note.draw.is_amps_alone() {
            out.nominal_volts = volts;
        }
        let Some(speed) = known
            .speed_log(cell)
            .map(|log| log.value.exp())
            .or_else(|| {
                let own = |r: &&RunSpeed| (r.configuration, r.setting) == cell;
                known.counted.speeds.iter().find(own).map(|r| r.mean)
            })
        else {
            continue;
        };
        out.source = if out.source == PowerSource::None {
            PowerSource::Readings
        } else {
            out.source
        };
        out.watts.push(RunSpeed {
            configuration: cell.0,
            setting: cell.1,
            mean: power,
            se: Some(share * power),
        });
        out.speeds.push(speed);
        out.amps
            .extend(draw.current().map(|current| (cell, current)));
    }
    energy_of_readings(known, &logged, out);
}

/// Energy of cells that were read by the meter: mean power over the speeds of each double run.
fn energy_of_readings(known: &Known<'_>, logged: &[(usize, usize)], out: &mut Drawn) {
    let share = known.asked.rules.buys.reading_share;
    let mut found = Vec::new();
    for (run, speed) in known.runs() {
        let cell = (speed.configuration, speed.setting);
        let read: Vec<f64> = out
            .watts
            .iter()
            .filter(|w| (w.configuration, w.setting) == cell)
            .map(|w| w.mean)
            .collect();
        let Some(power) = crate::stats::summary::mean(&read).filter(|_| !logged.contains(&cell))
        else {
            continue;
        };
        let Some(own) = known.leg_speeds(run) else {
            continue;
        };
        let both = ThereAndBack {
            speeds: own,
            watts: [power; 2],
        };
        if let Some(joules) = both.energy() {
            found.push(RunSpeed {
                mean: joules,
                se: speed.se.map(|v| joules * share.hypot(v / speed.mean)),
                ..*speed
            });
        }
    }
    out.energy.extend(found);
}
