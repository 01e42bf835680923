//! What a reader must know before believing the rest.

use geo::{Distance as _, Geodesic, Point};

use super::days::FoundDay;
use super::reading::unclear;
use super::result::{Configuration, Day, GroupSource, Trial};
use super::warning::Warning;
use crate::compare::{Adjustment, Comparison, DoubtKind};
use crate::day::{DoubleRun, WindSource, against_legs};
use crate::segmenter::{LeftOut, Leg, Segmented};

/// All warnings, in the order of their weight.
///
/// `notes` says what of the notes could not be used, `doubtful` on which days a current may pose as
/// the wind, `is_one_trial` whether the person says that all of it belongs together.
pub(super) fn warnings(
    trial: &Trial,
    days: &[FoundDay],
    notes: Vec<String>,
    is_one_trial: bool,
    doubtful: &[usize],
) -> Vec<Warning> {
    // What the double runs show goes before what the stops leave open.
    let by_wind = matches!(
        trial.adjustment,
        Some(Adjustment::Wind { .. } | Adjustment::StillWater)
    );
    let is_doubtful = |day: &Day| !by_wind && doubtful.contains(&day.day);
    let has_legs = |day: &Day| trial.legs_of(day.day).next().is_some();
    let mut out = Vec::new();
    let across = is_across_days(trial);
    out.extend(across.then_some(Warning::ComparedAcrossDays));
    out.extend(notes.into_iter().map(|what| Warning::Notes { what }));
    out.extend(several_waters(trial).filter(|_| !is_one_trial));
    out.extend(each_day(trial, circle_disagrees(trial)));
    out.extend(unclear(trial));
    out.extend(each_day(trial, |day| {
        is_doubtful(day).then_some(Warning::WindOrCurrent)
    }));
    out.extend(nothing_found(trial));
    out.extend(single_runs(trial));
    out.extend(order(trial).filter(|_| !across));
    out.extend(of_fit(trial));
    out.extend(each_day(trial, |day| {
        too_short(days.get(day.day.checked_sub(1)?)?.found.as_ref()?)
    }));
    out.extend(grouping(trial));
    out.extend(recorded_speed(trial));
    out.extend(sparse(trial));
    out.extend(each_day(trial, |day| {
        let unknown = day.wind.source == WindSource::None && has_legs(day);
        (unknown && !is_doubtful(day)).then(|| Warning::NoWind {
            reason: day.wind.remark.clone().unwrap_or_default(),
        })
    }));
    let from_track = |c: &Configuration| c.source == GroupSource::Track;
    let several = trial.days.len() > 1 && trial.configurations.len() > 1;
    if several && !across && trial.configurations.iter().all(from_track) {
        let names = trial.configurations.iter().map(|c| c.name.clone());
        out.push(Warning::MatchedByOrder {
            configurations: names.collect(),
        });
    }
    for track in &trial.tracks {
        out.extend(track.remarks.iter().map(|what| Warning::File {
            file: track.file.clone(),
            what: what.clone(),
        }));
    }
    out
}

/// What there is to know of each day; the same of several days once, with their numbers.
fn each_day(trial: &Trial, of: impl Fn(&Day) -> Option<Warning>) -> Vec<Warning> {
    let mut out: Vec<(Warning, Vec<usize>)> = Vec::new();
    for day in &trial.days {
        let Some(warning) = of(day) else { continue };
        match out.iter_mut().find(|(known, _)| *known == warning) {
            Some((_, days)) => days.push(day.day),
            None => out.push((warning, vec![day.day])),
        }
    }
    let named = |(warning, days): (Warning, Vec<usize>)| match trial.days.len() {
        0 | 1 => warning,
        _ => Warning::OfDays {
            days,
            warning: Box::new(warning),
        },
    };
    out.into_iter().map(named).collect()
}

/// Whether no day had two configurations, but the trial has.
fn is_across_days(trial: &Trial) -> bool {
    let compares = |day: &Day| {
        let mut runs = trial.runs_of(day.day).map(|run| &run.configuration);
        let first = runs.next();
        runs.any(|other| Some(other) != first)
    };
    trial.days.len() > 1 && trial.configurations.len() > 1 && !trial.days.iter().any(compares)
}

/// Course lines farther apart than this lie on waters of their own, m: nobody moves a trial farther
/// from one day to the next (common practice, no source).
const SAME_WATER_M: f64 = 20_000.0;

/// The first day whose runs lie far from those of the first that has any.
fn several_waters(trial: &Trial) -> Option<Warning> {
    let place = |day: &Day| {
        let run = trial.runs_of(day.day).next()?;
        let line = trial.lines.iter().find(|line| line.line == run.line)?;
        let point = Point::new(line.from.longitude(), line.from.latitude());
        Some((day.day, point))
    };
    let mut places = trial.days.iter().filter_map(place);
    let (first, here) = places.next()?;
    places.find_map(|(other, there)| {
        let apart = Geodesic.distance(here, there);
        (apart > SAME_WATER_M).then_some(Warning::SeveralWaters {
            days: [first, other],
            apart_km: apart / 1000.0,
        })
    })
}

fn circle_disagrees(trial: &Trial) -> impl Fn(&Day) -> Option<Warning> {
    |day| {
        let runs: Vec<DoubleRun> = trial.runs_of(day.day).cloned().collect();
        let [circle_m_s, legs_m_s] = against_legs(&day.circles, &runs)?;
        Some(Warning::CircleDisagrees {
            circle_m_s,
            legs_m_s,
        })
    }
}

fn nothing_found(trial: &Trial) -> Option<Warning> {
    if trial.double_runs.is_empty() {
        let legs = trial.legs.len();
        return Some(Warning::NoDoubleRuns {
            found: match legs {
                0 => "no stretch on one steady heading that lasted".to_owned(),
                1 => "one leg".to_owned(),
                _ => format!("{legs} legs, none of which leads back along another"),
            },
        });
    }
    if trial.configurations.len() == 1 {
        return Some(Warning::NothingToCompare);
    }
    trial
        .comparisons
        .is_empty()
        .then_some(Warning::NoSharedSetting)
}

fn single_runs(trial: &Trial) -> Option<Warning> {
    if trial.comparisons.is_empty() {
        return None;
    }
    let cells: Vec<String> = trial
        .cells
        .iter()
        .filter(|c| c.double_runs.len() == 1)
        .map(|c| format!("{} at {}", c.configuration, c.setting))
        .collect();
    (!cells.is_empty()).then_some(Warning::OneDoubleRun { cells })
}

fn in_order(trial: &Trial) -> impl Iterator<Item = &str> {
    trial.double_runs.iter().map(|r| r.configuration.as_str())
}

/// Share of half an interval from which on what may have drifted through the day is most of it.
const MOST_OF_INTERVAL: f64 = 0.5;

/// Whether each configuration was run in one block of its own, and a drift of the conditions from
/// block to block is a large part of what is not known.
///
/// In a steady day that order does no harm, and a warning each time would teach people to look
/// away.
fn order(trial: &Trial) -> Option<Warning> {
    let mut blocks: Vec<&str> = in_order(trial).collect();
    blocks.dedup();
    let mut once = blocks.clone();
    once.sort_unstable();
    once.dedup();
    let in_blocks = blocks.len() >= 2 && once.len() == blocks.len();
    let by_time = |comparison: &Comparison| {
        let percent = &comparison.percent;
        let half = (percent.high? - percent.low?) / 2.0;
        let mut doubts = comparison.doubts.iter();
        let time = doubts
            .find(|d| d.kind == DoubtKind::Time)?
            .could_move_percent;
        (time >= MOST_OF_INTERVAL * half).then_some(time)
    };
    let pooled = (trial.comparisons.iter()).filter(|c| c.setting.is_none());
    let percent = pooled.filter_map(by_time).max_by(f64::total_cmp)?;
    in_blocks.then(|| Warning::OrderConfounded {
        configurations: blocks.iter().map(ToString::to_string).collect(),
        percent,
    })
}

/// Probability from which on something is more likely than not.
const LIKELY: f64 = 0.5;

/// What the fit itself makes doubtful: conditions that drifted, a run that went wrong, a stated
/// wind that cannot be.
fn of_fit(trial: &Trial) -> Vec<Warning> {
    let Some(fit) = &trial.fit else {
        return Vec::new();
    };
    let mut out = Vec::new();
    if let Some(trend) = fit.trend_percent_per_hour
        && fit.failing_trend_probability > LIKELY
        && let Some((low, high)) = trend.low.zip(trend.high)
    {
        out.push(Warning::ConditionsDrifted {
            percent_per_hour: [low, high],
        });
    }
    let bad = fit.bad_runs.iter().filter(|run| run.probability > LIKELY);
    out.extend(bad.map(|run| Warning::BadRun {
        double_run: run.double_run,
    }));
    let given = trial.wind.source == WindSource::Given;
    if given && trial.current.is_none() && fit.agrees_with_wind == Some(false) {
        out.push(Warning::WindAgainstRuns);
    }
    if let Some((stated, behind)) = fit.stated_along_m_s.zip(fit.wind_along_m_s)
        && fit.wind_makes_half_differences
        && trial.wind.source != WindSource::Log
        && !(behind[0]..=behind[1]).contains(&stated)
    {
        out.push(Warning::WindSpeedDoubtful {
            stated_m_s: stated,
            along_m_s: behind,
        });
    }
    out
}

/// Legs on a shared line that were too short to settle.
fn too_short(found: &Segmented) -> Option<Warning> {
    let short =
        |leg: &Leg| leg.line.is_some() && matches!(leg.left_out, Some(LeftOut::TooShort { .. }));
    let legs: Vec<usize> = found
        .legs
        .iter()
        .filter(|leg| short(leg))
        .map(|leg| leg.number)
        .collect();
    (!legs.is_empty()).then_some(Warning::ShortApproach { legs })
}

fn grouping(trial: &Trial) -> Vec<Warning> {
    let mut out = Vec::new();
    let from_track = |source: GroupSource| source == GroupSource::Track;
    let configurations = trial.configurations.iter().any(|c| from_track(c.source));
    let settings = trial.settings.iter().any(|s| from_track(s.source));
    if configurations || settings {
        let (c, s) = (trial.configurations.len(), trial.settings.len());
        let changes = match c {
            0 | 1 => String::new(),
            2 => ", the change lying in the long stop between two series at the same settings"
                .to_owned(),
            _ => {
                ", each change lying in a long stop between series at the same settings".to_owned()
            }
        };
        let back = came_back(trial).map_or_else(String::new, |(series, first, name)| {
            format!(
                "; the {} series is as fast as the {}: {name} again?",
                ordinal(series),
                ordinal(first)
            )
        });
        out.push(Warning::GroupedFromTrack {
            how: format!(
                "The double runs were read from the track as {c} configuration{} at {s} setting{}{changes}{back}",
                plural(c),
                plural(s)
            ),
        });
    }
    out
}

/// A series that had the configuration of an earlier one, with that one and its name, where the
/// track alone says so; series count from 0.
fn came_back(trial: &Trial) -> Option<(usize, usize, String)> {
    if trial
        .configurations
        .iter()
        .any(|c| c.source == GroupSource::Notes)
    {
        return None;
    }
    trial.days.iter().find_map(|day| {
        let runs = trial.runs_of(day.day);
        let mut series: Vec<&str> = runs.map(|run| run.configuration.as_str()).collect();
        series.dedup();
        series.iter().enumerate().find_map(|(index, name)| {
            let first = series.iter().position(|n| n == name)?;
            (first < index).then(|| (index, first, (*name).to_owned()))
        })
    })
}

fn ordinal(index: usize) -> String {
    const NAMES: [&str; 6] = ["first", "second", "third", "fourth", "fifth", "sixth"];
    let name = NAMES.get(index).map(ToString::to_string);
    name.unwrap_or_else(|| format!("{}th", index + 1))
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}

/// Recorded speeds off by more than this share have another unit or another meaning:
/// those of 22 in 34 public tracks lie within 0.94-1.02 of the speed from positions.
const RECORDED_SPEED_SHARE: f64 = 0.1;

fn recorded_speed(trial: &Trial) -> Option<Warning> {
    let ratios: Vec<f64> = trial
        .legs
        .iter()
        .filter_map(|l| Some(l.recorded_speed_m_s? / l.speed_m_s?))
        .collect();
    let ratio = crate::stats::quantile::median(&ratios)?;
    ((ratio - 1.0).abs() > RECORDED_SPEED_SHARE).then_some(Warning::RecordedSpeedDiffers { ratio })
}

/// Steps between fixes above this leave fewer than a dozen in the shortest leg worth running, s.
const SPARSE_S: f64 = 15.0;

fn sparse(trial: &Trial) -> Option<Warning> {
    let interval_s = trial
        .tracks
        .iter()
        .filter_map(|t| t.interval_s)
        .max_by(f64::total_cmp)?;
    (interval_s > SPARSE_S && !trial.legs.is_empty()).then_some(Warning::SparseFixes { interval_s })
}
