//! How well the speed in a calm is told on simulated days.
//!
//! `cargo run --release --example calm -- 300` prints, for days of steady and of growing wind and for days
//! with hardly any on still water, the bias, the root mean square error and how often the 95 % interval
//! holds the true speed. Boats are drawn twice: as the study draws them, whose windages lie close to the
//! middle of what the rules assume, and farther apart.

#![allow(clippy::print_stdout, reason = "a table for people")]

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use thereback::simulate::{Block, LegLength, Scenario, lake, simulate};
use thereback::trial::{Settings, analyse};
use thereback::units::Bearing;

/// A kind of day: its name, by how much of itself the wind grows in an hour, and whether there is one.
#[derive(Clone, Copy)]
struct Kind {
    name: &'static str,
    growth: f64,
    windy: bool,
}

const KINDS: [Kind; 3] = [
    Kind {
        name: "steady",
        growth: 0.0,
        windy: true,
    },
    Kind {
        name: "growing",
        growth: 0.2,
        windy: true,
    },
    Kind {
        name: "hardly any",
        growth: 0.0,
        windy: false,
    },
];

/// Drag of the air over that of the hull at one speed, in the middle of all boats, and the standard
/// deviation of its logarithm.
const WINDAGE: f64 = 0.02;
const WINDAGE_LOG_SD: f64 = 0.5;

fn scenario(kind: Kind, wide: bool, seed: u64) -> Scenario {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut day = lake();
    day.day.blocks = [0, 1]
        .map(|configuration| Block {
            configuration,
            settings: vec![0, 1],
            double_runs: 3,
        })
        .to_vec();
    day.day.leg = LegLength::Metres(rng.random_range(280.0..520.0));
    day.day.fishing_before_s = 900.0;
    day.day.pause_chance = 0.0;
    let line = rng.random_range(0.0..360.0);
    day.day.lines_deg = vec![line];
    day.wind.from_deg = (line + rng.random_range(-40.0..40.0_f64)).rem_euclid(360.0);
    day.wind.speed = rng.random_range(2.5..6.0);
    if !kind.windy {
        day.wind.from_deg = rng.random_range(0.0..360.0);
        day.wind.speed = rng.random_range(0.0..1.0);
    }
    day.wind.growth_per_h = kind.growth * day.wind.speed;
    day.wind.gust_share = rng.random_range(0.08..0.2);
    day.wind.swell_share = rng.random_range(0.03..0.09);
    day.water.tide = 0.0;
    day.boat.hull_drag = rng.random_range(28.0..60.0);
    day.boat.air_drag = rng.random_range(0.4..1.1);
    day.boat.mass = rng.random_range(180.0..500.0);
    if wide {
        // A sum of twelve uniform numbers is near enough to a normal one.
        let sds: f64 = (0..12).map(|_| rng.random_range(-0.5..0.5_f64)).sum();
        let windage = WINDAGE * (sds * WINDAGE_LOG_SD).exp();
        let air = day.boat.air_drag;
        day.boat.air_drag = windage * day.boat.hull_drag;
        // So that it drifts idle as before.
        day.boat.air_drag_abeam *= day.boat.air_drag / air;
        day.boat.hull_drag_abeam *= day.boat.air_drag / air;
    }
    day
}

struct Seen {
    error_percent: f64,
    half_percent: f64,
    held: bool,
}

fn main() {
    let days = std::env::args().nth(1).and_then(|n| n.parse().ok());
    println!("boats    wind         days  cells  bias %   rms %  half interval %  held %");
    for (boats, wide) in [("study", false), ("assumed", true)] {
        for kind in KINDS {
            let found: Vec<Vec<Seen>> = (0..days.unwrap_or(100))
                .into_par_iter()
                .map(|seed| judge(kind, &scenario(kind, wide, 5000 + seed), 5000 + seed))
                .collect();
            let told = found.iter().filter(|d| !d.is_empty()).count();
            let seen: Vec<&Seen> = found.iter().flatten().collect();
            let n = seen.len().max(1) as f64;
            let mean = |of: &dyn Fn(&Seen) -> f64| seen.iter().map(|s| of(s)).sum::<f64>() / n;
            println!(
                "{boats:<8} {:<12} {told:>4} {:>6} {:>7.2} {:>7.2} {:>12.2} {:>11.1}",
                kind.name,
                seen.len(),
                mean(&|s| s.error_percent),
                mean(&|s| s.error_percent.powi(2)).sqrt(),
                mean(&|s| s.half_percent),
                100.0 * mean(&|s| f64::from(u8::from(s.held))),
            );
        }
    }
}

fn judge(kind: Kind, day: &Scenario, seed: u64) -> Vec<Seen> {
    let simulated = simulate(day, seed);
    let settings = Settings {
        // Nobody can say where hardly any wind comes from.
        wind_from: Bearing::new(day.wind.from_deg).filter(|_| kind.windy),
        ..Settings::default()
    };
    let analysis = analyse(&[simulated.recording("day.gpx")], &settings);
    let Some(calm) = analysis.gain.calm.cells.as_ref() else {
        return Vec::new();
    };
    if analysis.configurations.len() != 2 || analysis.settings.len() != 2 {
        return Vec::new();
    }
    let place = |names: &[&String], name: &str| names.iter().position(|n| *n == name);
    let configurations: Vec<&String> = analysis.configurations.iter().map(|c| &c.name).collect();
    let settings: Vec<&String> = analysis.settings.iter().map(|s| &s.name).collect();
    calm.iter()
        .filter_map(|cell| {
            let configuration = place(&configurations, &cell.configuration)?;
            let setting = place(&settings, &cell.setting)?;
            let change = simulated
                .truth
                .changes
                .iter()
                .find(|c| c.setting == setting)?;
            let truth = if configuration == 0 {
                change.baseline_calm_m_s
            } else {
                change.baseline_calm_m_s * (1.0 + change.calm_percent / 100.0)
            };
            let (value, low, high) = (
                cell.calm_m_s.value?,
                cell.calm_m_s.low?,
                cell.calm_m_s.high?,
            );
            Some(Seen {
                error_percent: 100.0 * (value / truth - 1.0),
                half_percent: 50.0 * (high - low) / truth,
                held: (low..=high).contains(&truth),
            })
        })
        .collect()
}
