//! Tables of fixes: comma-separated values and their kin.
//!
//! What a column holds follows from its name, places and times from their form, the order of day
//! and month from the whole column. A row that cannot be used is set aside and counted. A heading
//! that says neither true nor magnetic is taken for true, as courses are, and a remark says so.

use super::position::{Axis, PositionRead, degrees, position_of};
use super::quantity::{LENGTH, decimal, speed_unit};
use super::source::Source;
use super::table::{self, Heading, Lost, Row, Table, TimeColumns, Times, Unit};
use super::tally::{Fault, Oddity, Tally};
use super::time::Moment;
use super::{ReadError, recording};
use crate::track::{Fix, RecordedTrack, Recording};
use crate::units::{Bearing, Distance, Speed, Turn};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Latitude,
    Longitude,
    /// `x`: longitude on maps, latitude in some loggers.
    X,
    /// `y`, the other.
    Y,
    /// `N` or `S`.
    NorthSouth,
    /// `E` or `W`.
    EastWest,
    /// Speed over the ground.
    Speed,
    /// Speed through the water.
    WaterSpeed,
    /// Course over the ground.
    Course,
    /// Where the bow points, degrees.
    Heading,
    /// Magnetic north against true north, degrees, east positive or with its letter.
    Variation,
    /// Depth of water.
    Depth,
}

impl Quantity {
    /// What a column of this name holds; common practice, no source.
    fn named(name: &str) -> Option<Self> {
        Some(match name {
            "lat" | "latitude" => Self::Latitude,
            "lon" | "lng" | "long" | "longitude" => Self::Longitude,
            "x" => Self::X,
            "y" => Self::Y,
            "n/s"
            | "ns"
            | "lat dir"
            | "lat ns"
            | "lat n/s"
            | "latitude n/s"
            | "lat ref"
            | "latitude ref"
            | "lat hemisphere"
            | "latitude hemisphere"
            | "latitude direction" => Self::NorthSouth,
            "e/w"
            | "ew"
            | "lon dir"
            | "lon ew"
            | "lon e/w"
            | "longitude e/w"
            | "lon ref"
            | "longitude ref"
            | "lon hemisphere"
            | "longitude hemisphere"
            | "longitude direction" => Self::EastWest,
            "speed" | "sog" | "spd" | "velocity" | "ground speed" | "groundspeed"
            | "speed over ground" => Self::Speed,
            "stw"
            | "water speed"
            | "speed through water"
            | "speed through the water"
            | "speed water"
            | "log speed" => Self::WaterSpeed,
            "course" | "cog" | "course over ground" | "track" | "tmg" | "track made good"
            | "course made good" | "cmg" | "bearing" => Self::Course,
            "heading" | "hdg" | "hdt" | "hdm" | "boat heading" | "vessel heading"
            | "bow heading" | "compass heading" | "magnetic heading" | "mag heading" => {
                Self::Heading
            }
            "variation"
            | "magvar"
            | "declination"
            | "magnetic variation"
            | "mag variation"
            | "mag var"
            | "magnetic declination" => Self::Variation,
            "depth" | "water depth" | "depth of water" | "dpt" | "dbt" => Self::Depth,
            _ => return None,
        })
    }

    /// The size of a unit of it in degrees, metres or metres per second.
    fn unit(self, name: &str) -> Option<f64> {
        match self {
            Self::Latitude | Self::Longitude => match name {
                "e7" => Some(1e-7),
                "e6" => Some(1e-6),
                _ => None,
            },
            Self::Speed | Self::WaterSpeed => Some(speed_unit(name)?.metres_per_second()),
            Self::Depth => LENGTH.unit(name),
            Self::Course | Self::Heading => MAGNETIC.contains(&name).then_some(1.0),
            _ => None,
        }
    }
}

/// Words that say which north a heading or course counts from.
const MAGNETIC: [&str; 5] = ["magnetic", "mag", "m", "compass", "hdm"];
const TRUE: [&str; 3] = ["true", "t", "hdt"];

/// Which north a heading counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum North {
    /// The pole's.
    True,
    /// The header does not say.
    Unsaid,
    /// The compass needle's: of no use without the variation.
    Magnetic,
}

/// A column with a known name.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Column {
    index: usize,
    quantity: Quantity,
    unit: Unit<f64>,
    north: North,
}

impl Column {
    fn of(index: usize, heading: &Heading) -> Option<Self> {
        let (quantity, unit) = heading.named(Quantity::named, Quantity::unit)?;
        let is_compass = matches!(
            quantity,
            Quantity::Course | Quantity::Heading | Quantity::Variation
        );
        let north = if !is_compass {
            North::Unsaid
        } else if heading.has(&MAGNETIC) {
            North::Magnetic
        } else if heading.has(&TRUE) {
            North::True
        } else {
            North::Unsaid
        };
        // A course against magnetic north would need the variation.
        let is_of_use = quantity != Quantity::Course || north != North::Magnetic;
        is_of_use.then_some(Self {
            index,
            quantity,
            unit,
            north,
        })
    }
}

/// Which column holds what.
#[derive(Debug, Clone, Default, PartialEq)]
struct Columns {
    known: Vec<Column>,
    times: TimeColumns,
    /// Whether `x` is the latitude.
    x_is_latitude: bool,
}

impl Columns {
    /// By the names in a header.
    fn named(header: &[String]) -> Self {
        let headings: Vec<Heading> = header.iter().map(|name| Heading::of(name)).collect();
        let known = headings.iter().enumerate();
        let mut known: Vec<Column> = known
            .filter_map(|(index, heading)| Column::of(index, heading))
            .collect();
        // One recorder shows both speeds alike: where only one column names its unit, it is that
        // of both. Speeds through the water cannot be held against the positions, so without a
        // unit they are of no use.
        let of = |quantity| known.iter().find(move |column| column.quantity == quantity);
        let ground = of(Quantity::Speed).map(|column| column.unit);
        if let Some(unit @ Unit::Known(_)) = ground {
            for water in &mut known {
                if water.quantity == Quantity::WaterSpeed && water.unit == Unit::Unsaid {
                    water.unit = unit;
                }
            }
        }
        Self {
            known,
            times: TimeColumns::named(&headings),
            x_is_latitude: false,
        }
    }

    /// The column of a quantity: of two the first counts, of two headings the one corrected for
    /// the variation.
    fn of(&self, quantity: Quantity) -> Option<Column> {
        let all = self.known.iter().filter(|c| c.quantity == quantity);
        all.min_by_key(|column| column.north).copied()
    }

    /// Whether only the letters `x` and `y` name the position.
    fn by_letters(&self) -> bool {
        self.of(Quantity::Latitude).is_none()
            && self.of(Quantity::Longitude).is_none()
            && self.of(Quantity::X).and(self.of(Quantity::Y)).is_some()
    }

    /// Latitude and longitude.
    fn position(&self) -> [Option<Column>; 2] {
        let letters = match (self.by_letters(), self.x_is_latitude) {
            (false, _) => [Quantity::Latitude, Quantity::Longitude],
            (true, false) => [Quantity::Y, Quantity::X],
            (true, true) => [Quantity::X, Quantity::Y],
        };
        letters.map(|quantity| self.of(quantity))
    }

    /// The names of what is needed and missing.
    fn missing(&self) -> Vec<&'static str> {
        let [latitude, longitude] = self.position().map(|column| column.is_some());
        let time = !self.times.is_empty();
        let there = [
            (latitude, "latitude"),
            (longitude, "longitude"),
            (time, "time"),
        ];
        let missing = there.into_iter().filter(|(there, _)| !there);
        missing.map(|(_, name)| name).collect()
    }
}

/// How many columns a track needs: latitude, longitude and time.
const NEEDED: usize = 3;

fn score(header: &[String]) -> usize {
    NEEDED - Columns::named(header).missing().len()
}

/// Whether a text that is nothing else is a table.
pub(super) fn is_table(head: &str) -> bool {
    table::is_table(head, score)
}

/// Reads a table of fixes.
pub(super) fn read(source: Source<'_>) -> Result<Recording, ReadError> {
    let file = source.file.clone();
    let no_columns = |line, what: String, found| ReadError::NoColumns {
        file: file.clone(),
        line,
        what,
        found,
    };
    let mut table = Table::open(source, score, NEEDED)
        .ok_or_else(|| no_columns(1, "no line has several cells".into(), "none".into()))?;
    let mut columns = Columns::named(table.header());
    let missing = columns.missing();
    if !missing.is_empty() {
        let what = if missing.len() == NEEDED {
            "no header names the columns".to_owned()
        } else {
            format!("the header names no column for {}", missing.join(" and "))
        };
        return Err(no_columns(table.header_line(), what, table.names()));
    }
    if columns.by_letters() {
        columns.x_is_latitude = x_is_latitude(&mut table, &columns)?;
    }
    let times = Times::find(&mut table, &columns.times, false)?;
    let header = table.header().to_vec();
    let mut tally = Tally::default();
    let mut fixes = Vec::new();
    if let Some(times) = times {
        table.rows(&mut tally, usize::MAX, |tally, row| {
            if row.cells().eq(header.iter().map(String::as_str)) {
                tally.note(Oddity::HeaderAgain);
                return Ok(());
            }
            // With the comma as decimal mark and separator both, every column is another one.
            if row.cells().skip(header.len()).any(|cell| !cell.is_empty()) {
                return Err(Lost(Fault::TooManyCells, row.shown()));
            }
            let position = position(row, &columns).map_err(|fault| Lost(fault, row.shown()))?;
            let moment = times.read(row)?;
            let time = moment.in_utc().map_err(|fault| times.lost(fault, row))?;
            tally.note_if(matches!(moment, Moment::Local(_)), Oddity::Zoneless);
            tally.note_if(position.wrapped, Oddity::Wrapped);
            let bare = Fix::bare(time, position.position);
            fixes.push(with_instruments(bare, row, &columns, tally));
            Ok(())
        })?;
    }
    let mut remarks = header_remarks(&columns, &table);
    remarks.extend(times.and_then(Times::remark));
    remarks.extend(unit_remarks(&columns, &table, &fixes));
    let track = RecordedTrack {
        name: None,
        segments: vec![fixes],
    };
    let line_of = |line: usize| line as u64;
    let empty = |file| ReadError::Empty {
        file,
        what: "it is a table without any row",
    };
    recording(table.source(), &tally, line_of, vec![track], remarks, empty)
}

/// Whether `y` holds what can be no latitude and `x` does not.
fn x_is_latitude(table: &mut Table<'_>, columns: &Columns) -> Result<bool, ReadError> {
    let mut beyond = [false; 2];
    table.survey_all(|row| {
        for (beyond, column) in beyond.iter_mut().zip(columns.position()) {
            let value = column.and_then(|column| decimal(row.cell(column.index)));
            *beyond |= value.is_some_and(|value| value.abs() > 90.0);
        }
    })?;
    Ok(beyond == [true, false])
}

fn position(row: Row<'_>, columns: &Columns) -> Result<PositionRead, Fault> {
    let [Some(latitude), Some(longitude)] = columns.position() else {
        return Err(Fault::NoPosition);
    };
    if row.len() <= latitude.index.max(longitude.index) {
        return Err(Fault::TooFewCells);
    }
    let (north, east) = (row.cell(latitude.index), row.cell(longitude.index));
    if north.is_empty() || east.is_empty() {
        return Err(Fault::NoPosition);
    }
    let side = |quantity| columns.of(quantity).map(|column| row.cell(column.index));
    let north = degrees(north, Axis::Latitude, side(Quantity::NorthSouth));
    let east = degrees(east, Axis::Longitude, side(Quantity::EastWest));
    let (Some(north), Some(east)) = (north, east) else {
        return Err(Fault::UnreadablePosition);
    };
    let scale = |column: Column| column.unit.known().unwrap_or(1.0);
    position_of(north * scale(latitude), east * scale(longitude))
}

/// A fix with what else the recorder wrote into its row.
fn with_instruments(fix: Fix, row: Row<'_>, columns: &Columns, tally: &mut Tally) -> Fix {
    let cell = |quantity| {
        let column = columns.of(quantity)?;
        Some((row.cell(column.index), column))
    };
    // Recorders write -1 where they know none.
    let mut size = |quantity, unsaid: Option<f64>| {
        let (text, column) = cell(quantity)?;
        let value = decimal(text).filter(|value| *value >= 0.0)?;
        let unit = match column.unit {
            Unit::Unsaid if unsaid.is_none() => {
                tally.note(Oddity::Unitless);
                None
            }
            Unit::Unsaid => unsaid,
            Unit::Known(unit) => Some(unit),
            Unit::Unknown => {
                tally.note(Oddity::UnknownUnit);
                None
            }
        };
        Some(value * unit?)
    };
    // A wrong unit of speed shows against the positions, and is mended there.
    let speed = size(Quantity::Speed, Some(1.0)).map(Speed::metres_per_second);
    let in_cell = || cell(Quantity::Speed)?.0.parse().ok();
    let water_speed = size(Quantity::WaterSpeed, None).map(Speed::metres_per_second);
    let depth = size(Quantity::Depth, Some(1.0)).map(Distance::metres);
    let heading = cell(Quantity::Heading).and_then(|(text, column)| {
        let heading = bearing(text)?;
        if column.north != North::Magnetic {
            return Some(heading);
        }
        let by = cell(Quantity::Variation).and_then(|(text, _)| variation(text));
        tally.note_if(by.is_none(), Oddity::Unturned);
        Some(heading.turned(by?))
    });
    Fix {
        speed: speed.or_else(in_cell),
        course: cell(Quantity::Course).and_then(|(text, _)| bearing(text)),
        depth,
        heading,
        water_speed,
        ..fix
    }
}

/// A course or heading in degrees: `235`, `235,5 °T`.
fn bearing(cell: &str) -> Option<Bearing> {
    let cell = cell.trim_end_matches(['T', 'M', '°', ' ']);
    decimal(cell)
        .filter(|degrees| (0.0..=360.0).contains(degrees))
        .and_then(Bearing::new)
}

/// A variation: `4.5`, `-7,1`, `7.1 W`.
fn variation(cell: &str) -> Option<Turn> {
    let is_west = cell.ends_with(['W', 'w']);
    let degrees = decimal(cell.trim_end_matches(['E', 'e', 'W', 'w', '°', ' ']))?;
    // Near a magnetic pole it may be anything; a letter goes with a size alone.
    let fits = degrees.abs() <= 180.0 && !(is_west && degrees < 0.0);
    let east = if is_west { -degrees } else { degrees };
    fits.then(|| Turn::new(east)).flatten()
}

/// What is to be said of the header.
fn header_remarks(columns: &Columns, table: &Table<'_>) -> Vec<String> {
    let mut remarks = Vec::new();
    let line = table.header_line();
    if line > 1 {
        remarks.push(format!(
            "The columns are named at line {line}; what stands before it was passed over."
        ));
    }
    if columns.by_letters() {
        let (latitude, why) = if columns.x_is_latitude {
            ("x", "as `y` goes beyond 90")
        } else {
            ("y", "as on maps")
        };
        remarks.push(format!(
            "Columns `x` and `y`: `{latitude}` was taken for the latitude, {why}."
        ));
    }
    remarks
}

/// What was taken for units and norths that the header does not say.
fn unit_remarks(columns: &Columns, table: &Table<'_>, fixes: &[Fix]) -> Vec<String> {
    type Taken = (Quantity, fn(&Fix) -> bool, &'static str);
    let taken: [Taken; 3] = [
        (
            Quantity::Speed,
            |fix| fix.speed.is_some(),
            "names no unit: taken for m/s unless the positions say otherwise",
        ),
        (
            Quantity::Depth,
            |fix| fix.depth.is_some(),
            "names no unit: taken for metres",
        ),
        (
            Quantity::Heading,
            |fix| fix.heading.is_some(),
            "says neither true nor magnetic: taken for true",
        ),
    ];
    let remark = |(quantity, is_known, what): (Quantity, fn(&Fix) -> bool, &str)| {
        let unsaid = |column: &Column| match quantity {
            Quantity::Heading => column.north == North::Unsaid,
            _ => column.unit == Unit::Unsaid,
        };
        let column = columns.of(quantity).filter(unsaid)?;
        let name = table.name(column.index);
        let is_met = fixes.iter().any(is_known);
        is_met.then(|| format!("Column `{name}` {what}."))
    };
    taken.into_iter().filter_map(remark).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(names: &[&str], quantity: Quantity, unit: Unit<f64>, north: North) {
        for name in names {
            let column = Column::of(0, &Heading::of(name));
            let found = column.map(|column| (column.quantity, column.unit, column.north));
            assert_eq!(found, Some((quantity, unit, north)), "{name:?}");
        }
    }

    #[test]
    fn common_names_are_known() {
        use self::North::{Magnetic, True, Unsaid as North};
        use Quantity as Q;
        use Unit::{Known, Unknown, Unsaid};
        let lat = [
            "lat",
            "Latitude",
            "GPS Latitude",
            "latitude_deg",
            "positionLat",
        ];
        check(&lat, Q::Latitude, Unsaid, North);
        check(
            &["lon", "lng", "Long.", "gps_lon"],
            Q::Longitude,
            Unsaid,
            North,
        );
        check(&["latitudeE7", "lat_e7"], Q::Latitude, Known(1e-7), North);
        let knots = Known(1852.0 / 3600.0);
        let names = ["Speed (kn)", "sog_kts", "SOG [knots]", "speedKn"];
        check(&names, Q::Speed, knots, North);
        let names = ["speed_m_s", "Speed (m/s)", "speed m/s", "speed_mps"];
        check(&names, Q::Speed, Known(1.0), North);
        let names = ["speed_km_h", "gps speed (km/h)", "speedKmh"];
        check(&names, Q::Speed, Known(1.0 / 3.6), North);
        check(
            &["speed", "SOG", "Speed over ground"],
            Q::Speed,
            Unsaid,
            North,
        );
        check(&["speed (warp)"], Q::Speed, Unknown, North);
        check(
            &["course", "track", "course over ground °"],
            Q::Course,
            Unsaid,
            North,
        );
        check(&["COG (deg)"], Q::Course, Unknown, North);
        check(&["depth (ft)", "depth_ft"], Q::Depth, Known(0.3048), North);
        check(&["Water depth"], Q::Depth, Unsaid, North);
        check(&["N/S", "lat_dir"], Q::NorthSouth, Unsaid, North);
        check(&["stw", "waterSpeed"], Q::WaterSpeed, Unsaid, North);
        check(&["stw_kn", "STW (kn)"], Q::WaterSpeed, knots, North);
        check(&["heading"], Q::Heading, Unsaid, North);
        check(&["heading true"], Q::Heading, Unsaid, True);
        check(&["hdm", "compass heading"], Q::Heading, Unsaid, Magnetic);
        check(
            &["headingMag", "heading_m"],
            Q::Heading,
            Known(1.0),
            Magnetic,
        );
        check(
            &["HDG (mag)", "heading [m]"],
            Q::Heading,
            Known(1.0),
            Magnetic,
        );
        check(
            &["magnetic variation", "mag var"],
            Q::Variation,
            Unsaid,
            Magnetic,
        );
        check(&["variation"], Q::Variation, Unsaid, North);
        for name in [
            "",
            "ele",
            "wind speed (kn)",
            "name",
            "hdop",
            "maxspeed",
            "lateral",
            "cog (mag)",
            "id",
            "var",
            "heading error",
            "compass",
        ] {
            assert_eq!(Column::of(0, &Heading::of(name)), None, "{name:?}");
        }
    }

    #[test]
    fn figures_are_read_with_and_without_letters() {
        let degrees = |cell| bearing(cell).map(Bearing::degrees);
        assert_eq!(degrees("235.5"), Some(235.5));
        assert_eq!(degrees("235,5 °T"), Some(235.5));
        assert_eq!(degrees("360"), Some(0.0));
        for cell in ["", "-1", "361", "north", "NaN"] {
            assert_eq!(degrees(cell), None, "{cell}");
        }
        // Wrapping a turn costs the last digits.
        let turned = |cell| variation(cell).map(|turn| (turn.degrees() * 1e9).round() / 1e9);
        assert_eq!(turned("4.5"), Some(4.5));
        assert_eq!(turned("7.1 W"), Some(-7.1));
        assert_eq!(turned("-7,1"), Some(-7.1));
        assert_eq!(turned("4.5°E"), Some(4.5));
        for cell in ["", "W", "-7 W", "200", "east"] {
            assert_eq!(turned(cell), None, "{cell}");
        }
    }
}
