//! Angles, distances and speeds as types: SI inside, display units at the rim.
//!
//! A [`Bearing`] is a direction (degrees true, `0 <= b < 360`), a [`Turn`] the
//! signed angle between two of them (`-180 < t <= 180`, positive to starboard,
//! that is clockwise). All wrapping of angles in the project happens here, and
//! nowhere else.
//!
//! Conversion factors: NIST SP 811 (2008), Appendix B.8 (nautical mile 1852 m
//! exactly, mile 1609.344 m exactly).

mod clock_face;
mod current;

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

pub use self::clock_face::ClockFace;
pub use self::current::Current;

/// Metres in one nautical mile, exact (NIST SP 811, B.8).
pub const METRES_PER_NAUTICAL_MILE: f64 = 1852.0;
/// Metres in one international mile, exact (NIST SP 811, B.8).
pub const METRES_PER_MILE: f64 = 1609.344;
/// Metres in one foot, exact (NIST SP 811, B.8).
pub const METRES_PER_FOOT: f64 = 0.3048;

/// A direction in degrees true, always finite and in `[0, 360)`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Bearing(f64);

impl Bearing {
    /// Wraps any finite angle in degrees to `[0, 360)`; `None` for NaN and infinities.
    ///
    /// # Example: north from below
    /// ```
    /// use thereback::units::Bearing;
    /// assert_eq!(Bearing::new(-10.0).map(Bearing::degrees), Some(350.0));
    /// assert_eq!(Bearing::new(-1e-300).map(Bearing::degrees), Some(0.0));
    /// assert_eq!(Bearing::new(f64::NAN), None);
    /// ```
    pub fn new(degrees: f64) -> Option<Self> {
        degrees.is_finite().then(|| Self(wrap_360(degrees)))
    }

    /// The direction of the vector `(east, north)`; `None` where it has no length.
    pub fn of_vector(east: f64, north: f64) -> Option<Self> {
        if east == 0.0 && north == 0.0 {
            return None;
        }
        Self::new(east.atan2(north).to_degrees())
    }

    /// Degrees true in `[0, 360)`.
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// Radians in `[0, 2π)`.
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }

    /// The unit vector `(east, north)` that points this way.
    pub fn unit(self) -> (f64, f64) {
        self.radians().sin_cos()
    }

    /// The opposite direction.
    #[must_use]
    pub fn reciprocal(self) -> Self {
        Self(wrap_360(self.0 + 180.0))
    }

    /// The direction this one becomes after a turn.
    #[must_use]
    pub fn turned(self, by: Turn) -> Self {
        Self(wrap_360(self.0 + by.0))
    }

    /// The turn that leads from this direction to `other`, the short way.
    pub fn turn_to(self, other: Self) -> Turn {
        Turn(wrap_180(other.0 - self.0))
    }

    /// The angle between two directions, degrees in `[0, 180]`.
    pub fn apart(self, other: Self) -> f64 {
        self.turn_to(other).0.abs()
    }

    /// Angle off a line that runs along `axis` and back, degrees, `[0, 90]`.
    pub fn off_line(self, axis: Self) -> f64 {
        let off = self.apart(axis);
        off.min(180.0 - off)
    }
}

impl fmt::Display for Bearing {
    /// Three digits, as courses are written: `007°`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = self.0.round();
        write!(f, "{:03}°", if whole >= 360.0 { 0.0 } else { whole })
    }
}

/// A signed angle in degrees, `-180 < t <= 180`; positive is to starboard (clockwise).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Turn(f64);

impl Turn {
    /// Wraps any finite angle in degrees to `(-180, 180]`; `None` for NaN and infinities.
    pub fn new(degrees: f64) -> Option<Self> {
        degrees.is_finite().then(|| Self(wrap_180(degrees)))
    }

    /// Degrees in `(-180, 180]`.
    pub fn degrees(self) -> f64 {
        self.0
    }
}

fn wrap_360(degrees: f64) -> f64 {
    // A tiny negative angle plus 360 rounds to 360 itself: the one trap of `rem_euclid`.
    let wrapped = degrees.rem_euclid(360.0);
    if wrapped >= 360.0 { 0.0 } else { wrapped + 0.0 }
}

fn wrap_180(degrees: f64) -> f64 {
    let wrapped = wrap_360(degrees);
    if wrapped > 180.0 {
        wrapped - 360.0
    } else {
        wrapped
    }
}

/// A length in metres, as displayed in one of the units that go with a [`SpeedUnit`].
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Distance(f64);

impl Distance {
    /// A distance in metres.
    pub const fn metres(metres: f64) -> Self {
        Self(metres)
    }

    /// Metres.
    pub const fn as_metres(self) -> f64 {
        self.0
    }

    /// Nautical miles of 1852 m.
    pub fn as_nautical_miles(self) -> f64 {
        self.0 / METRES_PER_NAUTICAL_MILE
    }
}

/// A speed in metres per second.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Speed(f64);

impl Speed {
    /// A speed in metres per second.
    pub const fn metres_per_second(value: f64) -> Self {
        Self(value)
    }

    /// A speed given in `unit`.
    pub fn new(value: f64, unit: SpeedUnit) -> Self {
        Self(value * unit.metres_per_second())
    }

    /// Metres per second.
    pub const fn as_metres_per_second(self) -> f64 {
        self.0
    }

    /// The number shown in `unit`.
    pub fn in_unit(self, unit: SpeedUnit) -> f64 {
        self.0 / unit.metres_per_second()
    }
}

/// A speed with its unit as people write it: `11kn`, `11 kn`, `5.2 m/s`, `12,5 km/h`.
///
/// # Example: a decimal comma
/// ```
/// use thereback::units::Speed;
/// let speed: Speed = "9,26 km/h".parse().unwrap();
/// assert!((speed.as_metres_per_second() - 2.5722).abs() < 1e-4);
/// ```
impl FromStr for Speed {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let trimmed = text.trim();
        let split = trimmed
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-')))
            .unwrap_or(trimmed.len());
        let (number, unit) = trimmed.split_at(split);
        let value: f64 = number
            .replace(',', ".")
            .parse()
            .map_err(|_| UnitError::Number(text.to_owned()))?;
        if unit.trim().is_empty() {
            return Err(UnitError::NoUnit(text.to_owned()));
        }
        let unit: SpeedUnit = unit.parse()?;
        if !(0.0..=MAX_TYPED_SPEED).contains(&(value * unit.metres_per_second())) {
            return Err(UnitError::Range(text.to_owned()));
        }
        Ok(Self::new(value, unit))
    }
}

/// The largest speed a person may type, in m/s: beyond any wind measured at sea level
/// (113 m/s, Barrow Island 1996; from memory), so a slip of the unit or the finger.
const MAX_TYPED_SPEED: f64 = 120.0;

/// A unit in which speeds are shown; distances follow it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum SpeedUnit {
    /// Knots, nautical miles per hour.
    #[default]
    #[serde(rename = "kn")]
    Knots,
    /// Miles per hour.
    #[serde(rename = "mph")]
    MilesPerHour,
    /// Kilometres per hour.
    #[serde(rename = "km/h")]
    KilometresPerHour,
    /// Metres per second.
    #[serde(rename = "m/s")]
    MetresPerSecond,
}

impl SpeedUnit {
    /// All units, in the order they are offered.
    pub const ALL: [Self; 4] = [
        Self::Knots,
        Self::MilesPerHour,
        Self::KilometresPerHour,
        Self::MetresPerSecond,
    ];

    /// How many metres per second one of this unit is.
    pub fn metres_per_second(self) -> f64 {
        match self {
            Self::Knots => METRES_PER_NAUTICAL_MILE / 3600.0,
            Self::MilesPerHour => METRES_PER_MILE / 3600.0,
            Self::KilometresPerHour => 1.0 / 3.6,
            Self::MetresPerSecond => 1.0,
        }
    }

    /// The symbol, as typed and as shown.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Knots => "kn",
            Self::MilesPerHour => "mph",
            Self::KilometresPerHour => "km/h",
            Self::MetresPerSecond => "m/s",
        }
    }

    /// The symbol as it goes into a column name: letters, digits and `_` only.
    pub fn column(self) -> &'static str {
        match self {
            Self::Knots => "kn",
            Self::MilesPerHour => "mph",
            Self::KilometresPerHour => "km_h",
            Self::MetresPerSecond => "m_s",
        }
    }

    /// The long distance that goes with this unit: its symbol and its length in metres.
    pub fn long_distance(self) -> (&'static str, f64) {
        match self {
            Self::Knots => ("nmi", METRES_PER_NAUTICAL_MILE),
            Self::MilesPerHour => ("mi", METRES_PER_MILE),
            Self::KilometresPerHour | Self::MetresPerSecond => ("km", 1000.0),
        }
    }

    /// The short distance that goes with this unit: its symbol and its length in metres.
    pub fn short_distance(self) -> (&'static str, f64) {
        match self {
            Self::MilesPerHour => ("ft", METRES_PER_FOOT),
            _ => ("m", 1.0),
        }
    }
}

impl fmt::Display for SpeedUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

impl FromStr for SpeedUnit {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        // `_` where the name of an element or a column cannot have a slash.
        let name: String = text.split_whitespace().collect();
        match name.to_ascii_lowercase().replace('_', "/").as_str() {
            "kn" | "kt" | "kts" | "knot" | "knots" => Ok(Self::Knots),
            "mph" | "mi/h" | "milesperhour" => Ok(Self::MilesPerHour),
            "km/h" | "kmh" | "kph" => Ok(Self::KilometresPerHour),
            "m/s" | "mps" | "ms" | "ms-1" => Ok(Self::MetresPerSecond),
            _ => Err(UnitError::Unit(text.trim().to_owned())),
        }
    }
}

/// Reads a direction as people give it: degrees (`235`, `235,5°`) or one of the 16 points, in
/// letters or words (`SW`, `nnw`, `west`, `south-west`).
///
/// # Errors
/// [`UnitError::Direction`] for anything else and for degrees outside `[0, 360]`.
pub fn parse_direction(text: &str) -> Result<Bearing, UnitError> {
    const POINTS: [&str; 16] = [
        "n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw",
        "nw", "nnw",
    ];
    let name = text.trim().trim_end_matches('°').trim().to_lowercase();
    let mut letters = name.replace([' ', '-'], "");
    for point in ["north", "east", "south", "west"] {
        letters = letters.replace(point, point.get(..1).unwrap_or_default());
    }
    let degrees = match POINTS.iter().position(|point| *point == letters) {
        Some(point) => Some(point as f64 * 22.5),
        None => name.replace(',', ".").parse::<f64>().ok(),
    };
    degrees
        .filter(|degrees| (0.0..=360.0).contains(degrees))
        .and_then(Bearing::new)
        .ok_or_else(|| UnitError::Direction(text.to_owned()))
}

/// Why a typed quantity could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// The number part is not a number.
    #[error("`{0}` has no readable number\nhint: write a speed like `11 kn` or `5.2 m/s`")]
    Number(String),
    /// A bare number.
    #[error("`{0}` has no unit\nhint: write it after the number: `kn`, `mph`, `km/h` or `m/s`")]
    NoUnit(String),
    /// The unit is not known.
    #[error("`{0}` is not a unit of speed\nhint: use `kn`, `mph`, `km/h` or `m/s`")]
    Unit(String),
    /// Neither 12 nor 24 hours.
    #[error("`{0}` is not a way to count the hours\nhint: use `12h` or `24h`")]
    Clock(String),
    /// Not a kind of current.
    #[error("`{0}` is not a kind of current\nhint: use `none`, `river` or `tide`")]
    Current(String),
    /// The speed is outside what is possible.
    #[error("`{0}` is outside the speeds possible here, 0 to 120 m/s")]
    Range(String),
    /// Not a direction.
    #[error(
        "`{0}` is not a direction\nhint: give degrees true from 0 to 360, or a compass point such as `SW`"
    )]
    Direction(String),
}
/// Seconds since 1970 with their fraction.
pub(crate) fn seconds(time: jiff::Timestamp) -> f64 {
    time.as_second() as f64 + f64::from(time.subsec_nanosecond()) * 1e-9
}
