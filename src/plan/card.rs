//! The run card: one page to print and write on, without a script and without anything to load.

use maud::{DOCTYPE, Markup, html};

use super::drawn::{Plan, StepKind};
use super::words;
use crate::report::document::{Document, Dress, head};
use crate::report::words::name;

const STYLE: &str = include_str!("card.css");

/// Rows above which the card is set smaller, so that it stays on one page of A4 or Letter.
const MANY_ROWS: usize = 18;
/// And smaller still.
const VERY_MANY_ROWS: usize = 30;

/// `card.html`.
pub fn card_html(plan: &Plan) -> String {
    let title = words::title(plan);
    let class = match plan.steps.len() {
        rows if rows > VERY_MANY_ROWS => "card very-many",
        rows if rows > MANY_ROWS => "card many",
        _ => "card",
    };
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head(
                &Document { title: format!("Run card: {title}"), ..Document::default() },
                &Dress { style: STYLE, script: "", class: "" }
            ))
            body {
                main class=(class) {
                    header {
                        p.kicker { "Run card " span.blank { "Date" } span.blank { "Crew" } span.blank { "Wind" } }
                        h1 { (title) }
                        p.lead { (words::answer(plan)) }
                    }
                    section.how aria-label="How" {
                        ul {
                            li { (words::legs(plan)) }
                            li { (words::heading(plan)) }
                            li { (words::order(plan)) }
                        }
                    }
                    (runs(plan))
                    div.lists {
                        @for (heading, lines) in lists(plan) {
                            section {
                                h2 { (heading) }
                                ul { @for line in lines { li { (line) } } }
                            }
                        }
                    }
                    footer { "Made by thereback " (env!("CARGO_PKG_VERSION")) ". The report finds runs and swaps in the track; this card is for what the track does not show." }
                }
            }
        }
    };
    page.into_string()
}

fn runs(plan: &Plan) -> Markup {
    let [there, back] = course_heads(plan);
    html! {
        div.scroll tabindex="0" role="region" aria-label="The runs in order" {
            table {
                caption { "The runs in order" }
                thead {
                    tr {
                        th scope="col" { "Run" }
                        th scope="col" { (clock_head(plan)) }
                        th scope="col" { "Part" }
                        th scope="col" { "Setting" }
                        th.box scope="col" { (there) " began" }
                        th.box scope="col" { (back) " ended" }
                        th.wide scope="col" { "Remarks" }
                    }
                }
                tbody {
                    @for step in &plan.steps {
                        @let at = words::clock(plan, step.from_s);
                        @match step.kind {
                            StepKind::SetUp => {
                                tr.between { td {} td { (at) } td colspan="2" { "recorder on, 5 min adrift" } td.box {} td.box {} td.wide {} }
                            }
                            StepKind::Swap { part } => {
                                tr.between { td {} td { (at) } td colspan="2" { "swap: " strong { (name(plan.part(part))) } } td.box { span.hint { "off" } } td.box { span.hint { "on" } } td.wide {} }
                            }
                            StepKind::DoubleRun { number, part, setting } => {
                                tr {
                                    th scope="row" { (number) }
                                    td { (at) }
                                    td { (name(plan.part(part))) }
                                    td { (words::setting_with_speed(plan, setting)) }
                                    td.box {} td.box {} td.wide {}
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What the columns of the two legs are called.
pub(super) fn course_heads(plan: &Plan) -> [String; 2] {
    words::courses(plan).map_or_else(
        || ["out".to_owned(), "back".to_owned()],
        |courses| courses.map(|course| course.to_string()),
    )
}

/// What the column of planned times is called.
pub(super) fn clock_head(plan: &Plan) -> &'static str {
    if plan.asked.start.is_some() {
        "planned"
    } else {
        "h:min"
    }
}

/// What stands below the runs.
pub(super) fn lists(plan: &Plan) -> Vec<(&'static str, Vec<String>)> {
    let own = |lines: &[&str]| lines.iter().map(|l| (*l).to_owned()).collect::<Vec<_>>();
    let mut record = own(&[
        "One fix a second, by time and not by distance, with all the decimals it has; check that the track grows before you begin.",
        "Do not stop the recorder between runs or for the swap: the drift while you lie idle tells the wind.",
        "Mark a waypoint at each swap. Write down the setting on the motor's own scale, and who sat where.",
        "A wake, weed on the blade, a throttle touched: write it down and run that double run again.",
    ]);
    record.extend(words::energy(plan));
    vec![
        ("Record", record),
        (
            "Bring",
            own(&[
                "This card and a pencil, the part and its tools, a spare pin and nut, a lanyard on each tool.",
                "Life jackets, engine cut-off, paddle or anchor, a charged phone or radio, water and a warm layer.",
            ]),
        ),
        (
            "Cautions",
            words::cautions().into_iter().map(str::to_owned).collect(),
        ),
        ("What it can tell", words::reach(plan)),
    ]
}
