//! Logs of other recorders: a station's wind, and what the motor draws.
//!
//! ```text
//! time,direction (deg),speed (m/s)            time,voltage (V),current (A)
//! 2026-06-12T09:10+02:00,235,5.2              2026-06-12T09:10:00+02:00,12.71,23.4
//! ```
//! Times may be local and may lack the date; directions are those the wind comes from. Columns are
//! known by their headers and the units in them; all others are passed over. What a table of fixes
//! may be written with, a log may too: separators, decimal commas, forms of time, units.

use std::io::Read;

use super::ReadError;
use super::quantity::{CURRENT, Measure, POWER, VOLTAGE, decimal, direction, speed_unit};
use super::source::Source;
use super::table::{Heading, Lost, Row, Table, TimeColumns, Times};
use super::tally::{Fault, Tally};
use super::time::Moment;
use crate::track::SetAside;
use crate::units::{Bearing, Speed};

/// Most readings of one log: eleven days at one a second. Keeps what is no log out of the memory.
const MOST_READINGS: usize = 1_000_000;

/// Largest power, W, current, A, and voltage, V, taken for one: a slip of the unit beyond.
const MOST_FIGURE: f64 = 1e6;

/// A wind log as read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WindLog {
    /// The file's name, for messages.
    pub file: String,
    /// Its readings, in file order.
    pub readings: Vec<WindRow>,
    /// Rows that could not be used, by reason.
    pub set_aside: Vec<SetAside>,
}

/// The true wind at one time.
#[derive(Debug, Clone, PartialEq)]
pub struct WindRow {
    /// When, as written.
    pub at: Moment,
    /// Direction it blows from.
    pub from: Bearing,
    /// Speed; `None` where the log has no speeds.
    pub speed: Option<Speed>,
}

/// A power log as read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PowerLog {
    /// The file's name, for messages.
    pub file: String,
    /// Its readings, in file order.
    pub readings: Vec<PowerRow>,
    /// Rows that could not be used, by reason.
    pub set_aside: Vec<SetAside>,
    /// Whether the signs were turned.
    pub signs_turned: bool,
}

/// What the motor drew at one time.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerRow {
    /// When, as written.
    pub at: Moment,
    /// Power, W; positive where the motor draws.
    pub watts: f64,
    /// Current, A, where logged.
    pub amps: Option<f64>,
    /// Voltage, V, where logged.
    pub volts: Option<f64>,
    /// Line in the file.
    pub line: u64,
}

/// Why a log could not be read.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file could not be read.
    #[error(transparent)]
    File(#[from] ReadError),
    /// A column is not there.
    #[error(
        "cannot read `{file}`: no column for the {wanted} among {found}\nhint: head the columns {example}"
    )]
    NoColumn {
        /// The file's name.
        file: String,
        /// What is missing.
        wanted: &'static str,
        /// The headers there are.
        found: String,
        /// How the header goes.
        example: &'static str,
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
        "cannot read `{file}`: line {line}: `{met}`: {reason}; none of its {rows} rows can be used\nhint: a row goes `{example}`"
    )]
    NoRows {
        /// The file's name.
        file: String,
        /// Line of the first row with the commonest fault.
        line: u64,
        /// What was there.
        met: String,
        /// What is wrong with it.
        reason: &'static str,
        /// Rows met.
        rows: usize,
        /// How a row goes.
        example: &'static str,
    },
}

/// How a wind log goes: its header and a row.
const WIND_EXAMPLE: [&str; 2] = [
    "`time,direction (deg),speed (m/s)`",
    "2026-06-12 09:10,235,5.2",
];

/// How a power log goes.
const POWER_EXAMPLE: [&str; 2] = [
    "`time,voltage (V),current (A)` or `time,power (W)`",
    "2026-06-12 09:10:05,12.7,23.4",
];

/// Reads a wind log, also a gzip-compressed one; `file` is its name for messages.
///
/// Rows without a readable time and direction (or speed, where that column is there) are set
/// aside and counted.
///
/// # Errors
/// [`LogError`] where the file cannot be read, a column or unit is missing or no row can be used.
pub fn read_wind_log(stream: impl Read, file: &str) -> Result<WindLog, LogError> {
    let mut log = Log::open(stream, file, WIND_EXAMPLE, |headings| {
        column(headings, |heading| {
            named(heading, &["dir", "from", "bearing"])
        })
        .is_some()
    })?;
    let from = column(&log.headings, |heading| {
        named(heading, &["dir", "from", "bearing"])
    });
    let from = from.ok_or_else(|| log.missing("direction"))?;
    let speed = column(&log.headings, |heading| {
        named(heading, &["speed", "force", "velocity"])
    });
    let unit = match speed {
        None => None,
        Some(at) => Some(
            log.headings
                .get(at)
                .and_then(|h| h.unit(speed_unit))
                .ok_or_else(|| LogError::NoUnit {
                    file: file.to_owned(),
                    header: log.table.name(at),
                })?,
        ),
    };
    let (readings, set_aside) = log.rows(|row, at| {
        let figure = |column: usize| Lost(Fault::NoFigure, row.cell(column).to_owned());
        let speed = match speed.zip(unit) {
            None => None,
            Some((column, unit)) => {
                let speed = format!("{} {unit}", row.cell(column)).parse();
                Some(speed.map_err(|_| figure(column))?)
            }
        };
        let from = direction(row.cell(from)).map_err(|_| figure(from))?;
        Ok(WindRow { at, from, speed })
    })?;
    Ok(WindLog {
        file: file.to_owned(),
        readings,
        set_aside,
    })
}

/// Reads a power log, also a gzip-compressed one; `file` is its name for messages.
///
/// Rows without a readable time and figures are set aside and counted by reason. A monitor that
/// counts what leaves the battery as negative is understood: where the draws sum to less than
/// zero all signs are turned.
///
/// # Errors
/// [`LogError`] where the file cannot be read, a column is missing or no row can be used.
///
/// # Example: amps below zero leave the battery
/// ```
/// use thereback::parser::read_power_log;
/// let log = read_power_log("Time;U [V];I [mA]\n09:10:05;12,5;-2000\n".as_bytes(), "log.csv");
/// assert_eq!(log.unwrap().readings[0].watts, 25.0);
/// ```
pub fn read_power_log(stream: impl Read, file: &str) -> Result<PowerLog, LogError> {
    let mut log = Log::open(stream, file, POWER_EXAMPLE, |headings| {
        headings.iter().any(|heading| electric(heading).is_some())
    })?;
    let of = |kind: Electric| {
        let all = log.headings.iter().enumerate();
        let mut of_kind = all.filter_map(|(at, heading)| Some((at, electric(heading)?)));
        of_kind.find_map(|(at, (found, unit))| (found == kind).then_some((at, unit)))
    };
    let columns = [Electric::Power, Electric::Voltage, Electric::Current].map(of);
    let [in_watts, in_volts, in_amps] = columns;
    if in_watts.is_none() && in_volts.and(in_amps).is_none() {
        return Err(log.missing("watts, nor for both volts and amps"));
    }
    let (mut readings, set_aside) = log.rows(|row, at| {
        let value = |column: Option<(usize, f64)>| {
            let (at, unit) = column?;
            let value = decimal(row.cell(at))? * unit;
            (value.abs() <= MOST_FIGURE).then_some(value)
        };
        let [watts, volts, amps] = columns.map(value);
        let product = || volts.zip(amps).map(|(volts, amps)| volts * amps);
        let watts = if in_watts.is_some() { watts } else { product() };
        let unreadable = || {
            let mut bad = columns
                .into_iter()
                .filter(|column| value(*column).is_none());
            let cell = bad.find_map(|column| Some(row.cell(column?.0)));
            Lost(Fault::NoFigure, cell.unwrap_or_default().to_owned())
        };
        Ok(PowerRow {
            at,
            watts: watts.ok_or_else(unreadable)?,
            amps,
            volts,
            line: row.line as u64,
        })
    })?;
    let signs_turned = readings.iter().map(|row| row.watts).sum::<f64>() < 0.0;
    if signs_turned {
        for reading in &mut readings {
            reading.watts = -reading.watts;
            reading.amps = reading.amps.map(|amps| -amps);
        }
    }
    Ok(PowerLog {
        file: file.to_owned(),
        readings,
        set_aside,
        signs_turned,
    })
}

/// Extremes, limits, charge and energy have their own columns beside the readings.
const OTHER: [&str; 9] = [
    "gust", "min", "max", "peak", "limit", "ah", "wh", "kwh", "mah",
];

/// The first column that serves.
fn column(headings: &[Heading], serves: impl Fn(&Heading) -> bool) -> Option<usize> {
    headings
        .iter()
        .position(|heading| !heading.has(&OTHER) && serves(heading))
}

/// Whether one of its words begins with one of these.
fn named(heading: &Heading, begins: &[&str]) -> bool {
    let has = |word: &String| begins.iter().any(|begin| word.contains(begin));
    heading.words.iter().any(has)
}

/// What a column of a power log holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Electric {
    Power,
    Voltage,
    Current,
}

/// What a column holds, and its unit in watts, volts or amperes: by its unit, else by its word.
fn electric(heading: &Heading) -> Option<(Electric, f64)> {
    use Electric::{Current, Power, Voltage};
    const MEASURES: [(Electric, Measure); 3] =
        [(Power, POWER), (Voltage, VOLTAGE), (Current, CURRENT)];
    if heading.has(&OTHER) {
        return None;
    }
    let by_unit = |name: &str| {
        let mut all = MEASURES.iter();
        all.find_map(|(kind, measure)| Some((*kind, measure.unit(name)?)))
    };
    let by_word = || {
        let mut words = [
            ("voltage", Voltage),
            ("current", Current),
            ("watt", Power),
            ("power", Power),
        ]
        .into_iter();
        words.find_map(|(word, kind)| named(heading, &[word]).then_some((kind, 1.0)))
    };
    heading.unit(by_unit).or_else(by_word)
}

/// A log whose header and times are known.
struct Log<'a> {
    file: String,
    example: [&'static str; 2],
    headings: Vec<Heading>,
    table: Table<'a>,
    times: Times,
}

impl<'a> Log<'a> {
    /// Opens a log; `is_known` says whether its own columns are among the headings.
    fn open(
        stream: impl Read + 'a,
        file: &str,
        example: [&'static str; 2],
        is_known: impl Fn(&[Heading]) -> bool,
    ) -> Result<Self, LogError> {
        let headings = |header: &[String]| -> Vec<Heading> {
            header.iter().map(|name| Heading::of(name)).collect()
        };
        let score = |header: &[String]| {
            let headings = headings(header);
            let timed = !TimeColumns::named(&headings).is_empty();
            usize::from(timed) + usize::from(is_known(&headings))
        };
        let no_time = |found| LogError::NoColumn {
            file: file.to_owned(),
            wanted: "time",
            found,
            example: example[0],
        };
        let source = Source::new(stream, file)?;
        let table = Table::open(source, score, 2);
        let mut table = table.ok_or_else(|| no_time("nothing".to_owned()))?;
        let headings = headings(table.header());
        let columns = TimeColumns::named(&headings);
        let times = Times::find(&mut table, &columns, true)?;
        let times = times.ok_or_else(|| no_time(table.names()))?;
        Ok(Self {
            file: file.to_owned(),
            example,
            headings,
            table,
            times,
        })
    }

    fn missing(&self, wanted: &'static str) -> LogError {
        LogError::NoColumn {
            file: self.file.clone(),
            wanted,
            found: self.table.names(),
            example: self.example[0],
        }
    }

    /// What `take` makes of each row and its time, and the rows set aside.
    fn rows<T>(
        &mut self,
        mut take: impl FnMut(Row<'_>, Moment) -> Result<T, Lost>,
    ) -> Result<(Vec<T>, Vec<SetAside>), LogError> {
        let mut tally = Tally::default();
        let mut readings = Vec::new();
        let times = self.times;
        self.table.rows(&mut tally, MOST_READINGS, |_, row| {
            let at = times.read(row)?;
            readings.push(take(row, at)?);
            Ok(())
        })?;
        let line_of = |line: usize| line as u64;
        if readings.is_empty() {
            let (line, met, reason) = tally.commonest().map_or_else(
                || {
                    (
                        self.table.header_line(),
                        String::new(),
                        "no row follows the header",
                    )
                },
                |(fault, first)| (line_of(first.place), first.value.clone(), fault.words()),
            );
            return Err(LogError::NoRows {
                file: self.file.clone(),
                line,
                met,
                reason,
                rows: tally.lost(),
                example: self.example[1],
            });
        }
        Ok((readings, tally.set_aside(line_of)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::float_cmp)]
mod tests {
    use super::*;

    fn power(text: &str) -> Result<PowerLog, String> {
        read_power_log(text.as_bytes(), "log.csv").map_err(|error| error.to_string())
    }

    fn wind(text: &str) -> Result<WindLog, String> {
        read_wind_log(text.as_bytes(), "wind.csv").map_err(|error| error.to_string())
    }

    #[test]
    fn units_are_read_from_the_headers() {
        let cases = [
            ("time,voltage (V),current (A)\n09:10,12.5,20\n", 250.0),
            ("Time;Power [kW];temp\n09:10;0,25;21\n", 250.0),
            ("utc\tbattery_v\tbattery_a\n09:10\t12.5\t20\n", 250.0),
            ("timestamp,amps,volts\n1781255400,20,12.5\n", 250.0),
            ("date time,W\n2026-06-12 09:10:05,250\n", 250.0),
            ("time,current_ma,voltage_mv\n09:10,-20000,12500\n", 250.0),
            ("date|clock|watts\n12.6.2026|9:10 am|250\n", 250.0),
        ];
        for (text, watts) in cases {
            let log = power(text).unwrap();
            assert!((log.readings[0].watts - watts).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_read_is_set_aside_with_its_place() {
        let log = power("time,watts\n09:10,250\n09:11,n/a\n09:12,99999999\n").unwrap();
        let aside = &log.set_aside[0];
        assert_eq!((aside.count, aside.first_line), (2, Some(3)));
        assert_eq!(log.readings[0].line, 2);
        let log = power("time,volts,amps\n09:10,25,10\n09:11,,10\n").unwrap();
        assert_eq!(log.set_aside[0].count, 1);
        let error = power("time,watts\nnoon,x\n").unwrap_err();
        assert!(
            error.starts_with("cannot read `log.csv`: line 2: `noon`"),
            "{error}"
        );
        let error = power("time,temperature\n").unwrap_err();
        assert!(error.contains("hint: "), "{error}");
    }

    #[test]
    fn the_headers_say_which_wind_is_meant() {
        let text = "Time;Wind gust (kn);Wind from;Wind speed (kn)\n09:10;15;SW;9,5\n2026-06-12 09:20;15;225;9,5\n";
        let log = wind(text).unwrap();
        assert_eq!(log.readings.len(), 2);
        assert_eq!(log.readings[0].from, log.readings[1].from);
        let knots = log.readings[0]
            .speed
            .map(crate::units::Speed::as_metres_per_second);
        assert!((knots.unwrap() - 9.5 * 1852.0 / 3600.0).abs() < 1e-9);
    }

    #[test]
    fn a_wind_log_says_what_is_missing() {
        let error = |text: &str| wind(text).unwrap_err();
        assert!(error("").contains("no column for the time"));
        assert!(
            error("time,speed (kn)\n")
                .contains("no column for the direction among `time`, `speed (kn)`")
        );
        assert!(error("time,dir,speed\n").contains("the header `speed` names no unit\nhint:"));
        assert!(error("time,dir\nnoon,235\n").contains("none of its 1 rows"));
    }
}
