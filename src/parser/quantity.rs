//! Quantities as recorders write them and people type them: numbers, units, directions.
//!
//! The one reader for headers of tables, attributes of elements, notes and the command line. What
//! one of them accepts all accept:
//!
//! | what | examples |
//! |---|---|
//! | number | `7.5`, `7,5`, `1.5e-05` |
//! | speed ([`speed`]) | `11 kn`, `5,2 m/s`, `9 knots`; the unit is always asked for |
//! | direction ([`direction`]) | `235`, `235,5°`, `SW`, `west`, `south-west`, `WSW` |
//! | [`LENGTH`], metres | `900 m`, `0,5 nmi`, `6 ft` |
//! | [`DURATION`], seconds | `45 min`, `2 hours`, `2h30min`, `1h30` |
//! | [`MASS`], kilograms | `345 kg`, `760 lb` |
//! | [`POWER`], watts; [`ENERGY`], watt hours | `400 W`, `1.2 kW`; `1200 Wh` |
//! | [`VOLTAGE`], volts; [`CURRENT`], amperes | `12.5 V`; `900 mA` |
//! | [`SHARE`], parts of one | `5`, `5 %`, `5 percent` |

use crate::units::{
    Bearing, METRES_PER_FOOT, METRES_PER_MILE, METRES_PER_NAUTICAL_MILE, Speed, SpeedUnit,
    UnitError, parse_direction,
};

/// A number no longer than this is worth trying.
///
/// The longest exact decimal a recorder has reason to write is far shorter; the
/// bound keeps a hostile megabyte of digits from being parsed.
const MOST_BYTES: usize = 64;

/// Reads a finite decimal number; blanks around it are allowed.
///
/// Accepts what `str::parse::<f64>` accepts apart from infinities and NaN, and
/// one decimal comma in place of the dot. `None` for anything else.
pub fn decimal(text: &str) -> Option<f64> {
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

/// Reads a speed with its unit, from 0 to 120 m/s.
///
/// # Errors
/// [`UnitError`] where the number, the unit or the size is wrong.
pub fn speed(text: &str) -> Result<Speed, UnitError> {
    text.parse()
}

/// Reads a direction: degrees true from 0 to 360, or a point of the compass.
///
/// # Errors
/// [`UnitError::Direction`] for anything else.
pub fn direction(text: &str) -> Result<Bearing, UnitError> {
    parse_direction(text)
}

/// The unit of speed of this name; `None` for any other name.
pub fn speed_unit(name: &str) -> Option<SpeedUnit> {
    name.parse().ok()
}

/// A kind of quantity: what it is called and the units it may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// What it is called, with its article.
    what: &'static str,
    /// The names of each unit, the first of them for messages, and its size in the SI unit.
    units: &'static [(&'static [&'static str], f64)],
    /// The size of a unit that need not be written.
    unsaid: Option<f64>,
    /// A bare number behind a part of this size counts so many times less: `1h30`.
    next: Option<f64>,
    example: &'static str,
}

/// Lengths in metres.
pub const LENGTH: Measure = Measure {
    what: "a length",
    units: &[
        (&["m", "metre", "metres", "meter", "meters"], 1.0),
        (&["km", "kilometres", "kilometers"], 1000.0),
        (&["cm", "centimetres", "centimeters"], 0.01),
        (&["mm", "millimetres", "millimeters"], 0.001),
        (&["in", "inch", "inches", "\""], METRES_PER_FOOT / 12.0),
        (&["ft", "foot", "feet"], METRES_PER_FOOT),
        (&["mi", "mile", "miles"], METRES_PER_MILE),
        (
            &["nmi", "nm", "nauticalmile", "nauticalmiles"],
            METRES_PER_NAUTICAL_MILE,
        ),
    ],
    unsaid: None,
    next: None,
    example: "900m",
};

/// Spans of time in seconds.
pub const DURATION: Measure = Measure {
    what: "a time",
    units: &[
        (&["s", "sec", "secs", "second", "seconds"], 1.0),
        (&["min", "mins", "minute", "minutes"], 60.0),
        (&["h", "hr", "hrs", "hour", "hours"], 3600.0),
        (
            &["ms", "msec", "millis", "millisecond", "milliseconds"],
            1e-3,
        ),
        (&["us", "µs", "usec", "micros", "microseconds"], 1e-6),
        (&["ns", "nsec", "nanos", "nanoseconds"], 1e-9),
    ],
    unsaid: None,
    next: Some(60.0),
    example: "2h30min",
};

/// Masses in kilograms; the pound is exact (NIST SP 811, B.8).
pub const MASS: Measure = Measure {
    what: "a mass",
    units: &[
        (&["kg", "kilogram", "kilograms"], 1.0),
        (&["lb", "lbs", "pound", "pounds"], 0.453_592_37),
    ],
    unsaid: None,
    next: None,
    example: "345kg",
};

/// Powers in watts.
pub const POWER: Measure = Measure {
    what: "a power",
    units: &[
        (&["W", "watt", "watts"], 1.0),
        (&["kW", "kilowatt", "kilowatts"], 1000.0),
    ],
    unsaid: None,
    next: None,
    example: "400W",
};

/// Energies in watt hours.
pub const ENERGY: Measure = Measure {
    what: "an energy",
    units: &[(&["Wh"], 1.0), (&["kWh"], 1000.0)],
    unsaid: None,
    next: None,
    example: "1200Wh",
};

/// Voltages in volts.
pub const VOLTAGE: Measure = Measure {
    what: "a voltage",
    units: &[(&["V", "volt", "volts"], 1.0), (&["mV"], 1e-3)],
    unsaid: None,
    next: None,
    example: "12.5V",
};

/// Electric currents in amperes.
pub const CURRENT: Measure = Measure {
    what: "a current",
    units: &[
        (&["A", "amp", "amps", "ampere", "amperes"], 1.0),
        (&["mA"], 1e-3),
    ],
    unsaid: None,
    next: None,
    example: "20A",
};

/// Shares as parts of one; a number without `%` is in percent too.
pub const SHARE: Measure = Measure {
    what: "a percentage",
    units: &[(&["%", "percent", "pct"], 0.01)],
    unsaid: Some(0.01),
    next: None,
    example: "5%",
};

/// Why a text is no quantity of a kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}\nhint: write it like `{example}`; units: {units}")]
pub struct QuantityError {
    what: String,
    example: &'static str,
    units: String,
}

impl Measure {
    /// The size, in the SI unit, of the unit of this name; case, blanks and plurals do not count.
    pub fn unit(&self, name: &str) -> Option<f64> {
        let name: String = name.split_whitespace().collect();
        let (_, size) = self.units.iter().find(|(names, _)| {
            let mut names = names.iter();
            names.any(|known| known.eq_ignore_ascii_case(&name))
        })?;
        Some(*size)
    }

    /// Reads a number with its unit, or several from the larger unit to the smaller (`2h30min`).
    ///
    /// # Errors
    /// [`QuantityError`] where a number or its unit cannot be read.
    ///
    /// # Example: an hour and a half
    /// ```
    /// use thereback::parser::quantity::DURATION;
    /// assert_eq!(DURATION.read("1h30"), Ok(5400.0));
    /// assert_eq!(DURATION.read("90 minutes"), Ok(5400.0));
    /// assert!(DURATION.read("90").is_err());
    /// ```
    pub fn read(&self, text: &str) -> Result<f64, QuantityError> {
        let not_one = || self.error(format!("`{text}` is not {}", self.what));
        let (mut rest, mut sum, mut last) = (text.trim(), 0.0, f64::INFINITY);
        loop {
            let is_of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-');
            let end = rest.find(|c| !is_of_number(c)).unwrap_or(rest.len());
            let (number, after) = rest.split_at(end);
            let number = decimal(number).ok_or_else(not_one)?;
            let end = after.find(is_of_number).unwrap_or(after.len());
            let (unit, further) = after.split_at(end);
            let unit = unit.trim();
            let unsaid = || {
                let before = Some(last).filter(|last| last.is_finite());
                before
                    .zip(self.next)
                    .map_or(self.unsaid, |(last, next)| Some(last / next))
            };
            let size = if unit.is_empty() {
                unsaid().ok_or_else(|| self.error(format!("`{text}` has no unit")))?
            } else {
                let unknown = || self.error(format!("`{unit}` is not a unit of {}", self.what));
                self.unit(unit).ok_or_else(unknown)?
            };
            if size >= last {
                return Err(not_one());
            }
            sum += number * size;
            (rest, last) = (further, size);
            if rest.is_empty() {
                return Ok(sum);
            }
        }
    }

    fn error(&self, what: String) -> QuantityError {
        let names = self.units.iter().filter_map(|(names, _)| names.first());
        let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
        QuantityError {
            what,
            example: self.example,
            units: names.join(", "),
        }
    }
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

    #[track_caller]
    fn check(measure: Measure, text: &str, expected: f64) {
        let read = measure.read(text);
        let near = |value: &f64| (value - expected).abs() < 1e-9;
        assert!(read.as_ref().is_ok_and(near), "{text}: {read:?}");
    }

    #[test]
    fn quantities_are_read_as_typed() {
        check(LENGTH, "900m", 900.0);
        check(LENGTH, "0,5 nmi", 926.0);
        check(LENGTH, "0.5 nautical miles", 926.0);
        check(DURATION, "2h30min", 9000.0);
        check(DURATION, "2 h 30 min", 9000.0);
        check(DURATION, "1h30", 5400.0);
        check(DURATION, "2 hours", 7200.0);
        check(DURATION, "45 min", 2700.0);
        check(MASS, "100 lb", 45.359_237);
        check(ENERGY, "1.2 kWh", 1200.0);
        check(POWER, "1,2kW", 1200.0);
        check(CURRENT, "900 mA", 0.9);
        check(SHARE, "5%", 0.05);
        check(SHARE, "5", 0.05);
        check(SHARE, "5 percent", 0.05);
    }

    #[test]
    fn what_is_no_quantity_is_refused_with_a_hint() {
        for (measure, bad) in [
            (LENGTH, "900"),
            (LENGTH, "m"),
            (LENGTH, "9 furlongs"),
            (LENGTH, "5 m 6 m"),
            (DURATION, "soon"),
            (DURATION, ""),
            (DURATION, "3"),
            (DURATION, "30min2h"),
        ] {
            let error = measure.read(bad).map_err(|error| error.to_string());
            assert!(error.is_err_and(|e| e.contains("\nhint: ")), "{bad}");
        }
    }
}
