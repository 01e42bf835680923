//! Several days side by side, and the figures of each comparison on the log scale.

use crate::compare::{Comparison, Percent, Verdict};
use crate::report::clock::Clock;
use crate::report::rounding::{UNKNOWN, fixed, percent_decimals, signed};
use crate::report::table::{Column, Row, Table};
use crate::report::words::{capital, headline_comparisons, name, pair_title, verdict};
use crate::trial::Day;
use crate::trial::Trial;

/// For each pair the days side by side, and below them pooled; empty for a single day.
pub(crate) fn days_tables(analysis: &Trial) -> Vec<Table> {
    if analysis.days.len() < 2 {
        return Vec::new();
    }
    headline_comparisons(analysis)
        .into_iter()
        .map(|comparison| days_table(analysis, comparison))
        .collect()
}

fn days_table(analysis: &Trial, pooled: &Comparison) -> Table {
    let across = pooled.across_days.as_ref();
    let mut rows: Vec<Row> = analysis
        .days
        .iter()
        .filter_map(|day| Some((day, own(analysis, day.day, pooled)?)))
        .map(|(day, comparison)| day_row(analysis, day, &comparison))
        .collect();
    if across.is_some() {
        rows.push(summary_row("all days", &pooled.percent, pooled));
    }
    Table {
        caption: format!("{}, day by day", capital(&pair_title(pooled))),
        columns: vec![
            Column::text("Day").at_most(22),
            Column::text("Date"),
            Column::figure("Double runs", ""),
            Column::figure("Change", "%"),
            Column::figure("95\u{a0}% interval", "%"),
            Column::text("Verdict"),
        ],
        rows,
    }
    .without_unknown_columns()
}

fn own(analysis: &Trial, day: usize, pooled: &Comparison) -> Option<Comparison> {
    analysis.only(day).comparisons.into_iter().find(|c| {
        c.baseline == pooled.baseline && c.changed == pooled.changed && c.setting == pooled.setting
    })
}

fn day_row(analysis: &Trial, day: &Day, comparison: &Comparison) -> Row {
    let own = analysis.only(day.day);
    let clock = Clock::of(&own);
    let date = crate::report::clock::span(&own)
        .map_or_else(|| UNKNOWN.to_owned(), |(from, _)| clock.date(from));
    let [before, after] = comparison.double_runs;
    Row::new(vec![
        day.day.to_string(),
        date,
        format!("{before}\u{a0}+\u{a0}{after}"),
        change(&comparison.percent),
        interval(&comparison.percent),
        verdict(comparison.verdict).to_owned(),
    ])
}

fn summary_row(title: &str, percent: &Percent, pooled: &Comparison) -> Row {
    let [before, after] = pooled.double_runs;
    Row::new(vec![
        title.to_owned(),
        String::new(),
        format!("{before}\u{a0}+\u{a0}{after}"),
        change(percent),
        interval(percent),
        verdict(pooled.verdict).to_owned(),
    ])
}

fn change(percent: &Percent) -> String {
    percent
        .value
        .map_or_else(String::new, |v| signed(v, percent_decimals(percent)))
}

fn interval(percent: &Percent) -> String {
    interval_with(percent, percent_decimals(percent))
}

/// `+3.9 to +7.7`.
pub(super) fn interval_with(percent: &Percent, decimals: usize) -> String {
    match (percent.low, percent.high) {
        (Some(low), Some(high)) if low.is_finite() && high.is_finite() => {
            format!("{} to {}", signed(low, decimals), signed(high, decimals))
        }
        _ => UNKNOWN.to_owned(),
    }
}

/// Every comparison on the log scale, as it can be reckoned again; none where nothing was compared.
pub(crate) fn recompute_table(analysis: &Trial) -> Option<Table> {
    let rows: Vec<Row> = analysis.comparisons.iter().filter_map(log_row).collect();
    (!rows.is_empty()).then(|| {
        Table {
            caption: "The same as natural logarithm of the ratio of speeds, and its standard error"
                .to_owned(),
            columns: vec![
                Column::text("Changed"),
                Column::text("Setting"),
                Column::figure("ln ratio", ""),
                Column::figure("Standard error", ""),
                Column::figure("p", ""),
                Column::figure("All together, 95\u{a0}%", "%"),
                Column::figure("No change beyond", "%"),
            ],
            rows,
        }
        .without_unknown_columns()
    })
}

fn log_row(comparison: &Comparison) -> Option<Row> {
    let log = comparison.log_ratio?;
    let unknown = || UNKNOWN.to_owned();
    Some(Row::new(vec![
        name(&comparison.changed),
        comparison
            .setting
            .as_deref()
            .map_or_else(|| "all".to_owned(), name),
        signed(log.value, LOG_DECIMALS),
        fixed(log.se, LOG_DECIMALS),
        comparison.p_value.map_or_else(unknown, p_value),
        comparison.simultaneous.as_ref().map_or_else(unknown, |s| {
            format!("{} to {}", signed(s.low, 1), signed(s.high, 1))
        }),
        // Of a change that is shown nobody asks how large it is at the most.
        comparison
            .no_change_beyond_percent
            .filter(|_| comparison.verdict == Verdict::NotShown)
            .map_or_else(unknown, |x| fixed(x, 1)),
    ]))
}

/// A ten-thousandth in the logarithm is a hundredth of a percent.
const LOG_DECIMALS: usize = 4;

/// Smaller p values are told as being smaller.
const LEAST_P: f64 = 0.0001;

fn p_value(p: f64) -> String {
    if p < LEAST_P {
        format!("<{LEAST_P}")
    } else {
        fixed(p, if p < 0.01 { 4 } else { 2 })
    }
}

/// All pairs of three configurations or more; none for fewer.
pub(crate) fn pairs_table(analysis: &Trial) -> Option<Table> {
    // Over a single setting the pooled rows say the same again.
    let several = analysis.settings.len() > 1;
    let rows: Vec<Row> = (analysis.pairs.iter())
        .filter(|pair| several || pair.setting.is_some())
        .map(|pair| {
            let percent = Percent {
                value: Some(pair.percent),
                low: Some(pair.simultaneous.low),
                high: Some(pair.simultaneous.high),
            };
            Row::new(vec![
                format!("{} against {}", name(&pair.changed), name(&pair.baseline)),
                pair.setting
                    .as_deref()
                    .map_or_else(|| "all".to_owned(), name),
                change(&percent),
                interval(&percent),
                p_value(pair.simultaneous.p_value),
            ])
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: "All pairs, their intervals wide enough that all of them hold together in 95 of 100 such trials".to_owned(),
        columns: vec![
            Column::text("Pair"),
            Column::text("Setting"),
            Column::figure("Change", "%"),
            Column::figure("All together, 95\u{a0}%", "%"),
            Column::figure("p", ""),
        ],
        rows,
    })
}
