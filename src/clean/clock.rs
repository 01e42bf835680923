//! Clocks that cannot be right: told, never mended.

use jiff::Timestamp;
use jiff::tz::Offset;

use super::CleanRules;
use crate::track::{Fix, WEEK_ROLLOVER_S};

/// How near to a whole number of rollovers a step in time must be to be named one, s.
///
/// A receiver corrects its week when it starts or finds the sky, within a day.
const WEEK_ROLLOVER_SLACK_S: i64 = 86_400;

/// Remarks on the times of a recording's fixes, which must increase.
pub(super) fn remarks(fixes: &[Fix], rules: &CleanRules) -> Vec<String> {
    let mut remarks = Vec::new();
    let too_early = fixes.partition_point(|fix| year(fix.time) < rules.earliest_year);
    let credible = fixes.partition_point(|fix| year(fix.time) <= rules.latest_year);
    if let Some(first) = fixes.first().filter(|_| too_early > 0) {
        let later = rolled_on(first.time).filter(|t| year(*t) >= rules.earliest_year);
        let rollover = later.map_or_else(String::new, |later| {
            format!(
                "; 1024 weeks later, one rollover of its week count, is {}",
                day(later)
            )
        });
        remarks.push(format!(
            "{} dated before {}, the first {}: the recorder's clock was wrong{rollover}.",
            fixes_are(too_early),
            rules.earliest_year,
            day(first.time),
        ));
    }
    if let Some(last) = fixes.last().filter(|_| credible < fixes.len()) {
        remarks.push(format!(
            "{} dated after {}, the last {}: the recorder's clock was wrong.",
            fixes_are(fixes.len() - credible),
            rules.latest_year,
            day(last.time),
        ));
    }
    let rollover = fixes.windows(2).find_map(|pair| match pair {
        [a, b] if is_rollover(b.time.as_second() - a.time.as_second()) => Some((a.time, b.time)),
        _ => None,
    });
    if let Some((before, after)) = rollover {
        remarks.push(format!(
            "The clock stepped from {} to {}, 1024 weeks or a multiple: the week count of 1024 rolled over.",
            day(before),
            day(after),
        ));
    }
    remarks
}

fn fixes_are(count: usize) -> String {
    format!(
        "{count} {}",
        if count == 1 { "fix is" } else { "fixes are" }
    )
}

fn is_rollover(step_s: i64) -> bool {
    let rest = step_s.rem_euclid(WEEK_ROLLOVER_S);
    step_s > WEEK_ROLLOVER_SLACK_S && rest.min(WEEK_ROLLOVER_S - rest) <= WEEK_ROLLOVER_SLACK_S
}

fn rolled_on(time: Timestamp) -> Option<Timestamp> {
    Timestamp::from_second(time.as_second() + WEEK_ROLLOVER_S).ok()
}

fn year(time: Timestamp) -> i16 {
    Offset::UTC.to_datetime(time).year()
}

fn day(time: Timestamp) -> String {
    time.strftime("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clean::tests::fix;

    fn told(dates: &[&str]) -> Vec<String> {
        let fixes: Vec<Fix> = dates
            .iter()
            .filter_map(|d| d.parse::<Timestamp>().ok())
            .map(|time| Fix {
                time,
                ..fix(0, 0.0, 0.0)
            })
            .collect();
        assert_eq!(fixes.len(), dates.len());
        remarks(&fixes, &CleanRules::default())
    }

    #[test]
    fn credible_dates_are_not_told() {
        assert!(told(&["2000-05-02T00:00:00Z", "2068-12-31T23:59:59Z"]).is_empty());
        assert!(told(&[]).is_empty());
    }

    #[test]
    fn absurd_years_are_told_and_a_rollover_is_named() {
        let early = told(&["1987-10-19T09:00:00Z", "1987-10-19T09:00:01Z"]);
        assert_eq!(
            early,
            [
                "2 fixes are dated before 2000, the first 1987-10-19: the recorder's clock was wrong; \
              1024 weeks later, one rollover of its week count, is 2007-06-04."
            ]
        );
        let late = told(&["2031-06-04T09:00:00Z", "2069-01-01T00:00:00Z"]);
        assert!(
            late.iter().any(|r| r.contains("1 fix is dated after 2068")),
            "{late:?}"
        );
    }

    #[test]
    fn a_step_of_1024_weeks_is_named() {
        let told = told(&["2011-10-19T09:00:00Z", "2031-06-04T09:00:01Z"]);
        assert!(told.iter().any(|r| r.contains("rolled over")), "{told:?}");
    }
}
