//! The time of a row: from which columns, and in which form.

use jiff::Timestamp;

use super::columns::Columns;
use super::dates::{Certainty, DateOrder, DateSurvey, NumberedDate};
use super::names::CountUnit;
use crate::parser::fault::Fault;
use crate::parser::number::decimal;
use crate::parser::time::{TimeRead, TimeReader, is_date_alone};

/// Smallest count of seconds since 1970 taken for a date: March 1973.
///
/// A smaller one counts from when the logger was started; three years is more
/// than any of them runs.
const LEAST_EPOCH_S: f64 = 1e8;

/// Largest count of seconds since 1970 taken for a date: the year 2100.
const MOST_EPOCH_S: f64 = 4.1e9;

/// Where the time of a row stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In one cell.
    One(usize),
    /// Date and time of day in two.
    Two {
        /// The cell of the date.
        date: usize,
        /// The cell of the time of day.
        clock: usize,
    },
}

/// How it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Form {
    /// The year first, as ISO 8601 has it.
    YearFirst,
    /// The year last.
    YearLast(DateOrder),
    /// A count since 1970; the unit follows from its size where the header names none.
    Epoch(Option<CountUnit>),
    /// A count since an unknown beginning.
    Elapsed(CountUnit),
}

/// Place and form of the times of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct When {
    pub(super) place: Place,
    pub(super) form: Form,
}

impl When {
    /// All that a table with these columns may mean, the likeliest first.
    pub(super) fn candidates(columns: &Columns) -> Vec<Self> {
        let last = Form::YearLast(DateOrder::DayFirst);
        let mut found = Vec::new();
        for time in &columns.times {
            let epoch = Form::Epoch(time.unit);
            found.extend([Form::YearFirst, last, epoch].map(|form| Self {
                place: Place::One(time.index),
                form,
            }));
        }
        for &date in &columns.dates {
            for clock in columns.times.iter().map(|time| time.index) {
                found.extend([Form::YearFirst, last].map(|form| Self {
                    place: Place::Two { date, clock },
                    form,
                }));
            }
            found.extend([Form::YearFirst, last].map(|form| Self {
                place: Place::One(date),
                form,
            }));
        }
        let counted = columns.times.iter().chain(&columns.elapsed);
        found.extend(counted.filter_map(|time| {
            Some(Self {
                place: Place::One(time.index),
                form: Form::Elapsed(time.unit?),
            })
        }));
        found
    }

    /// The time of a row whose cells `cell` gives.
    pub(super) fn read<'a>(
        self,
        cell: impl Fn(usize) -> &'a str,
        times: &mut TimeReader,
    ) -> Option<TimeRead> {
        match (self.place, self.form) {
            (Place::One(at), Form::YearFirst) => year_first(cell(at), times),
            (Place::One(at), Form::YearLast(order)) => {
                let date = NumberedDate::parse(cell(at))?;
                times.read(&date.iso(order, &clock_24(date.clock)?))
            }
            (Place::Two { date, clock }, Form::YearFirst) => {
                let clock = clock_24(cell(clock))?;
                times.read(&format!("{}T{clock}", date_alone(cell(date))))
            }
            (Place::Two { date, clock }, Form::YearLast(order)) => {
                let date = NumberedDate::parse(date_alone(cell(date)))?;
                times.read(&date.iso(order, &clock_24(cell(clock))?))
            }
            (Place::One(at), Form::Epoch(unit)) => epoch(cell(at), unit),
            (Place::One(at), Form::Elapsed(unit)) => {
                let count = decimal(cell(at)).filter(|count| *count >= 0.0)?;
                instant(count * unit.nanoseconds())
            }
            (Place::Two { .. }, Form::Epoch(_) | Form::Elapsed(_)) => None,
        }
    }

    /// Whether the row has a date with the year last, whose order of day and month is still open.
    pub(super) fn is_dated<'a>(self, cell: impl Fn(usize) -> &'a str) -> bool {
        let other = Self {
            form: Form::YearLast(DateOrder::MonthFirst),
            ..self
        };
        matches!(self.form, Form::YearLast(_))
            && other.read(cell, &mut TimeReader::default()).is_some()
    }

    /// What is wrong with a row whose time could not be read, and the text that shows it.
    pub(super) fn fault<'a>(self, cell: impl Fn(usize) -> &'a str) -> (Fault, String) {
        let (text, date, clock) = match self.place {
            Place::One(at) => (cell(at).to_owned(), cell(at), cell(at)),
            Place::Two { date, clock } => (
                format!("{} {}", cell(date), cell(clock)),
                cell(date),
                cell(clock),
            ),
        };
        let mut times = TimeReader::default();
        let two = matches!(self.place, Place::Two { .. });
        let is_date = |text: &str| {
            is_date_alone(text)
                || NumberedDate::parse(text).is_some_and(|date| date.clock.is_empty())
        };
        let fault = if text.trim().is_empty() {
            Fault::NoTime
        } else if clock.trim().is_empty() || (!two && is_date(date)) {
            Fault::DateAlone
        } else if date.trim().is_empty()
            || (!two
                && clock_24(clock)
                    .is_some_and(|c| times.read(&format!("2000-01-01T{c}")).is_some()))
        {
            Fault::ClockAlone
        } else {
            Fault::UnreadableTime
        };
        (fault, text)
    }

    /// Takes note of a row's date, where its order of day and month is open.
    pub(super) fn survey<'a>(self, cell: impl Fn(usize) -> &'a str, survey: &mut DateSurvey) {
        let (Place::One(at) | Place::Two { date: at, .. }) = self.place;
        if matches!(self.form, Form::YearLast(_))
            && let Some(date) = NumberedDate::parse(cell(at))
        {
            survey.add(&date);
        }
    }

    /// With the order of day and month that the survey found.
    pub(super) fn decided(self, survey: &DateSurvey) -> (Self, Certainty) {
        match self.form {
            Form::YearLast(_) => {
                let (order, certainty) = survey.order();
                let form = Form::YearLast(order);
                (Self { form, ..self }, certainty)
            }
            _ => (self, Certainty::Sure),
        }
    }
}

/// ISO 8601 and its kin; fourteen digits alone are year to second.
fn year_first(text: &str, times: &mut TimeReader) -> Option<TimeRead> {
    times.read(text).or_else(|| {
        let text = text.trim();
        if text.len() == 14 && text.bytes().all(|byte| byte.is_ascii_digit()) {
            let (date, clock) = text.split_at_checked(8)?;
            return times.read(&format!("{date}T{clock}"));
        }
        // `2031-06-04 9:12:30 AM`
        let (date, clock) = text.split_once(' ')?;
        times.read(&format!("{date}T{}", clock_24(clock)?))
    })
}

/// A date cell without the midnight that spreadsheets put behind it.
fn date_alone(text: &str) -> &str {
    let text = text.trim();
    let end = text.find([' ', 'T']).unwrap_or(text.len());
    text.get(..end).unwrap_or(text)
}

/// A time of day on the 24-hour clock: `9:12:30 pm` becomes `21:12:30`.
fn clock_24(text: &str) -> Option<String> {
    /// Nothing longer is a time of day.
    const MOST_BYTES: usize = 40;
    let text = text.trim();
    if text.is_empty() || text.len() > MOST_BYTES {
        return None;
    }
    let lower = text
        .to_ascii_lowercase()
        .replace("a.m.", "am")
        .replace("p.m.", "pm");
    let (clock, afternoon) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(clock), _) => (clock, false),
        (_, Some(clock)) => (clock, true),
        _ => return Some(text.to_owned()),
    };
    let clock = clock.trim();
    let end = clock.find(':').unwrap_or(clock.len());
    let (hour, rest) = clock.split_at_checked(end)?;
    let hour: u8 = hour.parse().ok().filter(|hour| (1..=12).contains(hour))?;
    let hour = hour % 12 + if afternoon { 12 } else { 0 };
    let rest = if rest.is_empty() { ":00" } else { rest };
    Some(format!("{hour:02}{rest}"))
}

fn epoch(text: &str, unit: Option<CountUnit>) -> Option<TimeRead> {
    let count = decimal(text)?;
    let units = [
        CountUnit::Seconds,
        CountUnit::Milliseconds,
        CountUnit::Microseconds,
        CountUnit::Nanoseconds,
    ];
    let fits = |unit: CountUnit| {
        let seconds = count * unit.nanoseconds() / 1e9;
        (LEAST_EPOCH_S..=MOST_EPOCH_S).contains(&seconds)
    };
    let unit = match unit {
        Some(unit) => Some(unit).filter(|unit| fits(*unit)),
        None => units.into_iter().find(|unit| fits(*unit)),
    }?;
    instant(count * unit.nanoseconds())
}

fn instant(nanoseconds: f64) -> Option<TimeRead> {
    /// A count in an `f64` of seconds is good to a quarter of a microsecond.
    const MICROSECOND: f64 = 1e3;
    let microseconds = (nanoseconds / MICROSECOND).round();
    Some(TimeRead {
        timestamp: Timestamp::from_microsecond(microseconds as i64).ok()?,
        zone_given: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(form: Form, cells: &[&str], expected: Option<&str>) {
        let place = match cells.len() {
            1 => Place::One(0),
            _ => Place::Two { date: 0, clock: 1 },
        };
        let read = When { place, form }.read(
            |at| cells.get(at).copied().unwrap_or_default(),
            &mut TimeReader::default(),
        );
        let expected: Option<Timestamp> = expected.and_then(|text| text.parse().ok());
        assert_eq!(read.map(|r| r.timestamp), expected, "{cells:?}");
    }

    #[test]
    fn one_instant_in_every_form() {
        let same = Some("2031-06-04T21:12:30Z");
        let day_first = Form::YearLast(DateOrder::DayFirst);
        let month_first = Form::YearLast(DateOrder::MonthFirst);
        check(Form::YearFirst, &["2031-06-04T21:12:30Z"], same);
        check(Form::YearFirst, &["2031-06-04 9:12:30 PM"], same);
        check(Form::YearFirst, &["20310604211230"], same);
        check(day_first, &["04.06.2031 21:12:30"], same);
        check(day_first, &["4/6/31 9:12:30 p.m."], same);
        check(month_first, &["06/04/2031 23:12:30+02:00"], same);
        check(Form::YearFirst, &["2031-06-04", "21:12:30"], same);
        check(Form::YearFirst, &["20310604", "211230"], same);
        check(day_first, &["04.06.2031", "21:12:30"], same);
        check(day_first, &["04.06.2031 00:00:00", "21:12:30"], same);
        // Reckoned with another calendar's day count: 22 434 days and 76 350 s after 1970.
        check(Form::Epoch(None), &["1938373950"], same);
        check(Form::Epoch(None), &["1938373950000"], same);
        check(
            Form::Epoch(Some(CountUnit::Milliseconds)),
            &["1938373950000"],
            same,
        );
        check(
            Form::Epoch(None),
            &["1938373950,25"],
            Some("2031-06-04T21:12:30.25Z"),
        );
        check(
            Form::Elapsed(CountUnit::Milliseconds),
            &["1500"],
            Some("1970-01-01T00:00:01.5Z"),
        );
    }

    #[test]
    fn what_is_no_time_is_unknown() {
        check(Form::Epoch(None), &["123456"], None);
        check(
            Form::Epoch(Some(CountUnit::Seconds)),
            &["1938373950000"],
            None,
        );
        check(Form::YearFirst, &["2031-06-04"], None);
        check(Form::YearFirst, &["2031-06-04 13:12:30 PM"], None);
        check(
            Form::YearLast(DateOrder::MonthFirst),
            &["13/04/2031 09:12"],
            None,
        );
        check(Form::YearFirst, &["2031-06-04", ""], None);
    }

    #[test]
    fn what_is_missing_is_named() {
        let fault = |cells: &[&str]| {
            let place = match cells.len() {
                1 => Place::One(0),
                _ => Place::Two { date: 0, clock: 1 },
            };
            let form = Form::YearFirst;
            let cell = |at: usize| cells.get(at).copied().unwrap_or_default();
            When { place, form }.fault(cell).0
        };
        assert_eq!(fault(&["2031-06-04"]), Fault::DateAlone);
        assert_eq!(fault(&["4.6.2031"]), Fault::DateAlone);
        assert_eq!(fault(&["2031-06-04", ""]), Fault::DateAlone);
        assert_eq!(fault(&["09:12:30"]), Fault::ClockAlone);
        assert_eq!(fault(&["", "09:12:30"]), Fault::ClockAlone);
        assert_eq!(fault(&[" "]), Fault::NoTime);
        assert_eq!(fault(&["noon"]), Fault::UnreadableTime);
    }
}
