//! Decimal numbers from text, exact and fast.
//!
//! A coordinate is a handful of digits, and a day's track has tens of
//! thousands of them. Where the digits make an integer below 2^53 and the
//! power of ten is at most 10^22, both are exact in an `f64`, and one division
//! rounds correctly: Clinger, "How to read floating point numbers accurately",
//! PLDI 1990. Everything else goes to the standard library, which gives the
//! same result for these too.

/// The powers of ten that are exact in an `f64` and that a coordinate can need.
const POWERS_OF_TEN: [f64; 20] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19,
];

/// Integers up to this one are exact in an `f64`.
const EXACT_INTEGER: u64 = 1 << 53;

/// Most digits whose value surely fits a `u64`.
const MOST_DIGITS: usize = 19;

/// A number no longer than this is worth trying the slow way.
///
/// The longest exact decimal a recorder has reason to write is far shorter; the
/// bound keeps a hostile megabyte of digits from being parsed.
const MOST_BYTES: usize = 64;

/// Reads a finite decimal number; blanks around it are allowed.
///
/// Accepts what `str::parse::<f64>` accepts apart from infinities and NaN, and
/// one decimal comma in place of the dot. `None` for anything else.
pub(super) fn decimal(text: &str) -> Option<f64> {
    plain_decimal(text.as_bytes()).or_else(|| any_decimal(text))
}

fn plain_decimal(bytes: &[u8]) -> Option<f64> {
    let (negative, digits) = match bytes {
        [b'-', rest @ ..] => (true, rest),
        rest => (false, rest),
    };
    let mut mantissa = 0_u64;
    let mut point = None;
    if digits.len() > MOST_DIGITS {
        return None;
    }
    for (place, &byte) in digits.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit <= 9 {
            // At most 19 digits: below 10^19, which a `u64` holds.
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        } else if byte == b'.' && point.is_none() {
            point = Some(place);
        } else {
            return None;
        }
    }
    let decimals = match point {
        Some(place) => digits.len() - place - 1,
        None => 0,
    };
    let has_digit = digits.len() > usize::from(point.is_some());
    if mantissa > EXACT_INTEGER || !has_digit {
        return None;
    }
    let value = mantissa as f64 / POWERS_OF_TEN.get(decimals)?;
    Some(if negative { -value } else { value })
}

#[cold]
fn any_decimal(text: &str) -> Option<f64> {
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

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

    proptest! {
        #[test]
        fn every_number_is_the_one_the_standard_library_reads(
            text in "-?[0-9]{0,20}(\\.[0-9]{0,20})?(e-?[0-9]{1,2})?",
        ) {
            let expected = text.parse::<f64>().ok();
            prop_assert_eq!(decimal(&text).map(f64::to_bits), expected.map(f64::to_bits));
        }

        #[test]
        fn coordinates_come_back_to_the_bit(value in -180.0_f64..180.0, decimals in 0_usize..17) {
            let text = format!("{value:.decimals$}");
            prop_assert_eq!(decimal(&text).map(f64::to_bits), text.parse().ok().map(f64::to_bits));
        }
    }
}
