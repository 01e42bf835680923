//! The comparison in words: caption, text alternative, verdicts.

use super::bars::{bar, value};
use super::entries;
use super::rows::{Entry, Row, RowKind};
use crate::compare::{Comparison, Verdict};
use crate::plotter::day::Day;
use crate::plotter::text;
use crate::report::rounding::percent_decimals;

/// The verdict in words.
pub(crate) fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Faster => "faster",
        Verdict::Slower => "slower",
        Verdict::NotShown => "not shown",
        Verdict::NoLargerDifference => "no larger difference",
        Verdict::TooFewRuns => "too few runs",
    }
}

/// What to see.
pub(crate) fn caption(day: &Day, rows: &[Row]) -> String {
    let marks = if day.settings.len() > 1 {
        format!(" ({})", text::shapes(&day.settings))
    } else {
        String::new()
    };
    let bars = if entries(rows).any(has_bar) {
        ", bars their 95\u{a0}% intervals"
    } else {
        ""
    };
    let mut words = format!(
        "Upright strokes are means{bars}; the small marks under them are the double runs{marks}."
    );
    let changes: Vec<&Comparison> = entries(rows).filter_map(|entry| entry.change).collect();
    if !changes.is_empty() {
        words.push_str(
            " Where the bar of a change does not touch the zero line, it is more than chance.",
        );
    }
    if !changes.is_empty() {
        words.push_str(
            " Marks are as they were run; means and changes are those in the same conditions.",
        );
    }
    if changes.iter().any(|c| c.verdict == Verdict::TooFewRuns) {
        words.push_str(
            " A dotted bar rests on how far double runs usually differ: there is a single one.",
        );
    }
    words
}

/// Whether an entry shows any interval.
fn has_bar(entry: &Entry) -> bool {
    let speed = entry.speed.as_ref().and_then(|speed| speed.interval);
    speed.is_some() || entry.change.and_then(bar).is_some()
}

/// The text alternative.
pub(crate) fn alt(day: &Day, rows: &[Row]) -> String {
    let mut sentences = Vec::new();
    for row in rows {
        match &row.kind {
            RowKind::Heading(words) => sentences.push(format!("{}:", capital(words))),
            RowKind::Entry(entry) => sentences.push(entry_alt(day, entry)),
        }
    }
    sentences.join(" ")
}

fn entry_alt(day: &Day, entry: &Entry) -> String {
    let mut parts = vec![text::clean(&entry.name)];
    if let Some(speed) = &entry.speed {
        let mean = day.speed_text(speed.mean);
        parts.push(match speed.interval {
            Some(i) => format!(
                "{mean} (95\u{a0}% interval {} to {})",
                day.speed_text(i.low),
                day.speed_text(i.high)
            ),
            None => mean,
        });
        parts.push(text::count(entry.runs.len(), "double run"));
    }
    if let Some(change) = entry.change {
        parts.push(change_alt(change));
    } else if entry.baseline {
        parts.push("the baseline".to_owned());
    }
    format!("{}.", parts.join(", "))
}

fn change_alt(change: &Comparison) -> String {
    let verdict = verdict(change.verdict);
    let own = change.percent.low.is_some();
    let decimals = percent_decimals(&change.percent);
    match (value(change), bar(change).filter(|_| own)) {
        (Some(value), Some([low, high])) => format!(
            "{}\u{a0}% against {} (95\u{a0}% interval {} to {}\u{a0}%): {verdict}",
            text::signed(value, decimals),
            text::clean(&change.baseline),
            text::signed(low, decimals),
            text::signed(high, decimals)
        ),
        (Some(value), None) => format!(
            "{}\u{a0}% against {}, no interval: {verdict}",
            text::signed(value, decimals),
            text::clean(&change.baseline)
        ),
        _ => verdict.to_owned(),
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
