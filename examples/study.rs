//! Thousands of simulated trials: do the intervals hold the truth as often as they say?
//!
//! `cargo run --release --example study -- 400` runs so many trials of each kind of day and number
//! of double runs to a cell, and prints a table; it is kept in `benches/STUDY.md`. A second argument
//! asks for the kinds whose names hold it.
//!
//! It works on the mean speeds of legs, without tracks: how tracks are read is judged elsewhere.
//! Boats, winds and currents are drawn at random from fixed seeds. Their physics is written here
//! anew and is not what the comparison assumes: hulls of drag exponent 1.7 to 2.9, half of them
//! with thrust that fades with speed and half with constant power; a lever set again within 2 % of
//! thrust at every change of setting; swells and gusts of the wind; a wind on any bow.

#![allow(
    clippy::print_stdout,
    reason = "a table for people, from days of our own"
)]

use std::f64::consts::TAU;

use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use thereback::compare::{Adjustment, CompareRules, Conditions, Estimate, RunRow, fit};
use thereback::units::{Bearing, Current};

/// A kind of day.
#[derive(Clone, Copy)]
struct Kind {
    name: &'static str,
    /// Whether the assumptions of the comparison cover it.
    covered: bool,
    /// Order of the configurations.
    order: &'static [usize],
    /// By what share the wind grows from the first leg to the last.
    growth: f64,
    /// How far the wind turns meanwhile, degrees.
    veer: f64,
    /// Periods of the current, s, of which a day has one; none for still water.
    tide: &'static [f64],
    /// Losses of speed to the battery, per hour, of which a day has one.
    sag: &'static [f64],
    /// Only hulls of drag exponent 2.7, with constant power.
    steep: bool,
    lines: usize,
    /// Share of double runs in which something goes wrong.
    bad: f64,
    /// Whether a station logs the wind.
    log: bool,
    /// What the person says of the current.
    stated: Option<Current>,
}

const OLD_NEW: &[usize] = &[0, 1];
const RETURN: &[usize] = &[0, 1, 0];
const WOVEN: &[usize] = &[0, 1, 0, 1];
/// The tides M2 and M4, and a seiche of an hour and a half.
const TIDES: &[f64] = &[44_714.0, 22_357.0];
const SEICHE: &[f64] = &[5400.0];
const SOUND: &[f64] = &[0.0, 0.0, 0.002];

/// What the others differ from.
const STEADY: Kind = Kind {
    name: "steady wind",
    covered: true,
    order: OLD_NEW,
    growth: 0.0,
    veer: 0.0,
    tide: &[],
    sag: SOUND,
    steep: false,
    lines: 1,
    bad: 0.0,
    log: false,
    stated: None,
};

#[rustfmt::skip]
const KINDS: &[Kind] = &[
    STEADY,
    Kind { name: "steady wind, two lines", lines: 2, ..STEADY },
    Kind { name: "growing wind", growth: 0.6, ..STEADY },
    Kind { name: "growing wind, A-B-A", growth: 0.6, order: RETURN, ..STEADY },
    Kind { name: "growing wind, A-B-A-B", growth: 0.6, order: WOVEN, ..STEADY },
    Kind { name: "growing wind, veering, two lines", growth: 0.6, veer: 40.0, lines: 2, ..STEADY },
    Kind { name: "growing wind, still water stated", growth: 0.6, stated: Some(Current::None), ..STEADY },
    Kind { name: "growing wind, log", growth: 0.6, log: true, ..STEADY },
    Kind { name: "tide", tide: TIDES, ..STEADY },
    Kind { name: "tide, A-B-A", tide: TIDES, order: RETURN, ..STEADY },
    Kind { name: "tide, log", tide: TIDES, log: true, ..STEADY },
    Kind { name: "battery 1 and 3 %/h, A-B-A", sag: &[0.01, 0.03], order: RETURN, ..STEADY },
    Kind { name: "one bad run in 20", bad: 0.05, ..STEADY },
    Kind { name: "steep, constant power, growing wind", covered: false, steep: true, growth: 0.6, ..STEADY },
    Kind { name: "battery 1 %/h, A-B", covered: false, sag: &[0.01], ..STEADY },
    Kind { name: "battery 3 %/h, A-B", covered: false, sag: &[0.03], ..STEADY },
    Kind { name: "seiche of 1.5 h", covered: false, tide: SEICHE, ..STEADY },
    Kind { name: "tide, growing wind", covered: false, tide: TIDES, growth: 0.6, ..STEADY },
    Kind { name: "tide, growing wind, tide stated", covered: false, tide: TIDES, growth: 0.6, stated: Some(Current::Tide), ..STEADY },
    Kind { name: "tide, growing wind, A-B-A-B", covered: false, tide: TIDES, growth: 0.6, order: WOVEN, ..STEADY },
];

/// Double runs to a cell.
const RUNS: [usize; 5] = [1, 2, 3, 4, 6];

/// What drives the boat.
#[derive(Clone, Copy)]
enum Thrust {
    /// Falls with the speed, to nothing at the given one, m/s.
    Fading(f64),
    /// Inverse to the speed.
    ConstantPower,
}

#[derive(Clone, Copy)]
struct Boat {
    /// Drag of the hull over its mass, at 1 m/s and its exponent.
    hull: f64,
    exponent: f64,
    /// Drag of the air likewise, per square of the apparent wind.
    air: f64,
    thrust: Thrust,
    /// Thrust at 1 m/s.
    force: f64,
}

impl Boat {
    /// Speed through the water, m/s, with a wind against the course and across it, where drag and
    /// thrust balance.
    fn speed(&self, against: f64, across: f64) -> f64 {
        let (mut low, mut high) = (0.02, 12.0);
        for _ in 0..45 {
            let u: f64 = f64::midpoint(low, high);
            let thrust = match self.thrust {
                Thrust::Fading(none) => self.force * (1.0 - u / none),
                Thrust::ConstantPower => self.force / u,
            };
            let ahead = u + against;
            let drag = self.hull * u.powf(self.exponent) + self.air * ahead.hypot(across) * ahead;
            if thrust > drag { low = u } else { high = u }
        }
        low
    }

    /// With the lever where the old part gives this speed in a calm, and a part that gives so many
    /// times that.
    fn with(self, u: f64, gain: f64) -> Self {
        let thrust = match self.thrust {
            Thrust::Fading(_) => Thrust::Fading(2.0 * u),
            Thrust::ConstantPower => Thrust::ConstantPower,
        };
        let u = u * gain;
        let drag = self.hull * u.powf(self.exponent) + self.air * u * u;
        let force = match thrust {
            Thrust::Fading(none) => drag / (1.0 - u / none),
            Thrust::ConstantPower => drag * u,
        };
        Self {
            thrust,
            force,
            ..self
        }
    }
}

struct Trial {
    rows: Vec<RunRow>,
    conditions: Conditions,
    /// The change at each setting in the mean wind, in logarithms of speed.
    truth: [f64; 2],
    changed: bool,
}

fn between(rng: &mut Pcg64, low: f64, high: f64) -> f64 {
    rng.random_range(low..high)
}

fn one_of(rng: &mut Pcg64, values: &[f64]) -> f64 {
    let place = rng.random_range(0..values.len().max(1));
    values.get(place).copied().unwrap_or(0.0)
}

fn normal(rng: &mut Pcg64) -> f64 {
    StandardNormal.sample(rng)
}

/// Error of a leg's mean speed by gusts and the track, as a share of it.
const LEG_ERROR: f64 = 0.003;

/// Legs run and time passed, s, and the rows so far.
struct Day<'a> {
    kind: &'a Kind,
    rng: Pcg64,
    boat: Boat,
    /// Mean wind, m/s, and where it comes from, degrees; swells: amplitude, period, phase.
    wind: (f64, f64),
    swells: [[f64; 3]; 2],
    /// Amplitude of the current, m/s, its period, s, and phase.
    tide: [f64; 3],
    /// Loss of speed, per hour.
    sag: f64,
    /// How long all of it takes, s.
    length: f64,
    now: f64,
}

impl Day<'_> {
    fn wave([size, period, phase]: [f64; 3], t: f64) -> f64 {
        size * (TAU * (t / period + phase)).sin()
    }

    /// The wind at a time: its speed and where it comes from, degrees.
    fn wind_at(&self, t: f64) -> (f64, f64) {
        let share = t / self.length;
        let swell: f64 = self.swells.iter().map(|s| Self::wave(*s, t)).sum();
        let (speed, from) = self.wind;
        let grown = speed * (1.0 + self.kind.growth * share);
        let turned = from + self.kind.veer * (share - 0.5) + 60.0 * swell;
        (grown * (1.0 + swell), turned)
    }

    /// A double run along the line: speeds made good on both, with the wind and the middle of each.
    fn run(&mut self, boat: &Boat, factor: f64, usual: f64, axis: f64) -> [[f64; 2]; 2] {
        [0.0, 180.0].map(|turn| {
            let middle = self.now + usual / 2.0;
            let (speed, from) = self.wind_at(middle);
            let gust = 1.0 + 0.04 * normal(&mut self.rng);
            let off = (from - axis - turn).to_radians();
            let lost = (-self.sag * middle / 3600.0).exp() * factor;
            let water = boat.speed(speed * gust * off.cos(), speed * gust * off.sin()) * lost;
            let error = 1.0 + LEG_ERROR * normal(&mut self.rng);
            let sign = if turn > 0.0 { -1.0 } else { 1.0 };
            let along = if axis > 0.0 { 0.5 } else { 1.0 };
            let current = sign * along * Self::wave(self.tide, middle);
            self.now += usual + 40.0;
            [water * error + current, middle]
        })
    }
}

/// The trial of a kind of day with so many double runs a cell.
fn trial(kind: &Kind, runs: usize, seed: u64) -> Option<Trial> {
    let mut rng = Pcg64::seed_from_u64(seed);
    let changed = seed % 2 == 1;
    let r = &mut rng;
    let slow = between(r, 0.8, 1.6);
    let speeds = [slow, slow * between(r, 1.3, 1.8)];
    let exponent = if kind.steep {
        2.7
    } else {
        between(r, 1.7, 2.9)
    };
    // An open boat of 4 to 5 m: 25 to 60 kg/m at 2 m/s, and 0.5 to 1 kg/m of air.
    let hull = between(r, 25.0, 60.0) * 2_f64.powf(2.0 - exponent);
    let constant = kind.steep || between(r, 0.0, 1.0) < 0.5;
    let thrust = if constant {
        Thrust::ConstantPower
    } else {
        Thrust::Fading(0.0)
    };
    let air = between(r, 0.5, 1.0);
    let old = Boat {
        hull,
        exponent,
        air,
        thrust,
        force: 0.0,
    };
    // The new part does as much as 5 % of speed in a calm.
    let gain = |part: usize| if changed && part == 1 { 1.05 } else { 1.0 };
    let swell = |r: &mut Pcg64| {
        [
            between(r, 0.02, 0.08),
            between(r, 900.0, 3600.0),
            between(r, 0.0, 1.0),
        ]
    };
    let wind = (between(r, 1.5, 5.5), between(r, 0.0, 360.0));
    let swells = [swell(r), swell(r)];
    let amplitude = if kind.tide.is_empty() {
        0.0
    } else {
        between(r, 0.1, 0.5)
    };
    let tide = [
        amplitude,
        one_of(r, kind.tide).max(1.0),
        between(r, 0.0, 1.0),
    ];
    let sag = one_of(r, kind.sag);
    let run_length = between(r, 240.0, 420.0) * slow;
    let shuffled = between(r, 0.0, 1.0) < 0.3;
    let each = |block: usize| {
        let part = kind.order.get(block).copied();
        let times = kind.order.iter().filter(|p| Some(**p) == part).count();
        let before = kind
            .order
            .iter()
            .take(block)
            .filter(|p| Some(**p) == part)
            .count();
        // Never none, so one run a cell of a part that comes twice is two.
        (runs * (before + 1) / times - runs * before / times).max(1)
    };
    let legs: f64 = (0..kind.order.len()).map(|b| each(b) as f64).sum::<f64>() * 2.0;
    let per_run: f64 = speeds.iter().map(|u| run_length / u + 40.0).sum();
    let length = legs * per_run + 900.0 * (kind.order.len() - 1) as f64;
    let mut day = Day {
        kind,
        rng,
        boat: old,
        wind,
        swells,
        tide,
        sag,
        length,
        now: 0.0,
    };
    let station = (0.2 * normal(&mut day.rng)).exp();
    let mut rows = Vec::new();
    for (block, part) in kind.order.iter().enumerate() {
        let count = each(block);
        let settings: Vec<usize> = if shuffled {
            (0..2 * count).map(|i| i % 2).collect()
        } else {
            (0..2 * count).map(|i| i / count).collect()
        };
        let mut lever = (9, 1.0);
        for (i, setting) in settings.iter().enumerate() {
            if lever.0 != *setting {
                lever = (*setting, 1.0 + between(&mut day.rng, -0.02, 0.02));
            }
            let u = speeds.get(*setting).copied().unwrap_or(slow);
            let line = i % kind.lines;
            let axis = 70.0 * line as f64;
            let mut boat = day.boat.with(u, gain(*part));
            boat.force *= lever.1;
            let bad = between(&mut day.rng, 0.0, 1.0) < kind.bad;
            let factor = if bad {
                between(&mut day.rng, 0.88, 0.97)
            } else {
                1.0
            };
            let (wind, from) = day.wind_at(day.now + run_length / u);
            let [[along, first], [against, second]] = day.run(&boat, factor, run_length / u, axis);
            let se = LEG_ERROR * u / 2_f64.sqrt() * between(&mut day.rng, 0.7, 2.5);
            let seen = station * wind * (1.0 + 0.05 * normal(&mut day.rng));
            let off = (from + 8.0 * normal(&mut day.rng) - axis).to_radians();
            rows.push(RunRow {
                configuration: *part,
                setting: *setting,
                line,
                day: 0,
                axis: Bearing::new(axis)?,
                speed: f64::midpoint(along, against),
                half_difference: (along - against) / 2.0,
                se: Some(se),
                at: f64::midpoint(first, second),
                apart: second - first,
                wind: kind.log.then_some([seen * off.cos(), seen * off.sin()]),
                water_speed: None,
            });
        }
        day.now += 900.0;
    }
    let truth = speeds.map(|u| {
        let (speed, from) = (wind.0 * (1.0 + kind.growth / 2.0), wind.1);
        let [old, new] = [0, 1].map(|part| {
            let boat = day.boat.with(u, gain(part));
            let on = |axis: f64| {
                let off = (from - axis).to_radians();
                boat.speed(speed * off.cos(), speed * off.sin())
            };
            let axes = [0.0, 180.0, 70.0, 250.0];
            axes.iter()
                .take(2 * kind.lines)
                .map(|axis| on(*axis))
                .sum::<f64>()
        });
        (new / old).ln()
    });
    let conditions = Conditions {
        current: kind.stated,
        ..Conditions::default()
    };
    Some(Trial {
        rows,
        conditions,
        truth,
        changed,
    })
}

/// What became of some trials: counts, and errors of the pooled change in logarithms.
#[derive(Default)]
struct Score {
    settings: usize,
    settings_held: usize,
    errors: Vec<f64>,
    plain: Vec<f64>,
    widths: Vec<f64>,
    held: usize,
    unchanged: usize,
    claims: usize,
    changed: usize,
    shown: usize,
    time_doubted: usize,
    wind_hidden: usize,
}

impl Score {
    fn add(&mut self, trial: &Trial) {
        let Some(found) = fit(&trial.rows, &trial.conditions, &CompareRules::default()) else {
            return;
        };
        let estimate = |setting| found.contrast(&found.change(1, 0, setting)?);
        let holds = |e: &Estimate, truth: f64| e.low <= truth && truth <= e.high;
        for (setting, truth) in trial.truth.iter().enumerate() {
            if let Some(one) = estimate(Some(setting)) {
                self.settings += 1;
                self.settings_held += usize::from(holds(&one, *truth));
            }
        }
        let truth = f64::midpoint(trial.truth[0], trial.truth[1]);
        let Some(pooled) = estimate(None) else { return };
        self.errors.push(pooled.value - truth);
        self.widths.push(pooled.high - pooled.low);
        self.held += usize::from(holds(&pooled, truth));
        if trial.changed {
            self.changed += 1;
            self.shown += usize::from(pooled.low > 0.0);
        } else {
            self.unchanged += 1;
            self.claims += usize::from(!holds(&pooled, 0.0));
        }
        let mean = |part, setting| {
            let own = |r: &&RunRow| (r.configuration, r.setting) == (part, setting);
            let logs = trial.rows.iter().filter(own).map(|r| r.speed.ln());
            logs.clone().sum::<f64>() / logs.count() as f64
        };
        let plain = [0, 1].map(|k| mean(1, k) - mean(0, k));
        self.plain.push(f64::midpoint(plain[0], plain[1]) - truth);
        let by_time = found.moved_by_trend(1, 0, None);
        let by_time = by_time.and_then(|c| found.contrast(&c));
        let could_move = by_time.map_or(0.0, |e| e.high - e.low);
        self.time_doubted += usize::from(could_move > (pooled.high - pooled.low) / 2.0);
        let hidden = matches!(
            found.adjustment(),
            Adjustment::Current { .. } | Adjustment::Both { .. }
        );
        self.wind_hidden += usize::from(hidden);
    }

    fn line(&mut self, kind: &Kind, runs: usize) -> String {
        let share = |n: usize, of: usize| format!("{:.1}", 100.0 * n as f64 / of.max(1) as f64);
        let mean = |values: &[f64], of: &dyn Fn(f64) -> f64| {
            values.iter().map(|v| of(*v)).sum::<f64>() / values.len().max(1) as f64
        };
        let rms = |values: &[f64]| 100.0 * mean(values, &|v| v * v).sqrt();
        self.widths.sort_by(f64::total_cmp);
        let middle = self.widths.get(self.widths.len() / 2).copied();
        let all = self.errors.len();
        format!(
            "| {} | {} | {runs} | {} | {} | {} | {} | {:+.2} | {:.2} | {:.2} | {:.2} | {} | {} |",
            kind.name,
            if kind.covered { "yes" } else { "no" },
            share(self.settings_held, self.settings),
            share(self.held, all),
            share(self.claims, self.unchanged),
            share(self.shown, self.changed),
            100.0 * mean(&self.errors, &|v| v),
            rms(&self.errors),
            rms(&self.plain),
            100.0 * middle.unwrap_or(0.0),
            share(self.time_doubted, all),
            share(self.wind_hidden, all),
        )
    }
}

fn main() {
    let mut words = std::env::args().skip(1);
    let count: u64 = words.next().and_then(|w| w.parse().ok()).unwrap_or(100);
    let asked = words.next().unwrap_or_default();
    println!(
        "| day | covered | runs a cell | setting % | pooled % | false claims % | +5 % shown | bias \
         | rms | plain rms | middle width | time doubted % | wind hidden % |"
    );
    println!("|{}", "---|".repeat(13));
    let kinds: Vec<&Kind> = KINDS.iter().filter(|k| k.name.contains(&asked)).collect();
    let rows: Vec<(&Kind, usize)> = kinds
        .iter()
        .flat_map(|kind| RUNS.map(|runs| (*kind, runs)))
        .collect();
    let lines: Vec<String> = rows
        .par_iter()
        .enumerate()
        .map(|(place, (kind, runs))| {
            let mut score = Score::default();
            for seed in 0..count {
                // Other boats and days in each row.
                let seed = seed + 100_000 * (place as u64 + 1);
                if let Some(trial) = trial(kind, *runs, seed) {
                    score.add(&trial);
                }
            }
            score.line(kind, *runs)
        })
        .collect();
    for line in lines {
        println!("{line}");
    }
}
