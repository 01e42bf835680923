//! A log of the wind as covariate of the comparison: what it says of each double run, or why it
//! is not used.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::Serialize;

use super::wind_log::WindLog;
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

/// What a log says of every double run, by its number; nothing where it does not cover all.
pub(crate) fn logged(
    log: &WindLog,
    runs: &[(usize, [Timestamp; 2])],
    zone: &TimeZone,
) -> (BTreeMap<usize, (Bearing, f64)>, WindCovariate) {
    let found = winds(log, runs, zone);
    let told = WindCovariate {
        applied: found.is_ok(),
        reason: found.as_ref().err().cloned(),
        file: log.file.clone(),
        double_runs: (found.iter().flatten())
            .map(|(number, (from, speed))| LoggedRun {
                double_run: *number,
                from_deg: from.degrees(),
                speed_m_s: *speed,
            })
            .collect(),
    };
    (found.unwrap_or_default(), told)
}

fn winds(
    log: &WindLog,
    runs: &[(usize, [Timestamp; 2])],
    zone: &TimeZone,
) -> Result<BTreeMap<usize, (Bearing, f64)>, String> {
    if log.readings.iter().all(|reading| reading.speed.is_none()) {
        return Err("it holds no speeds".to_owned());
    }
    let mut winds = BTreeMap::new();
    let mut missing = Vec::new();
    for (number, [start, end]) in runs {
        let mean = log.smoothed(*start, *end, zone);
        match mean.and_then(|mean| Some((mean.from?, mean.speed?))) {
            Some((from, speed)) => {
                winds.insert(*number, (from, Speed::as_metres_per_second(speed)));
            }
            None => missing.push(*number),
        }
    }
    match missing.as_slice() {
        [] => Ok(winds),
        [one] => Err(format!("it does not cover double run {one}")),
        [first, .., last] if missing.len() == runs.len() => Err(format!(
            "it covers none of the double runs {first} to {last}"
        )),
        several => Err(format!(
            "it does not cover {} of the {} double runs, the first of them double run {}",
            several.len(),
            runs.len(),
            several.first().copied().unwrap_or_default()
        )),
    }
}
