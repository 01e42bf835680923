//! The day as a whole: the reading that explains legs, pairs, swaps and settings best.

use super::SegmentRules;
use super::leg::Leg;
use super::series::{Item, Known, Reading, readings};
use super::trial::{Pair, Version, candidates, choices};

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
pub(super) fn read_day(
    versions: &[Version],
    whole: &[Leg],
    velocities: &[(f64, [f64; 2])],
    rules: &SegmentRules,
    known: impl Fn(&[Pair]) -> Known,
) -> Vec<DayReading> {
    let candidates = candidates(versions, whole, &rules.trial);
    let mut found: Vec<DayReading> = Vec::new();
    for choice in choices(&candidates, whole, &rules.trial) {
        let idle = idle_before(&choice.pairs, velocities);
        let items: Vec<Item> = choice
            .pairs
            .iter()
            .zip(&idle)
            .map(|(pair, idle)| Item {
                log_speed: pair.speed().ln(),
                idle_before: *idle,
                weight: pair.weight,
                regular: rules.trial.match_weight,
                line: pair.line,
            })
            .collect();
        let lines = choice.weight - items.iter().map(|i| i.weight).sum::<f64>();
        if std::env::var("RD").is_ok() {
            eprintln!("choice {:.1} lines {:.1} pairs {:?}", choice.weight, lines, choice.pairs.iter().zip(&idle).map(|(p,i)|format!("{:?} w{:.1} u{:.3} L{:.0} D{:.0} i{:.0} l{}",p.stretches,p.weight,p.speed(),p.length,p.duration,i,p.line)).collect::<Vec<_>>());
            for r in readings(&items, &known(&choice.pairs), &rules.series).iter().take(3) { eprintln!("   {:.1} {:?}", r.score+lines, r.cells.iter().map(|c|c.map_or("-".into(),|c|format!("{}{}",(65+c.0 as u8) as char,c.1+1))).collect::<Vec<_>>().join(" ")); }
        }
        for reading in readings(&items, &known(&choice.pairs), &rules.series) {
            found.push(day(&choice.pairs, &reading, lines));
        }
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut unlike: Vec<DayReading> = Vec::new();
    for reading in found {
        let known = unlike.iter().any(|u| {
            u.cells == reading.cells
                && u.pairs.iter().map(|p| p.legs).eq(reading.pairs.iter().map(|p| p.legs))
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

/// A boat that makes less than this share of the slowest run's speed through the water lies idle.
const IDLE_SHARE: f64 = 0.45;

/// Two stops with less than this between them are one, s: a burst of the motor to hold a place.
const BURST_S: f64 = 45.0;

/// For each double run the longest time since the one before in which the boat lay idle or was not
/// recorded, s.
fn idle_before(pairs: &[Pair], velocities: &[(f64, [f64; 2])]) -> Vec<f64> {
    let slowest = pairs.iter().map(Pair::speed).fold(f64::INFINITY, f64::min);
    let middle = |axis: usize| {
        let of: Vec<f64> = pairs.iter().filter_map(|p| p.drift.get(axis).copied()).collect();
        crate::stats::quantile::median(&of).unwrap_or(0.0)
    };
    let drift = [middle(0), middle(1)];
    // Adrift in a current the boat moves with the water, at anchor it does not: both are idle.
    let idle = |v: &[f64; 2]| {
        let through = (v[0] - drift[0]).hypot(v[1] - drift[1]);
        v[0].hypot(v[1]).min(through) < IDLE_SHARE * slowest
    };
    let between = |from: f64, to: f64| -> f64 {
        let a = velocities.partition_point(|(t, _)| *t < from);
        let b = velocities.partition_point(|(t, _)| *t <= to).max(a);
        let mut stops: Vec<(f64, f64)> = Vec::new();
        let mut last = from;
        for (t, v) in velocities.get(a..b).unwrap_or_default() {
            let step = (t - last).max(0.0);
            let unrecorded = step > BURST_S;
            if unrecorded || idle(v) {
                let begin = if unrecorded { last } else { *t };
                match stops.last_mut() {
                    Some(stop) if begin - stop.1 <= BURST_S => stop.1 = *t,
                    _ => stops.push((begin, *t)),
                }
            }
            last = *t;
        }
        if to - last > BURST_S {
            stops.push((last, to));
        }
        stops.iter().map(|(a, b)| b - a).fold(0.0, f64::max)
    };
    let mut idle = vec![0.0];
    for pair in pairs.windows(2) {
        idle.push(between(pair[0].end, pair[1].start));
    }
    idle.truncate(pairs.len());
    idle
}
