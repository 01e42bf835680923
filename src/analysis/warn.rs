//! What a reader must be told of a result.

use super::result::{Analysis, DoubleRun, GroupSource, WindSource};
use super::warning::Warning;
use crate::segmenter::{LeftOut, Leg, Segmented};
use crate::stats::distribution::t_two_sided;
use crate::stats::regression::fit_line;

/// All warnings that follow from the result, in the order of their weight.
pub(super) fn warnings(analysis: &Analysis, found: Option<&Segmented>) -> Vec<Warning> {
    let mut out = Vec::new();
    out.extend(nothing_found(analysis));
    out.extend(single_runs(analysis));
    out.extend(order(analysis));
    out.extend(unequal_wind(analysis));
    out.extend(found.and_then(too_short));
    out.extend(grouping(analysis));
    out.extend(recorded_speed(analysis));
    out.extend(sparse(analysis));
    let told = analysis
        .warnings
        .iter()
        .any(|w| matches!(w, Warning::WindOrCurrent));
    if analysis.wind.source == WindSource::None && !analysis.legs.is_empty() && !told {
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
    (analysis.configurations.len() == 1).then_some(Warning::NothingToCompare)
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

fn included(analysis: &Analysis) -> impl Iterator<Item = &DoubleRun> {
    analysis.double_runs.iter().filter(|r| r.included)
}

/// Whether each configuration was run in one block of its own while the weather changed, or may have
/// changed behind a current.
///
/// In steady weather that order does no harm, and warning of it every time would teach people to
/// look away; that it is an assumption is told with the method.
fn order(analysis: &Analysis) -> Option<Warning> {
    let mut blocks: Vec<&str> = included(analysis)
        .map(|r| r.configuration.as_str())
        .collect();
    blocks.dedup();
    let mut once = blocks.clone();
    once.sort_unstable();
    once.dedup();
    let in_blocks = blocks.len() >= 2 && once.len() == blocks.len();
    let changed = weather_trend(analysis);
    let hidden = wind_hidden(analysis);
    (in_blocks && (changed || hidden)).then(|| Warning::OrderConfounded {
        configurations: blocks.iter().map(ToString::to_string).collect(),
        hidden: !changed,
    })
}

/// Up to this probability that the drift along the line is the wind's, a current is four times as
/// probable, and beside it a wind that grows would not be seen. On simulated days this warns on 83 to 98 of
/// 100 with a tide and a growing wind, and on 1 to 6 in steady wind on still water.
const CURRENT_PROBABLE: f64 = 0.2;

/// Whether a current along the line hides what the wind did, and the comparisons had to allow for it.
fn wind_hidden(analysis: &Analysis) -> bool {
    let allowed_for = (analysis.comparisons.iter()).any(|c| c.hidden_wind_percent.is_some());
    allowed_for && (analysis.gauge.probability).is_some_and(|wind| wind <= CURRENT_PROBABLE)
}

/// Whether the drift along the line changed steadily through the trial, by more than chance and by
/// enough to matter between the configurations.
///
/// Drift times speed is compared, for a wind moves a slow boat more. Where it keeps its direction,
/// its logarithm is: a wind that grows does so as a share of itself, and so do its gusts, and on
/// simulated days a growing wind was found on 93 to 98 of 100 so, and on 83 to 92 by the drift itself.
fn weather_trend(analysis: &Analysis) -> bool {
    let rules = &analysis.rules.comparison;
    let runs: Vec<&DoubleRun> = included(analysis).collect();
    let speeds: Vec<f64> = runs.iter().map(|r| r.mean_m_s).collect();
    let (Some(first), Some(speed)) = (runs.first(), crate::stats::summary::mean(&speeds)) else {
        return false;
    };
    let hours: Vec<f64> = runs
        .iter()
        .map(|r| r.at.duration_since(first.at).as_secs_f64() / 3600.0)
        .collect();
    let drifts: Vec<f64> = runs
        .iter()
        .map(|r| r.half_difference_m_s * r.mean_m_s / speed)
        .collect();
    let trend = |values: &[f64]| {
        let line = fit_line(&hours, values)?;
        let scatter = line.scatter?;
        let p = t_two_sided(line.slope / scatter.slope_se, scatter.df)?;
        (p < rules.trend_level).then_some(line.slope.abs())
    };
    let of = |changed: bool| -> Vec<f64> {
        runs.iter()
            .zip(&hours)
            .filter(|(r, _)| (r.configuration != first.configuration) == changed)
            .map(|(_, h)| *h)
            .collect()
    };
    let [Some(before), Some(after)] = [false, true].map(|c| crate::stats::summary::mean(&of(c)))
    else {
        return false;
    };
    let apart = (after - before).abs();
    let by_share = fit_line(&hours, &drifts).map_or(0.0, |l| l.slope.abs() * apart / speed);
    let one_way = drifts.iter().all(|d| *d > 0.0) || drifts.iter().all(|d| *d < 0.0);
    if one_way {
        let logs: Vec<f64> = drifts.iter().map(|d| d.abs().ln()).collect();
        return by_share > rules.trend_share
            && trend(&logs).is_some_and(|slope| slope * apart > rules.trend_log);
    }
    by_share > rules.unequal_drift_share && trend(&drifts).is_some()
}

/// Configurations whose drift along the line differs by more than its scatter explains.
fn unequal_wind(analysis: &Analysis) -> Vec<Warning> {
    let rules = &analysis.rules.comparison;
    let mut out = Vec::new();
    let Some(baseline) = analysis.configurations.first() else {
        return out;
    };
    for changed in analysis.configurations.iter().skip(1) {
        let Some(pair) = drift_difference(analysis, &baseline.name, &changed.name) else {
            continue;
        };
        if pair.difference.abs() > rules.unequal_drift_se * pair.se
            && pair.difference.abs() > rules.unequal_drift_share * pair.speed
        {
            out.push(Warning::UnequalWind {
                configurations: [baseline.name.clone(), changed.name.clone()],
                half_difference_m_s: pair.means,
                taken_out: analysis.in_one_wind(),
            });
        }
    }
    out
}

struct DriftPair {
    means: [f64; 2],
    difference: f64,
    se: f64,
    speed: f64,
}

/// Difference of the drift along the line at equal settings, over all settings both were run at.
fn drift_difference(analysis: &Analysis, baseline: &str, changed: &str) -> Option<DriftPair> {
    let halves = |configuration: &str, setting: &str| -> Vec<f64> {
        included(analysis)
            .filter(|r| r.configuration == configuration && r.setting == setting)
            .map(|r| r.half_difference_m_s)
            .collect()
    };
    let (mut sum, mut weights, mut squares, mut df) = ([0.0; 2], 0.0, 0.0, 0.0);
    for setting in &analysis.settings {
        let sides = [baseline, changed].map(|c| halves(c, &setting.name));
        let [Some(a), Some(b)] = [0, 1].map(|i| crate::stats::summary::mean(&sides[i])) else {
            continue;
        };
        let [n, m] = [sides[0].len() as f64, sides[1].len() as f64];
        let weight = n * m / (n + m);
        sum[0] += weight * a;
        sum[1] += weight * b;
        weights += weight;
        for (side, centre) in sides.iter().zip([a, b]) {
            squares += side.iter().map(|h| (h - centre).powi(2)).sum::<f64>();
            df += side.len() as f64 - 1.0;
        }
    }
    if weights <= 0.0 || df < 1.0 {
        return None;
    }
    let speeds: Vec<f64> = included(analysis).map(|r| r.mean_m_s).collect();
    let means = sum.map(|s| s / weights);
    Some(DriftPair {
        means,
        difference: means[1] - means[0],
        se: (squares / df / weights).sqrt(),
        speed: crate::stats::summary::mean(&speeds)?,
    })
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
    let mut series: Vec<&str> = included(analysis)
        .map(|r| r.configuration.as_str())
        .collect();
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
