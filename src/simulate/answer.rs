//! The known truth, drawn from the log of the voyage.

use jiff::{SignedDuration, Timestamp};

use super::balance::{changes, idle_drift};
use super::helm::LINE_MOST_DEG;
use super::outing::{Diary, Pair};
use super::physics::{Surroundings, Vector, turn_between, wrapped};
use super::scenario::{Scenario, Steering};
use super::truth::{TrueConfiguration, TrueDoubleRun, TrueFlow, TrueLeg, TrueWind, Truth};
use super::voyage::{Moment, Purpose, Stretch, Voyage};
use super::weather::{mean_air, mean_water};

/// A leg begins when the heading comes this near to the one held, degrees, beside what the helm
/// itself steers off it: its hunting, and its correction towards a line.
const TURN_DONE_DEG: f64 = 5.0;
/// And stays so for this long, s: a loop passes through the heading sooner, and a later yaw in a gust
/// is part of the leg.
const STAYS_ON_S: f64 = 10.0;
/// The approach is over when the speed stays this near to the steady one, as a share.
const SETTLED_SHARE: f64 = 0.01;
/// For this long it must stay so, s; later gusts of yaw do not undo it.
const STAYS_SETTLED_S: f64 = 10.0;
/// Shorter straights are not listed, s.
const SHORTEST_LISTED_S: f64 = 30.0;

/// A time of the simulated day.
pub(super) fn at(scenario: &Scenario, t: f64) -> Timestamp {
    let milliseconds = (t * 1000.0).round() as i64;
    let since = SignedDuration::from_millis(milliseconds);
    scenario
        .day
        .start
        .checked_add(since)
        .unwrap_or(scenario.day.start)
}

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
        current: flow(mean_vector(trial, |m| m.water)),
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
        start: at(scenario, first.t),
        settled: at(scenario, steady.t),
        end: at(scenario, last.t),
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

/// The first moment from which on the boat stays settled for long enough; the last one if there is none.
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

pub(super) fn flow(vector: Vector) -> TrueFlow {
    TrueFlow {
        towards_deg: vector.degrees(),
        speed_m_s: vector.length(),
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
                from: at(scenario, moment as f64 * voyage.step_s),
            })
        })
        .collect()
}
