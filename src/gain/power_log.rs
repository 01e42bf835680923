//! A log of what the motor draws: a table of times with volts and amps, or watts.
//!
//! ```text
//! time,voltage (V),current (A)
//! 2026-06-12T09:10:00+02:00,12.71,23.4
//! 2026-06-12T09:10:05+02:00,12.70,23.9
//! ```
//! Times may be local, may lack the date, or be Unix seconds. Columns are told by their headers and
//! the units in them (V, mV, A, mA, W, kW); all others are ignored. `,`, `;` and tabs part them, and
//! beside `;` or tabs a decimal comma will do. A monitor that counts what leaves the battery as
//! negative is understood: where the draws sum to less than zero all signs are turned.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::day::log_table::LogTable;
use crate::notes::When;
use crate::track::SetAside;
use crate::units::seconds;

mod align;
mod columns;
mod mean;
mod sift;

pub use align::{AlignRules, Aligned, NotAligned, align};
pub use mean::{MeanDraw, energy, mean_draw};
pub use sift::{SiftRules, contradicted, impossible};

use columns::{Column, Columns};

/// A power log as read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PowerLog {
    /// The file's name, for messages.
    pub file: String,
    /// Its readings, in file order.
    pub readings: Vec<PowerReading>,
    /// Rows that could not be read, by reason.
    pub set_aside: Vec<SetAside>,
    /// Whether the signs were turned.
    pub signs_turned: bool,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerReading {
    /// When, as written.
    pub at: When,
    /// Power, W; positive where the motor draws.
    pub watts: f64,
    /// Current, A, where logged.
    pub amps: Option<f64>,
    /// Voltage, V, where logged.
    pub volts: Option<f64>,
    /// Line in the file.
    pub line: u64,
}

/// A reading at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Seconds since 1970.
    pub t: f64,
    /// Power, W.
    pub watts: f64,
    /// Current, A, where logged.
    pub amps: Option<f64>,
    /// Voltage, V, where logged.
    pub volts: Option<f64>,
    /// Line in the file.
    pub line: u64,
}

/// Counts one more row set aside for a reason.
fn count(all: &mut Vec<SetAside>, reason: &str, line: u64) {
    match all.iter_mut().find(|s| s.reason == reason) {
        Some(known) => known.count += 1,
        None => all.push(SetAside {
            reason: reason.to_owned(),
            count: 1,
            first_line: Some(line),
        }),
    }
}

/// Why a power log could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PowerLogError {
    /// A column is not there.
    #[error(
        "cannot read `{file}`: line 1: no column for the {wanted} among {found}\nhint: head the columns `time,voltage (V),current (A)` or `time,power (W)`"
    )]
    NoColumn {
        /// The file's name.
        file: String,
        /// What is missing.
        wanted: &'static str,
        /// The headers there are.
        found: String,
    },
    /// No row could be used.
    #[error(
        "cannot read `{file}`: line {line}: `{met}` cannot be used, nor any of the {rows} rows\nhint: a row goes `2026-06-12 09:10:05,12.7,23.4` under `time,voltage (V),current (A)`"
    )]
    NoRows {
        /// The file's name.
        file: String,
        /// Line of the first row.
        line: u64,
        /// What stands there.
        met: String,
        /// Rows met.
        rows: usize,
    },
}

/// Largest power, W, current, A, and voltage, V, taken for one: a slip of the unit beyond.
const MOST: f64 = 1e6;

/// Reads the text of a power log; `file` is its name for messages.
///
/// Rows without a readable time and figures are set aside and counted by reason.
///
/// # Errors
/// [`PowerLogError`] where a column is missing or no row can be used.
///
/// # Example: amps below zero leave the battery
/// ```
/// use thereback::gain::power_log;
/// let log = power_log::read("Time;U [V];I [mA]\n09:10:05;12,5;-2000\n", "log.csv").unwrap();
/// assert_eq!(log.readings[0].watts, 25.0);
/// ```
pub fn read(text: &str, file: &str) -> Result<PowerLog, PowerLogError> {
    let table = LogTable::open(text);
    let columns = Columns::find(&table.headers, file)?;
    let mut log = PowerLog {
        file: file.to_owned(),
        ..PowerLog::default()
    };
    let mut first = None;
    for (line, row) in table.rows() {
        let found = row.map_or_else(
            || Err((UNREADABLE, "a row that is no table row".to_owned())),
            |row| read_row(&row, &columns, line),
        );
        match found {
            Ok(reading) => log.readings.push(reading),
            Err((reason, met)) => {
                count(&mut log.set_aside, reason, line);
                first.get_or_insert((line, met));
            }
        }
    }
    if log.readings.is_empty() {
        let (line, met) = first.unwrap_or((2, String::new()));
        return Err(PowerLogError::NoRows {
            file: file.to_owned(),
            line,
            met,
            rows: log.set_aside.iter().map(|s| s.count).sum(),
        });
    }
    turn_signs(&mut log);
    Ok(log)
}

const UNREADABLE: &str = "no time or figure that can be read";

/// The reading of a row, or why there is none and the value met.
fn read_row(
    row: &csv::StringRecord,
    columns: &Columns,
    line: u64,
) -> Result<PowerReading, (&'static str, String)> {
    let text = |place: usize| row.get(place).unwrap_or_default();
    let written = text(columns.time);
    let at = read_time(written).ok_or_else(|| (UNREADABLE, written.to_owned()))?;
    let value = |column: Column| {
        let number = text(column.place).replace(',', ".").parse::<f64>().ok();
        number
            .map(|n| n * column.factor)
            .filter(|n| n.is_finite() && n.abs() <= MOST)
    };
    let [amps, volts, watts] =
        [columns.amps, columns.volts, columns.watts].map(|column| column.and_then(value));
    let watts = match columns.watts {
        Some(_) => watts,
        None => volts.zip(amps).map(|(volts, amps)| volts * amps),
    };
    let Some(watts) = watts else {
        let places = [columns.watts, columns.volts, columns.amps];
        let mut bad = places.into_iter().flatten().filter(|c| value(*c).is_none());
        let met = bad.next().map(|c| text(c.place)).unwrap_or_default();
        let reason = match (amps, met.is_empty()) {
            (Some(_), true) => "amps without volts",
            _ => UNREADABLE,
        };
        return Err((reason, met.to_owned()));
    };
    Ok(PowerReading {
        at,
        watts,
        amps,
        volts,
        line,
    })
}

/// A date and time, a time of day, or Unix seconds.
fn read_time(text: &str) -> Option<When> {
    /// Seconds since 1970 before this are in 2001 or earlier: before any such logger, so something else.
    const EARLIEST_UNIX: f64 = 1e9;
    /// The year 5138; beyond it the figure counts milliseconds.
    const LATEST_UNIX: f64 = 1e11;
    if let Ok(number) = text.parse::<f64>() {
        let seconds = if number >= LATEST_UNIX {
            number / 1000.0
        } else {
            number
        };
        return (EARLIEST_UNIX..LATEST_UNIX)
            .contains(&seconds)
            .then(|| Timestamp::from_millisecond((seconds * 1000.0).round() as i64).ok())?
            .map(When::Instant);
    }
    match When::read(text).ok()? {
        When::Mark(_) => None,
        when => Some(when),
    }
}

fn turn_signs(log: &mut PowerLog) {
    let sum: f64 = log.readings.iter().map(|r| r.watts).sum();
    if sum < 0.0 {
        log.signs_turned = true;
        for reading in &mut log.readings {
            reading.watts = -reading.watts;
            reading.amps = reading.amps.map(|a| -a);
        }
    }
}

impl PowerLog {
    /// Its readings as points in time, seconds since 1970, in order; local times are taken in `zone` on
    /// the date on which they lie nearest to `near`.
    pub fn points(&self, near: Timestamp, zone: &TimeZone) -> Vec<Point> {
        let mut points: Vec<Point> = self
            .readings
            .iter()
            .filter_map(|r| {
                Some(Point {
                    t: seconds(r.at.instant_near(near, zone)?),
                    watts: r.watts,
                    amps: r.amps,
                    volts: r.volts,
                    line: r.line,
                })
            })
            .collect();
        points.sort_by(|a, b| a.t.total_cmp(&b.t));
        points
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::float_cmp)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_from_the_headers() {
        let cases = [
            ("time,voltage (V),current (A)\n09:10,12.5,20\n", 250.0),
            ("Time;Power [kW];temp\n09:10;0,25;21\n", 250.0),
            ("utc\tbattery_v\tbattery_a\n09:10\t12.5\t20\n", 250.0),
            ("timestamp,amps,volts\n1781255400,20,12.5\n", 250.0),
            ("date time,W\n2026-06-12 09:10:05,250\n", 250.0),
            ("time,current_ma,voltage_mv\n09:10,-20000,12500\n", 250.0),
        ];
        for (text, watts) in cases {
            let log = read(text, "log.csv").unwrap();
            assert!((log.readings[0].watts - watts).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_told_with_its_place() {
        let log = read("time,watts\n09:10,250\n09:11,n/a\n", "log.csv").unwrap();
        let aside = &log.set_aside[0];
        assert_eq!((aside.count, aside.first_line), (1, Some(3)));
        let log = read("time,volts,amps\n09:10,25,10\n09:11,,10\n", "log.csv").unwrap();
        assert_eq!(log.set_aside[0].reason, "amps without volts");
        let error = read("time,watts\nnoon,x\n", "log.csv").unwrap_err();
        assert!(
            error
                .to_string()
                .starts_with("cannot read `log.csv`: line 2: `noon`")
        );
        let error = read("time,temperature\n", "log.csv").unwrap_err();
        assert!(error.to_string().contains("hint: "), "{error}");
    }
}
