//! Puts the analyses of several days together into one.

use std::collections::BTreeMap;

use super::across::DayOfTrial;
use super::answer::{Answer, Compared, Question};
use super::buys::Buys;
use super::names::NamesOfDays;
use super::result::{
    Analysis, Configuration, DoubtKind, SCHEMA, Setting, Trail, Wind, WindSource, Zone, ZoneSource,
};
use super::rows::{RunsOfTrial, conditions};
use super::settings::Settings;
use super::warning::Warning;
use crate::units::Bearing;

/// One analysis of several days, which are numbered on from one another.
pub(super) fn merge(mut days: Vec<DayOfTrial>, names: &NamesOfDays, asked: &Settings) -> Analysis {
    number_on(&mut days);
    let first = days.first().map(|day| &day.analysis);
    let all = || days.iter().map(|day| &day.analysis);
    let mut whole = Analysis {
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
        cells: Vec::new(),
        comparisons: Vec::new(),
        pairs: Vec::new(),
        reading: None,
        adjustment: None,
        fit: None,
        model: None,
        wind_covariate: None,
        resolve_percent: first.and_then(|a| a.resolve_percent),
        headings: Vec::new(),
        circles: all().flat_map(|a| a.circles.clone()).collect(),
        idle: all().flat_map(|a| a.idle.clone()).collect(),
        settling_distance_m: None,
        buys: Buys::of_each_day(),
        warnings: warnings(&days),
        rules: asked.rules.clone(),
        trail: Trail::default(),
        days,
    };
    let logged = logged(&whole.days);
    let compared: Compared = Answer::of(Question {
        trial: RunsOfTrial {
            configurations: &names.configurations,
            settings: &names.settings,
            legs: &whole.legs,
            logged: &logged,
        },
        runs: &whole.double_runs,
        conditions: conditions(&whole.wind, whole.current),
        rules: &asked.rules.compare,
        resolve_percent: whole.resolve_percent,
    })
    .into();
    compared.give_to(&mut whole);
    whole
}

/// What wind logs say of the double runs of all days, by their numbers.
fn logged(days: &[DayOfTrial]) -> BTreeMap<usize, (Bearing, f64)> {
    let covariates = days
        .iter()
        .filter_map(|day| day.analysis.wind_covariate.as_ref());
    covariates
        .flat_map(|covariate| &covariate.double_runs)
        .filter_map(|run| Some((run.double_run, (Bearing::new(run.from_deg)?, run.speed_m_s))))
        .collect()
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
        for logged in own
            .wind_covariate
            .iter_mut()
            .flat_map(|c| &mut c.double_runs)
        {
            logged.double_run += runs;
        }
        for cell in &mut own.cells {
            cell.double_runs.iter_mut().for_each(|run| *run += runs);
        }
        for bad in own.fit.iter_mut().flat_map(|fit| &mut fit.bad_runs) {
            bad.double_run += runs;
        }
        let power = &mut own.buys.power;
        power.legs.iter_mut().for_each(|leg| leg.leg += legs);
        power.uncovered_legs.iter_mut().for_each(|leg| *leg += legs);
        power
            .double_runs
            .iter_mut()
            .for_each(|run| run.double_run += runs);
        for doubt in own.comparisons.iter_mut().flat_map(|c| &mut c.doubts) {
            if let DoubtKind::DoubleRun(run) = &mut doubt.kind {
                *run += runs;
            }
        }
        for warning in &mut own.warnings {
            warning.number_on(legs, runs);
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
            // One that was stated without a direction is that of every day.
            speed_m_s: given.and_then(|wind| wind.speed_m_s).filter(|speed| {
                let mut all = days.iter().map(|day| day.analysis.wind.speed_m_s);
                all.all(|own| own == Some(*speed))
            }),
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

/// What each day's reader must know, the day named; that a day compares nothing only where none does.
fn warnings(days: &[DayOfTrial]) -> Vec<Warning> {
    let compares = days.iter().any(|d| !d.analysis.comparisons.is_empty());
    let runs = days.iter().any(|d| !d.analysis.double_runs.is_empty());
    let mut out: Vec<Warning> = Vec::new();
    for day in days {
        for warning in &day.analysis.warnings {
            let whole = match warning {
                Warning::File { .. } => true,
                Warning::NothingToCompare | Warning::NoSharedSetting => !compares,
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
