//! A station's wind log: a table of times, directions and speeds.
//!
//! ```text
//! time,direction (deg),speed (m/s)
//! 2026-06-12T09:10+02:00,235,5.2
//! 2026-06-12T09:20+02:00,240,5.6
//! ```
//! Times may be local and may lack the date. The direction is the one the wind comes from,
//! degrees true or a compass point. The header of the speed names its unit. Columns are known by
//! their headers. What a table of fixes may be written with, a log may too: separators, decimal
//! commas, forms of time, units (`parser::table`).

use std::io::Read;

use crate::notes::When;
use crate::parser::ReadError;
use crate::parser::table::{self, Row, Score, TimeColumns, Times, names, speed_unit_of_header};
use crate::units::{Bearing, Speed, SpeedUnit, parse_direction};

mod onboard;

mod mean;
pub use mean::{MeanWind, REACH_S};

/// A wind log as read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WindLog {
    /// The file's name, for messages.
    pub file: String,
    /// Its readings, in file order.
    pub readings: Vec<Reading>,
    /// Rows that could not be used.
    pub set_aside: usize,
    /// Line of the first such row.
    pub first_set_aside: Option<u64>,
}

/// One row: the true wind at one time.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// When, as written.
    pub at: When,
    /// Direction it blows from.
    pub from: Bearing,
    /// Speed; `None` where the log has no speeds.
    pub speed: Option<Speed>,
}

/// Why a wind log could not be read.
#[derive(Debug, thiserror::Error)]
pub enum WindLogError {
    /// The file could not be read.
    #[error(transparent)]
    File(#[from] ReadError),
    /// A column is not there.
    #[error(
        "cannot read `{file}`: no column for the {wanted} among {found}\nhint: head the columns `time,direction (deg),speed (m/s)`"
    )]
    NoColumn {
        /// The file's name.
        file: String,
        /// What is missing.
        wanted: &'static str,
        /// The headers there are.
        found: String,
    },
    /// The speed's unit is not named.
    #[error(
        "cannot read `{file}`: the header `{header}` names no unit\nhint: write it into the header: `speed (m/s)`, `(kn)`, `(km/h)` or `(mph)`"
    )]
    NoUnit {
        /// The file's name.
        file: String,
        /// The header.
        header: String,
    },
    /// No row could be used.
    #[error(
        "cannot read `{file}`: none of its {rows} rows holds a time and a direction\nhint: a row goes `2026-06-12 09:10,235,5.2`"
    )]
    NoRows {
        /// The file's name.
        file: String,
        /// Rows met.
        rows: usize,
    },
}

/// Reads a wind log, also a gzip-compressed one; `file` is its name for messages.
///
/// Rows without a readable time and direction (or speed, where that column is there) are set
/// aside and counted.
///
/// # Errors
/// [`WindLogError`] where the file cannot be read, a column or unit is missing or no row can be
/// used.
pub fn read(stream: impl Read, file: &str) -> Result<WindLog, WindLogError> {
    let no_column = |wanted, header: &[String]| WindLogError::NoColumn {
        file: file.to_owned(),
        wanted,
        found: names(header),
    };
    let Some(mut table) = table::open(stream, file, Columns::score)? else {
        return Err(no_column("time", &[]));
    };
    let columns = Columns::find(&table.layout.header);
    let times = Times::find(&mut table, &columns.times, true)?;
    let times = times.ok_or_else(|| no_column("time", &table.layout.header))?;
    let direction = columns.direction;
    let direction = direction.ok_or_else(|| no_column("direction", &table.layout.header))?;
    let speed = match columns
        .speed
        .and_then(|at| table.layout.header.get(at).zip(Some(at)))
    {
        None => None,
        Some((header, at)) => {
            let unit = speed_unit_of_header(header).ok_or_else(|| WindLogError::NoUnit {
                file: file.to_owned(),
                header: header.clone(),
            })?;
            Some((at, unit))
        }
    };
    let mut log = WindLog {
        file: file.to_owned(),
        ..WindLog::default()
    };
    let mut first_place = None;
    table.rows(|row, place| {
        let reading = row
            .ok()
            .and_then(|row| read_row(row, times, direction, speed));
        if let Some(reading) = reading {
            log.readings.push(reading);
            return None;
        }
        log.set_aside += 1;
        first_place = first_place.or(Some(place));
        (log.set_aside == 1).then_some(place)
    })?;
    if log.readings.is_empty() {
        return Err(WindLogError::NoRows {
            file: file.to_owned(),
            rows: log.set_aside,
        });
    }
    log.first_set_aside = first_place.map(|place| table.line_of(place));
    Ok(log)
}

/// Which column holds what.
struct Columns {
    times: TimeColumns,
    direction: Option<usize>,
    speed: Option<usize>,
}

impl Columns {
    fn find(header: &[String]) -> Self {
        let names: Vec<String> = header.iter().map(|name| name.to_lowercase()).collect();
        // Gusts and extremes have their own columns beside the means.
        let holds = |words: &[&str]| {
            names.iter().position(|name| {
                words.iter().any(|word| name.contains(word))
                    && !["gust", "max", "min "]
                        .iter()
                        .any(|word| name.contains(word))
            })
        };
        Self {
            times: TimeColumns::named(header),
            direction: holds(&["dir", "from", "bearing"]),
            speed: holds(&["speed", "force", "velocity"]),
        }
    }

    fn score(header: &[String]) -> Score {
        let columns = Self::find(header);
        let (time, direction) = (!columns.times.is_empty(), columns.direction.is_some());
        Score {
            points: usize::from(time) + usize::from(direction),
            is_complete: time && direction,
        }
    }
}

fn read_row(
    row: Row<'_>,
    times: Times,
    direction: usize,
    speed: Option<(usize, SpeedUnit)>,
) -> Option<Reading> {
    let speed = match speed {
        Some((column, unit)) => Some(read_speed(row.cell(column), unit)?),
        None => None,
    };
    Some(Reading {
        at: times.read(row).ok()?.into(),
        from: parse_direction(&row.cell(direction).replace(',', ".")).ok()?,
        speed,
    })
}

fn read_speed(text: &str, unit: SpeedUnit) -> Option<Speed> {
    format!("{text} {unit}").parse().ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use jiff::Timestamp;
    use jiff::tz::TimeZone;

    use super::*;

    const LOG: &str = "time,direction (deg),speed (m/s),gust (m/s)\n\
        2026-06-12T09:00Z,350,5.0,8\n\
        2026-06-12T09:10Z,10,5.0,9\n\
        2026-06-12T09:20Z,,,\n\
        2026-06-12T09:30Z,90,4,7\n";

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    /// 350 and 10 degrees have their mean at north, and the vector shrinks by cos 10° (geometry).
    #[test]
    fn means_go_across_north() {
        let log = read(LOG.as_bytes(), "wind.csv").unwrap();
        assert_eq!(
            (log.readings.len(), log.set_aside, log.first_set_aside),
            (3, 1, Some(4))
        );
        let mean = log
            .mean(
                at("2026-06-12T09:00:00Z"),
                at("2026-06-12T09:15:00Z"),
                &TimeZone::UTC,
            )
            .unwrap();
        assert!(mean.from.unwrap().apart(Bearing::new(0.0).unwrap()) < 1e-9);
        let expected = 5.0 * 10_f64.to_radians().cos();
        assert!((mean.speed.unwrap().as_metres_per_second() - expected).abs() < 1e-12);
        assert_eq!(mean.readings, 2);
    }

    #[test]
    fn a_short_span_takes_its_neighbours() {
        let log = read(LOG.as_bytes(), "wind.csv").unwrap();
        let mean = |from: &str, to: &str| log.mean(at(from), at(to), &TimeZone::UTC);
        assert_eq!(
            mean("2026-06-12T09:14:00Z", "2026-06-12T09:16:00Z")
                .unwrap()
                .readings,
            2
        );
        assert_eq!(
            mean("2026-06-12T09:50:00Z", "2026-06-12T09:55:00Z")
                .unwrap()
                .readings,
            1
        );
        assert_eq!(mean("2026-06-12T12:00:00Z", "2026-06-12T12:10:00Z"), None);
    }

    /// Half way between two readings an hour apart lies their mean; beyond the last one nothing
    /// is known.
    #[test]
    fn what_is_smoothed_is_covered() {
        let text = "time,direction,speed (m/s)\n2026-06-12T09:00Z,90,4\n2026-06-12T10:00Z,90,8\n";
        let log = read(text.as_bytes(), "wind.csv").unwrap();
        let speed = |from: &str, to: &str| {
            let found = log.smoothed(at(from), at(to), &TimeZone::UTC)?;
            found.speed.map(Speed::as_metres_per_second)
        };
        let near = |found: Option<f64>, wanted: f64| (found.unwrap() - wanted).abs() < 1e-9;
        assert!(near(
            speed("2026-06-12T09:25:00Z", "2026-06-12T09:35:00Z"),
            6.0
        ));
        assert!(near(
            speed("2026-06-12T09:10:00Z", "2026-06-12T09:20:00Z"),
            5.0
        ));
        assert_eq!(speed("2026-06-12T09:58:00Z", "2026-06-12T10:08:00Z"), None);
        assert_eq!(speed("2026-06-12T07:30:00Z", "2026-06-12T07:40:00Z"), None);
        let dense = "time,direction,speed (m/s)\n2026-06-12T09:00Z,90,4\n2026-06-12T09:10Z,90,7\n2026-06-12T09:20Z,90,4\n";
        let dense = read(dense.as_bytes(), "wind.csv").unwrap();
        let middle = at("2026-06-12T09:10:00Z");
        let smoothed = dense.smoothed(middle, middle, &TimeZone::UTC).unwrap();
        // Weights 2/3, 1 and 2/3.
        let wanted = (7.0 + 4.0 * 4.0 / 3.0) / (7.0 / 3.0);
        assert!(near(
            smoothed.speed.map(Speed::as_metres_per_second),
            wanted
        ));
    }

    #[test]
    fn reads_local_times_semicolons_and_decimal_commas() {
        let zone = crate::notes::zone::named("Europe/Stockholm").unwrap();
        let text = "Time;Wind from;Wind speed (kn)\n09:10;SW;9,5\n2026-06-12 09:20;225;9,5\n";
        let log = read(text.as_bytes(), "wind.csv").unwrap();
        let mean = log
            .mean(
                at("2026-06-12T07:00:00Z"),
                at("2026-06-12T07:30:00Z"),
                &zone,
            )
            .unwrap();
        assert_eq!(mean.readings, 2);
        assert!((mean.from.unwrap().degrees() - 225.0).abs() < 1e-9);
        assert!((mean.speed.unwrap().in_unit(SpeedUnit::Knots) - 9.5).abs() < 1e-9);
    }

    #[test]
    fn winds_that_cancel_have_no_direction() {
        let log = read(
            "time,direction\n09:00,0\n09:10,180\n".as_bytes(),
            "wind.csv",
        )
        .unwrap();
        let mean = log
            .mean(
                at("2026-06-12T08:00:00Z"),
                at("2026-06-12T10:00:00Z"),
                &TimeZone::UTC,
            )
            .unwrap();
        assert_eq!((mean.from, mean.speed), (None, None));
    }

    #[test]
    fn says_what_is_missing() {
        let error = |text: &str| read(text.as_bytes(), "wind.csv").unwrap_err().to_string();
        assert!(error("").contains("no column for the time"));
        assert!(
            error("time,speed (kn)\n")
                .contains("no column for the direction among `time`, `speed (kn)`")
        );
        assert!(error("time,dir,speed\n").contains("the header `speed` names no unit\nhint:"));
        assert!(error("time,dir\nnoon,235\n").contains("none of its 1 rows"));
    }
}
