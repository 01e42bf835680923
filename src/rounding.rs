//! Figures rounded to what they deserve: none is shown finer than its own uncertainty.
//!
//! The rule is the usual one of measurement: quote a value to the decimal in
//! which the first significant digit of its standard error stands (GUM, JCGM
//! 100:2008, 7.2.6 allows one digit more; from memory). What is not a finite
//! number is shown as [`UNKNOWN`].

use crate::compare::{Comparison, Percent};
use crate::stats::interval::Interval;
use crate::units::{Bearing, Speed, SpeedUnit};

/// How an unknown figure is shown.
pub const UNKNOWN: &str = "–";

/// A space at which a line does not break, between a number and its unit.
pub const NO_BREAK_SPACE: char = '\u{a0}';

/// No speed is shown finer than this, in any unit: the second decimal of a knot is
/// 5 mm/s, a third of the error of a good leg (our own simulated days).
pub const MOST_SPEED_DECIMALS: usize = 2;

/// The standard error taken for a speed that comes without one, as a share of the
/// speed: a leg's usual error (our own simulated days, 0.55 %).
pub const USUAL_RELATIVE_ERROR: f64 = 0.0055;

/// Where the interval of a percent change is this wide or wider, in percentage
/// points, whole percents are shown; below it, tenths. A 95 % interval is four to
/// five standard errors wide, so at this width the standard error passes 1.
pub const WHOLE_PERCENT_FROM: f64 = 5.0;

/// No percent is shown finer than this.
const MOST_PERCENT_DECIMALS: usize = 2;

/// Widths of a 95 % interval in standard errors, about; for rounding only.
const STANDARD_ERRORS_PER_INTERVAL: f64 = 4.0;

/// The steps to which spans of time are rounded, seconds.
const TIME_STEPS_S: [f64; 6] = [1.0, 5.0, 15.0, 30.0, 60.0, 300.0];

/// A number with so many decimals and a true minus sign; never `-0`.
///
/// # Example: a minus that is not a hyphen
/// ```
/// use thereback::report::rounding::fixed;
/// assert_eq!(fixed(-1.26, 1), "−1.3");
/// assert_eq!(fixed(-0.04, 1), "0.0");
/// assert_eq!(fixed(f64::NAN, 1), "–");
/// ```
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return UNKNOWN.to_owned();
    }
    let text = format!("{:.decimals$}", value.abs());
    if value < 0.0 && !is_zero(&text) {
        format!("−{text}")
    } else {
        text
    }
}

/// As [`fixed`], with a plus sign before what is above zero.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value > 0.0 && value.is_finite() && !is_zero(&text) {
        format!("+{text}")
    } else {
        text
    }
}

/// The decimals that a standard error supports, `0..=most`; all of them where there is no error.
pub fn decimals(standard_error: f64, most: usize) -> usize {
    if !(standard_error.is_finite() && standard_error > 0.0) {
        return most;
    }
    let first_digit = -standard_error.log10().floor();
    if first_digit <= 0.0 {
        0
    } else {
        (first_digit as usize).min(most)
    }
}

/// The decimals for a speed in `unit`, by its standard error or, without one, by the usual error of a leg.
pub fn speed_decimals(speed_m_s: f64, standard_error_m_s: Option<f64>, unit: SpeedUnit) -> usize {
    let error = standard_error_m_s
        .filter(|se| se.is_finite() && *se > 0.0)
        .unwrap_or(speed_m_s.abs() * USUAL_RELATIVE_ERROR);
    decimals(in_unit(error, unit), MOST_SPEED_DECIMALS)
}

/// A speed as a number in `unit`, without the symbol.
pub fn speed(speed_m_s: f64, standard_error_m_s: Option<f64>, unit: SpeedUnit) -> String {
    fixed(
        in_unit(speed_m_s, unit),
        speed_decimals(speed_m_s, standard_error_m_s, unit),
    )
}

/// A speed with the symbol of its unit, kept on one line.
pub fn speed_with_unit(speed_m_s: f64, standard_error_m_s: Option<f64>, unit: SpeedUnit) -> String {
    let number = speed(speed_m_s, standard_error_m_s, unit);
    format!("{number}{NO_BREAK_SPACE}{unit}")
}

/// What a 95 % interval says of the standard error, about: for rounding only.
pub fn standard_error_of(interval: Interval) -> f64 {
    (interval.high - interval.low).abs() / STANDARD_ERRORS_PER_INTERVAL
}

/// The decimals for a change in percent: by the width of its interval, and as many
/// as it takes to show that an interval beside zero does not reach it.
pub fn percent_decimals(percent: &Percent) -> usize {
    let (Some(low), Some(high)) = (percent.low, percent.high) else {
        return usize::from(percent.value.is_some_and(|v| v != 0.0 && v.abs() < 0.5));
    };
    apart_from_zero(percent, usize::from(high - low < WHOLE_PERCENT_FROM))
}

/// So many decimals, or as many more as it takes to show that an interval beside zero does not
/// reach it.
pub fn apart_from_zero(percent: &Percent, mut decimals: usize) -> usize {
    let (Some(low), Some(high)) = (percent.low, percent.high) else {
        return decimals;
    };
    let nearer_end = low.abs().min(high.abs());
    if low > 0.0 || high < 0.0 {
        while decimals < MOST_PERCENT_DECIMALS && is_zero(&fixed(nearer_end, decimals)) {
            decimals += 1;
        }
    }
    decimals
}

/// The decimals of all changes written in one chart or table: those of the change pooled over the
/// settings, by which the answer is told, but at the most one more than the least certain change deserves
/// (GUM, JCGM 100:2008, 7.2.6, allows one digit more; from memory). Where none is pooled, the least of all.
pub fn shared_percent_decimals<'a>(changes: impl Iterator<Item = &'a Comparison> + Clone) -> usize {
    let known = changes.filter(|change| change.percent.value.is_some());
    let own = |change: &Comparison| percent_decimals(&change.percent);
    let least = known.clone().map(own).min().unwrap_or(0);
    let pooled = known.filter(|change| change.setting.is_none()).map(own);
    pooled.max().map_or(least, |pooled| pooled.min(least + 1))
}

/// A direction in whole degrees, three digits: `007°`.
pub fn degrees(degrees_true: f64) -> String {
    Bearing::new(degrees_true).map_or_else(|| UNKNOWN.to_owned(), |bearing| bearing.to_string())
}

/// A course line by both its directions: `072°/252°`.
pub fn axis(axis_deg: f64) -> String {
    format!("{}/{}", degrees(axis_deg), degrees(axis_deg + 180.0))
}

/// A span of time as `m:ss` or `h:mm:ss`.
pub fn clock_span(seconds: f64) -> String {
    if !seconds.is_finite() || seconds < 0.0 {
        return UNKNOWN.to_owned();
    }
    let whole = seconds.round() as u64;
    let (hours, minutes, rest) = (whole / 3600, whole / 60 % 60, whole % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{rest:02}")
    } else {
        format!("{minutes}:{rest:02}")
    }
}

/// A span of time in words, `1 min 5 s`, rounded to the step its standard error supports.
pub fn span_in_words(seconds: f64, standard_error_s: f64) -> String {
    if !seconds.is_finite() {
        return UNKNOWN.to_owned();
    }
    let step = TIME_STEPS_S
        .into_iter()
        .rev()
        .find(|step| *step <= standard_error_s && *step <= seconds.abs())
        .unwrap_or(1.0);
    let whole = ((seconds.abs() / step).round() * step) as u64;
    let s = NO_BREAK_SPACE;
    match (whole / 60, whole % 60) {
        (0, 0) => format!("less than 1{s}s"),
        (0, rest) => format!("{rest}{s}s"),
        (minutes, 0) => format!("{minutes}{s}min"),
        (minutes, rest) => format!("{minutes}{s}min {rest}{s}s"),
    }
}

/// A count with its thousands set apart: `14,021`.
pub fn count(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// A speed as a number in `unit`.
pub(super) fn in_unit(speed_m_s: f64, unit: SpeedUnit) -> f64 {
    Speed::metres_per_second(speed_m_s).in_unit(unit)
}

fn is_zero(text: &str) -> bool {
    text.chars().all(|c| matches!(c, '0' | '.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(speed_kn: f64, se_kn: Option<f64>, expected: &str) {
        let unit = SpeedUnit::Knots;
        let m_s = |kn: f64| Speed::new(kn, unit).as_metres_per_second();
        assert_eq!(speed(m_s(speed_kn), se_kn.map(m_s), unit), expected);
    }

    #[test]
    fn speeds_stop_at_the_first_digit_of_their_error() {
        check(3.0456, Some(0.034), "3.05");
        check(3.0456, Some(0.0004), "3.05");
        check(3.0456, Some(0.12), "3.0");
        check(24.56, Some(1.3), "25");
        check(3.0456, Some(0.0), "3.05");
        check(3.0456, Some(f64::NAN), "3.05");
        check(3.0456, None, "3.05");
        check(24.56, None, "24.6");
        check(f64::NAN, None, UNKNOWN);
        check(f64::INFINITY, Some(0.1), UNKNOWN);
    }

    #[test]
    fn percents_follow_the_width_of_their_interval() {
        let of = |value, low, high| {
            percent_decimals(&Percent {
                value: Some(value),
                low: Some(low),
                high: Some(high),
            })
        };
        assert_eq!(of(5.43, 3.2, 7.6), 1);
        assert_eq!(of(5.43, 1.0, 9.9), 0);
        assert_eq!(of(0.3, -4.0, 5.0), 0, "zero inside: `0` is a fair figure");
        assert_eq!(of(4.2, 0.3, 8.1), 1, "`0 to 8` would seem to hold zero");
        assert_eq!(of(4.2, 0.04, 8.1), 2);
        assert_eq!(of(-4.2, -8.1, -0.3), 1);
    }

    #[test]
    fn percents_without_an_interval_are_whole() {
        let of = |value| {
            percent_decimals(&Percent {
                value,
                ..Percent::default()
            })
        };
        assert_eq!(of(Some(5.43)), 0);
        assert_eq!(of(Some(0.3)), 1);
        assert_eq!(of(None), 0);
    }

    #[test]
    fn signs_and_zeros() {
        assert_eq!(signed(0.16, 2), "+0.16");
        assert_eq!(signed(-0.16, 2), "−0.16");
        assert_eq!(signed(-0.001, 2), "0.00");
        assert_eq!(signed(0.001, 2), "0.00");
        assert_eq!(signed(f64::NEG_INFINITY, 2), UNKNOWN);
    }

    #[test]
    fn spans() {
        assert_eq!(clock_span(65.4), "1:05");
        assert_eq!(clock_span(3_725.0), "1:02:05");
        assert_eq!(clock_span(59.6), "1:00");
        assert_eq!(clock_span(-1.0), UNKNOWN);
        assert_eq!(span_in_words(62.0, 0.4), "1\u{a0}min 2\u{a0}s");
        assert_eq!(span_in_words(62.0, 12.0), "1\u{a0}min");
        assert_eq!(span_in_words(-47.0, 5.0), "45\u{a0}s");
        assert_eq!(span_in_words(4.0, 30.0), "4\u{a0}s");
        assert_eq!(span_in_words(0.2, 30.0), "less than 1\u{a0}s");
        assert_eq!(span_in_words(f64::NAN, 1.0), UNKNOWN);
    }

    #[test]
    fn directions_and_counts() {
        assert_eq!(degrees(359.7), "000°");
        assert_eq!(degrees(f64::NAN), UNKNOWN);
        assert_eq!(axis(72.3), "072°/252°");
        assert_eq!(count(7), "7");
        assert_eq!(count(14_021), "14,021");
        assert_eq!(count(1_000_000), "1,000,000");
    }
}
