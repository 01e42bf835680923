//! What a reader must be told of a result.

use super::result::{Analysis, Comparison, DoubtKind, GroupSource, WindSource};
use super::warning::Warning;
use crate::segmenter::{LeftOut, Leg, Segmented};

/// All warnings that follow from the result, in the order of their weight.
pub(super) fn warnings(analysis: &Analysis, found: Option<&Segmented>) -> Vec<Warning> {
    let mut out = Vec::new();
    out.extend(nothing_found(analysis));
    out.extend(single_runs(analysis));
    out.extend(order(analysis));
    out.extend(of_fit(analysis));
    out.extend(found.and_then(too_short));
    out.extend(grouping(analysis));
    out.extend(recorded_speed(analysis));
    out.extend(sparse(analysis));
    let said = analysis
        .warnings
        .iter()
        .any(|w| matches!(w, Warning::WindOrCurrent));
    if analysis.wind.source == WindSource::None && !analysis.legs.is_empty() && !said {
        out.push(Warning::NoWind {
            reason: analysis.wind.remark.clone().unwrap_or_default(),
        });
    }
    for track in &analysis.tracks {
        out.extend(track.remarks.iter().map(|what| Warning::File {
            file: track.file.clone(),
            what: what.clone(),
        }));
    }
    out
}

fn nothing_found(analysis: &Analysis) -> Option<Warning> {
    if analysis.double_runs.is_empty() {
        let legs = analysis.legs.len();
        return Some(Warning::NoDoubleRuns {
            found: match legs {
                0 => "no stretch on one steady heading that lasted".to_owned(),
                1 => "one leg".to_owned(),
                _ => format!("{legs} legs, none of which leads back along another"),
            },
        });
    }
    if analysis.configurations.len() == 1 {
        return Some(Warning::NothingToCompare);
    }
    analysis
        .comparisons
        .is_empty()
        .then_some(Warning::NoSharedSetting)
}

fn single_runs(analysis: &Analysis) -> Option<Warning> {
    if analysis.comparisons.is_empty() {
        return None;
    }
    let cells: Vec<String> = analysis
        .cells
        .iter()
        .filter(|c| c.double_runs.len() == 1)
        .map(|c| format!("{} at {}", c.configuration, c.setting))
        .collect();
    (!cells.is_empty()).then_some(Warning::OneDoubleRun { cells })
}

fn in_order(analysis: &Analysis) -> impl Iterator<Item = &str> {
    analysis
        .double_runs
        .iter()
        .map(|r| r.configuration.as_str())
}

/// Share of half an interval from which on what may have drifted through the day is most of it.
const MOST_OF_INTERVAL: f64 = 0.5;

/// Whether each configuration was run in one block of its own, and a drift of the conditions from
/// block to block is a large part of what is not known.
///
/// In a steady day that order does no harm, and a warning each time would teach people to look
/// away.
fn order(analysis: &Analysis) -> Option<Warning> {
    let mut blocks: Vec<&str> = in_order(analysis).collect();
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
    let pooled = (analysis.comparisons.iter()).filter(|c| c.setting.is_none());
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
fn of_fit(analysis: &Analysis) -> Vec<Warning> {
    let Some(fit) = &analysis.fit else {
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
    let given = analysis.wind.source == WindSource::Given;
    if given && analysis.current.is_none() && fit.agrees_with_wind == Some(false) {
        out.push(Warning::WindAgainstRuns);
    }
    if let Some((stated, behind)) = fit.stated_along_m_s.zip(fit.wind_along_m_s)
        && fit.wind_makes_half_differences
        && analysis.wind.source != WindSource::Log
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

fn grouping(analysis: &Analysis) -> Vec<Warning> {
    let mut out = Vec::new();
    let from_track = |source: GroupSource| source == GroupSource::Track;
    let configurations = analysis.configurations.iter().any(|c| from_track(c.source));
    let settings = analysis.settings.iter().any(|s| from_track(s.source));
    if configurations || settings {
        let (c, s) = (analysis.configurations.len(), analysis.settings.len());
        let changes = match c {
            0 | 1 => String::new(),
            2 => ", the change lying in the long stop between two series at the same settings"
                .to_owned(),
            _ => {
                ", each change lying in a long stop between series at the same settings".to_owned()
            }
        };
        let back = came_back(analysis).map_or_else(String::new, |(series, first, name)| {
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
fn came_back(analysis: &Analysis) -> Option<(usize, usize, String)> {
    if analysis
        .configurations
        .iter()
        .any(|c| c.source == GroupSource::Notes)
    {
        return None;
    }
    let mut series: Vec<&str> = in_order(analysis).collect();
    series.dedup();
    series.iter().enumerate().find_map(|(index, name)| {
        let first = series.iter().position(|n| n == name)?;
        (first < index).then(|| (index, first, (*name).to_owned()))
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

fn recorded_speed(analysis: &Analysis) -> Option<Warning> {
    let ratios: Vec<f64> = analysis
        .legs
        .iter()
        .filter_map(|l| Some(l.recorded_speed_m_s? / l.speed_m_s?))
        .collect();
    let ratio = crate::stats::quantile::median(&ratios)?;
    ((ratio - 1.0).abs() > RECORDED_SPEED_SHARE).then_some(Warning::RecordedSpeedDiffers { ratio })
}

/// Steps between fixes above this leave fewer than a dozen in the shortest leg worth running, s.
const SPARSE_S: f64 = 15.0;

fn sparse(analysis: &Analysis) -> Option<Warning> {
    let interval_s = analysis
        .tracks
        .iter()
        .filter_map(|t| t.interval_s)
        .max_by(f64::total_cmp)?;
    (interval_s > SPARSE_S && !analysis.legs.is_empty())
        .then_some(Warning::SparseFixes { interval_s })
}
