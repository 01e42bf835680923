//! A document as a page: one file that needs nothing else, neither network nor script.
//!
//! Text is escaped by the template engine; only the style sheet, the script and the charts' drawings
//! go in as they are. A content security policy forbids loading anything and every script but the
//! page's own (named by its hash), should a drawing ever carry either.

use base64::prelude::{BASE64_STANDARD, Engine as _};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::{
    Column, Document, Figure, Kind, ListKind, Look, Part, Picture, Row, Section, Span, Table, Text,
    Tone,
};
use crate::plotter::style_sheet;

/// Tables of this many columns or more may be wider than the others.
const MANY_COLUMNS: usize = 10;

/// Cells of words up to this length stay on one line.
const LONGEST_WHOLE: usize = 18;

/// How a page is dressed.
#[derive(Debug, Clone, Copy)]
pub struct Dress {
    /// Its style sheet.
    pub style: &'static str,
    /// Its script; none where empty.
    pub script: &'static str,
    /// Classes of the element `body`, for the style sheet.
    pub class: &'static str,
}

impl Dress {
    /// The report's.
    pub const REPORT: Self = Self {
        style: concat!(
            include_str!("page.css"),
            include_str!("page_small.css"),
            include_str!("page_print.css"),
        ),
        script: include_str!("page.js"),
        class: "",
    };
}

impl Document {
    /// The whole page.
    pub fn to_html(&self, dress: &Dress) -> String {
        let mut numbers = Numbers::default();
        html! {
            (DOCTYPE)
            html lang="en" {
                (head(self, dress))
                body class=[(!dress.class.is_empty()).then_some(dress.class)] {
                    a.skip href="#main" { "Skip to the text" }
                    header.masthead {
                        @if !self.kicker.is_empty() { p.kicker { (spans(&self.kicker)) } }
                        h1 { (self.title) }
                    }
                    main #main { (parts(&self.parts, &mut numbers)) }
                    @if !self.colophon.is_empty() {
                        footer.colophon { p { (spans(&self.colophon)) } }
                    }
                    @if !dress.script.is_empty() { script { (PreEscaped(dress.script)) } }
                }
            }
        }
        .into_string()
    }
}

/// The element `head`: nothing to load, and no script but one whose hash it names.
pub(crate) fn head(document: &Document, dress: &Dress) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta http-equiv="Content-Security-Policy" content=(policy(dress.script));
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            meta name="generator" content="thereback";
            @if !document.description.is_empty() {
                meta name="description" content=(document.description);
            }
            title { (document.title) }
            style {
                (PreEscaped(dress.style))
                @if has_figure(&document.parts) { (PreEscaped(style_sheet())) }
            }
        }
    }
}

fn has_figure(parts: &[Part]) -> bool {
    parts.iter().any(|part| match part {
        Part::Figure(_) => true,
        Part::Folded(section) => has_figure(&section.parts),
        _ => false,
    })
}

/// No network: only the page's own styles, pictures within it and its own script.
fn policy(script: &str) -> String {
    let script = if script.is_empty() {
        String::new()
    } else {
        let hash = BASE64_STANDARD.encode(Sha256::digest(script));
        format!("script-src 'sha256-{hash}'; ")
    };
    format!(
        "default-src 'none'; style-src 'unsafe-inline'; {script}img-src data:; base-uri 'none'; form-action 'none'"
    )
}

/// The running numbers of figures and tables.
#[derive(Default)]
struct Numbers {
    figures: usize,
    tables: usize,
}

fn next(number: &mut usize) -> usize {
    *number += 1;
    *number
}

fn parts(parts: &[Part], numbers: &mut Numbers) -> Markup {
    html! { @for part in parts { (one(part, numbers)) } }
}

fn one(part: &Part, numbers: &mut Numbers) -> Markup {
    match part {
        Part::Answer { tone, text } => html! {
            div.verdict.(tone_class(*tone)) { p.lead { (spans(text)) } }
        },
        Part::Heading(words) => html! { h2 { (words) } },
        Part::Subheading(words) => html! { h3 { (words) } },
        Part::Paragraph(text) => html! { p { (spans(text)) } },
        Part::List(ListKind::Steps, items) => {
            html! { ol { @for item in items { li { (spans(item)) } } } }
        }
        Part::List(kind, items) => html! {
            ul.checks[*kind == ListKind::Checks] { @for item in items { li { (spans(item)) } } }
        },
        Part::Facts(facts) => html! {
            dl.facts { @for (what, text) in facts { div { dt { (what) } dd { (spans(text)) } } } }
        },
        Part::Figure(figure) => self::figure(figure, next(&mut numbers.figures)),
        Part::Picture(picture) => self::picture(picture),
        Part::Table(table) => self::table(table, next(&mut numbers.tables)),
        Part::Note(text) => html! { p.note { (spans(text)) } },
        Part::Caution(text) => html! { p.caution { strong { "Caution: " } (spans(text)) } },
        Part::Blanks(words) => html! {
            p.blanks { @for word in words { span.blank { (word) } " " } }
        },
        Part::Folded(section) => folded(section, numbers),
    }
}

fn folded(section: &Section, numbers: &mut Numbers) -> Markup {
    html! {
        details id=(section.id) {
            summary { h2 { (section.title) } }
            div.folded { (parts(&section.parts, numbers)) }
        }
    }
}

/// Colour follows the tone; the words say it too.
fn tone_class(tone: Tone) -> &'static str {
    match tone {
        Tone::Faster => "is-faster",
        Tone::Slower => "is-slower",
        Tone::NotShown => "is-not-shown",
        Tone::Open => "is-open",
    }
}

fn spans(text: &Text) -> Markup {
    html! {
        @for span in &text.0 {
            @match span {
                Span::Plain(words) => (words),
                Span::Strong(words) => strong { (words) },
                Span::Code(words) => code { (words) },
            }
        }
    }
}

/// A chart with its caption below it; where it is drawn for a phone too, a style sheet shows one of
/// the two by the width of the column.
fn figure(figure: &Figure, number: usize) -> Markup {
    let label = format!("figure-{number}");
    let boxed = |class: &str, drawing: &str| {
        html! { div class={ "drawing" (class) } { (PreEscaped(drawing)) } }
    };
    html! {
        figure id=(label) {
            @if figure.narrow.is_empty() {
                div.scroll tabindex="0" role="region" aria-labelledby={ (label) "-title" } {
                    (boxed("", &figure.wide))
                }
            } @else {
                (boxed(" wide", &figure.wide))
                (boxed(" narrow", &figure.narrow))
            }
            figcaption {
                span.number { "Figure\u{a0}" (number) }
                " "
                strong id={ (label) "-title" } { (figure.title.trim_end_matches('.')) "." }
                " "
                (figure.caption)
            }
        }
    }
}

fn picture(picture: &Picture) -> Markup {
    let data = BASE64_STANDARD.encode(&picture.bytes);
    html! {
        figure.picture {
            img src={ "data:" (picture.media_type) ";base64," (data) } alt=(picture.caption);
            figcaption { (picture.caption) }
        }
    }
}

/// A table with its caption above it; the first cell of a row heads the row.
///
/// On a phone each row becomes a card: its labels stand in `data-label`, and the roles are spelt out,
/// because a table that is laid out as something else is no table to a screen reader.
fn table(table: &Table, number: usize) -> Markup {
    let label = format!("table-{number}");
    let many = table.columns.len() >= MANY_COLUMNS;
    let sorts = table.rows.len() > 1 && table.rows.iter().all(|row| row.leg.is_some());
    html! {
        div.scroll.tabular.many-columns[many] tabindex="0" role="region" aria-labelledby=(label) {
            table.sorts[sorts] role="table" {
                caption id=(label) {
                    span { span.number { "Table\u{a0}" (number) } " " (table.caption) }
                }
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in &table.columns {
                            th scope="col" role="columnheader" class=[head_class(column)] data-order=[(column.kind == Kind::Times).then_some("leg")] {
                                (column.title)
                                @if let Some(unit) = &column.unit { " " span.unit { (unit) } }
                            }
                        }
                    }
                }
                tbody role="rowgroup" { @for row in &table.rows { (self::row(table, row)) } }
            }
        }
    }
}

fn row(table: &Table, row: &Row) -> Markup {
    let id = row.leg.map(|leg| format!("leg-{leg}"));
    let look = match row.look {
        Look::Plain => None,
        Look::Muted => Some("muted"),
        Look::Between => Some("between"),
    };
    html! {
        tr role="row" id=[id] data-leg=[row.leg] class=[look] {
            @for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
                @let shown = column.shown(cell, false);
                @let label = self::label(column);
                // A heading without words would head nothing.
                @if at == 0 && *cell != super::Cell::Empty {
                    th scope="row" role="rowheader" class=[head_class(column)] data-label=(label) { (shown) }
                } @else {
                    td role="cell" class=(cell_class(column, &shown)) data-label=(label) { (shown) }
                }
            }
        }
    }
}

/// What is before a cell on a phone.
fn label(column: &Column) -> String {
    match &column.unit {
        Some(unit) => format!("{} ({unit})", column.title),
        None => column.title.clone(),
    }
}

fn head_class(column: &Column) -> Option<&'static str> {
    match column.kind {
        Kind::Words | Kind::Times => None,
        Kind::Figures { .. } => Some("figure"),
        Kind::Blank => Some("box"),
    }
}

fn cell_class(column: &Column, shown: &str) -> &'static str {
    match head_class(column) {
        Some(class) => class,
        None if shown.chars().count() <= LONGEST_WHOLE => "whole",
        None => "long",
    }
}
