//! The run card as Markdown.

use std::fmt::Write;

use super::drawn::{Plan, StepKind};
use super::words;
use crate::report::words::name;

/// `card.md`.
pub fn card_md(plan: &Plan) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = writeln!(
        out,
        "# {}\n\n{}\n",
        escaped(&words::title(plan)),
        words::answer(plan)
    );
    for line in [words::legs(plan), words::heading(plan), words::order(plan)] {
        let _ = writeln!(out, "- {}", escaped(&line));
    }
    let [there, back] = super::card::course_heads(plan);
    let _ = writeln!(
        out,
        "\n| run | {} | part | setting | {there} began | {back} ended | remarks |\n|---|---|---|---|---|---|---|",
        super::card::clock_head(plan)
    );
    for step in &plan.steps {
        let at = words::clock(plan, step.from_s);
        let _ = match step.kind {
            StepKind::SetUp => writeln!(out, "| | {at} | recorder on, 5 min adrift | | | | |"),
            StepKind::Swap { part } => writeln!(
                out,
                "| | {at} | **swap: {}** | | off: | on: | |",
                escaped(&name(plan.part(part)))
            ),
            StepKind::DoubleRun {
                number,
                part,
                setting,
            } => writeln!(
                out,
                "| {number} | {at} | {} | {} | | | |",
                escaped(&name(plan.part(part))),
                words::setting_with_speed(plan, setting)
            ),
        };
    }
    for (heading, lines) in super::card::lists(plan) {
        let _ = writeln!(out, "\n## {heading}\n");
        for line in lines {
            let _ = writeln!(out, "- {}", escaped(&line));
        }
    }
    out
}

/// Text with what Markdown would take for marks made harmless.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(
            c,
            '|' | '*' | '_' | '`' | '<' | '>' | '[' | ']' | '#' | '\\' | '&'
        ) {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
