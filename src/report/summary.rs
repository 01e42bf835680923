//! What the terminal shows: plain text, 80 columns.

use super::rounding::NO_BREAK_SPACE;
use super::table::Table;
use super::tables::{comparison_tables, days_tables, gain_tables, legs_table_narrow};
use super::words;
use crate::trial::Trial;

/// Width of the text.
const COLUMNS: usize = 80;

/// The trial in short: what was found, the comparison, the answer, the warnings.
///
/// Lines end in a line feed; none is longer than 80 characters unless a single word is.
pub fn summary(analysis: &Trial) -> String {
    let mut out = String::new();
    push(&mut out, &words::title(analysis), "", "");
    push(&mut out, &words::day_line(analysis), "", "");
    out.push('\n');
    push(&mut out, &words::found(analysis), "", "");
    push(&mut out, &words::wind(analysis), "", "");
    for sentence in [words::standing(analysis), words::grouping(analysis)]
        .into_iter()
        .flatten()
    {
        push(&mut out, &sentence, "", "");
    }
    for table in days_tables(analysis)
        .into_iter()
        .chain(comparison_tables(analysis))
    {
        out.push('\n');
        push(&mut out, &table.caption, "", "");
        out.push('\n');
        push_table(&mut out, &table.with_points_aligned().to_text(COLUMNS));
    }
    for answer in words::answers(analysis) {
        out.push('\n');
        push(&mut out, &answer.sentence(), "", "");
        if let Some(remark) = answer.remark {
            push(&mut out, &remark, "", "");
        }
    }
    for sentence in words::doubts(analysis)
        .into_iter()
        .chain(words::across_days(analysis))
    {
        push(&mut out, &sentence, "", "");
    }
    push_gain(&mut out, analysis);
    let advice = words::next_time(analysis);
    if !advice.is_empty() {
        out.push_str("\nNext time\n");
        for line in advice {
            push(&mut out, &line, "- ", "  ");
        }
    }
    let warnings = words::warnings(analysis);
    if !warnings.is_empty() {
        out.push_str("\nWarnings\n");
        for warning in warnings {
            push(&mut out, &warning, "- ", "  ");
        }
    }
    out
}

/// What the gain buys: the answers with their tables or, where nothing is known, the one thing to do.
fn push_gain(out: &mut String, analysis: &Trial) {
    if !words::has_gain(analysis) || analysis.comparisons.is_empty() {
        return;
    }
    let answers = words::gain(analysis);
    let tables = gain_tables(analysis);
    out.push_str("\nWhat the gain buys\n");
    for line in &answers {
        push(out, line, "- ", "  ");
    }
    for line in (analysis.gain.power.reason.iter()).chain(&analysis.gain.power.remarks) {
        push(out, line, "- ", "  ");
    }
    for table in tables {
        out.push('\n');
        // A terminal has no room for intervals in every column; they stand in the report.
        let table = if set(table.clone())
            .lines()
            .any(|l| l.chars().count() > COLUMNS)
        {
            table.without_brackets()
        } else {
            table
        };
        push(out, &table.caption, "", "");
        out.push('\n');
        push_table(out, &set(table));
    }
    for line in words::gain_cautions(analysis) {
        out.push('\n');
        push(out, &line, "", "");
    }
}

/// The legs as a table for a terminal, with what does not count and why below it.
pub fn legs_table(analysis: &Trial) -> String {
    let mut out = String::new();
    push_table(&mut out, &set(legs_table_narrow(analysis)));
    let mut reasons = String::new();
    push_left_out(&mut reasons, analysis, "");
    if !reasons.is_empty() {
        out.push('\n');
        out.push_str(&reasons);
    }
    out
}

/// A table as text of the terminal's width.
pub(super) fn set(table: Table) -> String {
    table.with_points_aligned().to_text(COLUMNS)
}

/// The legs that do not count and why, `before` each of them.
pub(super) fn push_left_out(out: &mut String, analysis: &Trial, before: &str) {
    for leg in analysis.legs.iter().filter(|leg| !leg.included) {
        let why = leg
            .reason
            .as_deref()
            .map_or_else(|| "no reason given".to_owned(), words::name);
        let line = format!("{before}leg {} does not count: {why}", leg.leg);
        push(out, &line, "", "  ");
    }
}

/// A table's spaces of a digit's width are single characters in a terminal too.
pub(super) fn push_table(out: &mut String, text: &str) {
    for line in text.lines() {
        let plain: String = line
            .chars()
            .map(|c| if c.is_whitespace() { ' ' } else { c })
            .collect();
        out.push_str(plain.trim_end());
        out.push('\n');
    }
}

/// One paragraph, broken at spaces; no-break spaces hold, then become plain.
pub(super) fn push(out: &mut String, text: &str, first: &str, further: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let width = line.chars().count() + usize::from(!empty) + word.chars().count();
        if width > COLUMNS && !empty {
            out.push_str(&line);
            out.push('\n');
            further.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.extend(
            word.chars()
                .map(|c| if c == NO_BREAK_SPACE { ' ' } else { c }),
        );
        empty = false;
    }
    out.push_str(&line);
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paragraphs_break_at_spaces_only() {
        let mut out = String::new();
        push(&mut out, &"12\u{a0}kn ".repeat(30), "- ", "  ");
        assert!(
            out.lines().all(|line| line.chars().count() <= COLUMNS),
            "{out}"
        );
        assert!(out.lines().all(|line| line.ends_with("kn")), "{out}");
        assert!(
            out.lines().skip(1).all(|line| line.starts_with("  12 ")),
            "{out}"
        );
    }

    #[test]
    fn a_long_word_stays_whole() {
        let mut out = String::new();
        push(&mut out, &format!("a {} b", "x".repeat(100)), "", "");
        assert_eq!(out, format!("a\n{}\nb\n", "x".repeat(100)));
    }
}
