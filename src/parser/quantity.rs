//! Numbers, units and positions as recorders write them.

use super::fault::Fault;
use crate::track::Position;
use crate::units::{Distance, METRES_PER_FOOT, SpeedUnit, Turn};

/// A number no longer than this is worth trying.
///
/// The longest exact decimal a recorder has reason to write is far shorter; the
/// bound keeps a hostile megabyte of digits from being parsed.
const MOST_BYTES: usize = 64;

/// Largest longitude that is wrapped rather than set aside, degrees: once round the Earth.
const MOST_LONGITUDE: f64 = 360.0;

/// Reads a finite decimal number; blanks around it are allowed.
///
/// Accepts what `str::parse::<f64>` accepts apart from infinities and NaN, and
/// one decimal comma in place of the dot. `None` for anything else.
pub(crate) fn decimal(text: &str) -> Option<f64> {
    let trimmed = text.trim();
    if trimmed.len() > MOST_BYTES {
        return None;
    }
    let parsed = match trimmed.parse::<f64>() {
        Ok(value) => value,
        Err(_) if trimmed.matches(',').count() == 1 => trimmed.replace(',', ".").parse().ok()?,
        Err(_) => return None,
    };
    parsed.is_finite().then_some(parsed)
}

/// A unit of depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DepthUnit {
    Metres,
    Feet,
}

impl DepthUnit {
    /// The unit of a name.
    pub(super) fn named(text: &str) -> Option<Self> {
        match text.trim().to_ascii_lowercase().as_str() {
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metres),
            "ft" | "foot" | "feet" => Some(Self::Feet),
            _ => None,
        }
    }

    /// So many of it.
    pub(super) fn of(self, value: f64) -> Distance {
        match self {
            Self::Metres => Distance::metres(value),
            Self::Feet => Distance::metres(value * METRES_PER_FOOT),
        }
    }
}

/// The unit of speed of a name, as attributes, headers and names of elements have it.
pub(super) fn speed_unit(text: &str) -> Option<SpeedUnit> {
    let text = text.trim();
    match text.to_ascii_lowercase().as_str() {
        "mps" | "ms" | "m_s" | "ms-1" => Some(SpeedUnit::MetresPerSecond),
        "km_h" => Some(SpeedUnit::KilometresPerHour),
        _ => text.parse().ok(),
    }
}

/// A position as read.
#[derive(Debug, Clone, Copy)]
pub(super) struct PositionRead {
    pub(super) position: Position,
    /// Whether the longitude lay beyond 180 and was wrapped.
    pub(super) wrapped: bool,
}

/// A position from degrees north and east.
pub(super) fn position_of(latitude: f64, longitude: f64) -> Result<PositionRead, Fault> {
    if latitude == 0.0 && longitude == 0.0 {
        return Err(Fault::ZeroPosition);
    }
    if let Some(position) = Position::new(latitude, longitude) {
        return Ok(PositionRead {
            position,
            wrapped: false,
        });
    }
    if !(-90.0..=90.0).contains(&latitude) {
        return Err(Fault::LatitudeRange);
    }
    Turn::new(longitude)
        .filter(|_| longitude.abs() <= MOST_LONGITUDE)
        .and_then(|wrapped| Position::new(latitude, wrapped.degrees()))
        .map(|position| PositionRead {
            position,
            wrapped: true,
        })
        .ok_or(Fault::LongitudeRange)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_forms_recorders_write_are_read() {
        for (text, value) in [
            ("52.330848", 52.330_848),
            ("-122.063654875", -122.063_654_875),
            ("-0.0", 0.0),
            (" 7.5\n", 7.5),
            ("+3", 3.0),
            ("3.", 3.0),
            (".5", 0.5),
            ("1.5e-05", 1.5e-5),
            ("57,70912", 57.709_12),
            ("38.927609380334616", 38.927_609_380_334_616),
            ("51.183019000000000000000001", 51.183_019),
        ] {
            assert_eq!(decimal(text), Some(value), "{text:?}");
        }
    }

    #[test]
    fn what_is_no_finite_number_is_unknown() {
        let giant = "1".repeat(1_000_000);
        for text in [
            "",
            " ",
            ".",
            "-",
            "-.",
            "NaN",
            "inf",
            "-infinity",
            "1e999",
            "undefined",
            "1.2.3",
            "1,2,3",
            "12°",
            "0x10",
            "1 2",
            &giant,
        ] {
            assert_eq!(decimal(text), None);
        }
    }
}
