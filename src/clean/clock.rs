//! Clocks that cannot be right: mentioned, never mended.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;

use super::CleanRules;
use crate::track::{Fix, WEEK_ROLLOVER_S};

/// A remark where fixes are dated in years that cannot be.
pub(super) fn remark<'a>(
    fixes: impl Iterator<Item = &'a Fix>,
    rules: &CleanRules,
) -> Option<String> {
    let [earliest, latest] = rules.credible_years;
    let (from, to) = (new_year(earliest), new_year(latest.saturating_add(1)));
    let is_false = |time| from.is_some_and(|from| time < from) || to.is_some_and(|to| time >= to);
    let mut dates = fixes.map(|fix| fix.time).filter(|time| is_false(*time));
    let first = dates.next()?;
    let fixes = match dates.count() {
        0 => "1 fix is".to_owned(),
        more => format!("{} fixes are", more + 1),
    };
    let later = Timestamp::from_second(first.as_second() + WEEK_ROLLOVER_S).ok();
    let rollover = later
        .filter(|later| !is_false(*later))
        .map_or_else(String::new, |later| {
            format!(
                "; 1024 weeks later, one rollover of the GPS week count, is {}",
                day(later)
            )
        });
    Some(format!(
        "{fixes} dated outside the years {earliest} to {latest}, the first {}: the recorder's \
         clock was wrong{rollover}.",
        day(first),
    ))
}

/// When a year begins; `None` for one outside the calendar, which then sets no limit.
fn new_year(year: i16) -> Option<Timestamp> {
    let date = Date::new(year, 1, 1).ok()?;
    Offset::UTC
        .to_timestamp(date.to_datetime(jiff::civil::Time::midnight()))
        .ok()
}

fn day(time: Timestamp) -> String {
    time.strftime("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    fn remark_on(dates: &[&str]) -> Option<String> {
        let at = |date: &&str| {
            let time = date.parse::<Timestamp>().ok()?;
            Some(Fix {
                time,
                ..fix(0, 0.0, 0.0)
            })
        };
        let fixes: Vec<Fix> = dates.iter().filter_map(at).collect();
        assert_eq!(fixes.len(), dates.len());
        remark(fixes.iter(), &CleanRules::default())
    }

    #[test]
    fn absurd_years_are_mentioned_and_a_rollover_is_named() {
        assert_eq!(
            remark_on(&["2000-01-01T00:00:00Z", "2068-12-31T23:59:59Z"]),
            None
        );
        assert_eq!(remark_on(&[]), None);
        assert_eq!(
            remark_on(&["1987-10-19T09:00:00Z", "1987-10-19T09:00:01Z"]).as_deref(),
            Some(
                "2 fixes are dated outside the years 2000 to 2068, the first 1987-10-19: the \
                 recorder's clock was wrong; 1024 weeks later, one rollover of the GPS week count, \
                 is 2007-06-04."
            )
        );
        let late = remark_on(&["2031-06-04T09:00:00Z", "2069-01-01T00:00:00Z"]);
        assert!(late.is_some_and(|remark| remark.contains("1 fix is dated outside")));
    }
}
