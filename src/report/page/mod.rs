//! The page: one file that needs nothing else, neither network nor script.
//!
//! Text is escaped by the template engine; only the style sheet and the charts'
//! drawings go in as they are. A content security policy in the head forbids
//! loading anything and every script but the page's own (told by its hash),
//! should a drawing ever carry either.

mod cards;
mod head;
mod parts;
mod prose;
mod sections;

use maud::{DOCTYPE, Markup, PreEscaped, html};

pub(crate) use self::head::{Head, head};
pub(crate) use self::parts::{Numbers, figure, table};
use super::words;
use crate::compare::Verdict;
use crate::plotter::Chart;
use crate::trial::Trial;

/// The style sheet of a page.
pub(crate) const STYLE: &str = concat!(
    include_str!("../page.css"),
    include_str!("../page_small.css"),
    include_str!("../page_print.css"),
);

/// Shows a leg in table and charts together and sorts the legs; nothing needs it.
const SCRIPT: &str = include_str!("../page.js");

/// One section of the page.
struct Section {
    /// Anchor.
    id: &'static str,
    title: &'static str,
    body: Markup,
}

/// `report.html`.
pub fn report_html(analysis: &Trial, charts: &[Chart]) -> String {
    let title = words::title(analysis);
    let sections = sections(analysis, charts);
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(Head {
                title: &title,
                description: &first_sentence(analysis),
                style: STYLE,
                script: SCRIPT,
            }))
            body {
                a.skip href="#answer" { "Skip to the answer" }
                header.masthead {
                    p.kicker { (words::day_line(analysis)) }
                    h1 { (title) }
                }
                main {
                    (answer(analysis))
                    (contents(&sections))
                    @for section in &sections {
                        section id=(section.id) aria-labelledby={ "about-" (section.id) } {
                            h2 id={ "about-" (section.id) } { (section.title) }
                            (section.body)
                        }
                    }
                }
                footer.colophon {
                    p {
                        "Made by thereback " (env!("CARGO_PKG_VERSION")) " from the recorded track alone. "
                        "Every figure here, unrounded and with the thresholds in force, stands in result.json beside this page."
                    }
                }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
}

fn sections(analysis: &Trial, charts: &[Chart]) -> Vec<Section> {
    let mut numbers = Numbers::default();
    let placed = sections::Placed::of(charts);
    [
        sections::comparison(analysis, &placed, &mut numbers),
        sections::gain(analysis, &placed, &mut numbers),
        prose::next_time(analysis),
        sections::days(analysis, &placed, &mut numbers),
        sections::track(analysis, &placed, &mut numbers),
        sections::time(analysis, &placed, &mut numbers),
        sections::heading(analysis, &placed, &mut numbers),
        sections::double_runs(analysis, &mut numbers),
        sections::legs(analysis, &mut numbers),
        sections::more(analysis, &placed, &mut numbers),
        Some(prose::method(analysis)),
        prose::warnings(analysis),
        prose::data(analysis),
        Some(prose::cautions()),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn first_sentence(analysis: &Trial) -> String {
    words::answers(analysis)
        .first()
        .map_or_else(String::new, words::Answer::sentence)
}

fn answer(analysis: &Trial) -> Markup {
    let answers = words::answers(analysis);
    let warnings = words::warnings(analysis).len();
    html! {
        section.answer #answer aria-label="The answer" {
            @for answer in &answers {
                div.verdict.(verdict_class(answer.verdict)) {
                    p.lead { strong { (answer.claim) } (answer.rest) }
                    @if let Some(remark) = &answer.remark {
                        p.remark { (remark) }
                    }
                }
            }
            p.standfirst { (words::found(analysis)) " " (words::wind(analysis)) }
            @for doubts in words::doubts(analysis) { p.standfirst { (doubts) } }
            @if let Some(standing) = words::standing(analysis) {
                p.standfirst { (standing) }
            }
            @if warnings > 0 {
                p.heed {
                    a href="#warnings" {
                        (words::counted(warnings, "warning", "warnings"))
                        " to read with this"
                    }
                    "."
                }
            }
        }
    }
}

/// Colour follows the verdict; the words say it too.
fn verdict_class(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Faster) => "is-faster",
        Some(Verdict::Slower) => "is-slower",
        Some(Verdict::NotShown | Verdict::NoLargerDifference) => "is-not-shown",
        Some(Verdict::TooFewRuns) | None => "is-open",
    }
}

fn contents(sections: &[Section]) -> Markup {
    html! {
        nav.contents aria-label="Contents" {
            ol {
                @for section in sections {
                    li { a href={ "#" (section.id) } { (section.title) } }
                }
            }
        }
    }
}
