//! The time that a logging program wrote before a sentence.
//!
//! ISO 8601 with a blank, a colon or a comma behind it, seconds or
//! milliseconds since 1970, or `c:` in a tag block `\s:..,c:1938243150*5A\`.
//! It is the program's clock, not the receiver's.

use std::ops::Range;

use jiff::Timestamp;

use super::value::SECOND_NS;
use crate::parser::time::TimeReader;

/// No stamp with its label is longer; keeps hostile lines from being looked at.
const MOST_BYTES: usize = 96;

/// Seconds since 1970 have at most 10 digits until 2286; with 13 they are milliseconds.
const MOST_DIGITS_OF_SECONDS: usize = 11;

/// Instants of a credible stamp, seconds since 1970: from 1980 to 2199, as for dates.
const CREDIBLE_S: Range<i64> = 315_532_800..7_258_118_400;

/// The stamp in what stands before a sentence, nanoseconds since 1970; `None` where there is none.
pub(super) fn stamp_ns(lead: &[u8]) -> Option<i64> {
    read(lead).filter(|ns| CREDIBLE_S.contains(&(ns / SECOND_NS)))
}

fn read(lead: &[u8]) -> Option<i64> {
    let lead = lead.get(..MOST_BYTES).unwrap_or(lead);
    // A mark of UTF-8 and blanks are no part of it.
    let lead = lead.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(lead);
    let text = std::str::from_utf8(lead).ok()?.trim_ascii();
    if let Some(block) = text.strip_prefix('\\') {
        return tag_block_ns(block);
    }
    let text = text.trim_start_matches(['[', '(', '"', '\'', '<']);
    let of_a_time = |c: char| {
        c.is_ascii_digit() || matches!(c, '-' | ':' | '.' | ',' | '/' | '+' | 'T' | 't' | 'Z' | ' ')
    };
    let end = text.find(|c| !of_a_time(c)).unwrap_or(text.len());
    let text = text.get(..end)?.trim_end_matches([' ', ':', ',', '.', '-']);
    if text.is_empty() {
        return None;
    }
    let mut times = TimeReader::default();
    let first = || text.split([',', ' ']).next();
    epoch_ns(text)
        .or_else(|| times.read(text).and_then(|read| ns(read.timestamp)))
        .or_else(|| epoch_ns(first()?))
        .or_else(|| times.read(first()?).and_then(|read| ns(read.timestamp)))
}

fn tag_block_ns(block: &str) -> Option<i64> {
    let inside = block.split(['\\', '*']).next()?;
    inside
        .split(',')
        .find_map(|part| epoch_ns(part.strip_prefix("c:")?))
}

/// Seconds or milliseconds since 1970.
fn epoch_ns(text: &str) -> Option<i64> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if !(9..=13).contains(&whole.len()) || !digits(whole) || !digits(fraction) {
        return None;
    }
    let number: i64 = whole.parse().ok()?;
    if whole.len() > MOST_DIGITS_OF_SECONDS {
        return number.checked_mul(SECOND_NS / 1000);
    }
    number.checked_mul(SECOND_NS)
}

fn ns(time: Timestamp) -> Option<i64> {
    i64::try_from(time.as_nanosecond()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read() {
        let second = 1_938_330_750; // 2031-06-04T09:12:30Z, by `date -u -d ... +%s`.
        for lead in [
            "2031-06-04T09:12:30Z ",
            "2031-06-04T09:12:30Z: ",
            "2031-06-04T09:12:30Z,",
            "2031-06-04 09:12:30 ",
            "[2031-06-04 09:12:30] ",
            "2031-06-04T11:12:30+02:00\t",
            "\u{feff}2031-06-04T09:12:30.000Z;",
            "2031-06-04T09:12:30Z,GPS,",
            "2031-06-04T09:12:30Z $GPRMC,0912",
            "1938330750 ",
            "1938330750.123:",
            "1938330750000,",
            "\\s:gps,c:1938330750*5A\\",
            "\\c:1938330750000*00\\",
            "\\g:1-2-1234,c:1938330750",
        ] {
            let seconds = stamp_ns(lead.as_bytes()).map(|ns| ns / SECOND_NS);
            assert_eq!(seconds, Some(second), "{lead}");
        }
        for lead in [
            "",
            "login: ",
            "09:12:30 ",
            "\\s:gps*5A\\",
            "123456 ",
            "#",
            "---",
            "\u{1}\u{2}",
        ] {
            assert_eq!(stamp_ns(lead.as_bytes()), None, "{lead}");
        }
    }
}
