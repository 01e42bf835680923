//! A log of the wind as covariate of the comparison: what it says of each double run, or why it is not used.

use std::collections::BTreeMap;

use jiff::tz::TimeZone;
use serde::Serialize;

use super::outcome::Counted;
use super::rules::Rules;
use crate::stats::circular::weighted_resultant;
use crate::trial::changing_drift::left_in;
use crate::trial::gauge::{Adjusted, GaugedRun, LoggedWind, NotGauged, adjusted_by_log};
use crate::trial::wind_log::WindLog;
use crate::units::{Bearing, Speed};

/// Whether a wind log was used to compare all runs in one wind.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WindCovariate {
    /// Whether it was.
    pub applied: bool,
    /// Why not, a clause.
    pub reason: Option<String>,
    /// The log's file.
    pub file: String,
    /// What it says of each double run that counts, by the run's number; empty where it does not cover all.
    pub double_runs: Vec<LoggedRun>,
    /// Windage found on the log's wind: drag factor of the air over that of the hull, and with it whatever
    /// factor lies between the wind at the log's place and that on the boat, squared.
    pub windage: Option<f64>,
    /// Standard deviation of its logarithm.
    pub windage_log_sd: Option<f64>,
    /// The mean logged wind, in which the runs are compared, m/s.
    pub wind_m_s: Option<f64>,
}

/// The logged wind of one double run, smoothed over the half hour to either side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoggedRun {
    /// The double run's number.
    pub double_run: usize,
    /// Where it blew from, degrees true.
    pub from_deg: f64,
    /// How fast, m/s.
    pub speed_m_s: f64,
}

/// What a log says of every double run that counts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Logged {
    file: String,
    /// By the index of the double run.
    winds: Result<BTreeMap<usize, (Bearing, f64)>, String>,
}

impl Logged {
    pub(super) fn of(log: &WindLog, counted: &Counted<'_>, zone: &TimeZone) -> Self {
        Self {
            file: log.file.clone(),
            winds: winds(log, counted, zone),
        }
    }

    /// The comparisons in the mean of the logged winds, where it supports them, and what is to be told.
    pub(super) fn adjusted(
        &self,
        counted: &Counted<'_>,
        rules: &Rules,
    ) -> (Option<Adjusted>, WindCovariate) {
        let found = self
            .winds
            .as_ref()
            .map_err(Clone::clone)
            .and_then(|winds| adjusted(counted, winds, rules));
        let runs = self
            .winds
            .iter()
            .flatten()
            .map(|(index, (from, speed))| LoggedRun {
                double_run: index + 1,
                from_deg: from.degrees(),
                speed_m_s: *speed,
            });
        let told = WindCovariate {
            applied: found.is_ok(),
            reason: found.as_ref().err().cloned(),
            file: self.file.clone(),
            double_runs: runs.collect(),
            windage: found.as_ref().ok().map(|f| f.windage),
            windage_log_sd: found.as_ref().ok().map(|f| f.windage_log_sd),
            wind_m_s: found.as_ref().ok().map(|f| f.wind),
        };
        (found.ok(), told)
    }
}

fn winds(
    log: &WindLog,
    counted: &Counted<'_>,
    zone: &TimeZone,
) -> Result<BTreeMap<usize, (Bearing, f64)>, String> {
    if log.readings.iter().all(|reading| reading.speed.is_none()) {
        return Err("it holds no speeds".to_owned());
    }
    let mut winds = BTreeMap::new();
    let mut missing = Vec::new();
    for (index, [start, end]) in counted.spans() {
        let mean = log.smoothed(start, end, zone);
        match mean.and_then(|mean| Some((mean.from?, mean.speed?))) {
            Some((from, speed)) => {
                winds.insert(index, (from, Speed::as_metres_per_second(speed)));
            }
            None => missing.push(index + 1),
        }
    }
    match missing.as_slice() {
        [] => Ok(winds),
        [one] => Err(format!("it does not cover double run {one}")),
        [first, .., last] if missing.len() == counted.runs.len() => Err(format!(
            "it covers none of the double runs {first} to {last}"
        )),
        several => Err(format!(
            "it does not cover {} of the {} double runs, the first of them double run {}",
            several.len(),
            counted.runs.len(),
            several.first().copied().unwrap_or_default()
        )),
    }
}

fn adjusted(
    counted: &Counted<'_>,
    winds: &BTreeMap<usize, (Bearing, f64)>,
    rules: &Rules,
) -> Result<Adjusted, String> {
    let mut runs: Vec<GaugedRun> = counted.gauged(None);
    // A tide turns between the legs of a run; what that leaves in the mean goes with it.
    for (run, shift) in runs.iter_mut().zip(left_in(&counted.drifts())) {
        run.along -= shift;
        run.against -= shift;
    }
    let own: Vec<(Bearing, f64)> = (counted.runs.iter())
        .filter_map(|index| winds.get(index).copied())
        .collect();
    let (directions, speeds): (Vec<Bearing>, Vec<f64>) = own.iter().copied().unzip();
    let usual = weighted_resultant(&directions, &speeds).and_then(|found| found.mean);
    let Some(usual) = usual else {
        return Err("its winds blow from everywhere alike".to_owned());
    };
    let logged: Vec<LoggedWind> = runs
        .iter()
        .zip(&own)
        .map(|(run, (from, speed))| LoggedWind {
            speed: *speed,
            off_line_deg: from.off_line(run.axis),
            usual_off_line_deg: usual.off_line(run.axis),
        })
        .collect();
    adjusted_by_log(&runs, &logged, rules.comparison.level, &rules.gauge).map_err(|why| {
        match why {
            NotGauged::TooFew => {
                "six double runs or more, and more than one of them to a cell, are needed"
            }
            _ => "the boat could not have made way in the wind that it tells",
        }
        .to_owned()
    })
}
