//! The day as a whole: the readings that explain legs, pairs, swaps and settings best, and what the
//! best of them calls the double runs.

use super::Leg;
use super::rules::TrialRules;
use super::run::Run;
use super::series::{Cell, Item, Known, readings};
use super::stops::{longest_between, stops};
use super::trial::{Pair, Version, candidates, choices};
use crate::units::Bearing;

/// A reading of the day with its double runs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DayReading {
    /// The double runs of the trial, in order of time.
    pub pairs: Vec<Pair>,
    /// Part and setting of each.
    pub cells: Vec<Cell>,
    /// Logarithm of its probability, up to a constant of the day.
    pub score: f64,
}

/// The most probable readings, best first; empty where no two legs make a double run.
///
/// `versions` are the legs as they may have been run, `whole` as the stretches have them,
/// `velocities` how the boat moved, at even steps.
pub(super) fn read_day(
    versions: &[Version],
    whole: &[Leg],
    velocities: &[(f64, [f64; 2])],
    rules: &TrialRules,
    known: impl Fn(&[Pair]) -> Known,
) -> Vec<DayReading> {
    let mut found: Vec<DayReading> = Vec::new();
    for choice in choices(&candidates(versions, whole, rules), whole, rules) {
        let pairs = &choice.pairs;
        let items: Vec<Item> = (pairs.iter().zip(idle_before(pairs, velocities, rules)))
            .map(|(pair, idle_before)| Item {
                log_speed: pair.speed().ln(),
                idle_before,
                weight: pair.weight,
                line: pair.line,
            })
            .collect();
        let lines = choice.weight - items.iter().map(|i| i.weight).sum::<f64>();
        for reading in readings(&items, &known(pairs), rules) {
            let kept = pairs.iter().zip(&reading.cells);
            let (pairs, cells) = kept
                .filter_map(|(pair, cell)| Some((*pair, (*cell)?)))
                .unzip();
            found.push(DayReading {
                pairs,
                cells,
                score: reading.score + lines,
            });
        }
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut unlike: Vec<DayReading> = Vec::new();
    for reading in found {
        let legs = |r: &DayReading| r.pairs.iter().map(|p| p.legs).collect::<Vec<_>>();
        let same = |u: &DayReading| u.cells == reading.cells && legs(u) == legs(&reading);
        if !unlike.iter().any(same) {
            unlike.push(reading);
        }
    }
    unlike
}

/// For each double run the longest time since the one before in which the boat lay idle or was not
/// recorded, s.
fn idle_before(pairs: &[Pair], velocities: &[(f64, [f64; 2])], rules: &TrialRules) -> Vec<f64> {
    let runs = pairs.iter().map(|p| (p.speed(), p.drift));
    let stops = stops(velocities, runs, rules);
    let before = pairs
        .windows(2)
        .map(|pair| longest_between(&stops, pair[0].end, pair[1].start));
    pairs
        .first()
        .map(|_| 0.0)
        .into_iter()
        .chain(before)
        .collect()
}

/// Configurations and settings of all double runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Assigned {
    /// One entry per double run: indices into the names, and why it is left out.
    pub runs: Vec<AssignedRun>,
    /// Names of the configurations, in the order first run.
    pub configurations: Vec<String>,
    /// Whether the notes named them.
    pub configurations_noted: bool,
    /// Names of the settings, slowest first.
    pub settings: Vec<String>,
    /// Percent of full power of each setting, where noted.
    pub percents: Vec<Option<f64>>,
    /// Whether the notes named them.
    pub settings_noted: bool,
    /// How probable it is that the day was so, among all readings, `[0, 1]`.
    pub probability: Option<f64>,
    /// The most probable reading that groups the double runs otherwise.
    pub other: Option<OtherReading>,
}

/// Configuration and setting of one double run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct AssignedRun {
    /// Configuration.
    pub configuration: usize,
    /// Setting.
    pub setting: usize,
    /// Whether it is none of the trial, as the reading that was not taken may have it.
    pub left_out: bool,
}

impl Assigned {
    /// The double runs as the most probable other reading has them, with names as found.
    pub fn as_other(&self) -> Option<Self> {
        let other = self.other.as_ref()?;
        Some(Self {
            runs: other.runs.clone(),
            configurations: (0..other.configurations).map(letters).collect(),
            settings: (1..=other.settings).map(|n| n.to_string()).collect(),
            percents: vec![None; other.settings],
            ..Self::default()
        })
    }
}

/// A reading that was not taken.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherReading {
    /// How probable it is, `[0, 1]`.
    pub probability: f64,
    /// Configuration and setting of each double run taken.
    pub runs: Vec<AssignedRun>,
    /// How many configurations it has.
    pub configurations: usize,
    /// How many settings it has.
    pub settings: usize,
    /// How many double runs it has.
    pub double_runs: usize,
}

/// A line on which double runs were made.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its direction, in `[0, 180)` degrees.
    pub axis: Bearing,
    /// Indices of its legs, ascending.
    pub legs: Vec<usize>,
}

/// What the double runs are called where nobody named them, by the best of the readings; how
/// probable it is, and the best of those that group the double runs otherwise.
pub(super) fn named(readings: &[DayReading]) -> Assigned {
    let Some(best) = readings.first() else {
        return Assigned::default();
    };
    let count =
        |r: &DayReading, of: fn(&Cell) -> usize| r.cells.iter().map(of).max().map_or(0, |m| m + 1);
    let weight = |r: &DayReading| (r.score - best.score).exp();
    let all: f64 = readings.iter().map(weight).sum();
    let runs_of = |other: &DayReading| -> Vec<AssignedRun> {
        let of = |pair: &Pair| {
            let mut both = other.pairs.iter().zip(&other.cells);
            let cell = both.find(|(p, _)| same_run(p, pair)).map(|(_, cell)| *cell);
            let (configuration, setting) = cell.unwrap_or_default();
            AssignedRun {
                configuration,
                setting,
                left_out: cell.is_none(),
            }
        };
        best.pairs.iter().map(of).collect()
    };
    let runs = runs_of(best);
    let (alike, unlike): (Vec<&DayReading>, Vec<&DayReading>) =
        readings.iter().partition(|r| runs_of(r) == runs);
    let settings = count(best, |c| c.1);
    Assigned {
        runs,
        configurations: (0..count(best, |c| c.0)).map(letters).collect(),
        settings: (1..=settings).map(|n| n.to_string()).collect(),
        percents: vec![None; settings],
        probability: Some(alike.into_iter().map(weight).sum::<f64>() / all),
        other: unlike.first().map(|other| OtherReading {
            probability: weight(other) / all,
            runs: runs_of(other),
            configurations: count(other, |c| c.0),
            settings: count(other, |c| c.1),
            double_runs: other.pairs.len(),
        }),
        ..Assigned::default()
    }
}

/// `A` to `Z`, then `AA`, `AB`, ….
fn letters(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{}{letter}", letters(more - 1)),
    }
}

/// Whether two pairs are one double run, whatever the ends of their legs.
fn same_run(a: &Pair, b: &Pair) -> bool {
    let shared = a.end.min(b.end) - a.start.max(b.start);
    shared > 0.5 * (a.end - a.start).max(b.end - b.start)
}

/// The lines of the double runs, and each leg's line set.
pub(super) fn lines(legs: &mut [Leg], runs: &[Run]) -> Vec<Line> {
    let count = runs.iter().map(|r| r.line + 1).max().unwrap_or(0);
    (0..count)
        .filter_map(|line| {
            let own = || runs.iter().filter(move |r| r.line == line);
            let mut members: Vec<usize> = own().flat_map(|r| r.legs).collect();
            members.sort_unstable();
            for leg in &members {
                if let Some(leg) = legs.get_mut(*leg) {
                    leg.line = Some(line);
                }
            }
            Some(Line {
                axis: mean_axis(own().map(|r| r.axis))?,
                legs: members,
            })
        })
        .collect()
}

/// The mean of directions that count as the same when opposite, in `[0, 180)`:
/// the mean of the doubled angles, halved (Mardia & Jupp, Directional Statistics, axial data; from
/// memory).
fn mean_axis(axes: impl Iterator<Item = Bearing>) -> Option<Bearing> {
    let (mut sin, mut cos) = (0.0, 0.0);
    for axis in axes {
        let (s, c) = (2.0 * axis.radians()).sin_cos();
        sin += s;
        cos += c;
    }
    let half = Bearing::of_vector(sin, cos)?.degrees() / 2.0;
    Bearing::new(if half >= 180.0 { 0.0 } else { half })
}
