//! The time of a row: from which columns, and in which form.

use super::heading::{Heading, Unit};
use super::{Lost, Row, Table};
use crate::parser::ReadError;
use crate::parser::quantity::{DURATION, decimal};
use crate::parser::tally::Fault;
use crate::parser::time::{DateOrder, Moment, YearLast, after_1970, moment, moment_of};

/// How many rows are tried to tell in which form the times are written.
const SAMPLED_ROWS: usize = 200;

/// What a column may have of the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// An instant, or a time of day.
    Time,
    /// Time from a beginning that is not known.
    Elapsed,
    /// A date, perhaps with a time of day.
    Date,
}

/// What a column with this name has of the time; common practice, no source.
fn kind_of(name: &str) -> Option<Kind> {
    Some(match name {
        "time" | "timestamp" | "time stamp" | "datetime" | "date time" | "date and time"
        | "date/time" | "time date" | "utc" | "gmt" | "iso" | "iso8601" | "when" | "ts" | "t"
        | "fix time" | "time of fix" | "recorded at" | "created at" | "epoch" | "epoch time"
        | "unix" | "unix time" | "unixtime" | "unix timestamp" | "posix" | "posix time"
        | "clock" => Kind::Time,
        "date" | "day" | "ymd" | "yyyymmdd" => Kind::Date,
        "elapsed" | "elapsed time" | "time elapsed" | "time boot" | "boot time"
        | "time since boot" | "time since start" | "uptime" | "seconds" | "secs" | "millis"
        | "milliseconds" => Kind::Elapsed,
        _ => return None,
    })
}

/// A column that holds times.
#[derive(Debug, Clone, Copy, PartialEq)]
struct TimeColumn {
    index: usize,
    /// The unit the header names, for counts, seconds.
    unit_s: Option<f64>,
}

/// The columns that may hold the time.
#[derive(Debug, Clone, Default, PartialEq)]
pub(in crate::parser) struct TimeColumns {
    times: Vec<TimeColumn>,
    /// Counts from a beginning that is not known.
    elapsed: Vec<TimeColumn>,
    dates: Vec<usize>,
}

impl TimeColumns {
    /// By the headings. Where none says so outright, a column with `time`, `date` or `utc` among
    /// its words will do.
    pub(in crate::parser) fn named(headings: &[Heading]) -> Self {
        let mut columns = Self::default();
        for (index, heading) in headings.iter().enumerate() {
            let unit_of = |_, unit: &str| DURATION.unit(unit);
            let Some((kind, unit)) = heading.named(kind_of, unit_of) else {
                continue;
            };
            // `seconds` is name and unit at once.
            let name = || heading.unit(|name| DURATION.unit(name));
            let unit_s = if unit == Unit::Unsaid && kind == Kind::Elapsed {
                name()
            } else {
                unit.known()
            };
            match kind {
                Kind::Time => columns.times.push(TimeColumn { index, unit_s }),
                Kind::Elapsed => columns.elapsed.push(TimeColumn { index, unit_s }),
                Kind::Date => columns.dates.push(index),
            }
        }
        if columns.is_empty() {
            let telling = ["time", "date", "utc", "timestamp", "datetime"];
            let index = headings.iter().position(|heading| heading.has(&telling));
            let column = |index| TimeColumn {
                index,
                unit_s: None,
            };
            columns.times.extend(index.map(column));
        }
        columns
    }

    /// Whether there is none.
    pub(in crate::parser) fn is_empty(&self) -> bool {
        self.times.is_empty() && self.elapsed.is_empty() && self.dates.is_empty()
    }
}

/// Where the time of a row is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// In one cell.
    One(usize),
    /// Date and time of day in two.
    Two { date: usize, clock: usize },
}

/// How it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Form {
    /// As people and ISO 8601 write it, or as a count since 1970 whose unit follows from its size.
    Written(DateOrder),
    /// A count since an unknown beginning.
    Elapsed(f64),
}

/// How sure the order of day and month is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Certainty {
    /// A number above 12, or dots between, say so, or the year comes first.
    Sure,
    /// The days follow one another that way, and not the other.
    ByDays,
    /// Nothing says so.
    Guessed,
}

/// Place and form of the times of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::parser) struct Times {
    place: Place,
    form: Form,
    certainty: Certainty,
}

impl Times {
    /// The place and form that read most of a table's first rows; `None` where there are no
    /// columns for it. Times of day alone serve where a date may come from elsewhere.
    pub(in crate::parser) fn find(
        table: &mut Table<'_>,
        columns: &TimeColumns,
        clocks_serve: bool,
    ) -> Result<Option<Self>, ReadError> {
        let candidates = Self::candidates(columns, clocks_serve);
        let mut read = vec![0_usize; candidates.len()];
        let mut sampled = 0;
        table.survey(false, |row| {
            for (count, candidate) in read.iter_mut().zip(&candidates) {
                *count += match candidate.read_either(row) {
                    Ok(Moment::Instant(_) | Moment::Local(_)) => 2,
                    Ok(Moment::Clock(_)) if clocks_serve => 1,
                    _ => 0,
                };
            }
            sampled += 1;
            sampled < SAMPLED_ROWS
        })?;
        let most = read.iter().max();
        let mut counted = read.iter().zip(candidates);
        let Some((_, mut times)) = counted.find(|(count, _)| Some(*count) == most) else {
            return Ok(None);
        };
        // Only dates with the year last leave their order open.
        let mut has_year_last = false;
        table.survey(false, |row| {
            has_year_last |= times.year_last(row).is_some();
            !has_year_last
        })?;
        if has_year_last {
            let mut survey = Survey::default();
            table.survey_all(|row| {
                if let Some(date) = times.year_last(row) {
                    survey.add(date);
                }
            })?;
            let order;
            (order, times.certainty) = survey.order();
            times.form = Form::Written(order);
        }
        Ok(Some(times))
    }

    /// All that a table with these columns may mean, the likeliest first.
    fn candidates(columns: &TimeColumns, clocks_serve: bool) -> Vec<Self> {
        let written = Form::Written(DateOrder::DayFirst);
        let one = |column: &TimeColumn| Place::One(column.index);
        let mut found = Vec::new();
        for time in &columns.times {
            found.push((one(time), written));
        }
        for &date in &columns.dates {
            let clocks = columns.times.iter().map(|time| time.index);
            found.extend(clocks.map(|clock| (Place::Two { date, clock }, written)));
            found.push((Place::One(date), written));
        }
        if !clocks_serve {
            let counted = columns.times.iter().chain(&columns.elapsed);
            found.extend(counted.filter_map(|time| Some((one(time), Form::Elapsed(time.unit_s?)))));
        }
        let of_place = |(place, form)| Self {
            place,
            form,
            certainty: Certainty::Sure,
        };
        found.into_iter().map(of_place).collect()
    }

    /// The time of a row, or what is wrong with it and the text met.
    pub(in crate::parser) fn read(self, row: Row<'_>) -> Result<Moment, Lost> {
        self.moment(row).map_err(|fault| self.lost(fault, row))
    }

    /// A fault of the time, with the text that it is read from.
    pub(in crate::parser) fn lost(self, fault: Fault, row: Row<'_>) -> Lost {
        Lost(
            fault,
            match self.place {
                Place::One(at) => row.cell(at).to_owned(),
                Place::Two { date, clock } => format!("{} {}", row.cell(date), row.cell(clock)),
            },
        )
    }

    fn moment(self, row: Row<'_>) -> Result<Moment, Fault> {
        let unit_s = match (self.place, self.form) {
            (Place::One(at), Form::Written(order)) => return moment(row.cell(at), Some(order)),
            (Place::Two { date, clock }, Form::Written(order)) => {
                return moment_of(row.cell(date), row.cell(clock), Some(order));
            }
            (_, Form::Elapsed(unit_s)) => unit_s,
        };
        let (Place::One(at) | Place::Two { date: at, .. }) = self.place;
        let cell = row.cell(at);
        if cell.is_empty() {
            return Err(Fault::NoTime);
        }
        decimal(cell)
            .filter(|count| *count >= 0.0)
            .and_then(|count| after_1970(count, unit_s))
            .map(Moment::Instant)
            .ok_or(Fault::UnreadableTime)
    }

    /// What is to be said of how the times were read.
    pub(in crate::parser) fn remark(self) -> Option<String> {
        let order = match self.form {
            Form::Written(order) => order,
            Form::Elapsed(_) => {
                return Some(
                    "Times count from an unknown beginning and are shown as from 1 January 1970; only differences of time are used."
                        .to_owned(),
                );
            }
        };
        let (read, other) = match order {
            DateOrder::DayFirst => ("day", "month"),
            DateOrder::MonthFirst => ("month", "day"),
        };
        match self.certainty {
            Certainty::Sure => None,
            Certainty::ByDays => Some(format!(
                "Dates were read with the {read} first, as only so do the days follow one another."
            )),
            Certainty::Guessed => Some(format!(
                "Dates were read with the {read} first; nothing in the file tells whether the {other} comes first. Differences of time within a day are the same."
            )),
        }
    }

    /// Reads a row whichever of day and month comes first.
    fn read_either(self, row: Row<'_>) -> Result<Moment, Fault> {
        self.moment(row).or_else(|fault| match self.form {
            Form::Written(_) => {
                let form = Form::Written(DateOrder::MonthFirst);
                Self { form, ..self }.moment(row)
            }
            Form::Elapsed(_) => Err(fault),
        })
    }

    fn year_last(self, row: Row<'_>) -> Option<YearLast> {
        let (Place::One(at) | Place::Two { date: at, .. }) = self.place;
        match self.form {
            Form::Written(_) => YearLast::parse(row.cell(at)),
            Form::Elapsed(_) => None,
        }
    }
}

/// What the dates of a column allow: `04/06/2031` is 4 June or 6 April; one row cannot tell, a
/// column often can.
#[derive(Debug, Default)]
struct Survey {
    dates: usize,
    dotted: usize,
    first_too_large: usize,
    second_too_large: usize,
    day_first: Option<(i32, i32)>,
    month_first: Option<(i32, i32)>,
}

impl Survey {
    fn add(&mut self, date: YearLast) {
        self.dates += 1;
        self.dotted += usize::from(date.dotted);
        self.first_too_large += usize::from(date.first > 12);
        self.second_too_large += usize::from(date.second > 12);
        for (span, order) in [
            (&mut self.day_first, DateOrder::DayFirst),
            (&mut self.month_first, DateOrder::MonthFirst),
        ] {
            // A number that grows with the date.
            let (day, month) = date.day_and_month(order);
            let place = (i32::from(date.year) * 12 + i32::from(month)) * 31 + i32::from(day);
            let (low, high) = span.unwrap_or((place, place));
            *span = Some((low.min(place), high.max(place)));
        }
    }

    /// The order all dates agree on, or most of them.
    ///
    /// With dots the day comes first (common practice, no source). Where the
    /// numbers allow both, the order in which the days lie closer together is
    /// taken; where that is the same, the day first, as more of the world
    /// writes it (common practice, no source).
    fn order(&self) -> (DateOrder, Certainty) {
        let spread = |span: Option<(i32, i32)>| span.map_or(0, |(low, high)| high - low);
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
        let mut survey = Survey::default();
        for date in dates {
            if let Some(date) = YearLast::parse(date) {
                survey.add(date);
            }
        }
        assert_eq!(survey.order(), (order, certainty), "{dates:?}");
    }

    #[test]
    fn a_column_says_what_a_row_cannot() {
        use Certainty::{ByDays, Guessed, Sure};
        use DateOrder::{DayFirst, MonthFirst};
        check(&["04/06/2031"], DayFirst, Guessed);
        check(&["04.06.2031"], DayFirst, Sure);
        check(&["04/06/2031", "13/06/2031"], DayFirst, Sure);
        check(&["06/04/2031", "06/13/2031"], MonthFirst, Sure);
        check(&["04/06/2031", "05/06/2031"], DayFirst, ByDays);
        check(&["06/04/2031", "06/05/2031"], MonthFirst, ByDays);
        check(&[], DayFirst, Guessed);
    }
}
