//! Dates with the day or the month first, decided over a whole column.
//!
//! `04/06/2031` is 4 June or 6 April; one row cannot tell, a column often can.

/// Two-digit years up to this one belong to this century (POSIX `strptime`, `%y`).
const LAST_SHORT_YEAR: u16 = 68;

/// Which of the first two numbers is the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum DateOrder {
    DayFirst,
    MonthFirst,
}

/// A date whose last number is the year, and the text behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NumberedDate<'a> {
    first: u16,
    second: u16,
    year: u16,
    dotted: bool,
    /// The time of day, if any.
    pub(super) clock: &'a str,
}

impl<'a> NumberedDate<'a> {
    /// Takes `4.6.2031 09:12`, `04/06/31`, `04-06-2031T09:12:30Z` apart.
    pub(super) fn parse(text: &'a str) -> Option<Self> {
        let text = text.trim();
        let end = text
            .find(|c: char| c.is_ascii_whitespace() || matches!(c, 'T' | ','))
            .unwrap_or(text.len());
        let (date, clock) = text.split_at_checked(end)?;
        let separator = date.find(['.', '/', '-'])?;
        let separator = date.get(separator..)?.chars().next()?;
        let mut parts = date.split(separator);
        let (first, second, year) = (parts.next()?, parts.next()?, parts.next()?);
        let number = |text: &str, most: usize| -> Option<u16> {
            let plain =
                (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
            plain.then(|| text.parse().ok()).flatten()
        };
        let year = match (year.len(), number(year, 4)?) {
            (4, year) => year,
            (2, year) if year <= LAST_SHORT_YEAR => 2000 + year,
            (2, year) => 1900 + year,
            _ => return None,
        };
        // A dot may close the date: `4.6.2031.`
        if parts.next().is_some_and(|rest| !rest.is_empty()) {
            return None;
        }
        Some(Self {
            first: number(first, 2)?,
            second: number(second, 2)?,
            year,
            dotted: separator == '.',
            clock: clock.trim_start_matches(['T', ',']).trim(),
        })
    }

    /// The same as ISO 8601 writes it, with the clock behind it.
    pub(super) fn iso(&self, order: DateOrder, clock: &str) -> String {
        let (day, month) = match order {
            DateOrder::DayFirst => (self.first, self.second),
            DateOrder::MonthFirst => (self.second, self.first),
        };
        format!("{:04}-{month:02}-{day:02}T{clock}", self.year)
    }

    /// A number that grows with the date.
    fn place(&self, order: DateOrder) -> u32 {
        let (day, month) = match order {
            DateOrder::DayFirst => (self.first, self.second),
            DateOrder::MonthFirst => (self.second, self.first),
        };
        (u32::from(self.year) * 12 + u32::from(month)) * 31 + u32::from(day)
    }
}

/// How sure the order is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Certainty {
    /// A number above 12, or dots between, say so.
    Sure,
    /// The days follow one another that way, and not the other.
    ByDays,
    /// Nothing says so.
    Guessed,
}

/// What the dates of a column allow.
#[derive(Debug, Default)]
pub(super) struct DateSurvey {
    dates: usize,
    dotted: usize,
    first_too_large: usize,
    second_too_large: usize,
    day_first: Option<(u32, u32)>,
    month_first: Option<(u32, u32)>,
}

impl DateSurvey {
    /// Takes note of one date.
    pub(super) fn add(&mut self, date: &NumberedDate<'_>) {
        self.dates += 1;
        self.dotted += usize::from(date.dotted);
        self.first_too_large += usize::from(date.first > 12);
        self.second_too_large += usize::from(date.second > 12);
        for (span, order) in [
            (&mut self.day_first, DateOrder::DayFirst),
            (&mut self.month_first, DateOrder::MonthFirst),
        ] {
            let place = date.place(order);
            let (low, high) = span.unwrap_or((place, place));
            *span = Some((low.min(place), high.max(place)));
        }
    }

    /// The order all dates agree on, or most of them.
    ///
    /// With dots the day stands first (common practice, no source). Where the
    /// numbers allow both, the order in which the days lie closer together is
    /// taken; where that is the same, the day first, as more of the world
    /// writes it (common practice, no source).
    pub(super) fn order(&self) -> (DateOrder, Certainty) {
        let spread = |span: Option<(u32, u32)>| span.map_or(0, |(low, high)| high - low);
        let by_days = spread(self.day_first).cmp(&spread(self.month_first));
        if self.first_too_large > self.second_too_large || 2 * self.dotted > self.dates {
            (DateOrder::DayFirst, Certainty::Sure)
        } else if self.second_too_large > self.first_too_large {
            (DateOrder::MonthFirst, Certainty::Sure)
        } else if by_days.is_lt() {
            (DateOrder::DayFirst, Certainty::ByDays)
        } else if by_days.is_gt() {
            (DateOrder::MonthFirst, Certainty::ByDays)
        } else {
            (DateOrder::DayFirst, Certainty::Guessed)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(dates: &[&str], order: DateOrder, certainty: Certainty) {
        let mut survey = DateSurvey::default();
        for date in dates {
            if let Some(date) = NumberedDate::parse(date) {
                survey.add(&date);
            }
        }
        assert_eq!(survey.order(), (order, certainty), "{dates:?}");
    }

    #[test]
    fn a_column_tells_what_a_row_cannot() {
        check(&["04/06/2031"], DateOrder::DayFirst, Certainty::Guessed);
        check(&["04.06.2031"], DateOrder::DayFirst, Certainty::Sure);
        check(
            &["04/06/2031", "13/06/2031"],
            DateOrder::DayFirst,
            Certainty::Sure,
        );
        check(
            &["06/04/2031", "06/13/2031"],
            DateOrder::MonthFirst,
            Certainty::Sure,
        );
        check(
            &["04/06/2031", "05/06/2031"],
            DateOrder::DayFirst,
            Certainty::ByDays,
        );
        check(
            &["06/04/2031", "06/05/2031"],
            DateOrder::MonthFirst,
            Certainty::ByDays,
        );
        check(&[], DateOrder::DayFirst, Certainty::Guessed);
    }

    #[test]
    fn dates_are_taken_apart() {
        let iso = |text: &str| {
            NumberedDate::parse(text).map(|date| date.iso(DateOrder::DayFirst, date.clock))
        };
        for (text, expected) in [
            ("04.06.2031 09:12", Some("2031-06-04T09:12")),
            ("4/6/31 09:12:30", Some("2031-06-04T09:12:30")),
            ("4-6-2031T09:12:30Z", Some("2031-06-04T09:12:30Z")),
            ("4.6.2031., 09:12", Some("2031-06-04T09:12")),
            ("4/6/1999", Some("1999-06-04T")),
            ("4/6/69 1:00", Some("1969-06-04T1:00")),
            ("2031-06-04 09:12", None),
            ("4/6", None),
            ("4/6/2031/2", None),
            ("004/6/2031", None),
            ("09:12", None),
            ("57.709", None),
            ("", None),
        ] {
            assert_eq!(iso(text).as_deref(), expected, "{text:?}");
        }
    }
}
