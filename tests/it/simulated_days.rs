//! Rates over simulated days of many waters, boats, habits and recording styles.
//!
//! The bounds asserted here are a little below what the days reach, so that a change for the worse
//! shows; the days are harsh on purpose (see `rehearse`): legs are broken off and run again, boats
//! run back along the line, recorders drop out. `examples/days.rs` makes the rates of more days.

use std::io::Write;

use rayon::prelude::*;
use thereback::day::WindSource;
use thereback::simulate::{Scenario, SimulatedDay, firth, lake, simulate};
use thereback::trial::{Settings, Trial, analyse};

use crate::judge::{Score, mean, quantile, rms};
use crate::varied::varied_order;

fn read(day: &SimulatedDay) -> Trial {
    analyse(&[day.recording("day.gpx")], &Settings::default())
}

/// Days of each of the six orders of parts and settings: four.
const DAYS: u64 = 24;

#[test]
fn simulated_days_are_read_right() {
    let mut score = Score::default();
    let mut smooth = Score::default();
    let read: Vec<_> = (0..DAYS)
        .into_par_iter()
        .map(|number| {
            let day = simulate(&varied_order(number), number);
            let analysis = read(&day);
            (day, analysis)
        })
        .collect();
    for (day, analysis) in &read {
        score.judge(day, analysis);
        if day.truth.legs.iter().all(|leg| !leg.broken_off) {
            smooth.judge(day, analysis);
        }
    }
    let mut out = std::io::stdout().lock();
    let _ = writeln!(out, "{}\n{}", score.table(), score.remarks.join("\n"));
    let _ = writeln!(out, "days without a broken-off leg:\n{}", smooth.table());

    assert!(score.leg_recall() >= 0.98);
    assert!(score.recall() >= 0.92);
    assert!(score.precision() >= 0.93);
    assert!(smooth.recall() >= 0.97);
    assert!(smooth.precision() >= 0.99);
    assert!(mean(&score.overlaps) >= 0.93);
    assert!(mean(&score.speed_errors).abs() <= 0.15);
    assert!(rms(&score.speed_errors) <= 1.1);
    assert!(quantile(&score.wind_errors, 0.5) <= 20.0);
    assert!(score.verdicts_wrong * 100 <= score.days);
    assert!(score.right_and_unclear * 100 <= 10 * score.days);
    assert!(score.groups_wrong * 100 <= 10 * score.days);
}

/// The two sample days: every double run, every group, and the true change in its interval.
#[track_caller]
fn check_sample(scenario: &Scenario, file: &str) {
    let truth: thereback::simulate::Truth = serde_json::from_slice(
        &std::fs::read(format!(
            "{}/samples/{file}.truth.json",
            env!("CARGO_MANIFEST_DIR")
        ))
        .unwrap(),
    )
    .unwrap();
    let day = simulate(scenario, truth.seed);
    assert_eq!(day.truth.double_runs.len(), truth.double_runs.len());
    let path = format!("{}/samples/{file}.gpx", env!("CARGO_MANIFEST_DIR"));
    let recording = thereback::parser::read_file(std::path::Path::new(&path)).unwrap();
    let analysis = analyse(&[recording], &Settings::default());
    let mut score = Score::default();
    score.judge(&day, &analysis);
    assert!(score.share_right() > 0.99, "{:?}", score.remarks);
    assert_eq!(
        (score.changes, score.changes_covered),
        (truth.changes.len(), truth.changes.len()),
        "{:?} against {:?}",
        analysis.comparisons,
        truth.changes
    );
    let wanted = mean(&truth.changes.iter().map(|c| c.percent).collect::<Vec<_>>());
    let pooled = analysis.comparisons.iter().find(|c| c.setting.is_none());
    let percent = pooled.unwrap().percent;
    assert!(
        (percent.low.unwrap()..=percent.high.unwrap()).contains(&wanted),
        "{wanted} is outside {percent:?}"
    );
}

#[test]
fn the_lake_sample_is_answered_within_its_interval() {
    check_sample(&lake(), "lake_trim");
}

#[test]
fn the_firth_sample_is_answered_within_its_interval() {
    check_sample(&firth(), "firth_scrub");
}

/// Of days on the lake in a wind of so many m/s, how many name a wind by the drift.
fn named(speed: f64) -> usize {
    let mut scenario = lake();
    (scenario.wind.speed, scenario.wind.growth_per_h) = (speed, 0.0);
    scenario.water.wave_speed *= speed / lake().wind.speed;
    (7000..7012)
        .filter(|seed| read(&simulate(&scenario, *seed)).wind.source == WindSource::Drift)
        .count()
}

#[test]
fn simulated_winds_are_named() {
    let [light, fresh] = [2.0, 5.2].map(named);
    assert!(light >= 9 && fresh >= 9, "{light} {fresh} of 12");
}
