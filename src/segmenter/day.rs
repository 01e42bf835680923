//! The day as a whole: the reading that explains legs, pairs, swaps and settings best.

use super::SegmentRules;
use super::leg::Leg;
use super::series::{Item, Known, Reading, readings};
use super::stops::{idle, longest_between};
use super::trial::{Pair, Version, candidates, choices};

/// What a day is read from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Day<'a> {
    /// The legs as they may have been run.
    pub versions: &'a [Version],
    /// The legs as the stretches have them.
    pub whole: &'a [Leg],
    /// How the boat moved, at even steps.
    pub velocities: &'a [(f64, [f64; 2])],
    /// The rules.
    pub rules: &'a SegmentRules,
}

/// A reading of the day with its double runs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DayReading {
    /// The double runs of the trial, in order of time.
    pub pairs: Vec<Pair>,
    /// Part and setting of each.
    pub cells: Vec<(usize, usize)>,
    /// Logarithm of its probability, up to a constant of the day.
    pub score: f64,
}

/// The most probable readings, best first; empty where no two legs make a double run.
pub(super) fn read_day(of: &Day<'_>, known: impl Fn(&[Pair]) -> Known) -> Vec<DayReading> {
    let rules = of.rules;
    let candidates = candidates(of.versions, of.whole, &rules.trial);
    let mut found: Vec<DayReading> = Vec::new();
    for choice in choices(&candidates, of.whole, &rules.trial) {
        let idle = idle_before(&choice.pairs, of.velocities);
        let items: Vec<Item> = choice
            .pairs
            .iter()
            .zip(&idle)
            .map(|(pair, idle)| Item {
                log_speed: pair.speed().ln(),
                idle_before: *idle,
                weight: pair.weight,
                line: pair.line,
            })
            .collect();
        let lines = choice.weight - items.iter().map(|i| i.weight).sum::<f64>();
        for reading in readings(&items, &known(&choice.pairs), &rules.trial) {
            found.push(day(&choice.pairs, &reading, lines));
        }
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut unlike: Vec<DayReading> = Vec::new();
    for reading in found {
        let known = unlike.iter().any(|u| {
            let legs = |r: &DayReading| r.pairs.iter().map(|p| p.legs).collect::<Vec<_>>();
            u.cells == reading.cells && legs(u) == legs(&reading)
        });
        if !known {
            unlike.push(reading);
        }
    }
    unlike
}

fn day(pairs: &[Pair], reading: &Reading, lines: f64) -> DayReading {
    let (pairs, cells) = pairs
        .iter()
        .zip(&reading.cells)
        .filter_map(|(pair, cell)| Some((*pair, (*cell)?)))
        .unzip();
    DayReading {
        pairs,
        cells,
        score: reading.score + lines,
    }
}

/// For each double run the longest time since the one before in which the boat lay idle or was not
/// recorded, s.
fn idle_before(pairs: &[Pair], velocities: &[(f64, [f64; 2])]) -> Vec<f64> {
    let slowest = pairs.iter().map(Pair::speed).min_by(f64::total_cmp);
    let drifts: Vec<[f64; 2]> = pairs.iter().map(|p| p.drift).collect();
    let stops = idle(velocities, slowest, &drifts);
    let mut before = vec![0.0; pairs.len().min(1)];
    for pair in pairs.windows(2) {
        before.push(longest_between(&stops, pair[0].end, pair[1].start));
    }
    before
}
