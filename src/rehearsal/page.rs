//! The rehearsal on a page of its own, in the report's dress.

use maud::{DOCTYPE, PreEscaped, html};

use super::tally::Rehearsal;
use super::words;
use crate::plan::Plan;
use crate::plotter::Chart;
use crate::report::{Head, PAGE_STYLE, head};

/// `rehearsal.html`.
pub fn rehearsal_html(plan: &Plan, rehearsal: &Rehearsal, chart: &Chart) -> String {
    let title = format!("Rehearsal: {}", crate::plan::words::title(plan));
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
                        h2 { "How often a change is told" }
                        figure {
                            div.drawing.wide { (PreEscaped(&chart.svg)) }
                            div.drawing.narrow { (PreEscaped(&chart.narrow)) }
                            figcaption { span.number { "Figure\u{a0}1" } " " strong { (chart.title) "." } " " (chart.caption) }
                        }
                        div.scroll.tabular tabindex="0" role="region" aria-label="The figures" {
                            table role="table" {
                                caption { span { span.number { "Table\u{a0}1" } " Shares of the days. With no change, told means claimed. The last column is reckoned by the noncentral t distribution with the scatter planned." } }
                                thead role="rowgroup" {
                                    tr role="row" { @for head in words::HEADS { th.figure scope="col" role="columnheader" { (head) } } }
                                }
                                tbody role="rowgroup" {
                                    @for row in words::rows(rehearsal) {
                                        tr role="row" {
                                            @for (place, (head, cell)) in words::HEADS.iter().zip(&row).enumerate() {
                                                @if place == 0 {
                                                    th.figure.broad scope="row" role="rowheader" data-label=(head) { (cell) }
                                                } @else {
                                                    td.figure.broad role="cell" data-label=(head) { (cell) }
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
