//! Times as recorders write them, to UTC.
//!
//! GPX asks for `xsd:dateTime` in UTC, `2031-06-04T09:12:30Z`; recorders also
//! write fractions of 1 to 9 digits after a dot or a comma, offsets with or
//! without a colon, a blank for the `T`, no zone at all, and blanks or line
//! ends around it all (dialects counted over public test files).

mod tolerant;

use jiff::Timestamp;
use jiff::civil::Date;

use self::tolerant::read_any;

/// Seconds in a day of UTC as POSIX counts it, without leap seconds.
const DAY_S: i64 = 86_400;

/// One time as read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TimeRead {
    /// The instant.
    pub(super) timestamp: Timestamp,
    /// Whether `Z` or an offset stood there; else UTC was taken.
    pub(super) zone_given: bool,
}

/// Reads times, and remembers the last day: a track has few.
#[derive(Debug)]
pub(super) struct TimeReader {
    day: [u8; 10],
    day_start_s: i64,
}

impl Default for TimeReader {
    fn default() -> Self {
        Self {
            day: *b"1970-01-01",
            day_start_s: 0,
        }
    }
}

impl TimeReader {
    /// Reads one time; `None` where there is none.
    ///
    /// Digits of the fraction beyond the ninth are dropped; a leap second `:60`
    /// is taken for the second before it, as `jiff` does.
    pub(super) fn read(&mut self, text: &str) -> Option<TimeRead> {
        self.read_plain(text.as_bytes())
            .or_else(|| read_any(text.trim()))
    }

    /// `YYYY-MM-DDTHH:MM:SS`, then an optional fraction, then `Z`.
    fn read_plain(&mut self, bytes: &[u8]) -> Option<TimeRead> {
        let (head, tail) = bytes.split_first_chunk::<19>()?;
        let (date, [b'T', h1, h0, b':', m1, m0, b':', s1, s0]) = head.split_first_chunk::<10>()?
        else {
            return None;
        };
        let (hour, minute, second) = (two(*h1, *h0)?, two(*m1, *m0)?, two(*s1, *s0)?);
        if hour > 23 || minute > 59 || second > 59 {
            return None;
        }
        let nanosecond = match tail {
            b"Z" => 0,
            [b'.', fraction @ .., b'Z'] if fraction.len() <= 9 => nanoseconds(fraction)?,
            _ => return None,
        };
        if *date != self.day {
            self.day_start_s = day_start_s(*date)?;
            self.day = *date;
        }
        let second_of_day = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
        let timestamp = Timestamp::new(self.day_start_s + second_of_day, nanosecond).ok()?;
        Some(TimeRead {
            timestamp,
            zone_given: true,
        })
    }
}

/// Whether a text that is no time is a date alone.
#[cold]
pub(super) fn is_date_alone(text: &str) -> bool {
    let date = text.trim().trim_end_matches('Z');
    // Longer ones are looked at by nobody.
    date.len() <= 10 && read_any(&format!("{date}T00:00")).is_some()
}

fn two(tens: u8, ones: u8) -> Option<u8> {
    let (tens, ones) = (tens.wrapping_sub(b'0'), ones.wrapping_sub(b'0'));
    (tens <= 9 && ones <= 9).then(|| tens * 10 + ones)
}

fn nanoseconds(fraction: &[u8]) -> Option<i32> {
    if fraction.is_empty() {
        return None;
    }
    let mut value = 0_i32;
    for place in 0..9 {
        let digit = match fraction.get(place) {
            Some(byte) => byte.wrapping_sub(b'0'),
            None => 0,
        };
        if digit > 9 {
            return None;
        }
        value = value * 10 + i32::from(digit);
    }
    Some(value)
}

fn day_start_s(date: [u8; 10]) -> Option<i64> {
    let [y3, y2, y1, y0, b'-', m1, m0, b'-', d1, d0] = date else {
        return None;
    };
    let year = i16::from(two(y3, y2)?) * 100 + i16::from(two(y1, y0)?);
    start_of_day_s(year, two(m1, m0)?, two(d1, d0)?)
}

fn start_of_day_s(year: i16, month: u8, day: u8) -> Option<i64> {
    let month = i8::try_from(month).ok()?;
    let day = i8::try_from(day).ok()?;
    let date = Date::new(year, month, day).ok()?;
    let epoch = Date::new(1970, 1, 1).ok()?;
    Some((date.duration_since(epoch).as_secs() / DAY_S) * DAY_S)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        let read = TimeReader::default().read(text);
        let expected: Option<Timestamp> = expected.parse().ok();
        assert_eq!(read.map(|r| r.timestamp), expected, "{text:?}");
    }

    #[test]
    fn the_examples_of_xml_schema_are_read() {
        // XML Schema Part 2: Datatypes, second edition, 3.2.7, and its usual examples.
        check("2002-10-10T12:00:00-05:00", "2002-10-10T17:00:00Z");
        check("2002-10-10T17:00:00Z", "2002-10-10T17:00:00Z");
        check("2000-03-04T20:00:00Z", "2000-03-04T20:00:00Z");
        check("2000-03-04T23:00:00+03:00", "2000-03-04T20:00:00Z");
        check("1999-12-31T24:00:00Z", "2000-01-01T00:00:00Z");
    }

    #[test]
    fn the_dialects_are_read() {
        let same = "2031-06-04T09:12:30Z";
        for text in [
            "2031-06-04T09:12:30Z",
            "\n\t 2031-06-04T09:12:30Z \r\n",
            "2031-06-04 09:12:30",
            "2031-06-04t09:12:30z",
            "2031-06-04T09:12:30+00",
            "2031-06-04T09:12:30 UTC",
            "2031-06-04T11:12:30+0200",
            "2031-06-04T04:42:30-04:30",
            "2031/6/4 9:12:30",
            "20310604T091230Z",
            "2031-06-04T09:12:30.000000000Z",
        ] {
            check(text, same);
        }
        check("2031-06-04T09:12Z", "2031-06-04T09:12:00Z");
        check("2031-06-04T09:12:30.5Z", "2031-06-04T09:12:30.5Z");
        check("2031-06-04T09:12:30,25+01:00", "2031-06-04T08:12:30.25Z");
        check(
            "2031-06-04T09:12:30.1234567Z",
            "2031-06-04T09:12:30.1234567Z",
        );
        check(
            "2031-06-04T09:12:30.12345678987Z",
            "2031-06-04T09:12:30.123456789Z",
        );
        check("2016-12-31T23:59:60Z", "2016-12-31T23:59:59Z");
        check("1969-07-20T20:17:40Z", "1969-07-20T20:17:40Z");
    }

    #[test]
    fn what_is_no_time_is_unknown() {
        let giant = "2".repeat(1_000_000);
        for text in [
            "",
            " ",
            "noon",
            "2031-06-04",
            "09:12:30",
            "04-06-2031T09:12:30Z",
            "2031-13-04T09:12:30Z",
            "2031-02-29T09:12:30Z",
            "2031-06-04T25:00:00Z",
            "2031-06-04T24:00:01Z",
            "2031-06-04T09:60:00Z",
            "2031-06-04T09:12:61Z",
            "2031-06-04T09:12:30.Z",
            "2031-06-04T09:12:30+99:00",
            "2031-06-04T09:12:30 CEST",
            "2031-06-04T09:12:30.5.5Z",
            "２０３１-06-04T09:12:30Z",
            "0000-00-00T00:00:00Z",
            &giant,
        ] {
            assert_eq!(TimeReader::default().read(text), None, "{text:.40?}");
        }
    }

    #[test]
    fn a_date_alone_is_known_for_what_it_is() {
        for text in ["2031-06-04", " 2031/6/4 ", "20310604", "2031-06-04Z"] {
            assert!(is_date_alone(text), "{text}");
        }
        for text in ["", "noon", "09:12:30", "2031-13-04", "4.6.2031"] {
            assert!(!is_date_alone(text), "{text}");
        }
    }

    #[test]
    fn a_missing_zone_is_told() -> Result<(), &'static str> {
        let mut times = TimeReader::default();
        let bare = times.read("2031-06-04T09:12:30").ok_or("unread")?;
        let zoned = times.read("2031-06-04T09:12:30Z").ok_or("unread")?;
        assert_eq!(bare.timestamp, zoned.timestamp);
        assert!(!bare.zone_given && zoned.zone_given);
        Ok(())
    }

    #[test]
    fn a_bad_day_does_not_spoil_the_day_remembered() {
        let mut times = TimeReader::default();
        for (text, good) in [
            ("2031-06-04T09:12:30Z", true),
            ("2031-66-04T09:12:30Z", false),
            ("2031-66-04T09:12:30Z", false),
            ("2031-06-04T09:12:30Z", true),
            ("2031-06-05T09:12:30Z", true),
        ] {
            let expected: Option<Timestamp> = text.parse().ok().filter(|_| good);
            assert_eq!(times.read(text).map(|r| r.timestamp), expected);
        }
    }

    proptest! {
        #[test]
        fn every_time_jiff_writes_comes_back(
            second in -60_000_000_000_i64..250_000_000_000,
            nanosecond in 0_i32..1_000_000_000,
        ) {
            let timestamp = Timestamp::new(second, nanosecond).map_err(|e| {
                TestCaseError::fail(e.to_string())
            })?;
            let read = TimeReader::default().read(&timestamp.to_string());
            prop_assert_eq!(read.map(|r| r.timestamp), Some(timestamp));
        }

        #[test]
        fn plain_and_tolerant_ways_agree(text in "[0-9]{4}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-6][0-9]:[0-6][0-9](\\.[0-9]{1,9})?Z") {
            let plain = TimeReader::default().read_plain(text.as_bytes());
            if plain.is_some() {
                prop_assert_eq!(plain, read_any(&text));
            }
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = TimeReader::default().read(&text);
        }
    }
}
