//! Several simulated days end to end, from fixed seeds: does the pooled interval hold the common change?
//!
//! Each day is simulated, recorded, read, segmented and compared as any other; the true change differs
//! from day to day about a common one, as loads and crews make it differ. The bounds leave room
//! for the chance of so few sets: of 16 with a coverage of 95 % fewer than 12 hold once in 1,000.

use std::fmt::Write;

use jiff::SignedDuration;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use thereback::simulate::{Block, Scenario, SimulatedDay, lake, simulate};
use thereback::trial::{Settings, Trial, analyse};

const SETS: u64 = 16;
const DAYS: i64 = 3;

/// Standard deviation between days of the logarithm of the hull's drag with the new part: about 1.5 % of speed.
const BETWEEN: f64 = 0.03;

/// Factors on the hull's drag of the three configurations; the second is as good as the first.
const DRAG: [f64; 3] = [1.0, 1.0, 0.9];

const NAMES: [&str; 3] = ["old", "polished", "new"];

/// A day of a set; `off` shifts the logarithm of the drag of each configuration but the first.
fn scenario(set: u64, number: i64, off: [f64; 3]) -> Scenario {
    let mut rng = Pcg64::seed_from_u64(set * 100 + number as u64);
    let mut day = lake();
    day.day.start += SignedDuration::from_hours(26 * number);
    day.day.blocks = [0, 1, 2]
        .map(|configuration| Block {
            configuration,
            settings: vec![0, 1],
            double_runs: 2,
        })
        .into();
    day.day.fishing_before_s = 600.0;
    day.day.fishing_after_s = 300.0;
    day.day.ride_m = 400.0;
    day.day.pause_chance = 0.0;
    let line = day.day.lines_deg.first().copied().unwrap_or(0.0);
    day.wind.from_deg = (line + rng.random_range(-40.0..40.0)).rem_euclid(360.0);
    day.wind.speed = rng.random_range(2.0..5.0);
    day.wind.growth_per_h = rng.random_range(-0.2..0.2);
    let mut third = day.boat.configurations[1].clone();
    NAMES[2].clone_into(&mut third.name);
    day.boat.configurations.truncate(2);
    day.boat.configurations.push(third);
    for (index, configuration) in day.boat.configurations.iter_mut().enumerate() {
        configuration.drag_factor = DRAG[index] * off[index].exp();
    }
    day
}

fn notes(days: &[SimulatedDay]) -> Settings {
    let mut text = String::new();
    for fitted in days.iter().flat_map(|day| &day.truth.configurations) {
        let name = NAMES[fitted.configuration];
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

/// The common change of a configuration at a setting, as a logarithm: what the days would show without
/// the spread between them.
fn common(set: u64, configuration: usize) -> f64 {
    let logs: Vec<f64> = (0..DAYS)
        .flat_map(|number| {
            let day = simulate(&scenario(set, number, [0.0; 3]), seed(set, number));
            let own = day.truth.changes.into_iter();
            own.filter(move |change| change.changed == configuration)
                .map(|change| (change.percent / 100.0).ln_1p())
        })
        .collect();
    logs.iter().sum::<f64>() / logs.len() as f64
}

fn seed(set: u64, number: i64) -> u64 {
    900_000 + 10 * set + number as u64
}

#[derive(Debug, Default, Clone, Copy)]
struct Counted {
    pooled: [usize; 2],
    claims: [usize; 2],
    families: [usize; 2],
}

fn add(slot: &mut [usize; 2], hit: bool) {
    slot[0] += usize::from(hit);
    slot[1] += 1;
}

fn one(set: u64) -> Counted {
    let mut rng = Pcg64::seed_from_u64(777 + set);
    let days: Vec<SimulatedDay> = (0..DAYS)
        .map(|number| {
            let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
            let off = [0.0, BETWEEN * normal(), BETWEEN * normal()];
            simulate(&scenario(set, number, off), seed(set, number))
        })
        .collect();
    let recordings = days.iter().map(|day| day.recording("day.gpx"));
    let analysis: Trial = analyse(recordings.collect::<Vec<_>>(), &notes(&days));
    let mut counted = Counted::default();
    let right = analysis.days.len() == DAYS as usize
        && analysis.configurations.len() == 3
        && analysis.settings.len() == 2;
    if !right {
        return counted;
    }
    let truth = [0, 1, 2].map(|c| if c == 0 { 0.0 } else { common(set, c) });
    for comparison in analysis.comparisons.iter().filter(|c| c.setting.is_none()) {
        let changed = NAMES.iter().position(|n| *n == comparison.changed).unwrap();
        let (Some(low), Some(high)) = (comparison.percent.low, comparison.percent.high) else {
            continue;
        };
        let held = (low..=high).contains(&(100.0 * truth[changed].exp_m1()));
        add(&mut counted.pooled, held);
        if changed == 1 {
            add(&mut counted.claims, low > 0.0 || high < 0.0);
        }
    }
    let pairs: Vec<bool> = (analysis.pairs.iter())
        .filter(|pair| pair.setting.is_none())
        .map(|pair| {
            let place = |name: &str| NAMES.iter().position(|n| *n == name).unwrap();
            let own = 100.0 * (truth[place(&pair.changed)] - truth[place(&pair.baseline)]).exp_m1();
            (pair.simultaneous.low..=pair.simultaneous.high).contains(&own)
        })
        .collect();
    if pairs.len() == 3 {
        add(&mut counted.families, pairs.iter().all(|held| *held));
    }
    counted
}

#[test]
fn pooled_intervals_hold_the_common_change() {
    let all: Vec<Counted> = (0..SETS).into_par_iter().map(one).collect();
    let sum = |of: fn(&Counted) -> [usize; 2]| {
        all.iter()
            .map(of)
            .fold([0, 0], |a, b| [a[0] + b[0], a[1] + b[1]])
    };
    let (pooled, claims) = (sum(|c| c.pooled), sum(|c| c.claims));
    let families = sum(|c| c.families);
    assert!(pooled[1] >= 2 * 13, "{pooled:?}");
    assert!(pooled[0] * 100 >= pooled[1] * 80, "{pooled:?}");
    assert!(claims[0] * 100 <= claims[1] * 20, "{claims:?}");
    assert!(
        families[1] >= 13 && families[0] * 100 >= families[1] * 75,
        "{families:?}"
    );
}
