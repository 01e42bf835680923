//! Which column of a power log holds what, and in which unit.

use super::PowerLogError;
use crate::day::log_table::listed;

/// One column and what its figures are multiplied by to be V, A or W.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    pub(super) place: usize,
    pub(super) factor: f64,
}

/// The columns by their place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    pub(super) time: usize,
    pub(super) volts: Option<Column>,
    pub(super) amps: Option<Column>,
    pub(super) watts: Option<Column>,
}

/// Units, what they measure and their factor.
const UNITS: [(&str, Kind, f64); 10] = [
    ("v", Kind::Volts, 1.0),
    ("volt", Kind::Volts, 1.0),
    ("volts", Kind::Volts, 1.0),
    ("mv", Kind::Volts, 1e-3),
    ("a", Kind::Amps, 1.0),
    ("amp", Kind::Amps, 1.0),
    ("amps", Kind::Amps, 1.0),
    ("ma", Kind::Amps, 1e-3),
    ("w", Kind::Watts, 1.0),
    ("kw", Kind::Watts, 1e3),
];

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Volts,
    Amps,
    Watts,
}

impl Columns {
    pub(super) fn find(headers: &csv::StringRecord, file: &str) -> Result<Self, PowerLogError> {
        let missing = |wanted| PowerLogError::NoColumn {
            file: file.to_owned(),
            wanted,
            found: listed(headers),
        };
        let time = headers
            .iter()
            .position(|header| {
                let header = header.to_lowercase();
                ["time", "date", "utc"].iter().any(|w| header.contains(w))
            })
            .ok_or_else(|| missing("time"))?;
        let first = |kind: Kind| {
            headers.iter().enumerate().find_map(|(place, header)| {
                let (found, factor) = kind_of(header)?;
                (found == kind && place != time).then_some(Column { place, factor })
            })
        };
        let columns = Self {
            time,
            volts: first(Kind::Volts),
            amps: first(Kind::Amps),
            watts: first(Kind::Watts),
        };
        let enough = columns.watts.is_some() || (columns.volts.is_some() && columns.amps.is_some());
        enough
            .then_some(columns)
            .ok_or_else(|| missing("watts, nor for both volts and amps"))
    }
}

/// What a header says: by its unit, else by its word. Charge and energy (Ah, Wh) are neither, and
/// extremes are no readings.
fn kind_of(header: &str) -> Option<(Kind, f64)> {
    let header = header.to_lowercase();
    let words: Vec<&str> = header
        .split(|c: char| !c.is_ascii_alphabetic())
        .filter(|w| !w.is_empty())
        .collect();
    let other = ["ah", "wh", "kwh", "mah", "min", "max", "peak", "limit"];
    if words.iter().any(|w| other.contains(w)) {
        return None;
    }
    let unit = words
        .iter()
        .rev()
        .find_map(|word| UNITS.iter().find(|(unit, ..)| unit == word));
    if let Some((_, kind, factor)) = unit {
        return Some((*kind, *factor));
    }
    let named = [
        ("voltage", Kind::Volts),
        ("current", Kind::Amps),
        ("watt", Kind::Watts),
        ("power", Kind::Watts),
    ];
    named
        .into_iter()
        .find(|(word, _)| header.contains(word))
        .map(|(_, kind)| (kind, 1.0))
}
