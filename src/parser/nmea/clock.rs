//! From times of day to instants: the date that goes with them, over midnight too.
//!
//! A log may begin with sentences that have times alone (GGA) and give a date later (RMC, ZDA).
//! So the first date is looked up first; in most logs it is in the first kilobyte. Where no
//! sentence gives one, the person may, or the time that a logging program wrote before a
//! sentence: ISO 8601 with a blank, a colon or a comma behind it, seconds or milliseconds since
//! 1970, or `c:` in a tag block `\s:..,c:1938243150*5A\`. That is the program's clock, not the
//! receiver's.

use std::ops::Range;

use jiff::Timestamp;
use jiff::civil::Date;

use super::report::{DAY_NS, Report, SECOND_NS, day_of_fields, day_since_1970, time_of_day_ns};
use super::sentence::{Framed, Sentence, frame, sentences};
use crate::parser::time::{Moment, moment};

/// How far a time of day without a date may lie before the last one and still be of the same day,
/// nanoseconds: an hour.
///
/// Two talkers differ by seconds and a receiver mends its clock by less than that; a larger step
/// back is midnight gone by. Common practice, no source.
pub(super) const LATE_NS: i64 = 3600 * SECOND_NS;

/// The latest instant given, nanoseconds since 1970: 14 March 2255, some years before 64 bits end.
const MOST_NS: i64 = 9_000_000_000 * SECOND_NS;

/// Dates times of day, in file order. Instants are nanoseconds since 1970.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Clock {
    /// The instant of the last fix or date.
    last_ns: i64,
    /// Whether dates come from the stamps on the lines alone.
    by_stamps: bool,
}

impl Clock {
    /// A clock whose first time of day is of the day that begins at `midnight_ns`.
    pub(super) fn from_day(midnight_ns: i64) -> Self {
        Self {
            last_ns: midnight_ns + LATE_NS,
            by_stamps: false,
        }
    }

    /// A clock for a log that gives its first date at `dated_ns`, some time after its beginning.
    pub(super) fn until(dated_ns: i64) -> Self {
        Self {
            last_ns: dated_ns - DAY_NS + 2 * LATE_NS,
            by_stamps: false,
        }
    }

    /// A clock dated by the stamps on the lines, the first of which is `stamp_ns`.
    pub(super) fn by_stamps(stamp_ns: i64) -> Self {
        Self {
            last_ns: stamp_ns,
            by_stamps: true,
        }
    }

    /// Whether stamps are asked for.
    pub(super) fn wants_stamps(self) -> bool {
        self.by_stamps
    }

    /// The instant of a time of day, with its own date (days since 1970) or without.
    ///
    /// Without one it lies from an hour before to 23 hours after the last instant, or, where the
    /// lines are what dates them, as near to the stamp as can be.
    pub(super) fn place(&mut self, of_day_ns: i64, day: Option<i64>, stamp_ns: Option<i64>) -> i64 {
        let after = |earliest: i64| earliest + (of_day_ns - earliest).rem_euclid(DAY_NS);
        let placed = match (day, stamp_ns) {
            (Some(day), _) => day * DAY_NS + of_day_ns,
            (None, Some(stamp)) if self.by_stamps => after(stamp - DAY_NS / 2),
            (None, _) => after(self.last_ns - LATE_NS),
        };
        // Times that jump to and fro make a day of each step: no log lasts for centuries.
        self.last_ns = if placed > MOST_NS {
            after(MOST_NS - DAY_NS)
        } else {
            placed
        };
        self.last_ns
    }
}

/// The timestamp of an instant.
pub(super) fn timestamp(at_ns: i64) -> Option<Timestamp> {
    let nanosecond = i32::try_from(at_ns.rem_euclid(SECOND_NS)).ok()?;
    Timestamp::new(at_ns.div_euclid(SECOND_NS), nanosecond).ok()
}

/// Where a log's dates come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DatedBy {
    /// Its own RMC or ZDA sentences.
    Sentences,
    /// RMC sentences that themselves say the receiver had no fix.
    VoidSentences,
    /// The person.
    Given,
    /// The stamps on its lines.
    Stamps,
    /// Nothing.
    Nothing,
}

/// How a log's times are dated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Started {
    pub(super) clock: Clock,
    pub(super) by: DatedBy,
}

/// A date with its time of day, nanoseconds since 1970.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dated {
    pub(super) of_day_ns: i64,
    pub(super) day: i64,
}

impl Dated {
    fn at_ns(self) -> i64 {
        self.day * DAY_NS + self.of_day_ns
    }

    /// The date of a ZDA sentence; `None` where a field is empty or no date.
    pub(super) fn of_zda(sentence: &Sentence<'_>) -> Option<Self> {
        let fields = sentence.fields();
        Some(Self {
            of_day_ns: time_of_day_ns(fields.text(1))?,
            day: day_of_fields(fields.text(2), fields.text(3), fields.text(4))?,
        })
    }
}

/// Looks for the first date; `given` serves where no sentence has one.
pub(super) fn start(bytes: &[u8], given: Option<Date>) -> Started {
    let (mut void, mut stamp) = (None, None);
    for raw in sentences(bytes) {
        let Framed::Known(sentence) = frame(raw.body) else {
            continue;
        };
        stamp = stamp.or_else(|| stamp_ns(raw.lead));
        match &sentence.kind {
            b"ZDA" => {
                if let Some(dated) = Dated::of_zda(&sentence) {
                    return started(Clock::until(dated.at_ns()), DatedBy::Sentences);
                }
            }
            b"RMC" => {
                let report = Report::rmc(&sentence.fields());
                if let (Ok(of_day_ns), Some(day)) = (report.of_day_ns, report.day) {
                    let dated = Dated { of_day_ns, day };
                    if report.place.is_ok() {
                        return started(Clock::until(dated.at_ns()), DatedBy::Sentences);
                    }
                    void = void.or(Some(dated));
                }
            }
            _ => {}
        }
    }
    if let Some(day) = given.and_then(day_since_1970) {
        return started(Clock::from_day(day * DAY_NS), DatedBy::Given);
    }
    if let Some(dated) = void {
        return started(Clock::until(dated.at_ns()), DatedBy::VoidSentences);
    }
    match stamp {
        Some(stamp) => started(Clock::by_stamps(stamp), DatedBy::Stamps),
        None => started(Clock::from_day(0), DatedBy::Nothing),
    }
}

fn started(clock: Clock, by: DatedBy) -> Started {
    Started { clock, by }
}

/// No stamp with its label is longer; keeps hostile lines from being looked at.
const MOST_BYTES: usize = 96;

/// Instants of a credible stamp, seconds since 1970: from 1980 to 2199, as for dates.
const CREDIBLE_S: Range<i64> = 315_532_800..7_258_118_400;

/// The stamp before a sentence, nanoseconds since 1970; `None` where there is none.
pub(super) fn stamp_ns(lead: &[u8]) -> Option<i64> {
    let lead = lead.get(..MOST_BYTES).unwrap_or(lead);
    // A mark of UTF-8 and blanks are no part of it.
    let lead = lead.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(lead);
    let text = std::str::from_utf8(lead).ok()?.trim_ascii();
    let instant = |text: &str| {
        let time = moment(text, None).and_then(Moment::in_utc).ok()?;
        let is_credible = CREDIBLE_S.contains(&time.as_second());
        i64::try_from(time.as_nanosecond())
            .ok()
            .filter(|_| is_credible)
    };
    if let Some(block) = text.strip_prefix('\\') {
        let inside = block.split(['\\', '*']).next()?;
        let mut parts = inside.split(',');
        return parts.find_map(|part| instant(part.strip_prefix("c:")?));
    }
    let text = text.trim_start_matches(['[', '(', '"', '\'', '<']);
    let of_a_time = |c: char| c.is_ascii_digit() || "-:.,/+TtZ ".contains(c);
    let end = text.find(|c| !of_a_time(c)).unwrap_or(text.len());
    let text = text.get(..end)?.trim_end_matches([' ', ':', ',', '.', '-']);
    instant(text).or_else(|| instant(text.split([',', ' ']).next()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3600 * SECOND_NS;

    #[test]
    fn a_day_begins_with_its_first_time_whatever_it_is() {
        for hour in [0, 1, 12, 23] {
            let mut clock = Clock::from_day(5 * DAY_NS);
            assert_eq!(
                clock.place(hour * HOUR, None, None),
                5 * DAY_NS + hour * HOUR
            );
        }
    }

    #[test]
    fn midnight_passes_once() {
        let mut clock = Clock::from_day(0);
        let times = [
            23 * HOUR,
            24 * HOUR - 1,
            0,
            24 * HOUR - 1,
            1,
            5 * HOUR,
            4 * HOUR + 1,
            3 * HOUR,
        ];
        let days = times.map(|t| clock.place(t, None, None).div_euclid(DAY_NS));
        assert_eq!(days, [0, 0, 1, 0, 1, 1, 1, 2]);
    }

    #[test]
    fn a_date_of_its_own_goes_before_all() {
        let mut clock = Clock::from_day(0);
        assert_eq!(clock.place(HOUR, Some(7), Some(0)), 7 * DAY_NS + HOUR);
        assert_eq!(clock.place(2 * HOUR, None, None), 7 * DAY_NS + 2 * HOUR);
    }

    #[test]
    fn times_before_the_first_date_are_of_that_day_or_the_one_before() {
        let dated = 7 * DAY_NS + 10 * HOUR;
        for (hour, day) in [(9, 7), (10, 7), (0, 7), (23, 6), (12, 6)] {
            let at = Clock::until(dated).place(hour * HOUR, None, None);
            assert_eq!(at.div_euclid(DAY_NS), day, "{hour}");
        }
    }

    #[test]
    fn stamps_date_what_is_near_them() {
        let mut clock = Clock::by_stamps(0);
        let stamp = 7 * DAY_NS + 2 * HOUR;
        let at = clock.place(23 * HOUR, None, Some(stamp));
        assert_eq!(at, 6 * DAY_NS + 23 * HOUR);
        let at = clock.place(9 * HOUR, None, Some(stamp + 30 * HOUR));
        assert_eq!(at, 8 * DAY_NS + 9 * HOUR);
    }

    #[test]
    fn instants_before_1970_have_timestamps_too() {
        let before = timestamp(-1).map(Timestamp::as_nanosecond);
        assert_eq!(before, Some(-1));
    }

    #[track_caller]
    fn check(log: &str, given: Option<&str>, by: DatedBy) {
        let given = given.and_then(|date| date.parse().ok());
        assert_eq!(start(log.as_bytes(), given).by, by, "{log}");
    }

    #[test]
    fn the_best_date_there_is_is_taken() {
        let gga = "2031-06-04T09:12:30Z $GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,\n";
        let undated = "$GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,\n$GPRMC,091230,A,5742.5,N,01156.4,E,5,235,000070,,\n";
        let rmc = "$GPRMC,091230,A,5742.5,N,01156.4,E,5,235,040631,,\n";
        let void = "$GPRMC,091230,V,,,,,,,040631,,\n";
        let zda = "$GPZDA,091230,04,06,2031,,\n";
        let day = Some("2031-06-04");
        check(&format!("{gga}{rmc}"), day, DatedBy::Sentences);
        check(&format!("{undated}{void}{zda}"), day, DatedBy::Sentences);
        check(&format!("{undated}{void}"), day, DatedBy::Given);
        check(&format!("{undated}{void}"), None, DatedBy::VoidSentences);
        check(gga, day, DatedBy::Given);
        check(gga, None, DatedBy::Stamps);
        check(undated, None, DatedBy::Nothing);
        check("$GPZDA,091230,,,,,\n", None, DatedBy::Nothing);
    }

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
