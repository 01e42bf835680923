//! What an electric motor draws on a simulated day, as a meter in its cable logs it. Our own model.
//!
//! ```text
//! P = P0 + T (u + c) / e
//! ```
//! with `T` what the propeller pushes with, `u` the speed ahead, `c` how much faster the propeller
//! throws the water astern (momentum theory, from memory), `e` the share of the power that reaches
//! the water and `P0` what controller and instruments take.

use std::fmt::Write as _;

use jiff::{SignedDuration, Timestamp};
use rand::SeedableRng;
use rand_pcg::Pcg64;
use serde::{Deserialize, Serialize};

use super::day::{SimulatedDay, live};
use super::physics::{Craft, Surroundings};
use super::scenario::Scenario;
use super::truth::{TrueLeg, Truth};
use super::voyage::{Moment, STEP_S, Voyage};
use super::weather::{GaussMarkov, normal};

/// A motor with its battery and the meter that logs them.
#[derive(Debug, Clone, PartialEq)]
pub struct Motor {
    /// What controller and instruments take, W, 5 to 40.
    pub idle_w: f64,
    /// How much faster the propeller throws the water, m/s, 0.5 to 2.
    pub race_m_s: f64,
    /// Share of the power that reaches the water, 0.4 to 0.8.
    pub efficiency: f64,
    /// Volts of the battery at rest, V.
    pub volts: f64,
    /// What it loses under load, V per A, 0.01 to 0.05.
    pub ohms: f64,
    /// Standard deviation of each amps reading, A, 0.05 to 0.5.
    pub meter_a: f64,
    /// Time between readings, s, 1 to 30.
    pub every_s: f64,
    /// To be added to the log's times, s.
    pub clock_offset_s: f64,
}

/// The log of the draw, and the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The log as the meter wrote it: a table with times in UTC, volts and amps.
    pub csv: String,
    /// What was really drawn.
    pub truth: TrueDraw,
}

/// What was really drawn on a simulated day. SI units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueDraw {
    /// To be added to the log's times, s.
    pub clock_offset_s: f64,
    /// Each configuration at each setting, over the settled parts of its double runs.
    pub cells: Vec<TrueCellDraw>,
    /// Change of power from the first configuration to the last at equal speed in calm and still
    /// water, percent: mean of the logarithms over the speeds of the first one at its settings.
    pub equal_speed_percent: f64,
}

/// What one configuration drew at one setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueCellDraw {
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Index of the power setting, slowest 0.
    pub setting: usize,
    /// Mean power, each leg weighing by its time over the same distance, W.
    pub watts: f64,
    /// Energy there and back over the distance there and back, J/m.
    pub energy_j_per_m: f64,
}

/// Sets the meter's random numbers apart from the sea's and the receiver's; any number would do.
const METER_STREAM: u64 = 0x3e7e;
/// How the battery's volts wander beside their fall under load: V, and s.
const WANDER_V: f64 = 0.04;
const WANDER_S: f64 = 300.0;

/// Lives through a scenario with a meter in the motor's cable; the day is that of
/// [`super::simulate`].
pub fn simulate_drawing(scenario: &Scenario, seed: u64, motor: &Motor) -> (SimulatedDay, Drawing) {
    live(scenario, seed, STEP_S, |voyage, truth| Drawing {
        csv: log(voyage, motor, seed),
        truth: TrueDraw {
            clock_offset_s: motor.clock_offset_s,
            cells: cells(voyage, truth, motor),
            equal_speed_percent: at_equal_speed(scenario, motor),
        },
    })
}

impl Motor {
    /// Power at a push (N) and a speed ahead (m/s), W.
    fn watts(&self, push: f64, ahead: f64) -> f64 {
        self.idle_w + push * (ahead + self.race_m_s).max(0.0) / self.efficiency
    }

    fn drawn(&self, moment: &Moment) -> f64 {
        self.watts(moment.push, moment.ahead)
    }
}

fn log(voyage: &Voyage, motor: &Motor, seed: u64) -> String {
    let mut meter = Pcg64::seed_from_u64(seed ^ METER_STREAM);
    let mut wander = GaussMarkov::new(WANDER_S, motor.every_s, &mut meter);
    let every = (motor.every_s / voyage.step_s).round().max(1.0) as usize;
    let offset = SignedDuration::from_millis((motor.clock_offset_s * 1000.0).round() as i64);
    let mut csv = "time (UTC),voltage (V),current (A)\n".to_owned();
    for moment in voyage.moments.iter().step_by(every) {
        let watts = motor.drawn(moment);
        let rest = motor.volts + WANDER_V * wander.step(&mut meter);
        // Volts and amps under load: the power is their product.
        let amps = watts / (rest - motor.ohms * watts / rest);
        let volts = rest - motor.ohms * amps;
        let read = (amps + motor.meter_a * normal(&mut meter)).max(0.0);
        let time = voyage.scenario.at(moment.t);
        let time = time.checked_sub(offset).unwrap_or(time);
        let _ = writeln!(csv, "{time:.0},{volts:.2},{read:.1}");
    }
    csv
}

/// Over the settled part of each leg: energy, and distance made good.
fn cells(voyage: &Voyage, truth: &Truth, motor: &Motor) -> Vec<TrueCellDraw> {
    let mut names: Vec<(usize, usize)> = (truth.double_runs.iter())
        .map(|run| (run.configuration, run.setting))
        .collect();
    names.sort_unstable();
    names.dedup();
    let energy_of = |leg: &TrueLeg| -> (f64, f64) {
        let since = |t: Timestamp| t.duration_since(voyage.scenario.day.start).as_secs_f64();
        let (from, to) = (since(leg.settled), since(leg.end));
        let joules: f64 = (voyage.moments.iter())
            .filter(|m| from < m.t && m.t <= to)
            .map(|m| motor.drawn(m) * voyage.step_s)
            .sum();
        (joules / (to - from), leg.speed_m_s)
    };
    names
        .into_iter()
        .filter_map(|(configuration, setting)| {
            let runs: Vec<(f64, f64)> = (truth.double_runs.iter())
                .filter(|run| (run.configuration, run.setting) == (configuration, setting))
                .filter_map(|run| {
                    let [a, b] = run.legs.map(|leg| truth.legs.get(leg).map(energy_of));
                    let ((p, u), (q, v)) = (a?, b?);
                    // The same distance either way.
                    Some((
                        (p / u + q / v) / (1.0 / u + 1.0 / v),
                        f64::midpoint(p / u, q / v),
                    ))
                })
                .collect();
            let n = runs.len() as f64;
            let geometric = |of: fn(&(f64, f64)) -> f64| {
                (runs.iter().map(|r| of(r).ln()).sum::<f64>() / n).exp()
            };
            (n > 0.0).then(|| TrueCellDraw {
                configuration,
                setting,
                watts: geometric(|r| r.0),
                energy_j_per_m: geometric(|r| r.1),
            })
        })
        .collect()
}

fn at_equal_speed(scenario: &Scenario, motor: &Motor) -> f64 {
    let boat = &scenario.boat;
    let (Some(first), Some(last)) = (boat.configurations.first(), boat.configurations.last())
    else {
        return 0.0;
    };
    let [old, new] = [first, last].map(|c| Craft::new(boat, c));
    let calm = Surroundings::default();
    let logs: Vec<f64> = (boat.thrusts.iter())
        .map(|thrust| {
            let speed = old.steady(*thrust, 0.0, calm).ahead;
            let [before, after] = [&old, &new].map(|c| motor.watts(c.calm_drag(speed), speed));
            (after / before).ln()
        })
        .collect();
    let n = logs.len().max(1) as f64;
    100.0 * (logs.iter().sum::<f64>() / n).exp_m1()
}
