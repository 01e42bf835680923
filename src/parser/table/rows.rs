//! From the rows of a table to fixes.

use csv::{ReaderBuilder, StringRecord, Trim};

use super::angle::{Axis, degrees};
use super::columns::{AngleColumn, Columns, HeadingColumn};
use super::compass::{self, North};
use super::dates::{Certainty, DateSurvey};
use super::layout::{Layout, is_comment, unquoted};
use super::names::Unit;
use super::when::When;
use crate::parser::fault::{Fault, Faults};
use crate::parser::number::decimal;
use crate::parser::position::{PositionRead, position_of};
use crate::parser::text::clipped;
use crate::parser::time::{TimeRead, TimeReader};
use crate::parser::unit::DepthUnit;
use crate::track::Fix;
use crate::units::{Bearing, Distance, METRES_PER_FOOT, Speed, SpeedUnit};

/// How many rows are tried to tell in which form the times stand.
const SAMPLED_ROWS: usize = 200;

/// Longest row repeated in a message, characters.
const ROW_CHARACTERS: usize = 60;

/// What a table has given.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) fixes: Vec<Fix>,
    pub(super) faults: Faults,
    /// Longitudes beyond 180 that were wrapped.
    pub(super) wrapped: usize,
    /// Times without a zone.
    pub(super) zoneless: usize,
    /// Speeds and depths left out because their unit is not known.
    pub(super) unknown_units: usize,
    /// Speeds through the water left out because no column names a unit.
    pub(super) unitless: usize,
    /// Magnetic headings left out because the variation is not known.
    pub(super) unturned: usize,
    /// Where the header stands again, bytes.
    pub(super) headers_again: Vec<usize>,
    times: TimeReader,
    /// How times were read.
    pub(super) when: Option<When>,
    /// How sure the order of day and month is.
    pub(super) certainty: Option<Certainty>,
    /// Whether `x` turned out to be the latitude.
    pub(super) x_is_latitude: bool,
    /// Whether quotes are out of order, so that they were read as any other character.
    pub(super) broken_quotes: bool,
}

/// Reads all rows.
pub(super) fn gather(text: &str, layout: &Layout) -> Gathered {
    let mut table = Table {
        text,
        layout,
        quoting: true,
    };
    let quotes_in_order = table.quotes_in_order();
    table.quoting = quotes_in_order;
    let mut columns = layout.columns.clone();
    let x_is_latitude = columns.by_letters && table.x_is_latitude(&columns);
    if x_is_latitude {
        std::mem::swap(&mut columns.latitude, &mut columns.longitude);
    }
    let mut gathered = Gathered {
        x_is_latitude,
        broken_quotes: !quotes_in_order,
        ..Gathered::default()
    };
    if let Some((when, certainty)) = table.when(&columns) {
        gathered.when = Some(when);
        gathered.certainty = Some(certainty);
        table.rows(|row, start| gathered.add(row, start, &columns, when, layout));
    }
    gathered
}

/// The rows of a text, read as often as asked for.
struct Table<'a> {
    text: &'a str,
    layout: &'a Layout,
    quoting: bool,
}

/// One row, its cells trimmed.
#[derive(Debug, Clone, Copy)]
struct Row<'r> {
    record: &'r StringRecord,
}

impl<'r> Row<'r> {
    fn cell(self, at: usize) -> &'r str {
        unquoted(self.record.get(at).unwrap_or_default())
    }

    fn shown(self) -> String {
        let cells: Vec<&str> = self.record.iter().collect();
        clipped(&cells.join(" "), ROW_CHARACTERS)
    }
}

impl Table<'_> {
    /// Gives each row that is no comment to `take`, with the byte where it starts.
    fn rows(&self, mut take: impl FnMut(Row<'_>, usize)) {
        self.rows_while(|row, start| {
            take(row, start);
            true
        });
    }

    fn rows_while(&self, mut take: impl FnMut(Row<'_>, usize) -> bool) {
        let body_start = self.layout.body_start;
        let body = self.text.get(body_start..).unwrap_or_default();
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .delimiter(self.layout.delimiter)
            .quoting(self.quoting)
            .flexible(true)
            .trim(Trim::All)
            .from_reader(body.as_bytes());
        let mut record = StringRecord::new();
        // The text is valid UTF-8 and in memory: there is nothing left that could fail.
        while let Ok(true) = reader.read_record(&mut record) {
            let row = Row { record: &record };
            if is_comment(row.cell(0)) || row.record.iter().all(str::is_empty) {
                continue;
            }
            let byte = record.position().map_or(0, |at| at.byte() as usize);
            if !take(row, body_start + Self::row_start(body, byte)) {
                return;
            }
        }
    }

    /// The reader counts blank lines before a row, and half of CR LF, to the row.
    fn row_start(body: &str, byte: usize) -> usize {
        let rest = body.get(byte..).unwrap_or_default();
        byte + rest.len() - rest.trim_start_matches(['\r', '\n']).len()
    }

    /// Whether no quoted cell runs over several lines: if one does, a quote was left open, and what
    /// follows would be lost in it.
    fn quotes_in_order(&self) -> bool {
        let mut in_order = true;
        self.rows_while(|row, _| {
            in_order = !row.record.iter().any(|cell| cell.contains(['\n', '\r']));
            in_order
        });
        in_order
    }

    /// Whether `y` holds what can be no latitude and `x` does not.
    fn x_is_latitude(&self, columns: &Columns) -> bool {
        let (mut x_beyond, mut y_beyond) = (false, false);
        self.rows(|row, _| {
            let beyond = |column: Option<AngleColumn>| {
                let value = column.and_then(|c| decimal(row.cell(c.index)));
                value.is_some_and(|value| value.abs() > 90.0)
            };
            x_beyond |= beyond(columns.longitude);
            y_beyond |= beyond(columns.latitude);
        });
        y_beyond && !x_beyond
    }

    /// Place and form of the times: the candidate that reads most of the first rows.
    fn when(&self, columns: &Columns) -> Option<(When, Certainty)> {
        let candidates = When::candidates(columns);
        let mut read = vec![0_usize; candidates.len()];
        let mut times = TimeReader::default();
        let mut sampled = 0;
        self.rows_while(|row, _| {
            for (count, candidate) in read.iter_mut().zip(&candidates) {
                let time = candidate.read(|at| row.cell(at), &mut times);
                *count += usize::from(time.is_some() || candidate.is_dated(|at| row.cell(at)));
            }
            sampled += 1;
            sampled < SAMPLED_ROWS
        });
        let most = read.iter().copied().max()?;
        let (_, &when) = read
            .iter()
            .zip(&candidates)
            .find(|(count, _)| **count == most)?;
        let mut survey = DateSurvey::default();
        self.rows(|row, _| when.survey(|at| row.cell(at), &mut survey));
        Some(when.decided(&survey))
    }
}

impl Gathered {
    fn add(&mut self, row: Row<'_>, start: usize, columns: &Columns, when: When, layout: &Layout) {
        let header = layout.header.iter().map(String::as_str);
        if row.record.iter().map(unquoted).eq(header) {
            self.headers_again.push(start);
            return;
        }
        // With the comma as decimal mark and separator both, every column is another one.
        if row
            .record
            .iter()
            .skip(layout.header.len())
            .any(|cell| !cell.is_empty())
        {
            return self.faults.add(Fault::TooManyCells, start, &row.shown());
        }
        let position = match position(row, columns) {
            Ok(position) => position,
            Err(fault) => return self.faults.add(fault, start, &row.shown()),
        };
        let Some(time) = when.read(|at| row.cell(at), &mut self.times) else {
            let (fault, text) = when.fault(|at| row.cell(at));
            return self.faults.add(fault, start, &text);
        };
        self.take(row, position, time, columns);
    }

    fn take(&mut self, row: Row<'_>, read: PositionRead, time: TimeRead, columns: &Columns) {
        self.wrapped += usize::from(read.wrapped);
        self.zoneless += usize::from(!time.zone_given);
        let number = |at: usize| decimal(row.cell(at));
        let speed = columns.speed.and_then(|column| {
            // Recorders write -1 where they know none.
            let value = number(column.index).filter(|value| *value >= 0.0);
            match (value, column.unit) {
                (Some(value), Unit::Known(unit)) => Some(Speed::new(value, unit)),
                // A wrong unit shows against the positions, and is mended there.
                (Some(value), Unit::Unsaid) => Some(Speed::new(value, SpeedUnit::MetresPerSecond)),
                (Some(_), Unit::Unknown) => {
                    self.unknown_units += 1;
                    None
                }
                (None, _) => row.cell(column.index).parse().ok(),
            }
        });
        let depth = columns.depth.and_then(|column| {
            let value = number(column.index).filter(|value| *value >= 0.0)?;
            match column.unit {
                Unit::Known(DepthUnit::Metres) | Unit::Unsaid => Some(Distance::metres(value)),
                Unit::Known(DepthUnit::Feet) => Some(Distance::metres(value * METRES_PER_FOOT)),
                Unit::Unknown => {
                    self.unknown_units += 1;
                    None
                }
            }
        });
        let course = columns.course.and_then(|at| {
            let cell = row.cell(at).trim_end_matches(['°', 'T']);
            decimal(cell).filter(|degrees| (0.0..=360.0).contains(degrees))
        });
        let water_speed = columns.water_speed.and_then(|column| {
            let value = number(column.index).filter(|value| *value >= 0.0)?;
            match column.unit {
                Unit::Known(unit) => return Some(Speed::new(value, unit)),
                Unit::Unsaid => self.unitless += 1,
                Unit::Unknown => self.unknown_units += 1,
            }
            None
        });
        let variation = columns
            .variation
            .and_then(|at| compass::variation(row.cell(at)));
        let heading = columns.heading.and_then(|HeadingColumn { index, north }| {
            let heading = compass::heading(row.cell(index))?;
            if north != North::Magnetic {
                return Some(heading);
            }
            self.unturned += usize::from(variation.is_none());
            Some(heading.turned(variation?))
        });
        self.fixes.push(Fix {
            time: time.timestamp,
            position: read.position,
            speed,
            course: course.and_then(Bearing::new),
            depth,
            heading,
            water_speed,
        });
    }
}

fn position(row: Row<'_>, columns: &Columns) -> Result<PositionRead, Fault> {
    let (Some(latitude), Some(longitude)) = (columns.latitude, columns.longitude) else {
        return Err(Fault::NoPosition);
    };
    if row.record.len() <= latitude.index.max(longitude.index) {
        return Err(Fault::TooFewCells);
    }
    let (north, east) = (row.cell(latitude.index), row.cell(longitude.index));
    if north.is_empty() || east.is_empty() {
        return Err(Fault::NoPosition);
    }
    let side = |column: Option<usize>| column.map(|at| row.cell(at));
    let north = degrees(north, Axis::Latitude, side(columns.north_south));
    let east = degrees(east, Axis::Longitude, side(columns.east_west));
    let (Some(north), Some(east)) = (north, east) else {
        return Err(Fault::UnreadablePosition);
    };
    position_of(north * latitude.scale, east * longitude.scale)
}
