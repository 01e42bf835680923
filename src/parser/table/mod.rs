//! Tables of fixes: comma-separated values and their kin.
//!
//! `rows` finds the header and reads any table row by row, wind logs too. What a column holds
//! follows from its name (`columns`), places and times from their form (`angle`, `times`), the
//! order of day and month from the whole column. A row that cannot be used is set aside and
//! counted.

mod angle;
mod columns;
mod rows;
mod times;

use std::io::Read;

use self::angle::{Axis, degrees};
pub(crate) use self::columns::speed_unit_of_header;
use self::columns::{AngleColumn, Columns, HeadingColumn, North, Unit, heading, variation};
pub(crate) use self::rows::{Row, Score, Table};
pub(crate) use self::times::{TimeColumns, Times};
use super::ReadError;
use super::fault::{Fault, Faults};
use super::quantity::{DepthUnit, PositionRead, decimal, position_of};
use super::source::Source;
use super::text::{clipped, count};
use super::time::{InstantRead, in_utc};
use crate::track::{Fix, RecordedTrack, Recording};
use crate::units::{Bearing, Speed, SpeedUnit};

/// Most names of a header repeated in a message, and most characters of each.
const MOST_NAMES: usize = 20;
const NAME_CHARACTERS: usize = 30;

/// Opens a table of any kind; `score` says how well a line serves as its header. `None` where no
/// line has several cells.
pub(crate) fn open<'a>(
    stream: impl Read + 'a,
    file: &str,
    score: impl Fn(&[String]) -> Score,
) -> Result<Option<Table<'a>>, ReadError> {
    let source = Source::new(stream, file)?;
    Ok(Table::open(source, score))
}

/// Whether a text that is nothing else is a table: its header names a column known here, or its
/// first lines have the same separators.
pub(super) fn is_table(head: &str) -> bool {
    let found = rows::Layout::find(head.as_bytes(), Columns::score);
    let named = found.is_some_and(|layout| Columns::score(&layout.header).points >= 2);
    named || has_even_rows(head)
}

/// Whether the first two lines that are no comments have the same separator equally often, and the
/// second has digits.
fn has_even_rows(head: &str) -> bool {
    let mut lines = rows::first_lines(head.as_bytes());
    let (Some(first), Some(second)) = (lines.next(), lines.next()) else {
        return false;
    };
    [';', '\t', ',', '|'].iter().any(|&separator| {
        let count = first.trim().matches(separator).count();
        count >= 1 && second.trim().matches(separator).count() == count
    }) && second.contains(|c: char| c.is_ascii_digit())
}

/// Reads a table of fixes.
pub(super) fn read(source: Source<'_>) -> Result<Recording, ReadError> {
    let file = source.file.clone();
    let mut table = Table::open(source, Columns::score).ok_or_else(|| ReadError::NoColumns {
        file: file.clone(),
        line: 1,
        what: "no line has several cells".to_owned(),
        found: "none".to_owned(),
    })?;
    let mut columns = Columns::named(&table.layout.header);
    if let Some(missing) = columns.missing() {
        return Err(ReadError::NoColumns {
            file,
            line: table.header_line(),
            what: if Columns::score(&table.layout.header).points == 0 {
                "no header names the columns".to_owned()
            } else {
                format!("the header names no column for {missing}")
            },
            found: names(&table.layout.header),
        });
    }
    let x_is_latitude = columns.by_letters && x_is_latitude(&mut table, &columns)?;
    if x_is_latitude {
        std::mem::swap(&mut columns.latitude, &mut columns.longitude);
    }
    let times = Times::find(&mut table, &columns.times, false)?;
    let mut gathered = Gathered::default();
    if let Some(times) = times {
        let header = table.layout.header.clone();
        table.rows(|row, place| match row {
            Ok(row) => gathered.add(row, &columns, times, &header),
            Err((fault, start)) => gathered.lose(fault, place, || start.to_owned()),
        })?;
    }
    let line_of = |place| table.line_of(place);
    if gathered.fixes.is_empty() {
        let lost = gathered.faults.all_lost(line_of, &file);
        return Err(lost.unwrap_or(ReadError::Empty {
            file,
            what: "it is a table without any row",
        }));
    }
    let mut remarks = table.source().remarks();
    remarks.extend(gathered.remarks(&columns, x_is_latitude, times, &table));
    Ok(Recording {
        file,
        points_met: gathered.fixes.len() + gathered.faults.total(),
        set_aside: gathered.faults.set_aside(line_of),
        tracks: vec![RecordedTrack {
            name: None,
            segments: vec![gathered.fixes],
        }],
        remarks,
        ..Recording::default()
    })
}

/// The cells of a header, for a message.
pub(crate) fn names(header: &[String]) -> String {
    let mut names: Vec<String> = header
        .iter()
        .take(MOST_NAMES)
        .map(|name| format!("`{}`", clipped(name, NAME_CHARACTERS)))
        .collect();
    if header.len() > MOST_NAMES {
        names.push(format!("{} more", header.len() - MOST_NAMES));
    }
    names.join(", ")
}

/// Whether `y` holds what can be no latitude and `x` does not.
fn x_is_latitude(table: &mut Table<'_>, columns: &Columns) -> Result<bool, ReadError> {
    let (mut x_beyond, mut y_beyond) = (false, false);
    table.survey(true, |row| {
        let beyond = |column: Option<AngleColumn>| {
            let value = column.and_then(|c| decimal(row.cell(c.index)));
            value.is_some_and(|value| value.abs() > 90.0)
        };
        x_beyond |= beyond(columns.longitude);
        y_beyond |= beyond(columns.latitude);
        true
    })?;
    Ok(y_beyond && !x_beyond)
}

/// What a table has given.
#[derive(Debug, Default)]
struct Gathered {
    fixes: Vec<Fix>,
    faults: Faults,
    /// Longitudes beyond 180 that were wrapped.
    wrapped: usize,
    /// Times without a zone.
    zoneless: usize,
    /// Speeds and depths left out because their unit is not known.
    unknown_units: usize,
    /// Speeds through the water left out because no column names a unit.
    unitless: usize,
    /// Magnetic headings left out because the variation is not known.
    unturned: usize,
    /// How often the header comes again, and where first, bytes.
    headers_again: usize,
    first_header_again: usize,
}

impl Gathered {
    /// Takes a row; gives its place where its line will be asked for.
    fn add(
        &mut self,
        row: Row<'_>,
        columns: &Columns,
        times: Times,
        header: &[String],
    ) -> Option<usize> {
        if row.cells().eq(header.iter().map(String::as_str)) {
            self.headers_again += 1;
            if self.headers_again == 1 {
                self.first_header_again = row.place;
            }
            return Some(self.first_header_again);
        }
        // With the comma as decimal mark and separator both, every column is another one.
        if row.cells().skip(header.len()).any(|cell| !cell.is_empty()) {
            return self.lose(Fault::TooManyCells, row.place, || row.shown());
        }
        let position = match position(row, columns) {
            Ok(position) => position,
            Err(fault) => return self.lose(fault, row.place, || row.shown()),
        };
        match times.read(row).and_then(in_utc) {
            Ok(time) => self.take(row, position, time, columns),
            Err(fault) => return self.lose(fault, row.place, || times.shown(row)),
        }
        None
    }

    fn lose(
        &mut self,
        fault: Fault,
        place: usize,
        value: impl FnOnce() -> String,
    ) -> Option<usize> {
        self.faults.add(fault, place, value).then_some(place)
    }

    fn take(&mut self, row: Row<'_>, read: PositionRead, time: InstantRead, columns: &Columns) {
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
                Unit::Known(unit) => Some(unit.of(value)),
                Unit::Unsaid => Some(DepthUnit::Metres.of(value)),
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
        let variation = columns.variation.and_then(|at| variation(row.cell(at)));
        let heading = columns.heading.and_then(|HeadingColumn { index, north }| {
            let heading = heading(row.cell(index))?;
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

    /// What was odd about the table as a whole, one sentence each.
    fn remarks(
        &self,
        columns: &Columns,
        x_is_latitude: bool,
        times: Option<Times>,
        table: &Table<'_>,
    ) -> Vec<String> {
        let mut remarks = Vec::new();
        let header_line = table.header_line();
        if header_line > 1 {
            remarks.push(format!(
                "The columns are named at line {header_line}; what stands before it was passed over."
            ));
        }
        if columns.by_letters {
            let (latitude, why) = if x_is_latitude {
                ("x", "as `y` goes beyond 90")
            } else {
                ("y", "as on maps")
            };
            remarks.push(format!(
                "Columns `x` and `y`: `{latitude}` was taken for the latitude, {why}."
            ));
        }
        if self.headers_again > 0 {
            remarks.push(format!(
                "The header comes again at {}, first at line {}: tables joined end to end; all were read.",
                count(self.headers_again, "place"),
                table.line_of(self.first_header_again),
            ));
        }
        if table.broken_quotes > 0 {
            remarks.push(format!(
                "Quotes are out of order in {} and were read as any other character.",
                count(table.broken_quotes, "row")
            ));
        }
        remarks.extend(times.and_then(Times::remark));
        if self.zoneless > 0 {
            remarks.push(format!(
                "{} without a zone taken as UTC.",
                count(self.zoneless, "time")
            ));
        }
        if self.wrapped > 0 {
            remarks.push(format!(
                "{} beyond 180 degrees taken round the Earth.",
                count(self.wrapped, "longitude")
            ));
        }
        remarks.extend(self.unit_remarks(columns, &table.layout.header));
        remarks
    }

    fn unit_remarks(&self, columns: &Columns, header: &[String]) -> Vec<String> {
        let name = |index: usize| {
            let name = header.get(index).map_or("", String::as_str);
            clipped(name, NAME_CHARACTERS)
        };
        let mut remarks = Vec::new();
        let has = |known: fn(&Fix) -> bool| self.fixes.iter().any(known);
        if let Some(speed) = columns.speed.filter(|speed| speed.unit == Unit::Unsaid)
            && has(|fix| fix.speed.is_some())
        {
            remarks.push(format!(
                "Column `{}` names no unit: taken for m/s unless the positions say otherwise.",
                name(speed.index)
            ));
        }
        if let Some(depth) = columns.depth.filter(|depth| depth.unit == Unit::Unsaid)
            && has(|fix| fix.depth.is_some())
        {
            remarks.push(format!(
                "Column `{}` names no unit: taken for metres.",
                name(depth.index)
            ));
        }
        if let Some(heading) = columns.heading.filter(|c| c.north == North::Unsaid)
            && has(|fix| fix.heading.is_some())
        {
            remarks.push(format!(
                "Column `{}` says neither true nor magnetic: taken for true.",
                name(heading.index)
            ));
        }
        if let Some(heading) = columns.heading.filter(|_| self.unturned > 0) {
            remarks.push(format!(
                "{} in column `{}` left out: they are magnetic, and the variation is not given beside them.",
                count(self.unturned, "heading"),
                name(heading.index)
            ));
        }
        if let Some(water) = columns.water_speed.filter(|_| self.unitless > 0) {
            remarks.push(format!(
                "{} through the water left out: column `{}` names no unit; write it into the header, as in `stw (kn)`.",
                count(self.unitless, "speed"),
                name(water.index)
            ));
        }
        if self.unknown_units > 0 {
            remarks.push(format!(
                "{} in an unknown unit left out.",
                count(self.unknown_units, "recorded value")
            ));
        }
        remarks
    }
}

fn position(row: Row<'_>, columns: &Columns) -> Result<PositionRead, Fault> {
    let (Some(latitude), Some(longitude)) = (columns.latitude, columns.longitude) else {
        return Err(Fault::NoPosition);
    };
    if row.len() <= latitude.index.max(longitude.index) {
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
