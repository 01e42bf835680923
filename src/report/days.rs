//! The legs of one day or of several, in every format that `legs` has.
//!
//! Numbers go through all days; with several, `day` stands beside them.

use super::tables::legs_table_of_days;
use super::{ReportError, csv, geojson, gpx, json, summary, words};
use crate::day::Leg;
use crate::trial::Trial;

fn split(trial: &Trial) -> Vec<Trial> {
    match trial.days.as_slice() {
        [] | [_] => vec![trial.clone()],
        days => days.iter().map(|day| trial.only(day.day)).collect(),
    }
}

fn numbered(days: &[Trial]) -> impl Iterator<Item = (usize, &Trial)> {
    (1..).zip(days)
}

/// A table for a terminal, the days named above it and what does not count below.
pub fn table(trial: &Trial) -> String {
    let days = &split(trial)[..];
    if let [day] = days {
        return summary::legs_table(day);
    }
    let mut out = String::new();
    for (day, analysis) in numbered(days) {
        let files: Vec<String> = analysis
            .tracks
            .iter()
            .map(|track| words::name(&track.file))
            .collect();
        let line = format!(
            "Day {day}: {}, {}",
            words::day_line(analysis),
            files.join(", ")
        );
        summary::push(&mut out, &line, "", "  ");
    }
    out.push('\n');
    summary::push_table(&mut out, &summary::set(legs_table_of_days(days)));
    let mut reasons = String::new();
    for (day, analysis) in numbered(days) {
        summary::push_left_out(&mut reasons, analysis, &format!("day {day}, "));
    }
    if !reasons.is_empty() {
        out.push('\n');
        out.push_str(&reasons);
    }
    out
}

/// CSV as [`legs_csv`](super::legs_csv), with `day` as the first column where there are several.
///
/// # Errors
/// As [`legs_csv`](super::legs_csv).
pub fn csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let days = &split(trial)[..];
    match days {
        [day] => csv::legs_csv(day),
        days => csv::legs_csv_of_days(days),
    }
}

/// JSON as [`legs_json`](super::legs_json), with `day` in each leg where there are several.
///
/// # Errors
/// As [`legs_json`](super::legs_json).
pub fn json(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let days = &split(trial)[..];
    if let [day] = days {
        return json::legs_json(day);
    }
    let legs: Vec<Leg> = numbered(days)
        .flat_map(|(day, analysis)| {
            let legs = analysis.legs.iter().cloned();
            legs.map(move |leg| Leg { day, ..leg })
        })
        .collect();
    json::pretty(&legs)
}

/// GPX as [`legs_gpx`](super::legs_gpx), the day first in each name where there are several.
///
/// # Errors
/// As [`legs_gpx`](super::legs_gpx).
pub fn gpx(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let days = &split(trial)[..];
    match days {
        [day] => gpx::legs_gpx(day),
        days => gpx::legs_gpx_of_days(days),
    }
}

/// `GeoJSON` as [`legs_geojson`](super::legs_geojson), with `day` among the properties where there
/// are several.
///
/// # Errors
/// As [`legs_geojson`](super::legs_geojson).
pub fn geojson(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let days = &split(trial)[..];
    if let [day] = days {
        return geojson::legs_geojson(day);
    }
    geojson::collection(numbered(days).flat_map(|(day, analysis)| {
        let legs = analysis.legs.iter();
        legs.map(move |leg| (analysis, leg, geojson::LegFeature::of_day(day, leg)))
    }))
}
