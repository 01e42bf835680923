//! What really happened on a simulated day, to judge what was found: from the log of the voyage,
//! and from steady balances in an unchanging wind and water.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::outing::{Diary, Pair};
use super::physics::{Craft, Surroundings, Vector, turn_between, wrapped};
use super::scenario::{Scenario, Steering};
use super::voyage::{LINE_MOST_DEG, Moment, Purpose, Stretch, Voyage};
use super::weather::{mean_air, mean_water};

/// The known truth of a simulated day. SI units, degrees true, UTC.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// The name of the day.
    pub name: String,
    /// The seed it was made from.
    pub seed: u64,
    /// Straight stretches under way of 30 s and more, in order of time, of the trial and others.
    pub legs: Vec<TrueLeg>,
    /// The double runs, in the order run.
    pub double_runs: Vec<TrueDoubleRun>,
    /// When each configuration was fitted, in order.
    pub configurations: Vec<TrueConfiguration>,
    /// The change from the first configuration to each other one, per setting.
    pub changes: Vec<TrueChange>,
    /// The wind: vector mean over the trial, gusts included.
    pub wind: TrueWind,
    /// The current: vector mean over the trial.
    pub current: TrueFlow,
    /// Drift of the idle boat in the trial's mean wind and current, noise-free, over ground.
    pub idle_drift: TrueFlow,
}

/// A straight stretch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueLeg {
    /// Turn finished: from here on the heading stays within 5 degrees (and the amplitude of the
    /// hunting) of the heading held.
    pub start: Timestamp,
    /// Approach finished: the first moment from which the speed ahead through the water stays for
    /// 10 s within 1 % of that of a boat in the same gusts, hunting alike, that was at its steady
    /// speed when the turn ended. Equal to the end where that was never reached.
    pub settled: Timestamp,
    /// Helm put over for the next turn, or throttle closed.
    pub end: Timestamp,
    /// Mean heading held from start to end, degrees true.
    pub heading_deg: f64,
    /// Course made good from settled to end, degrees true; without the motion in waves.
    pub course_deg: f64,
    /// Speed made good from settled to end, m/s: distance between the two places over time,
    /// without the motion in waves.
    pub speed_m_s: f64,
    /// Distance made good from start to end, m.
    pub length_m: f64,
    /// Mean wind from start to end.
    pub wind: TrueWind,
    /// Whether it is a run of the trial; rides, hops and trolling are not.
    pub trial: bool,
    /// Whether it was broken off, and so belongs to no double run.
    pub broken_off: bool,
    /// The trial's line, counted from 0 along the scenario's lines; `None` outside the trial.
    pub line: Option<usize>,
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Index of the power setting, slowest 0; `None` outside the trial.
    pub setting: Option<usize>,
    /// Index into the double runs.
    pub double_run: Option<usize>,
}

/// Two legs there and back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueDoubleRun {
    /// Indices into the legs: there, back.
    pub legs: [usize; 2],
    /// The trial's line.
    pub line: usize,
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Index of the power setting, slowest 0.
    pub setting: usize,
    /// Mean of the two legs' true speeds, m/s.
    pub mean_m_s: f64,
}

/// A configuration and when it was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueConfiguration {
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Its name.
    pub name: String,
    /// Fitted from: the start of the day, or the middle of the swap.
    pub from: Timestamp,
}

/// The true change of speed at one setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueChange {
    /// Index of the old configuration.
    pub baseline: usize,
    /// Index of the new configuration.
    pub changed: usize,
    /// Index of the power setting, slowest 0.
    pub setting: usize,
    /// Steady reciprocal mean of the old configuration in the trial's mean wind and current,
    /// noise-free, mean over the trial's lines, m/s.
    pub baseline_m_s: f64,
    /// The same of the new configuration.
    pub changed_m_s: f64,
    /// Change of that mean, percent.
    pub percent: f64,
    /// Change of the steady speed in calm and still water, percent.
    pub calm_percent: f64,
    /// Steady speed of the old configuration in calm and still water, m/s.
    pub baseline_calm_m_s: f64,
}

/// Wind as a mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueWind {
    /// Direction it blows from, degrees true.
    pub from_deg: f64,
    /// Speed, m/s.
    pub speed_m_s: f64,
}

/// A flow or drift as a mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueFlow {
    /// Direction it goes towards, degrees true.
    pub towards_deg: f64,
    /// Speed, m/s.
    pub speed_m_s: f64,
}

/// A leg begins when the heading comes this near to the one held, degrees, beside what the helm
/// itself steers off it: its hunting, and its correction towards a line.
const TURN_DONE_DEG: f64 = 5.0;
/// And stays so for this long, s: a loop passes through the heading sooner, and a later yaw in a
/// gust is part of the leg.
const STAYS_ON_S: f64 = 10.0;
/// The approach is over when the speed stays this near to the steady one, as a share.
const SETTLED_SHARE: f64 = 0.01;
/// For this long it must stay so, s; later gusts of yaw do not undo it.
const STAYS_SETTLED_S: f64 = 10.0;
/// Shorter straights are not listed, s.
const SHORTEST_LISTED_S: f64 = 30.0;

/// Draws up the truth.
pub(super) fn truth(voyage: &Voyage, diary: &Diary, seed: u64) -> Truth {
    let scenario = voyage.scenario;
    let mut legs = Vec::new();
    // Where each stretch went in the list.
    let mut listed: Vec<Option<usize>> = Vec::new();
    let mut earliest = 0;
    for stretch in &voyage.stretches {
        let leg = leg(voyage, stretch, earliest);
        earliest = stretch.to;
        listed.push(leg.is_some().then_some(legs.len()));
        legs.extend(leg);
    }
    let double_runs = double_runs(&mut legs, &listed, &diary.pairs);
    let span = trial_span(voyage);
    let trial: &[Moment] = voyage.moments.get(span.clone()).unwrap_or_default();
    let middle = (span.start + span.end) as f64 * 0.5 * voyage.step_s;
    let mean = Surroundings {
        air: mean_air(&scenario.wind, middle),
        water: mean_water(&scenario.water, middle),
    };
    Truth {
        name: scenario.name.clone(),
        seed,
        legs,
        double_runs,
        configurations: configurations(voyage, diary),
        changes: changes(scenario, mean),
        wind: wind(trial),
        current: mean_vector(trial, |m| m.water).into(),
        idle_drift: idle_drift(scenario, mean),
    }
}

fn leg(voyage: &Voyage, stretch: &Stretch, earliest: usize) -> Option<TrueLeg> {
    let scenario = voyage.scenario;
    let moments = &voyage.moments;
    let middle = usize::midpoint(stretch.from, stretch.to);
    let held = mean_heading(moments.get(middle..=stretch.to)?)?;
    let tolerance = TURN_DONE_DEG + scenario.helm.hunting_deg + correction_deg(voyage, stretch);
    let on = moments
        .get(earliest..middle)?
        .iter()
        .map(|m| m.under_way && turn_between(held, m.heading_deg).abs() <= tolerance);
    let start = earliest + stays_from(on, STAYS_ON_S, voyage.step_s).unwrap_or(middle - earliest);
    let settled = start + settled_after(moments.get(start..=stretch.to)?, voyage.step_s);
    let (first, steady, last) = (
        moments.get(start)?,
        moments.get(settled)?,
        moments.get(stretch.to)?,
    );
    if last.t - first.t < SHORTEST_LISTED_S {
        return None;
    }
    // Where the boat never settled the whole leg stands in.
    let from = if settled < stretch.to { steady } else { first };
    let made_good = last.place - from.place;
    let (trial, broken_off, line, setting) = match stretch.purpose {
        Purpose::Passage => (false, false, None, None),
        Purpose::Run {
            line,
            setting,
            broken_off,
        } => (true, broken_off, Some(line), Some(setting)),
    };
    Some(TrueLeg {
        start: scenario.at(first.t),
        settled: scenario.at(steady.t),
        end: scenario.at(last.t),
        heading_deg: mean_heading(moments.get(start..=stretch.to)?)?,
        course_deg: made_good.degrees(),
        speed_m_s: made_good.length() / (last.t - from.t),
        length_m: (last.place - first.place).length(),
        wind: wind(moments.get(start..=stretch.to)?),
        trial,
        broken_off,
        line,
        configuration: stretch.configuration,
        setting,
        double_run: None,
    })
}

/// How far from its heading the helm steers in this stretch to keep to its line, degrees.
fn correction_deg(voyage: &Voyage, stretch: &Stretch) -> f64 {
    let corrects = matches!(stretch.purpose, Purpose::Run { .. })
        && voyage.scenario.helm.steering == Steering::Line;
    if corrects { LINE_MOST_DEG } else { 0.0 }
}

/// The first moment from which on the boat stays settled for long enough; the last one if there is
/// none.
fn settled_after(leg: &[Moment], step_s: f64) -> usize {
    let settled = leg
        .iter()
        .map(|m| m.behind.is_some_and(|share| share.abs() <= SETTLED_SHARE));
    stays_from(settled, STAYS_SETTLED_S, step_s).unwrap_or(leg.len().saturating_sub(1))
}

/// The first step from which on something holds for so many seconds.
fn stays_from(holds: impl Iterator<Item = bool>, seconds: f64, step_s: f64) -> Option<usize> {
    let needed = (seconds / step_s) as usize;
    let mut since = 0;
    for (number, holds) in holds.enumerate() {
        if !holds {
            since = number + 1;
        } else if number - since >= needed {
            return Some(since);
        }
    }
    None
}

fn mean_heading(moments: &[Moment]) -> Option<f64> {
    let first = moments.first()?.heading_deg;
    let sum: f64 = moments
        .iter()
        .map(|m| turn_between(first, m.heading_deg))
        .sum();
    Some(wrapped(first + sum / moments.len() as f64))
}

fn double_runs(
    legs: &mut [TrueLeg],
    listed: &[Option<usize>],
    pairs: &[Pair],
) -> Vec<TrueDoubleRun> {
    let number = |stretch: usize| listed.get(stretch).copied().flatten();
    let mut found = Vec::new();
    for pair in pairs {
        let (Some(there), Some(back)) = (number(pair.stretches[0]), number(pair.stretches[1]))
        else {
            continue;
        };
        let mut sum = 0.0;
        for leg in [there, back] {
            if let Some(leg) = legs.get_mut(leg) {
                leg.double_run = Some(found.len());
                sum += leg.speed_m_s;
            }
        }
        found.push(TrueDoubleRun {
            legs: [there, back],
            line: pair.line,
            configuration: pair.configuration,
            setting: pair.setting,
            mean_m_s: 0.5 * sum,
        });
    }
    found
}

fn trial_span(voyage: &Voyage) -> std::ops::Range<usize> {
    let runs = || {
        voyage
            .stretches
            .iter()
            .filter(|s| matches!(s.purpose, Purpose::Run { .. }))
    };
    match (runs().next(), runs().next_back()) {
        (Some(first), Some(last)) => first.from..last.to,
        _ => 0..voyage.moments.len(),
    }
}

fn mean_vector(moments: &[Moment], of: impl Fn(&Moment) -> Vector) -> Vector {
    let sum = moments
        .iter()
        .fold(Vector::default(), |sum, moment| sum + of(moment));
    sum * (1.0 / moments.len().max(1) as f64)
}

fn wind(moments: &[Moment]) -> TrueWind {
    let air = mean_vector(moments, |m| m.air);
    TrueWind {
        from_deg: wrapped(air.degrees() + 180.0),
        speed_m_s: air.length(),
    }
}

impl From<Vector> for TrueFlow {
    fn from(vector: Vector) -> Self {
        Self {
            towards_deg: vector.degrees(),
            speed_m_s: vector.length(),
        }
    }
}

fn configurations(voyage: &Voyage, diary: &Diary) -> Vec<TrueConfiguration> {
    let scenario = voyage.scenario;
    diary
        .fitted
        .iter()
        .filter_map(|&(configuration, moment)| {
            Some(TrueConfiguration {
                configuration,
                name: scenario
                    .boat
                    .configurations
                    .get(configuration)?
                    .name
                    .clone(),
                from: scenario.at(moment as f64 * voyage.step_s),
            })
        })
        .collect()
}

/// Steady reciprocal mean over the trial's lines: the mean of the two speeds over ground of a boat
/// that makes good the line there and back.
fn reciprocal_mean(scenario: &Scenario, hull: &Craft, thrust: f64, around: Surroundings) -> f64 {
    let lines = &scenario.day.lines_deg;
    let sum: f64 = lines
        .iter()
        .map(|&course| {
            let there = hull.heading_for(thrust, course, around).made_good;
            let back = hull.heading_for(thrust, course + 180.0, around).made_good;
            0.5 * (there + back)
        })
        .sum();
    sum / lines.len().max(1) as f64
}

/// The true changes, from the steady balance of each configuration.
pub(super) fn changes(scenario: &Scenario, mean: Surroundings) -> Vec<TrueChange> {
    let calm = Surroundings::default();
    let boat = &scenario.boat;
    let run =
        |configuration: usize, setting: usize| {
            scenario.day.blocks.iter().any(|block| {
                block.configuration == configuration && block.settings.contains(&setting)
            })
        };
    let baseline = scenario.day.blocks.first().map_or(0, |b| b.configuration);
    let Some(old) = boat.configurations.get(baseline) else {
        return Vec::new();
    };
    let old = Craft::new(boat, old);
    let mut changes = Vec::new();
    for (changed, configuration) in boat.configurations.iter().enumerate() {
        if changed == baseline {
            continue;
        }
        let new = Craft::new(boat, configuration);
        for (setting, &thrust) in boat.thrusts.iter().enumerate() {
            if !run(baseline, setting) || !run(changed, setting) {
                continue;
            }
            let baseline_m_s = reciprocal_mean(scenario, &old, thrust, mean);
            let changed_m_s = reciprocal_mean(scenario, &new, thrust, mean);
            let old_calm = old.steady(thrust, 0.0, calm).ahead;
            let new_calm = new.steady(thrust, 0.0, calm).ahead;
            changes.push(TrueChange {
                baseline,
                changed,
                setting,
                baseline_m_s,
                changed_m_s,
                percent: 100.0 * (changed_m_s / baseline_m_s - 1.0),
                calm_percent: 100.0 * (new_calm / old_calm - 1.0),
                baseline_calm_m_s: old_calm,
            });
        }
    }
    changes
}

/// The idle boat lies beam-on, either side to the wind.
pub(super) fn idle_drift(scenario: &Scenario, mean: Surroundings) -> TrueFlow {
    let Some(first) = scenario.boat.configurations.first() else {
        return Vector::default().into();
    };
    let hull = Craft::new(&scenario.boat, first);
    let heading = mean.air.degrees() + 90.0;
    let motion = hull.steady(0.0, heading, mean);
    motion.over_ground(heading, mean.water).into()
}
