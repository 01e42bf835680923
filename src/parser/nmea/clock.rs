//! From times of day to instants: the date that goes with them, over midnight too.

use jiff::Timestamp;

use super::value::{DAY_NS, SECOND_NS};

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
}
