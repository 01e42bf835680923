//! Puts the analyses of several days together into one.

use super::across::DayOfTrial;
use super::buys::Buys;
use super::compared::{Cell, Gauge};
use super::names::NamesOfDays;
use super::pool::{Names, pooled};
use super::pool_pairs::{against_first_over_days, pooled_pairs};
use super::result::{
    Analysis, Configuration, SCHEMA, Setting, Trail, Wind, WindSource, Zone, ZoneSource,
};
use super::settings::Settings;
use super::warning::Warning;
use crate::stats::summary::mean;

/// One analysis of several days, which are numbered on from one another.
pub(super) fn merge(mut days: Vec<DayOfTrial>, names: &NamesOfDays, asked: &Settings) -> Analysis {
    number_on(&mut days);
    let order = Names {
        configurations: &names.configurations,
        settings: &names.settings,
    };
    let first = days.first().map(|day| &day.analysis);
    let all = || days.iter().map(|day| &day.analysis);
    let rules = &asked.rules.comparison;
    let mut comparisons = pooled(&days, &order, rules);
    against_first_over_days(&mut comparisons, &days, rules);
    Analysis {
        schema: SCHEMA,
        title: first.and_then(|a| a.title.clone()),
        units: first.map(|a| a.units).unwrap_or_default(),
        clock: first.map(|a| a.clock).unwrap_or_default(),
        timezone: first.map_or_else(no_zone, |a| a.timezone.clone()),
        tracks: all().flat_map(|a| a.tracks.clone()).collect(),
        wind: wind(&days),
        current: first.and_then(|a| a.current),
        legs: legs(&days),
        lines: all().flat_map(|a| a.lines.clone()).collect(),
        double_runs: all().flat_map(|a| a.double_runs.clone()).collect(),
        configurations: configurations(&days, &names.configurations),
        settings: settings(&days, &names.settings),
        cells: cells(&days, names),
        comparisons,
        pairs: pooled_pairs(&days, &order, rules),
        reading: None,
        gauge: gauge(&days),
        wind_covariate: None,
        headings: Vec::new(),
        circles: all().flat_map(|a| a.circles.clone()).collect(),
        idle: all().flat_map(|a| a.idle.clone()).collect(),
        settling_distance_m: None,
        buys: Buys::of_each_day(),
        warnings: warnings(&days),
        rules: asked.rules.clone(),
        trail: Trail::default(),
        days,
    }
}

fn no_zone() -> Zone {
    Zone {
        name: "UTC".to_owned(),
        source: ZoneSource::None,
    }
}

/// Numbers legs, lines and double runs of each day on from those of the day before.
fn number_on(days: &mut [DayOfTrial]) {
    let (mut legs, mut lines, mut runs) = (0, 0, 0);
    for day in days {
        let own = &mut day.analysis;
        let last_leg = own.legs.iter().map(|leg| leg.leg).max().unwrap_or(0);
        let counts = (last_leg, own.lines.len(), own.double_runs.len());
        for leg in &mut own.legs {
            leg.day = day.day;
            leg.leg += legs;
            leg.line = leg.line.map(|line| line + lines);
            leg.double_run = leg.double_run.map(|run| run + runs);
        }
        for line in &mut own.lines {
            line.line += lines;
            line.legs.iter_mut().for_each(|leg| *leg += legs);
        }
        for run in &mut own.double_runs {
            run.day = day.day;
            run.double_run += runs;
            run.line += lines;
            run.legs = run.legs.map(|leg| leg + legs);
        }
        for cell in &mut own.cells {
            cell.double_runs.iter_mut().for_each(|run| *run += runs);
        }
        for warning in &mut own.warnings {
            warning.number_on(legs);
        }
        legs += counts.0;
        lines += counts.1;
        runs += counts.2;
    }
}

/// The legs of all days, their tracks counted through.
fn legs(days: &[DayOfTrial]) -> Vec<super::result::Leg> {
    let mut tracks = 0;
    let mut out = Vec::new();
    for day in days {
        let own = day.analysis.legs.iter().cloned();
        out.extend(own.map(|mut leg| {
            leg.track += tracks;
            leg
        }));
        tracks += day.analysis.tracks.len();
    }
    out
}

fn wind(days: &[DayOfTrial]) -> Wind {
    let given = days.first().map(|day| &day.analysis.wind);
    match given {
        Some(wind) if wind.source == WindSource::Given => wind.clone(),
        _ => Wind {
            from_deg: None,
            from_se_deg: None,
            speed_m_s: None,
            source: WindSource::None,
            remark: Some("each day had its own".to_owned()),
        },
    }
}

fn configurations(days: &[DayOfTrial], names: &[String]) -> Vec<Configuration> {
    names
        .iter()
        .filter_map(|name| {
            let own: Vec<&Configuration> = (days.iter())
                .flat_map(|day| &day.analysis.configurations)
                .filter(|c| c.name == *name)
                .collect();
            Some(Configuration {
                to: own.last()?.to,
                confidence: least(own.iter().map(|c| c.confidence)),
                ..(*own.first()?).clone()
            })
        })
        .collect()
}

fn settings(days: &[DayOfTrial], names: &[String]) -> Vec<Setting> {
    names
        .iter()
        .filter_map(|name| {
            let own: Vec<&Setting> = (days.iter())
                .flat_map(|day| &day.analysis.settings)
                .filter(|s| s.name == *name)
                .collect();
            Some(Setting {
                percent: own.iter().find_map(|s| s.percent),
                confidence: least(own.iter().map(|s| s.confidence)),
                ..(*own.first()?).clone()
            })
        })
        .collect()
}

fn least(values: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    values.flatten().min_by(f64::total_cmp)
}

/// Cells over all days: each day weighs alike, since the days' own speeds differ for reasons of
/// their own. There is no interval: what the scatter within days says of such a mean is not it.
fn cells(days: &[DayOfTrial], names: &NamesOfDays) -> Vec<Cell> {
    let mut out = Vec::new();
    for configuration in &names.configurations {
        for setting in &names.settings {
            let own: Vec<&Cell> = (days.iter())
                .flat_map(|day| &day.analysis.cells)
                .filter(|c| c.configuration == *configuration && c.setting == *setting)
                .collect();
            let logs: Vec<f64> = own.iter().map(|c| c.mean_m_s.ln()).collect();
            let halves: Vec<f64> = own.iter().map(|c| c.half_difference_m_s).collect();
            let (Some(log), Some(half)) = (mean(&logs), mean(&halves)) else {
                continue;
            };
            out.push(Cell {
                configuration: configuration.clone(),
                setting: setting.clone(),
                double_runs: own.iter().flat_map(|c| c.double_runs.clone()).collect(),
                mean_m_s: log.exp(),
                mean_interval_m_s: None,
                mean_of_means_m_s: None,
                half_difference_m_s: half,
                half_difference_per_hour_m_s: None,
            });
        }
    }
    out
}

/// Whether the wind was taken out, all days together: applied where it was on every day that compares.
fn gauge(days: &[DayOfTrial]) -> Gauge {
    let comparing: Vec<&DayOfTrial> = (days.iter())
        .filter(|day| !day.analysis.comparisons.is_empty())
        .collect();
    let left: Vec<String> = comparing
        .iter()
        .filter(|day| !day.analysis.in_one_wind())
        .map(|day| day.day.to_string())
        .collect();
    let applied = left.is_empty() && !comparing.is_empty();
    Gauge {
        applied,
        reason: (!left.is_empty()).then(|| {
            let days = if left.len() == 1 { "day" } else { "days" };
            format!("not on {days} {}", left.join(", "))
        }),
        ..Gauge::default()
    }
}

/// What each day's reader must know, the day named; that a day compares nothing only where none does.
fn warnings(days: &[DayOfTrial]) -> Vec<Warning> {
    let compares = days.iter().any(|d| !d.analysis.comparisons.is_empty());
    let runs = days.iter().any(|d| !d.analysis.double_runs.is_empty());
    let mut out: Vec<Warning> = Vec::new();
    for day in days {
        for warning in &day.analysis.warnings {
            let whole = match warning {
                Warning::File { .. } => true,
                Warning::NothingToCompare => !compares,
                Warning::NoDoubleRuns { .. } => !runs,
                _ => false,
            };
            add(&mut out, day.day, warning, whole);
        }
    }
    out
}

/// Adds what is said of one day; the same of several days is said once.
fn add(out: &mut Vec<Warning>, day: usize, warning: &Warning, whole: bool) {
    let known = out.iter_mut().find_map(|told| match told {
        Warning::OfDays { days, warning: own } if **own == *warning => Some(days),
        _ => None,
    });
    match known {
        _ if whole => {
            if !out.contains(warning) {
                out.push(warning.clone());
            }
        }
        Some(days) => days.push(day),
        None => out.push(Warning::OfDays {
            days: vec![day],
            warning: Box::new(warning.clone()),
        }),
    }
}
