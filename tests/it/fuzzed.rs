//! The kept corpus and regressions of the fuzz targets: each entry whole, cut, and with bytes
//! flipped, by the bodies the targets run.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::fuzz_bodies::TARGETS;

/// Longest any one entry may take, in an unoptimised build on a busy machine too.
const LONGEST: Duration = Duration::from_secs(10);

/// Entries in a folder of `fuzz/`, in the order of their names.
fn entries(folder: &str, target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz")
        .join(folder)
        .join(target);
    let Ok(found) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut paths: Vec<PathBuf> = found.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let read = |path: PathBuf| {
        let bytes = fs::read(&path).unwrap();
        (path, bytes)
    };
    paths.into_iter().map(read).collect()
}

/// Runs a target's entries, each also cut at `cuts` places and flipped `flips` times.
fn run(name: &str, cuts: usize, flips: usize) {
    let (_, body) = *TARGETS.iter().find(|(target, _)| *target == name).unwrap();
    let corpus = entries("corpus", name);
    assert!(corpus.len() >= 5, "the corpus of {name} is gone");
    let mut numbers = Pcg64::seed_from_u64(1);
    for (path, bytes) in corpus.into_iter().chain(entries("regressions", name)) {
        let timed = |bytes: &[u8], how: &str| {
            let start = Instant::now();
            body(bytes);
            let took = start.elapsed();
            assert!(took < LONGEST, "{} {how}: {took:?}", path.display());
        };
        timed(&bytes, "whole");
        for cut in 1..=cuts {
            timed(&bytes[..bytes.len() * cut / (cuts + 1)], "cut");
        }
        for _ in 0..flips {
            let mut flipped = bytes.clone();
            for _ in 0..numbers.random_range(1..=8) {
                if let Some(byte) = flipped.get_mut(numbers.random_range(0..bytes.len().max(1))) {
                    *byte ^= 1 << numbers.random_range(0..8);
                }
            }
            timed(&flipped, "flipped");
        }
    }
}

#[test]
fn gpx() {
    run("gpx", 20, 20);
}

#[test]
fn nmea() {
    run("nmea", 20, 20);
}

#[test]
fn table() {
    run("table", 20, 20);
}

#[test]
fn time_and_numbers() {
    run("time_and_numbers", 5, 5);
}

#[test]
fn notes() {
    run("notes", 4, 4);
}

#[test]
fn the_whole_way() {
    run("analyse", 1, 2);
}
