//! Thousands of simulated trials: do the intervals hold the truth as often as they say?
//!
//! `cargo run --release --example study -- 400` runs so many trials of each kind of day and prints
//! a table, one line per kind and number of double runs to a cell; it is kept in `benches/STUDY.md`. A second
//! argument asks for the kinds whose names end so, such as `log`.
//! Boats, winds and recorders are drawn at random from the seed; every figure comes from the
//! program itself on the recorded track, with notes that say when each configuration was fitted.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a table for people, from scenarios of our own"
)]

use std::fmt::Write;

use jiff::SignedDuration;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use thereback::analysis::{Analysis, Settings, Verdict, analyse};
use thereback::notes::When;
use thereback::rehearse::{Block, LegLength, Sampling, Scenario, SimulatedDay, lake, simulate};
use thereback::stats::distribution::t_critical;
use thereback::trial::gauge::{GaugeRules, GaugedRun, adjusted};
use thereback::trial::wind_log::{Reading, WindLog};
use thereback::units::{Bearing, Speed};

/// A kind of day.
#[derive(Clone, Copy)]
pub(crate) struct Kind {
    pub(crate) name: &'static str,
    /// Growth of the wind from the middle of the first block to that of the last.
    growth: f64,
    /// Amplitude of the tide, m/s.
    tide: f64,
    /// Order of the configurations.
    order: &'static [usize],
    /// Whether a station some way off logs the wind every ten minutes.
    log: bool,
}

pub(crate) const KINDS: [Kind; 9] = [
    Kind {
        name: "steady wind",
        growth: 0.0,
        tide: 0.0,
        order: &[0, 1],
        log: false,
    },
    Kind {
        name: "growing wind",
        growth: 0.6,
        tide: 0.0,
        order: &[0, 1],
        log: false,
    },
    Kind {
        name: "growing, A-B-A-B",
        growth: 0.6,
        tide: 0.0,
        order: &[0, 1, 0, 1],
        log: false,
    },
    Kind {
        name: "tide",
        growth: 0.0,
        tide: 0.35,
        order: &[0, 1],
        log: false,
    },
    Kind {
        name: "tide, growing wind",
        growth: 0.6,
        tide: 0.35,
        order: &[0, 1],
        log: false,
    },
    Kind {
        name: "steady wind, log",
        growth: 0.0,
        tide: 0.0,
        order: &[0, 1],
        log: true,
    },
    Kind {
        name: "growing wind, log",
        growth: 0.6,
        tide: 0.0,
        order: &[0, 1],
        log: true,
    },
    Kind {
        name: "tide, log",
        growth: 0.0,
        tide: 0.35,
        order: &[0, 1],
        log: true,
    },
    Kind {
        name: "tide, growing wind, log",
        growth: 0.6,
        tide: 0.35,
        order: &[0, 1],
        log: true,
    },
];

fn between(rng: &mut Pcg64, low: f64, high: f64) -> f64 {
    rng.random_range(low..high)
}

/// A day of a kind; `changed` is the factor on the hull's drag of the second configuration.
pub(crate) fn scenario(kind: Kind, runs: usize, changed: f64, seed: u64) -> Scenario {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut day = lake();
    let rounds = kind.order.iter().filter(|c| **c == 0).count();
    let each = runs.div_ceil(rounds);
    day.day.blocks = kind
        .order
        .iter()
        .map(|configuration| Block {
            configuration: *configuration,
            settings: vec![0, 1],
            double_runs: each,
        })
        .collect();
    let length = between(&mut rng, 280.0, 520.0);
    day.day.leg = LegLength::Metres(length);
    day.day.fishing_before_s = 900.0;
    day.day.fishing_after_s = 300.0;
    day.day.ride_m = 500.0;
    day.day.pause_chance = 0.0;
    let line = between(&mut rng, 0.0, 360.0);
    day.day.lines_deg = vec![line];
    // Ahead or on either bow, as people choose their line.
    day.wind.from_deg = (line + between(&mut rng, -50.0, 50.0)).rem_euclid(360.0);
    day.wind.speed = between(&mut rng, 2.5, 7.0);
    // From the middle of one block to the middle of the next.
    let leg_s = length / 1.9 + 50.0;
    let block_h = (4.0 * each as f64 * leg_s + day.day.swap_s) / 3600.0;
    let apart_h = block_h * (kind.order.len() - 1) as f64;
    if kind.growth > 0.0 {
        // So much in the middle of the first block, and no more at the end than boats stay out in.
        let first = between(&mut rng, 2.5, 4.5);
        day.wind.growth_per_h = kind.growth * first / apart_h;
        let middle_h = (1500.0 + 2.0 * each as f64 * leg_s) / 3600.0;
        day.wind.speed = (first - day.wind.growth_per_h * middle_h).max(0.5);
    }
    day.wind.veer_deg_per_h = between(&mut rng, -4.0, 4.0);
    day.wind.gust_share = between(&mut rng, 0.08, 0.2);
    day.wind.swell_share = between(&mut rng, 0.03, 0.09);
    day.water.tide = kind.tide;
    day.water.set_deg = line + between(&mut rng, -30.0, 30.0);
    day.water.tide_phase_deg = between(&mut rng, 0.0, 360.0);
    day.boat.hull_drag = between(&mut rng, 28.0, 60.0);
    day.boat.air_drag = between(&mut rng, 0.4, 1.1);
    day.boat.mass = between(&mut rng, 180.0, 500.0);
    day.boat.configurations[1].drag_factor = changed;
    day.recorder.sampling = Sampling::Seconds([1.0, 1.0, 2.0, 5.0][rng.random_range(0..4)]);
    day.recorder.decimals = [5, 6, 7][rng.random_range(0..3)];
    day
}

/// The log of a station some way off: the slow change of the wind is that of the boat's place, with another
/// strength (a factor off by a fifth) and direction (10 degrees), and ten-minute means that
/// differ by 7 % and 6 degrees from one to the next as gusts and squalls there do.
fn station(day: &Scenario, seed: u64) -> WindLog {
    let mut rng = Pcg64::seed_from_u64(seed ^ 0x57A7);
    let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
    let (factor, turned) = ((0.2 * normal()).exp(), 10.0 * normal());
    let readings = (-6..90).map(|tens| {
        let hours = f64::from(tens) / 6.0;
        let speed = (day.wind.speed + day.wind.growth_per_h * hours).max(0.0);
        let from = day.wind.from_deg + day.wind.veer_deg_per_h * hours + turned + 6.0 * normal();
        let shown = (10.0 * factor * speed * (1.0 + 0.07 * normal()).max(0.0)).round() / 10.0;
        Reading {
            at: When::Instant(day.day.start + SignedDuration::from_mins(10 * i64::from(tens))),
            from: Bearing::new(from.rem_euclid(360.0)).unwrap(),
            speed: Some(Speed::metres_per_second(shown)),
        }
    });
    WindLog {
        file: "station.csv".to_owned(),
        readings: readings.collect(),
        ..WindLog::default()
    }
}

/// What is asked of a day: its notes, and its log where there is one.
pub(crate) fn asked(kind: Kind, scenario: &Scenario, day: &SimulatedDay, seed: u64) -> Settings {
    Settings {
        wind_log: kind.log.then(|| station(scenario, seed)),
        ..notes(day)
    }
}

#[derive(Default, Clone)]
pub(crate) struct Tally {
    pub(crate) legs: [usize; 2],
    pub(crate) double_runs: [usize; 2],
    pub(crate) single: [usize; 2],
    pub(crate) pooled: [usize; 2],
    plain: [usize; 2],
    pub(crate) false_claims: [usize; 2],
    told: [usize; 2],
    errors: Vec<f64>,
    plain_errors: Vec<f64>,
    widths: Vec<f64>,
    same_widths: Vec<f64>,
    adjusted: usize,
    pub(crate) days: usize,
    grouped: usize,
    pub(crate) confounded: usize,
}

fn count(slot: &mut [usize; 2], hit: bool) {
    slot[0] += usize::from(hit);
    slot[1] += 1;
}

/// Standard errors to either side that hold a normal error 95 times in 100: a leg and a double run are drawn so.
const NORMAL_95: f64 = 1.96;

/// Notes that say when each configuration was fitted, and nothing else: how well the groups are
/// found without notes is counted by another test.
pub(crate) fn notes(day: &SimulatedDay) -> Settings {
    let mut text = String::new();
    for fitted in &day.truth.configurations {
        let name = ["old", "new"][fitted.configuration.min(1)];
        let _ = writeln!(
            text,
            "[[configuration]]\nname = \"{name}\"\nfrom = \"{}\"",
            fitted.from
        );
    }
    let _ = write!(
        text,
        "[[setting]]\nname = \"1\"\n[[setting]]\nname = \"2\"\n"
    );
    Settings {
        notes: Some(thereback::notes::read(&text, "notes.toml").unwrap()),
        ..Settings::default()
    }
}

/// Width of the interval, in logs, of one who knows every true leg: the true double-run means by
/// the plain pooled comparison.
fn ideal_width(day: &SimulatedDay) -> Option<f64> {
    let runs = &day.truth.double_runs;
    let (mut squares, mut df, mut weight) = (0.0, 0.0, 0.0);
    for setting in 0..2 {
        let logs = |configuration: usize| -> Vec<f64> {
            runs.iter()
                .filter(|r| r.setting == setting && r.configuration == configuration)
                .map(|r| r.mean_m_s.ln())
                .collect()
        };
        let (a, b) = (logs(0), logs(1));
        for cell in [&a, &b] {
            let mean = cell.iter().sum::<f64>() / cell.len() as f64;
            squares += cell.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
            df += cell.len() as f64 - 1.0;
        }
        let (n, m) = (a.len() as f64, b.len() as f64);
        weight += n * m / (n + m);
    }
    Some(2.0 * t_critical(0.95, df)? * (squares / df / weight).sqrt())
}

/// Width of the interval, in logs, that the same comparison in one wind gives on the true legs' speeds; only
/// where the wind is taken out by the half differences.
fn same_width(day: &SimulatedDay, analysis: &Analysis) -> Option<f64> {
    if !analysis.gauge.applied {
        return None;
    }
    let from = analysis.wind.from_deg.and_then(Bearing::new);
    let runs: Vec<GaugedRun> = analysis
        .double_runs
        .iter()
        .zip(&day.truth.double_runs)
        .map(|(found, truth)| {
            let axis = Bearing::new(found.axis_deg)?;
            let [first, second] = truth.legs.map(|leg| &day.truth.legs[leg]);
            let first_along = Bearing::new(first.course_deg)?.apart(axis) < 90.0;
            let (along, against) = if first_along {
                (first.speed_m_s, second.speed_m_s)
            } else {
                (second.speed_m_s, first.speed_m_s)
            };
            Some(GaugedRun {
                configuration: truth.configuration,
                setting: truth.setting,
                along,
                against,
                se: found.mean_se_m_s,
                axis,
                off_line_deg: from.map_or(0.0, |from| from.off_line(axis)),
            })
        })
        .collect::<Option<_>>()?;
    let found = adjusted(&runs, 0.95, &GaugeRules::default()).ok()?;
    let pooled = found.changes.iter().find(|c| c.setting.is_none())?;
    Some(pooled.log_estimate.interval().width())
}

pub(crate) fn judge(tally: &mut Tally, day: &SimulatedDay, analysis: &Analysis, changed: bool) {
    tally.days += 1;
    for leg in &analysis.legs {
        let (Some(speed), Some(se)) = (leg.speed_m_s, leg.speed_se_m_s) else {
            continue;
        };
        let truth = day.truth.legs.iter().find(|t| {
            let from = leg.start.max(t.start);
            let to = leg.end.min(t.end);
            t.trial
                && to.duration_since(from).as_secs_f64()
                    > 0.8 * t.end.duration_since(t.start).as_secs_f64()
        });
        if let Some(truth) = truth {
            let half = NORMAL_95 * se;
            count(&mut tally.legs, (speed - truth.speed_m_s).abs() <= half);
        }
    }
    let right = analysis.configurations.len() == 2
        && analysis.settings.len() == 2
        && analysis.double_runs.len() == day.truth.double_runs.len();
    tally.grouped += usize::from(right);
    tally.confounded += usize::from(
        analysis
            .warnings
            .iter()
            .any(|w| w.code() == "order-confounded"),
    );
    tally.adjusted += usize::from(analysis.in_one_wind());
    if !right {
        return;
    }
    for (run, truth) in analysis.double_runs.iter().zip(&day.truth.double_runs) {
        if let Some(se) = run.mean_se_m_s {
            let held = (run.mean_m_s - truth.mean_m_s).abs() <= NORMAL_95 * se;
            count(&mut tally.double_runs, held);
        }
    }
    for c in &analysis.comparisons {
        let truths: Vec<f64> = day
            .truth
            .changes
            .iter()
            .filter(|t| {
                c.setting
                    .as_ref()
                    .is_none_or(|s| *s == (t.setting + 1).to_string())
            })
            .map(|t| t.percent)
            .collect();
        let truth = truths.iter().sum::<f64>() / truths.len() as f64;
        let (Some(value), Some(low), Some(high)) = (c.percent.value, c.percent.low, c.percent.high)
        else {
            continue;
        };
        let covered = (low..=high).contains(&truth);
        if c.setting.is_some() {
            count(&mut tally.single, covered);
            continue;
        }
        count(&mut tally.pooled, covered);
        let plain = c.unadjusted_percent.unwrap_or(c.percent);
        if let (Some(low), Some(high)) = (plain.low, plain.high) {
            count(&mut tally.plain, (low..=high).contains(&truth));
        }
        let claims = matches!(c.verdict, Verdict::Faster | Verdict::Slower);
        if changed {
            count(&mut tally.told, claims);
        } else {
            count(&mut tally.false_claims, claims);
        }
        tally.errors.push(value - truth);
        tally.plain_errors.extend(plain.value.map(|v| v - truth));
        if let Some(ideal) = ideal_width(day) {
            let own = ((1.0 + high / 100.0) / (1.0 + low / 100.0)).ln();
            tally.widths.push(own / ideal);
            if let Some(same) = same_width(day, analysis) {
                tally.same_widths.push(own / same);
            }
        }
    }
}

fn share(slot: [usize; 2]) -> String {
    if slot[1] == 0 {
        return "-".to_owned();
    }
    format!("{:.1}", 100.0 * slot[0] as f64 / slot[1] as f64)
}

/// Mean and root mean square of errors in percentage points.
fn bias_and_rms(errors: &[f64]) -> (String, String) {
    if errors.is_empty() {
        return ("-".to_owned(), "-".to_owned());
    }
    let n = errors.len() as f64;
    let bias = errors.iter().sum::<f64>() / n;
    let rms = (errors.iter().map(|e| e * e).sum::<f64>() / n).sqrt();
    (format!("{bias:+.2}"), format!("{rms:.2}"))
}

/// The middle one of the widths.
fn middle(widths: &[f64]) -> String {
    let mut sorted = widths.to_vec();
    sorted.sort_by(f64::total_cmp);
    let found = sorted.get(sorted.len() / 2);
    found.map_or_else(|| "-".to_owned(), |width| format!("{width:.2}"))
}

fn main() {
    let trials: u64 = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(100);
    let named = std::env::args().nth(2).unwrap_or_default();
    println!(
        "| day | runs a cell | trials | grouped % | wind taken out % | leg % | double run % | setting % | pooled % | plain pooled % | false claims % | +5 % told | bias | rms error | plain bias | plain rms | width/plain on true legs | width/same on true legs | order warned % |"
    );
    println!("|{}", "---|".repeat(19));
    for kind in KINDS.into_iter().filter(|k| k.name.ends_with(&named)) {
        for runs in [1, 2, 3, 4, 6] {
            if kind.order.len() > 2 && runs < 2 {
                continue;
            }
            let tally = (0..trials)
                .into_par_iter()
                .fold(Tally::default, |mut tally, n| {
                    // Half the trials with a change of about 5 % in speed, half without any.
                    let changed = n % 2 == 0;
                    let seed = n * 7919 + runs as u64;
                    let scenario = scenario(kind, runs, if changed { 0.9 } else { 1.0 }, seed);
                    let day = simulate(&scenario, seed);
                    let analysis = analyse(
                        &[day.recording("day.gpx")],
                        &asked(kind, &scenario, &day, seed),
                    );
                    judge(&mut tally, &day, &analysis, changed);
                    tally
                })
                .reduce(Tally::default, merge);
            let [(bias, rms), (plain_bias, plain_rms)] =
                [&tally.errors, &tally.plain_errors].map(|e| bias_and_rms(e));
            let [width, same] = [&tally.widths, &tally.same_widths].map(|w| middle(w));
            let of_days = |n: usize| share([n, tally.days]);
            println!(
                "| {} | {runs} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {bias} | {rms} | {plain_bias} | {plain_rms} | {width} | {same} | {} |",
                kind.name,
                tally.days,
                of_days(tally.grouped),
                of_days(tally.adjusted),
                share(tally.legs),
                share(tally.double_runs),
                share(tally.single),
                share(tally.pooled),
                share(tally.plain),
                share(tally.false_claims),
                share(tally.told),
                of_days(tally.confounded),
            );
        }
    }
}

pub(crate) fn merge(mut a: Tally, b: Tally) -> Tally {
    let add = |x: &mut [usize; 2], y: [usize; 2]| {
        x[0] += y[0];
        x[1] += y[1];
    };
    add(&mut a.legs, b.legs);
    add(&mut a.double_runs, b.double_runs);
    add(&mut a.single, b.single);
    add(&mut a.pooled, b.pooled);
    add(&mut a.plain, b.plain);
    add(&mut a.false_claims, b.false_claims);
    add(&mut a.told, b.told);
    a.errors.extend(b.errors);
    a.plain_errors.extend(b.plain_errors);
    a.widths.extend(b.widths);
    a.same_widths.extend(b.same_widths);
    a.adjusted += b.adjusted;
    a.days += b.days;
    a.grouped += b.grouped;
    a.confounded += b.confounded;
    a
}
