//! What the columns of a table hold, by their names.
//!
//! Names are common practice, no source: case, prefixes such as `gps`, and the
//! way words are joined do not count; a unit is in brackets or the last word. A heading that says
//! neither true nor magnetic is taken for true, as courses are, and a remark says so.

use super::rows::Score;
use super::times::{TimeColumn, TimeColumns};
use crate::parser::quantity::{DepthUnit, decimal, speed_unit};
use crate::parser::time::CountUnit;
use crate::units::{Bearing, SpeedUnit, Turn};

/// Longest name looked at.
const MOST_BYTES: usize = 80;

/// Words that say nothing of what a column is.
const NOISE: [&str; 17] = [
    "gps", "gnss", "position", "pos", "location", "loc", "wgs84", "decimal", "dd", "deg", "degs",
    "degree", "degrees", "dec", "true", "nav", "t",
];

/// What a column says of its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit<T> {
    /// Nothing.
    Unsaid,
    /// One that is known.
    Known(T),
    /// One that is not.
    Unknown,
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Latitude, of which one is so many degrees.
    Latitude(f64),
    /// Longitude, likewise.
    Longitude(f64),
    /// `x`: longitude on maps, latitude in some loggers.
    X,
    /// `y`, the other.
    Y,
    /// `N` or `S`.
    NorthSouth,
    /// `E` or `W`.
    EastWest,
    /// An instant, or a time of day.
    Time(Option<CountUnit>),
    /// Time from a beginning that is not known.
    Elapsed(Option<CountUnit>),
    /// A date, perhaps with a time of day.
    Date,
    /// Speed over the ground.
    Speed(Unit<SpeedUnit>),
    /// Speed through the water.
    WaterSpeed(Unit<SpeedUnit>),
    /// Course over the ground.
    Course,
    /// Heading or variation.
    Compass(Compass),
    /// Depth of water.
    Depth(Unit<DepthUnit>),
}

/// What a column with this name holds; `None` where the name is not known.
pub(super) fn kind_of(name: &str) -> Option<Kind> {
    if name.len() > MOST_BYTES {
        return None;
    }
    let (name, bracketed) = split_brackets(name.trim());
    let compact = name.to_ascii_lowercase().replace(' ', "");
    match compact.as_str() {
        "n/s" | "ns" => return Some(Kind::NorthSouth),
        "e/w" | "ew" => return Some(Kind::EastWest),
        _ => {}
    }
    let words = words(name);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    place(&words)
        .or_else(|| time(&words, bracketed))
        .or_else(|| compass(&words, bracketed).map(Kind::Compass))
        .or_else(|| measured(&words, bracketed))
}

/// `Speed (kn)` to `Speed` and `kn`.
fn split_brackets(name: &str) -> (&str, Option<&str>) {
    let Some(open) = name.find(['(', '[', '{']) else {
        return (name, None);
    };
    let (before, rest) = name.split_at_checked(open).unwrap_or((name, ""));
    let inside = rest.get(1..).unwrap_or_default();
    let inside = inside.split([')', ']', '}']).next().unwrap_or_default();
    (before, Some(inside.trim()))
}

/// The words of a name in small letters: `speedOverGround`, `Speed_over ground`.
fn words(name: &str) -> Vec<String> {
    let letters: Vec<char> = name.chars().collect();
    let mut words = vec![String::new()];
    for (at, &c) in letters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|b| letters.get(b));
        let after = letters.get(at + 1);
        let begins = c.is_uppercase()
            && (before.is_some_and(|b| b.is_lowercase() || b.is_ascii_digit())
                || (before.is_some_and(|b| b.is_uppercase())
                    && after.is_some_and(|a| a.is_lowercase())));
        if begins || !(c.is_alphanumeric() || c == '/') {
            words.push(String::new());
        }
        if (c.is_alphanumeric() || c == '/')
            && let Some(word) = words.last_mut()
        {
            word.extend(c.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// The words that say something, joined by blanks.
fn telling(words: &[&str]) -> String {
    let telling: Vec<&str> = words
        .iter()
        .copied()
        .filter(|word| !NOISE.contains(word))
        .collect();
    if telling.is_empty() {
        words.join(" ")
    } else {
        telling.join(" ")
    }
}

fn place(words: &[&str]) -> Option<Kind> {
    let (words, scale) = match words {
        [before @ .., "e7"] => (before, 1e-7),
        [before @ .., "e6"] => (before, 1e-6),
        _ => (words, 1.0),
    };
    match telling(words).as_str() {
        "lat" | "latitude" => Some(Kind::Latitude(scale)),
        "lon" | "lng" | "long" | "longitude" => Some(Kind::Longitude(scale)),
        "x" => Some(Kind::X),
        "y" => Some(Kind::Y),
        "lat dir"
        | "lat ns"
        | "lat n/s"
        | "latitude n/s"
        | "lat ref"
        | "latitude ref"
        | "lat hemisphere"
        | "latitude hemisphere"
        | "latitude direction" => Some(Kind::NorthSouth),
        "lon dir"
        | "lon ew"
        | "lon e/w"
        | "longitude e/w"
        | "lon ref"
        | "longitude ref"
        | "lon hemisphere"
        | "longitude hemisphere"
        | "longitude direction" => Some(Kind::EastWest),
        _ => None,
    }
}

fn time(words: &[&str], bracketed: Option<&str>) -> Option<Kind> {
    let (words, unit) = match (bracketed.and_then(CountUnit::named), words) {
        (Some(unit), words) => (words, Some(unit)),
        (None, [before @ .., last]) if !before.is_empty() && CountUnit::named(last).is_some() => {
            (before, CountUnit::named(last))
        }
        (None, words) => (words, None),
    };
    let zones = ["utc", "gmt", "local", "iso", "iso8601"];
    let bare: Vec<&str> = words
        .iter()
        .copied()
        .filter(|word| !zones.contains(word))
        .collect();
    let words = if bare.is_empty() { words } else { &bare };
    match telling(words).as_str() {
        "time" | "timestamp" | "time stamp" | "datetime" | "date time" | "date and time"
        | "date/time" | "time date" | "utc" | "gmt" | "iso" | "iso8601" | "when" | "ts" | "t"
        | "fix time" | "time of fix" | "recorded at" | "created at" | "epoch" | "epoch time"
        | "unix" | "unix time" | "unixtime" | "unix timestamp" | "posix" | "posix time"
        | "clock" => Some(Kind::Time(unit)),
        "date" | "day" | "ymd" | "yyyymmdd" => Some(Kind::Date),
        "elapsed" | "elapsed time" | "time elapsed" | "time boot" | "boot time"
        | "time since boot" | "time since start" | "uptime" => Some(Kind::Elapsed(unit)),
        "seconds" | "secs" => Some(Kind::Elapsed(Some(CountUnit::Seconds))),
        "millis" | "milliseconds" => Some(Kind::Elapsed(Some(CountUnit::Milliseconds))),
        _ => None,
    }
}

fn measured(words: &[&str], bracketed: Option<&str>) -> Option<Kind> {
    // One or two words at the end may be the unit: `speed kn`, `speed m s`, `sog km/h`.
    for unit_words in 0..=2_usize {
        let Some((name, unit)) = words
            .len()
            .checked_sub(unit_words)
            .filter(|&names| names > 0)
            .and_then(|names| words.split_at_checked(names))
        else {
            continue;
        };
        let unit = match (bracketed, unit_words) {
            (Some(bracketed), 0) => Some(bracketed.to_owned()),
            (_, 0) => None,
            _ => {
                // Only brackets promise a unit; the last words of a name may be anything.
                let unit = unit.join("_");
                if speed_unit(&unit).is_none() && DepthUnit::named(&unit).is_none() {
                    continue;
                }
                Some(unit)
            }
        };
        let kind = measured_in(&telling(name), unit.as_deref());
        if kind.is_some() {
            return kind;
        }
    }
    None
}

fn measured_in(name: &str, unit: Option<&str>) -> Option<Kind> {
    match name {
        "speed" | "sog" | "spd" | "velocity" | "ground speed" | "groundspeed"
        | "speed over ground" => Some(Kind::Speed(speed_unit_of(unit))),
        "stw"
        | "water speed"
        | "speed through water"
        | "speed through the water"
        | "speed water"
        | "log speed" => Some(Kind::WaterSpeed(speed_unit_of(unit))),
        "course" | "cog" | "course over ground" | "track" | "tmg" | "track made good"
        | "course made good" | "cmg" | "bearing" => {
            // A course against magnetic north would need the variation.
            let magnetic = unit.is_some_and(|unit| {
                let unit = unit.to_ascii_lowercase();
                unit.contains("mag") || unit == "m" || unit == "°m"
            });
            (!magnetic).then_some(Kind::Course)
        }
        "depth" | "water depth" | "depth of water" | "dpt" | "dbt" => {
            Some(Kind::Depth(unit.map_or(Unit::Unsaid, |unit| {
                DepthUnit::named(unit).map_or(Unit::Unknown, Unit::Known)
            })))
        }
        _ => None,
    }
}

fn speed_unit_of(unit: Option<&str>) -> Unit<SpeedUnit> {
    unit.map_or(Unit::Unsaid, |unit| {
        speed_unit(unit).map_or(Unit::Unknown, Unit::Known)
    })
}

/// Which north a heading counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum North {
    /// The header does not say.
    Unsaid,
    /// The pole's.
    True,
    /// The compass needle's: of no use without the variation.
    Magnetic,
}

/// What a compass column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Compass {
    /// Where the bow points, degrees.
    Heading(North),
    /// Magnetic north against true north, degrees, east positive or with its letter.
    Variation,
}

/// What a column with these words in its name, and this in brackets, has of a compass.
pub(super) fn compass(words: &[&str], bracketed: Option<&str>) -> Option<Compass> {
    const FILLERS: [&str; 7] = ["deg", "degs", "degree", "degrees", "boat", "vessel", "bow"];
    let bracketed = bracketed.unwrap_or_default().to_ascii_lowercase();
    let bracketed = bracketed.split(|c: char| !c.is_ascii_alphanumeric());
    let (mut north, mut rest) = (North::Unsaid, Vec::new());
    for word in words.iter().copied().chain(bracketed) {
        match word {
            "true" | "t" => north = North::True,
            "magnetic" | "mag" | "m" | "compass" => north = North::Magnetic,
            "" => {}
            filler if FILLERS.contains(&filler) => {}
            telling => rest.push(telling),
        }
    }
    match (rest.as_slice(), north) {
        (["heading" | "hdg"], north) => Some(Compass::Heading(north)),
        (["hdt"], _) => Some(Compass::Heading(North::True)),
        (["hdm"], _) => Some(Compass::Heading(North::Magnetic)),
        (["variation" | "magvar" | "declination"], _) | (["var"], North::Magnetic) => {
            Some(Compass::Variation)
        }
        _ => None,
    }
}

/// A heading in degrees.
pub(super) fn heading(cell: &str) -> Option<Bearing> {
    let cell = cell.trim_end_matches(['T', 'M', '°', ' ']);
    decimal(cell)
        .filter(|degrees| (0.0..=360.0).contains(degrees))
        .and_then(Bearing::new)
}

/// A variation: `4.5`, `-7,1`, `7.1 W`.
pub(super) fn variation(cell: &str) -> Option<Turn> {
    let cell = cell.trim();
    let sign = if cell.ends_with(['W', 'w']) {
        -1.0
    } else {
        1.0
    };
    let degrees = decimal(cell.trim_end_matches(['E', 'e', 'W', 'w', '°', ' ']))?;
    // Near a magnetic pole it may be anything; a letter goes with a size alone.
    let fits = degrees.abs() <= 180.0 && (sign > 0.0 || degrees >= 0.0);
    fits.then(|| Turn::new(sign * degrees)).flatten()
}

/// A column that holds latitude or longitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AngleColumn {
    pub(super) index: usize,
    /// Degrees in one.
    pub(super) scale: f64,
}

/// A column that holds a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct MeasuredColumn<T> {
    pub(super) index: usize,
    pub(super) unit: Unit<T>,
}

/// A column of headings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct HeadingColumn {
    pub(super) index: usize,
    pub(super) north: North,
}

/// Which column holds what.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Columns {
    pub(super) latitude: Option<AngleColumn>,
    pub(super) longitude: Option<AngleColumn>,
    /// Whether the two are called `x` and `y`, so that their meaning is open.
    pub(super) by_letters: bool,
    pub(super) north_south: Option<usize>,
    pub(super) east_west: Option<usize>,
    pub(super) times: TimeColumns,
    pub(super) speed: Option<MeasuredColumn<SpeedUnit>>,
    pub(super) course: Option<usize>,
    pub(super) depth: Option<MeasuredColumn<DepthUnit>>,
    pub(super) water_speed: Option<MeasuredColumn<SpeedUnit>>,
    pub(super) heading: Option<HeadingColumn>,
    pub(super) variation: Option<usize>,
}

impl Columns {
    /// By the names in a header; of two columns of one kind the first counts.
    pub(super) fn named(header: &[String]) -> Self {
        let mut columns = Self {
            times: TimeColumns::named(header),
            ..Self::default()
        };
        let (mut x, mut y) = (None, None);
        for (index, name) in header.iter().enumerate() {
            let Some(kind) = kind_of(name) else { continue };
            match kind {
                Kind::Latitude(scale) => {
                    columns.latitude.get_or_insert(AngleColumn { index, scale });
                }
                Kind::Longitude(scale) => {
                    columns
                        .longitude
                        .get_or_insert(AngleColumn { index, scale });
                }
                Kind::X => {
                    x.get_or_insert(AngleColumn { index, scale: 1.0 });
                }
                Kind::Y => {
                    y.get_or_insert(AngleColumn { index, scale: 1.0 });
                }
                Kind::NorthSouth => {
                    columns.north_south.get_or_insert(index);
                }
                Kind::EastWest => {
                    columns.east_west.get_or_insert(index);
                }
                Kind::Time(_) | Kind::Elapsed(_) | Kind::Date => {}
                Kind::Speed(unit) => {
                    columns.speed.get_or_insert(MeasuredColumn { index, unit });
                }
                Kind::WaterSpeed(unit) => {
                    columns
                        .water_speed
                        .get_or_insert(MeasuredColumn { index, unit });
                }
                Kind::Compass(Compass::Variation) => {
                    columns.variation.get_or_insert(index);
                }
                Kind::Compass(Compass::Heading(north)) => {
                    let column = HeadingColumn { index, north };
                    // A compass and its correction may both be there: the corrected one counts.
                    if columns
                        .heading
                        .is_none_or(|there| rank(north) < rank(there.north))
                    {
                        columns.heading = Some(column);
                    }
                }
                Kind::Course => {
                    columns.course.get_or_insert(index);
                }
                Kind::Depth(unit) => {
                    columns.depth.get_or_insert(MeasuredColumn { index, unit });
                }
            }
        }
        if columns.latitude.is_none() && columns.longitude.is_none() {
            columns.latitude = y;
            columns.longitude = x;
            columns.by_letters = x.is_some() && y.is_some();
        }
        columns.take_over_speed_unit();
        columns
    }

    /// One recorder shows both speeds alike: where only one column names its unit, it is that of
    /// both.
    ///
    /// Speeds through the water cannot be held against the positions, so without a unit they are
    /// of no use.
    fn take_over_speed_unit(&mut self) {
        let ground = self.speed.map(|column| column.unit);
        if let (Some(water), Some(Unit::Known(_))) = (&mut self.water_speed, ground)
            && water.unit == Unit::Unsaid
        {
            water.unit = ground.unwrap_or(Unit::Unsaid);
        }
    }

    /// How well a header serves by position and time.
    pub(super) fn score(header: &[String]) -> Score {
        let columns = Self::named(header);
        Score {
            points: columns
                .there()
                .into_iter()
                .filter(|(there, _)| *there)
                .count(),
            is_complete: columns.missing().is_none(),
        }
    }

    fn there(&self) -> [(bool, &'static str); 3] {
        [
            (self.latitude.is_some(), "latitude"),
            (self.longitude.is_some(), "longitude"),
            (!self.times.is_empty(), "time"),
        ]
    }

    /// What is missing, in words; `None` where nothing is.
    pub(super) fn missing(&self) -> Option<String> {
        let missing: Vec<&str> = (self.there().into_iter())
            .filter_map(|(there, name)| (!there).then_some(name))
            .collect();
        (!missing.is_empty()).then(|| missing.join(" and "))
    }
}

/// The headings of less worth have the larger rank.
fn rank(north: North) -> u8 {
    match north {
        North::True => 0,
        North::Unsaid => 1,
        North::Magnetic => 2,
    }
}

impl TimeColumns {
    /// By the names in a header. Where none says so outright, a column with `time`, `date` or
    /// `utc` among its words will do.
    pub(crate) fn named(header: &[String]) -> Self {
        let mut columns = Self::default();
        for (index, name) in header.iter().enumerate() {
            match kind_of(name) {
                Some(Kind::Time(unit)) => columns.times.push(TimeColumn { index, unit }),
                Some(Kind::Elapsed(unit)) => columns.elapsed.push(TimeColumn { index, unit }),
                Some(Kind::Date) => columns.dates.push(index),
                _ => {}
            }
        }
        if columns.is_empty() {
            let telling = ["time", "date", "utc", "timestamp", "datetime"];
            let index = (header.iter()).position(|name| {
                name.len() <= MOST_BYTES
                    && words(name).iter().any(|w| telling.contains(&w.as_str()))
            });
            columns
                .times
                .extend(index.map(|index| TimeColumn { index, unit: None }));
        }
        columns
    }
}

/// The unit of speed that a header names: in brackets, at its end, or anywhere.
pub(crate) fn speed_unit_of_header(name: &str) -> Option<SpeedUnit> {
    let (before, bracketed) = split_brackets(name);
    let words = words(before);
    let joined = |count: usize| {
        let words = words.get(words.len().checked_sub(count)?..)?;
        speed_unit(&words.join("_"))
    };
    (bracketed.and_then(speed_unit))
        .or_else(|| joined(2))
        .or_else(|| joined(1))
        .or_else(|| words.iter().find_map(|word| speed_unit(word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_names_are_known() {
        let speed = |unit| Some(Kind::Speed(Unit::Known(unit)));
        for (names, kind) in [
            (
                &[
                    "lat",
                    "Latitude",
                    "GPS Latitude",
                    "latitude_deg",
                    "Lat (deg)",
                    "positionLat",
                ][..],
                Some(Kind::Latitude(1.0)),
            ),
            (
                &["lon", "lng", "Long.", "LONGITUDE", "gps_lon"],
                Some(Kind::Longitude(1.0)),
            ),
            (&["latitudeE7", "lat_e7"], Some(Kind::Latitude(1e-7))),
            (
                &[
                    "time",
                    "Timestamp",
                    "UTC",
                    "GPS time (UTC)",
                    "dateTime",
                    "time_utc",
                    "Date/Time",
                ],
                Some(Kind::Time(None)),
            ),
            (
                &["epoch_ms", "time (ms)", "timestampMs"],
                Some(Kind::Time(Some(CountUnit::Milliseconds))),
            ),
            (
                &["unix time [s]", "epoch_s"],
                Some(Kind::Time(Some(CountUnit::Seconds))),
            ),
            (
                &["time_since_start_ms"],
                Some(Kind::Elapsed(Some(CountUnit::Milliseconds))),
            ),
            (&["date", "UTC Date"], Some(Kind::Date)),
            (
                &["Speed (kn)", "sog_kts", "SOG [knots]", "speedKn"],
                speed(SpeedUnit::Knots),
            ),
            (
                &["speed_m_s", "Speed (m/s)", "speed m/s", "speed_mps"],
                speed(SpeedUnit::MetresPerSecond),
            ),
            (
                &["speed_km_h", "gps speed (km/h)", "speedKmh"],
                speed(SpeedUnit::KilometresPerHour),
            ),
            (
                &["speed", "SOG", "Speed over ground"],
                Some(Kind::Speed(Unit::Unsaid)),
            ),
            (&["speed (warp)"], Some(Kind::Speed(Unit::Unknown))),
            (
                &["course", "COG (deg)", "track", "course over ground °"],
                Some(Kind::Course),
            ),
            (
                &["depth (m)", "depth_m"],
                Some(Kind::Depth(Unit::Known(DepthUnit::Metres))),
            ),
            (&["Water depth"], Some(Kind::Depth(Unit::Unsaid))),
            (&["N/S", "lat_dir"], Some(Kind::NorthSouth)),
            (
                &[
                    "",
                    "ele",
                    "wind speed (kn)",
                    "name",
                    "hdop",
                    "maxspeed",
                    "lateral",
                    "cog (mag)",
                    "id",
                ],
                None,
            ),
        ] {
            for name in names {
                assert_eq!(kind_of(name), kind, "{name:?}");
            }
        }
    }

    #[test]
    fn log_and_compass_are_known() {
        for (names, kind) in [
            (
                &["stw", "Speed through water", "waterSpeed"][..],
                Some(Kind::WaterSpeed(Unit::Unsaid)),
            ),
            (
                &["STW (kn)", "speed through the water [kts]", "stw_kn"],
                Some(Kind::WaterSpeed(Unit::Known(SpeedUnit::Knots))),
            ),
            (
                &["heading", "Hdg (deg)"],
                Some(Kind::Compass(Compass::Heading(North::Unsaid))),
            ),
            (
                &["headingMag", "heading_m", "HDG (mag)"],
                Some(Kind::Compass(Compass::Heading(North::Magnetic))),
            ),
        ] {
            for name in names {
                assert_eq!(kind_of(name), kind, "{name:?}");
            }
        }
    }

    #[track_caller]
    fn check_compass(words: &[&str], bracketed: Option<&str>, expected: Option<Compass>) {
        assert_eq!(
            compass(words, bracketed),
            expected,
            "{words:?} {bracketed:?}"
        );
    }

    #[test]
    fn true_magnetic_and_unsaid_are_told_apart() {
        let heading = |north| Some(Compass::Heading(north));
        check_compass(&["heading"], None, heading(North::Unsaid));
        check_compass(&["hdg", "deg"], None, heading(North::Unsaid));
        check_compass(&["heading", "true"], None, heading(North::True));
        check_compass(&["true", "heading"], Some("°"), heading(North::True));
        check_compass(&["heading"], Some("deg T"), heading(North::True));
        check_compass(&["heading"], Some("°M"), heading(North::Magnetic));
        check_compass(&["hdg", "mag"], None, heading(North::Magnetic));
        check_compass(&["compass", "heading"], None, heading(North::Magnetic));
        check_compass(&["hdt"], None, heading(North::True));
        check_compass(&["hdm"], Some("deg"), heading(North::Magnetic));
        check_compass(&["magnetic", "variation"], None, Some(Compass::Variation));
        check_compass(&["mag", "var"], None, Some(Compass::Variation));
        check_compass(&["variation"], Some("deg"), Some(Compass::Variation));
        check_compass(&["var"], None, None);
        check_compass(&["heading", "error"], None, None);
        check_compass(&["compass"], None, None);
        check_compass(&[], None, None);
    }

    #[test]
    fn figures_with_and_without_letters() {
        let degrees = |cell| heading(cell).map(Bearing::degrees);
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
