//! The draw of legs, from a log or from spot readings, joined to the double runs and compared as
//! speeds are.

use super::estimate::{Cell, LogEstimate};
use super::known::Known;
use super::power_log::{
    NotAligned, Point, PowerLog, align, contradicted, energy, impossible, mean_draw,
};
use super::result::{LegPower, LogClock, PowerSource, RunPower};
use crate::compare::{Conditions, Posterior, RunRow, fit};
use crate::day::{DoubleRun, Leg};
use crate::notes::{Draw, LegName};
use crate::stats::summary::mean;
use crate::track::SetAside;
use crate::units::seconds;
use crate::units::{Bearing, Current};

/// All draws, as the other parts need them.
#[derive(Debug, Default)]
pub(super) struct Drawn {
    pub(super) source: PowerSource,
    pub(super) clock: Option<LogClock>,
    pub(super) legs: Vec<LegPower>,
    pub(super) uncovered_legs: Vec<usize>,
    pub(super) runs: Vec<RunPower>,
    pub(super) set_aside: Vec<SetAside>,
    /// What the log shows from the first fix to the end of the last leg, J.
    pub(super) used_j: Option<f64>,
    /// Power of each double run or spot reading, W, in the place of the speed.
    rows: Vec<RunRow>,
    /// The model of the comparison through them; its cells have the numbers of the day's.
    pub(super) posterior: Option<Posterior>,
    /// The cell of each reading by eye.
    by_eye: Vec<Cell>,
    /// Currents, A, with their cells.
    amps: Vec<(Cell, f64)>,
    /// The battery's volts, V, where they stood in for volts that were not read.
    pub(super) nominal_volts: Option<f64>,
    pub(super) remarks: Vec<String>,
}

impl Drawn {
    pub(super) fn cells(&self) -> Vec<Cell> {
        let of_row = |r: &RunRow| (r.configuration, r.setting);
        let mut cells: Vec<Cell> = self.rows.iter().map(of_row).collect();
        cells.sort_unstable();
        cells.dedup();
        cells
    }

    /// Double runs or readings of a cell.
    pub(super) fn count(&self, cell: Cell) -> usize {
        let own = |r: &&RunRow| (r.configuration, r.setting) == cell;
        self.rows.iter().filter(own).count()
    }

    /// Whether a cell was read by eye, and once: another reading may be some percent off.
    pub(super) fn is_read_once(&self, cell: Cell) -> bool {
        self.by_eye.iter().filter(|c| **c == cell).count() == 1
    }

    /// Logarithm of the power of a cell, W.
    pub(super) fn power(&self, cell: Cell) -> Option<LogEstimate> {
        LogEstimate::of_cells(self.posterior.as_ref()?, &[(1.0, cell)])
    }

    pub(super) fn mean_amps(&self, cell: Cell) -> Option<f64> {
        let own = self.amps.iter().filter(|(of, _)| *of == cell);
        mean(&own.map(|(_, amps)| *amps).collect::<Vec<_>>())
    }
}

pub(super) fn drawn(known: &Known<'_>) -> Drawn {
    let mut out = Drawn::default();
    if let Some(log) = known.power_log {
        from_log(known, log, &mut out);
    }
    if out.legs.is_empty() {
        from_leg_readings(known, &mut out);
    } else if known.noted.readings().next().is_some() {
        let why = "The readings of single legs are not used, since the log covers the legs.";
        out.remarks.push(why.to_owned());
    }
    join(known, &mut out);
    from_readings(known, &mut out);
    // The lever sets the draw and the wind hardly moves it: there is none to take out.
    let still = Conditions {
        current: Some(Current::None),
        ..Conditions::default()
    };
    out.posterior = fit(&out.rows, &still, &known.rules.of_power(known.compare));
    out
}

fn from_log(known: &Known<'_>, log: &PowerLog, out: &mut Drawn) {
    let rules = known.rules;
    let speeds: Vec<[f64; 2]> = (known.speeds.iter())
        .map(|p| [seconds(p.time), p.speed_m_s])
        .collect();
    let Some(middle) = known.speeds.get(speeds.len() / 2) else {
        return;
    };
    let mut points = log.points(middle.time, known.zone);
    out.set_aside.clone_from(&log.set_aside);
    impossible(&mut points, &rules.sift, &mut out.set_aside);
    let clock = match clock(known, &points, &speeds) {
        Ok(clock) => clock,
        Err(why) => {
            out.remarks.push(not_aligned(why));
            return;
        }
    };
    for point in &mut points {
        point.t += clock.offset_s;
    }
    out.clock = Some(clock);
    let counted: Vec<(&Leg, [f64; 2])> = (known.legs.iter())
        .filter(|leg| leg.included)
        .filter_map(|leg| Some((leg, [leg.steady_from?, leg.end].map(seconds))))
        .collect();
    let steady: Vec<[f64; 2]> = counted.iter().map(|(_, span)| *span).collect();
    contradicted(
        &mut points,
        &speeds,
        &steady,
        &rules.sift,
        &mut out.set_aside,
    );
    out.remarks.extend(left_out(&out.set_aside));
    let longest = rules.sift.longest_gap_s;
    for (leg, span) in counted {
        match mean_draw(&points, span, longest).filter(|found| found.watts > 0.0) {
            Some(found) => out.legs.push(LegPower {
                leg: leg.leg,
                watts: found.watts,
                watts_se: found.se,
                amps: found.amps,
            }),
            None => out.uncovered_legs.push(leg.leg),
        }
    }
    if out.legs.is_empty() {
        let why = "The log of the draw covers no leg that counts; check its times.";
        out.remarks.push(why.to_owned());
        return;
    }
    out.source = PowerSource::Log;
    if !out.uncovered_legs.is_empty() {
        let numbers: Vec<String> = out.uncovered_legs.iter().map(usize::to_string).collect();
        out.remarks.push(format!(
            "The log of the draw does not cover these legs: {}.",
            numbers.join(", ")
        ));
    }
    out.used_j = used(known, &points, longest);
}

/// The offset of the log's clock: as noted, else where draw and speed step together.
fn clock(known: &Known<'_>, points: &[Point], speeds: &[[f64; 2]]) -> Result<LogClock, NotAligned> {
    if let Some(offset) = known.noted.notes.energy.log.clock_offset {
        return Ok(LogClock {
            offset_s: offset.as_secs_f64(),
            given: true,
            correlation: None,
            margin: None,
        });
    }
    let draws: Vec<[f64; 2]> = points.iter().map(|p| [p.t, p.watts]).collect();
    let found = align(&draws, speeds, &known.rules.align)?;
    Ok(LogClock {
        offset_s: found.offset_s,
        given: false,
        correlation: Some(found.correlation),
        margin: Some(found.margin),
    })
}

/// What the log shows from the first fix to the end of the last leg that counts, J.
fn used(known: &Known<'_>, points: &[Point], longest_gap_s: f64) -> Option<f64> {
    let from = known.from?;
    let counted = known.legs.iter().filter(|leg| leg.included);
    let to = counted.map(|leg| leg.end).max()?;
    energy(points, [from, to].map(seconds), longest_gap_s)
}

/// What was left out of the log, and why.
fn left_out(aside: &[SetAside]) -> Option<String> {
    let one = |s: &SetAside| {
        let rows = if s.count == 1 { "row" } else { "rows" };
        let line = s
            .first_line
            .map_or_else(String::new, |line| format!(", the first on line {line}"));
        format!("{} {rows} with {}{line}", s.count, s.reason)
    };
    let all: Vec<String> = aside.iter().map(one).collect();
    (!all.is_empty()).then(|| format!("Left out of the log of the draw: {}.", all.join("; ")))
}

fn not_aligned(why: NotAligned) -> String {
    let hint =
        "Give it in the notes, `clock_offset = \"0 s\"` under [power] where the clocks agree.";
    match why {
        NotAligned::NoSteps => format!(
            "The log of the draw and the track share too little to determine the offset of the log's clock. {hint}"
        ),
        NotAligned::NoMatch { correlation } => format!(
            "The logged draw follows the boat's speed at no offset of its clock (best correlation {correlation:.2}). {hint}"
        ),
        NotAligned::Ambiguous { margin } => format!(
            "The logged draw follows the boat's speed as well at several offsets of its clock (the best leads by {margin:.3}). {hint}"
        ),
    }
}

/// The draw with the battery's stated volts where the current alone was read.
fn with_volts(known: &Known<'_>, draw: Draw, out: &mut Drawn) -> Draw {
    let volts = known.noted.notes.energy.battery.and_then(|b| b.volts);
    if draw.is_amps_alone() {
        out.nominal_volts = volts;
    }
    draw.with_volts(volts)
}

fn from_leg_readings(known: &Known<'_>, out: &mut Drawn) {
    let share = known.rules.reading_share;
    for reading in known.noted.readings() {
        let inside = |leg: &&Leg| match reading.leg {
            LegName::Number(number) => leg.leg == number,
            LegName::At(at) => leg.start <= at && at <= leg.end,
        };
        let draw = with_volts(known, reading.draw, out);
        let (Some(leg), Some(watts)) = (known.legs.iter().find(inside), draw.power()) else {
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
        out.source = PowerSource::Readings;
        out.legs.push(LegPower {
            leg: leg.leg,
            watts,
            watts_se: Some(share * watts),
            amps: draw.current(),
        });
    }
}

/// The row of a power; it is compared as a speed is.
fn row(
    run: &DoubleRun,
    (configuration, setting): Cell,
    watts: f64,
    se: Option<f64>,
) -> Option<RunRow> {
    Some(RunRow {
        configuration,
        setting,
        line: run.line,
        day: run.day,
        axis: Bearing::new(run.axis_deg)?,
        speed: watts,
        half_difference: 0.0,
        se,
        at: seconds(run.at),
        apart: 0.0,
        wind: None,
        water_speed: None,
    })
    .filter(|_| watts.is_finite() && watts > 0.0)
}

/// Draws of legs joined to the double runs; where one leg alone was read its draw stands for both.
fn join(known: &Known<'_>, out: &mut Drawn) {
    let of_leg = |number: usize| out.legs.iter().find(|l| l.leg == number);
    for (run, cell) in known.runs() {
        let drawn = run.legs.map(of_leg);
        let (Some(first), Some(second)) = (drawn[0].or(drawn[1]), drawn[1].or(drawn[0])) else {
            continue;
        };
        let watts = [first.watts, second.watts];
        let Some((mean, joules)) = known.leg_speeds(run).and_then(|v| there_and_back(v, watts))
        else {
            continue;
        };
        let se = first.watts_se.zip(second.watts_se);
        // One reading for both legs is one error, not two.
        let same = first.leg == second.leg;
        let se = se.map(|(a, b)| if same { a } else { a.hypot(b) / 2.0 });
        out.rows.extend(row(run, cell, mean, se));
        if out.source == PowerSource::Readings {
            out.by_eye.push(cell);
        }
        out.runs.push(RunPower {
            double_run: run.double_run,
            watts: mean,
            energy_j_per_m: joules,
        });
        let amps = [first.amps, second.amps].into_iter().flatten();
        out.amps.extend(amps.map(|a| (cell, a)));
    }
}

/// Mean power, each leg weighing by its time over the same distance, W, and energy over distance,
/// J/m, of two legs with these speeds (m/s) and powers.
fn there_and_back(speeds: [f64; 2], watts: [f64; 2]) -> Option<(f64, f64)> {
    let energy = f64::midpoint(watts[0] / speeds[0], watts[1] / speeds[1]);
    let power = energy / f64::midpoint(1.0 / speeds[0], 1.0 / speeds[1]);
    let sound = |v: f64| v.is_finite() && v > 0.0;
    (sound(power) && sound(energy)).then_some((power, energy))
}

/// Spot readings of cells whose legs have no draw; each counts at the middle of the cell's double
/// runs in time.
fn from_readings(known: &Known<'_>, out: &mut Drawn) {
    let known_already = out.cells();
    let share = known.rules.reading_share;
    for note in known
        .noted
        .notes
        .energy
        .readings
        .iter()
        .filter(|n| !n.draw.is_empty())
    {
        let draw = with_volts(known, note.draw, out);
        let cell = known.cell(&note.configuration, &note.setting);
        let runs: Vec<&DoubleRun> = cell.map_or_else(Vec::new, |c| known.runs_of(c).collect());
        let (Some(cell), Some(run)) = (cell, runs.first()) else {
            out.remarks.push(format!(
                "There is no {} at {} among the double runs, so its reading is not used.",
                note.configuration, note.setting
            ));
            continue;
        };
        if known_already.contains(&cell) {
            continue;
        }
        let Some(watts) = draw.power() else {
            out.remarks.push(format!(
                "The reading of {} at {} has no power: it takes watts, or volts and amps.",
                note.configuration, note.setting
            ));
            continue;
        };
        let middle = mean(&runs.iter().map(|r| seconds(r.at)).collect::<Vec<_>>());
        let read = row(run, cell, watts, Some(share * watts));
        out.rows
            .extend(read.zip(middle).map(|(read, at)| RunRow { at, ..read }));
        out.by_eye.push(cell);
        if out.source == PowerSource::None {
            out.source = PowerSource::Readings;
        }
        out.amps
            .extend(draw.current().map(|current| (cell, current)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_weighted_by_time() {
        // 1 m there in 0.5 s, 1 m back in 1 s: 150 J + 330 J over 2 m and 1.5 s.
        let found = there_and_back([2.0, 1.0], [300.0, 330.0]);
        let near = |(p, e): (f64, f64)| (p - 320.0).abs() < 1e-12 && (e - 240.0).abs() < 1e-12;
        assert!(found.is_some_and(near));
        assert_eq!(there_and_back([0.0, 1.0], [300.0, 330.0]), None);
    }
}
