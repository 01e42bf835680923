//! What the columns of a table are, by their names.
//!
//! Names are common practice, no source: case, prefixes such as `gps`, and the
//! way words are joined do not count; a unit stands in brackets or as the last
//! word.

use super::compass::{Compass, compass};
use crate::parser::unit::{DepthUnit, depth_unit, speed_unit};
use crate::units::SpeedUnit;

/// Longest name looked at.
const MOST_BYTES: usize = 80;

/// Words that tell nothing of what a column is.
const NOISE: [&str; 17] = [
    "gps", "gnss", "position", "pos", "location", "loc", "wgs84", "decimal", "dd", "deg", "degs",
    "degree", "degrees", "dec", "true", "nav", "t",
];

/// A unit of time that counts from some beginning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CountUnit {
    Seconds,
    Milliseconds,
    Microseconds,
    Nanoseconds,
}

impl CountUnit {
    /// Nanoseconds in one.
    pub(super) fn nanoseconds(self) -> f64 {
        match self {
            Self::Seconds => 1e9,
            Self::Milliseconds => 1e6,
            Self::Microseconds => 1e3,
            Self::Nanoseconds => 1.0,
        }
    }
}

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
    /// Latitude, of which one stands for so many degrees.
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

/// The words that tell something, joined by blanks.
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
    let (words, unit) = match (bracketed.and_then(count_unit), words) {
        (Some(unit), words) => (words, Some(unit)),
        (None, [before @ .., last]) if !before.is_empty() && count_unit(last).is_some() => {
            (before, count_unit(last))
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

fn count_unit(word: &str) -> Option<CountUnit> {
    match word.to_ascii_lowercase().as_str() {
        "s" | "sec" | "secs" | "second" | "seconds" => Some(CountUnit::Seconds),
        "ms" | "msec" | "millis" | "millisecond" | "milliseconds" => Some(CountUnit::Milliseconds),
        "us" | "µs" | "usec" | "micros" | "microseconds" => Some(CountUnit::Microseconds),
        "ns" | "nsec" | "nanos" | "nanoseconds" => Some(CountUnit::Nanoseconds),
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
                if speed_unit(&unit).is_none() && depth_unit(&unit).is_none() {
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
                depth_unit(unit).map_or(Unit::Unknown, Unit::Known)
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

#[cfg(test)]
mod tests;
