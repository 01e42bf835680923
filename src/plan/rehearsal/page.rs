//! The rehearsal on a page of its own, in the report's dress.

use maud::{DOCTYPE, html};

use super::tally::Rehearsal;
use super::words;
use crate::plan::Plan;
use crate::plotter::Chart;
use crate::report::table::{Column, Row, Table};
use crate::report::{Head, Numbers, PAGE_STYLE, figure, head, table};

/// `rehearsal.html`.
pub fn rehearsal_html(plan: &Plan, rehearsal: &Rehearsal, chart: &Chart) -> String {
    let title = format!("Rehearsal: {}", crate::plan::words::title(plan));
    let mut numbers = Numbers::default();
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head(Head {
                title: &title,
                style: PAGE_STYLE,
                ..Head::default()
            }))
            body {
                header.masthead {
                    p.kicker { "Would the plan have told?" }
                    h1 { (title) }
                }
                main {
                    section #answer {
                        div.verdict.is-open { p.lead { (words::answer(rehearsal)) } }
                        p.standfirst { (words::conditions(plan, rehearsal)) }
                    }
                    section #power {
                        h2 { "How often a change is shown" }
                        (figure(chart, None, &mut numbers))
                        @for shares in words::shares(rehearsal) { (table(tabled(shares), &mut numbers)) }
                    }
                    section #alter {
                        h2 { "What to alter" }
                        ul {
                            @for line in &rehearsal.advice { li { (line) } }
                            @for line in words::lost_lines(rehearsal) { li { (line) } }
                        }
                    }
                    section #plan {
                        h2 { "The plan" }
                        p { (crate::plan::words::answer(plan)) }
                        p { (crate::plan::words::legs(plan)) }
                        p { (crate::plan::words::order(plan)) }
                    }
                    section #how {
                        h2 { "How it was rehearsed" }
                        p { "Each day a boat of our own making, with thrust, drag, leeway and a heading hold that hunts, runs the plan in a wind with gusts; a recorder keeps its track with the errors receivers have; and the track is read by the same code that reads a real one, once with notes that say when each part was fitted and once without any notes. The boat is the plan’s: speeds, settling distance, windage. A crew that moves, a throttle not set alike and wakes are not in it, so take the figures as the best a day can do." }
                    }
                }
                footer.colophon { p { "Made by thereback " (env!("CARGO_PKG_VERSION")) "." } }
            }
        }
    };
    page.into_string()
}

/// How often each change was shown.
fn tabled(shares: words::Shares) -> Table {
    Table {
        caption: format!(
            "{}: shares of the days. With no change, shown means claimed. {}",
            shares.caption, shares.note
        ),
        columns: shares.heads.map(|head| Column::figure(head, "")).into(),
        rows: shares
            .rows
            .into_iter()
            .map(|row| Row::new(row.into()))
            .collect(),
    }
}
