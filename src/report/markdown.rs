//! `report.md`: a short factual account to paste into a newsletter or a post.
//!
//! Plain words, the table, the figures referred to, and one paragraph of method and limits. The form
//! is `CommonMark` with the usual pipe tables.

use super::rounding::NO_BREAK_SPACE;
use super::table::{Kind, Table};
use super::tables::{comparison_tables, days_tables, gain_tables};
use super::{ChartForm, chart_paths, words};
use crate::plotter::Chart;
use crate::trial::Trial;

/// `report.md`; the figures are referred to by their paths beside it, in the `form` they are written in.
pub fn report_md(analysis: &Trial, charts: &[Chart], form: ChartForm) -> String {
    let mut parts = vec![
        format!("# {}", escaped(&words::title(analysis))),
        format!("*{}*", escaped(&words::day_line(analysis))),
    ];
    for answer in words::answers(analysis) {
        parts.push(format!(
            "**{}**{}",
            escaped(&answer.claim),
            escaped(&answer.rest)
        ));
        parts.extend(answer.remark.map(|remark| escaped(&remark)));
    }
    parts.extend(words::doubts(analysis).iter().map(|line| escaped(line)));
    let mut account = vec![words::found(analysis), words::wind(analysis)];
    account.extend(words::standing(analysis));
    account.extend(words::grouping(analysis));
    parts.push(escaped(&account.join(" ")));
    parts.extend(
        words::across_days(analysis)
            .iter()
            .map(|line| escaped(line)),
    );
    let tables = days_tables(analysis).into_iter();
    for (number, table) in tables.chain(comparison_tables(analysis)).enumerate() {
        parts.push(format!("Table\u{a0}{}. {}", number + 1, pipes(&table)));
    }
    let wind = words::one_wind(analysis).into_iter();
    parts.extend(wind.map(|wind| escaped(&wind)));
    if words::has_gain(analysis) && !analysis.double_runs.is_empty() {
        let mut lines = words::gain(analysis);
        lines.extend(words::gain_missing(analysis));
        list(&mut parts, "What the gain buys", &lines);
        let first = comparison_tables(analysis).len() + 1;
        for (number, table) in (first..).zip(gain_tables(analysis)) {
            parts.push(format!("Table\u{a0}{number}. {}", pipes(&table)));
        }
        let rest = [words::gain_cautions(analysis), words::gain_basis(analysis)].concat();
        if !rest.is_empty() {
            parts.push(escaped(&rest.join(" ")));
        }
    }
    for (number, (chart, path)) in charts.iter().zip(chart_paths(charts, form)).enumerate() {
        let title = escaped(chart.title.trim_end_matches('.'));
        parts.push(format!(
            "![{title}]({path})\n\n*Figure\u{a0}{}. {title}. {}*",
            number + 1,
            escaped(&chart.caption)
        ));
    }
    if !analysis.double_runs.is_empty() {
        parts.push(format!(
            "## How it was measured\n\n{}",
            escaped(&method(analysis))
        ));
    }
    list(&mut parts, "Next time", &words::next_time(analysis));
    list(&mut parts, "To keep in mind", &words::warnings(analysis));
    let cautions = words::cautions().map(str::to_owned);
    list(&mut parts, "Cautions", &cautions);
    let mut text = parts.join("\n\n");
    text.push('\n');
    text
}

fn list(parts: &mut Vec<String>, title: &str, lines: &[String]) {
    if !lines.is_empty() {
        let lines: Vec<String> = lines
            .iter()
            .map(|line| format!("- {}", escaped(line)))
            .collect();
        parts.push(format!("## {title}\n\n{}", lines.join("\n")));
    }
}

/// Method and limits in one paragraph.
fn method(analysis: &Trial) -> String {
    let s = NO_BREAK_SPACE;
    let runs = words::counted(analysis.double_runs.len(), "double run", "double runs");
    let power = if analysis.gain.power.cells.is_empty() {
        "and nothing is said of power drawn: more speed may come from more load"
    } else {
        "and power is that of the readings given"
    };
    format!(
        "All figures come from the recorded track alone. The boat was run there and back on one line, {runs} in all: what wind and current add one way they take away the other, so the mean of the two speeds is the boat’s own. The speed of each leg is the slope of distance made good along its course against time, over the part in which the boat had gathered its speed; turns, drifting and everything else were left out. All double runs are compared by one model, which takes out what wind and current changed by and allows for a drift through the day; its 95{s}% interval holds the true change in 95 of 100 such trials. It takes for granted that nothing but the part compared was changed, that a setting meant the same power each time, and that wind and current held steady over each double run. Speed is over the ground, {power}. Every figure, unrounded, stands in result.json (schema{s}{}).",
        analysis.schema
    )
}

/// A table with pipes.
fn pipes(table: &Table) -> String {
    let heads: Vec<String> = table
        .columns
        .iter()
        .map(|column| match &column.unit {
            Some(unit) => format!("{} ({unit})", escaped(&column.title)),
            None => escaped(&column.title),
        })
        .collect();
    let rules: Vec<&str> = table
        .columns
        .iter()
        .map(|column| match column.kind {
            Kind::Text => ":--",
            Kind::Figure => "--:",
        })
        .collect();
    let mut lines = vec![
        format!("{}\n", escaped(&table.caption)),
        format!("| {} |", heads.join(" | ")),
        format!("|{}|", rules.join("|")),
    ];
    for row in &table.rows {
        let cells: Vec<String> = row.cells.iter().map(|cell| escaped(cell)).collect();
        lines.push(format!("| {} |", cells.join(" | ")));
    }
    lines.join("\n")
}

/// Text in which nothing is taken for a mark: names come from files.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if matches!(
            c,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '&' | '~' | '$'
        ) {
            out.push('\\');
        }
        out.push(if c.is_control() { ' ' } else { c });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_in_names_stay_letters() {
        assert_eq!(escaped("a|b *c* <d>\n"), "a\\|b \\*c\\* \\<d\\> ");
    }
}
