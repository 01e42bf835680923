//! What the double runs are called: their configuration, their setting, their line.

use super::Leg;
use super::day::DayReading;
use super::run::Run;
use crate::units::Bearing;

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

/// Names as letters and numbers, by the best of the readings.
pub(super) fn named(runs: &[Run], readings: &[DayReading]) -> Assigned {
    let cells: &[(usize, usize)] = readings.first().map_or(&[], |r| &r.cells);
    let count = |of: fn(&(usize, usize)) -> usize| cells.iter().map(of).max().map_or(0, |m| m + 1);
    let settings = count(|c| c.1);
    let mut assigned = Assigned {
        runs: (cells.iter().take(runs.len()))
            .map(|(configuration, setting)| AssignedRun {
                configuration: *configuration,
                setting: *setting,
                left_out: false,
            })
            .collect(),
        configurations: (0..count(|c| c.0)).map(letters).collect(),
        settings: (1..=settings).map(|n| n.to_string()).collect(),
        percents: vec![None; settings],
        ..Assigned::default()
    };
    tell_readings(&mut assigned, readings);
    assigned
}

/// `A` to `Z`, then `AA`, `AB`, ….
fn letters(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        more => format!("{}{letter}", letters(more - 1)),
    }
}

/// How probable the best reading is, and the best of those that group the double runs otherwise.
fn tell_readings(assigned: &mut Assigned, readings: &[DayReading]) {
    let Some(best) = readings.first() else {
        return;
    };
    let weight = |r: &DayReading| (r.score - best.score).exp();
    let all: f64 = readings.iter().map(weight).sum();
    let runs_of = |other: &DayReading| -> Vec<AssignedRun> {
        (best.pairs.iter())
            .map(|pair| {
                let at = other.pairs.iter().position(|p| same_run(p, pair));
                let cell = at.and_then(|at| other.cells.get(at)).copied();
                let (configuration, setting) = cell.unwrap_or_default();
                AssignedRun {
                    configuration,
                    setting,
                    left_out: cell.is_none(),
                }
            })
            .collect()
    };
    let own = runs_of(best);
    let (alike, unlike): (Vec<&DayReading>, Vec<&DayReading>) =
        readings.iter().partition(|r| runs_of(r) == own);
    assigned.probability = Some(alike.into_iter().map(weight).sum::<f64>() / all);
    assigned.other = unlike.first().map(|other| OtherReading {
        probability: weight(other) / all,
        runs: runs_of(other),
        configurations: other.cells.iter().map(|c| c.0 + 1).max().unwrap_or(0),
        settings: other.cells.iter().map(|c| c.1 + 1).max().unwrap_or(0),
        double_runs: other.pairs.len(),
    });
}

/// Whether two pairs are one double run, whatever the ends of their legs.
fn same_run(a: &super::trial::Pair, b: &super::trial::Pair) -> bool {
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
