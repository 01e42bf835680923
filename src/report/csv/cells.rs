//! Cells of a CSV file: text disarmed, figures plain, unknown empty.

use crate::report::words;
use crate::track::Position;
use crate::units::{Speed, SpeedUnit};

/// What a spreadsheet takes for the beginning of a formula.
///
/// Tab, carriage return and line feed may begin one too; they never reach a cell.
const FORMULA_STARTS: [char; 4] = ['=', '+', '-', '@'];

const SPEED_DECIMALS: usize = 4;
pub(super) const LONG_DISTANCE_DECIMALS: usize = 4;
pub(super) const SHORT_DISTANCE_DECIMALS: usize = 2;
pub(super) const ANGLE_DECIMALS: usize = 2;
pub(super) const PERCENT_DECIMALS: usize = 3;
pub(super) const SECONDS_DECIMALS: usize = 1;
/// A centimetre.
const DEGREE_DECIMALS: usize = 7;

/// Text as a cell on one line, guarded against being taken for a formula.
pub(super) fn text(raw: Option<&str>) -> String {
    let raw = words::one_line(raw.unwrap_or_default());
    if raw.starts_with(FORMULA_STARTS) {
        format!("'{raw}")
    } else {
        raw
    }
}

pub(super) fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let shown = format!("{value:.decimals$}");
    match shown.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) => zero.to_owned(),
        _ => shown,
    }
}

pub(super) fn maybe(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(String::new, |value| number(value, decimals))
}

pub(super) fn speed(m_s: Option<f64>, unit: SpeedUnit) -> String {
    maybe(
        m_s.map(|value| Speed::metres_per_second(value).in_unit(unit)),
        SPEED_DECIMALS,
    )
}

pub(super) fn place(position: Option<Position>) -> [String; 2] {
    position.map_or_else(Default::default, |at| {
        [
            number(at.latitude(), DEGREE_DECIMALS),
            number(at.longitude(), DEGREE_DECIMALS),
        ]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_disarmed() {
        for start in FORMULA_STARTS {
            let cell = format!("{start}cmd|' /C calc'!A0");
            assert_eq!(text(Some(&cell)), format!("'{cell}"));
        }
        assert_eq!(text(Some("\t\r\n=1+1")), "'=1+1");
        assert_eq!(text(Some("four blades")), "four blades");
        assert_eq!(text(Some("")), "");
        assert_eq!(text(None), "");
    }

    #[test]
    fn numbers_are_plain() {
        assert_eq!(number(-0.000_01, 4), "0.0000");
        assert_eq!(number(-1.5, 1), "-1.5");
        assert_eq!(number(f64::NAN, 4), "");
        assert_eq!(maybe(None, 2), "");
    }
}
