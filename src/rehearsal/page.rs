//! The rehearsal on a page of its own, in the report's dress.

use maud::{DOCTYPE, PreEscaped, html};

use super::tally::Rehearsal;
use super::words;
use crate::plan::Plan;
use crate::plotter::Chart;
use crate::report::{Head, head};

const STYLE: &str = include_str!("../report/page.css");

/// `rehearsal.html`.
pub fn rehearsal_html(plan: &Plan, rehearsal: &Rehearsal, chart: &Chart) -> String {
    let title = format!("Rehearsal: {}", crate::plan::words::title(plan));
    let drawing = chart
        .svg
        .find("<svg")
        .and_then(|at| chart.svg.get(at..))
        .unwrap_or_default();
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head(Head {
                title: &title,
                style: STYLE,
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
                        h2 { "How often a change is told" }
                        figure {
                            div.scroll tabindex="0" role="region" aria-label=(chart.title) { div.drawing { (PreEscaped(drawing)) } }
                            figcaption { span.number { "Figure\u{a0}1" } " " strong { (chart.title) "." } " " (chart.caption) }
                        }
                        div.tabular {
                            div.scroll tabindex="0" role="region" aria-label="The figures" {
                                table {
                                    caption { span { span.number { "Table\u{a0}1" } " Shares of the days. With no change, told means claimed. The last column is reckoned by the noncentral t distribution with the scatter planned." } }
                                    thead { tr { @for head in words::HEADS { th.figure scope="col" { (head) } } } }
                                    tbody {
                                        @for row in words::rows(rehearsal) {
                                            tr {
                                                @for (place, cell) in row.iter().enumerate() {
                                                    @if place == 0 { th.figure scope="row" { (cell) } } @else { td.figure { (cell) } }
                                                }
                                            }
                                        }
                                    }
                                }
                            }
                        }
                    }
                    section #alter {
                        h2 { "What to alter" }
                        ul {
                            @for line in &rehearsal.advice { li { (line) } }
                            @for lost in &rehearsal.lost { li { "No answer on " (lost.days) " of the days: " (lost.reason) "." } }
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
                        p { "Each day a boat of our own making, with thrust, drag, leeway and a heading hold that hunts, runs the plan in a wind with gusts; a recorder keeps its track with the errors receivers have; and the track is read by the same code that reads a real one, with notes that say when each part was fitted. The boat is the plan’s: speeds, settling distance, windage. A crew that moves, a throttle not set alike and wakes are not in it, so take the figures as the best a day can do." }
                    }
                }
                footer.colophon { p { "Made by thereback " (env!("CARGO_PKG_VERSION")) "." } }
            }
        }
    };
    page.into_string()
}
