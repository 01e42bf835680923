//! Figures and tables of the page.

use maud::{Markup, PreEscaped, html};

use super::cards::{self, Place};
use crate::plotter::{Chart, Width};
use crate::report::table::{Kind, Row, Table};

/// Tables of this many columns or more may stand wider than the others.
const MANY_COLUMNS: usize = 10;

/// Cells of words up to this length stay on one line.
pub(super) const LONGEST_WHOLE: usize = 18;

/// The running numbers of figures and tables, and what has been said once for all of them.
#[derive(Debug, Default)]
pub(crate) struct Numbers {
    figures: usize,
    tables: usize,
}

impl Numbers {
    fn next_figure(&mut self) -> usize {
        self.figures += 1;
        self.figures
    }

    fn next_table(&mut self) -> usize {
        self.tables += 1;
        self.tables
    }
}

/// Where the figures behind a chart stand as a table.
#[derive(Debug)]
pub(crate) struct Data {
    /// Anchor in the page.
    pub(super) anchor: &'static str,
    /// What the link says.
    pub(super) words: &'static str,
}

/// A chart with its caption below it, which says where its figures stand as a table.
pub(crate) fn figure(chart: &Chart, data: Option<&Data>, numbers: &mut Numbers) -> Markup {
    let number = numbers.next_figure();
    let label = format!("figure-{number}");
    // The first drawing brings the style sheet of all.
    let wide = if number == 1 {
        chart.svg()
    } else {
        chart.inline(Width::Wide)
    };
    let narrow = chart.inline(Width::Narrow);
    html! {
        figure id=(label) {
            // A style sheet shows one of the two, by the width of the column.
            div class="drawing wide" { (PreEscaped(wide)) }
            div class="drawing narrow" { (PreEscaped(narrow)) }
            figcaption {
                span.number { "Figure\u{a0}" (number) }
                " "
                strong id={ (label) "-title" } { (chart.title.trim_end_matches('.')) "." }
                " "
                (chart.caption)
                @if let Some(data) = data {
                    " Its figures stand in "
                    a href={ "#" (data.anchor) } { (data.words) }
                    "."
                }
            }
        }
    }
}

/// A table with its caption above it; the first cell of a row heads the row.
///
/// On a phone each row becomes a card: its labels stand in `data-label`, and the roles are spelt out,
/// because a table that is laid out as something else is no table to a screen reader.
pub(crate) fn table(table: Table, numbers: &mut Numbers) -> Markup {
    let number = numbers.next_table();
    let label = format!("table-{number}");
    let table = table.with_points_aligned();
    let many = table.columns.len() >= MANY_COLUMNS;
    let sorts = table.rows.len() > 1 && table.rows.iter().all(|row| leg_of(row).is_some());
    html! {
        div.scroll.tabular.many-columns[many] tabindex="0" role="region" aria-labelledby=(label) {
            table.sorts[sorts] role="table" {
                caption id=(label) {
                    span {
                        span.number { "Table\u{a0}" (number) }
                        " "
                        (table.caption)
                    }
                }
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in &table.columns {
                            th scope="col" role="columnheader" class=[class(column.kind)] data-order=[(sorts && column.title == "Start").then_some("leg")] {
                                (column.title)
                                @if let Some(unit) = &column.unit {
                                    " " span.unit { (unit) }
                                }
                            }
                        }
                    }
                }
                tbody role="rowgroup" {
                    @let cards = cards::cards(&table);
                    @for row in &table.rows {
                        (self::row(&table, row, &cards))
                    }
                }
            }
        }
    }
}

/// A line of text; what is to be typed as it is as code: what stands in backticks, options, and the
/// headings of notes.
pub(super) fn coded(line: &str) -> Markup {
    html! {
        @for (place, part) in line.split('`').enumerate() {
            @if place % 2 == 1 {
                code { (part) }
            } @else {
                @for (place, word) in part.split(' ').enumerate() {
                    @let typed = typed(word);
                    @if place > 0 { " " }
                    @if !typed.is_empty() { code.typed { (typed) } }
                    (word.strip_prefix(typed).unwrap_or_default())
                }
            }
        }
    }
}

/// The beginning of a word that is an option (`--notes`) or a heading of notes (`[battery]`); empty for others.
fn typed(word: &str) -> &str {
    let heading = word
        .trim_start_matches('[')
        .starts_with(char::is_alphabetic);
    // A longer word may be anyone's text, and it would not break.
    let short = word.len() <= 24;
    if short && (word.starts_with("--") || (word.starts_with('[') && heading)) {
        word.trim_end_matches(['.', ',', ';', ':'])
    } else {
        ""
    }
}

/// A figure with its interval breaks before the bracket, and nowhere else, where the table has no room.
fn breakable(cell: &str) -> String {
    match cell.split_once(" (") {
        Some((figure, rest)) => format!("{figure} ({}", rest.replace(' ', "\u{a0}")),
        None => cell.to_owned(),
    }
}

fn row(table: &Table, row: &Row, cards: &[Place]) -> Markup {
    let cells = table.columns.iter().zip(&row.cells).zip(cards);
    html! {
        tr role="row" id=[row.id.as_deref()] data-leg=[leg_of(row)] class=[row.muted.then_some("muted")] {
            @for (at, ((column, cell), place)) in cells.enumerate() {
                @if at == 0 {
                    th scope="row" role="rowheader" class=[with_breadth(class(column.kind), place)] data-label=(place.label) { (cell) }
                } @else {
                    td role="cell" class=[with_breadth(cell_class(column.kind, cell), place)] data-label=(place.label) {
                        @if column.kind == Kind::Figure {
                            @let figure = cell.trim_end_matches(cards::PADS);
                            (breakable(figure))
                            @if figure.len() < cell.len() {
                                span.pad { (cell.get(figure.len()..).unwrap_or_default()) }
                            }
                        } @else { (cell) }
                    }
                }
            }
        }
    }
}

fn with_breadth(class: Option<&str>, place: &Place) -> Option<String> {
    match (class, place.broad) {
        (Some(class), true) => Some(format!("{class} broad")),
        (Some(class), false) => Some(class.to_owned()),
        (None, true) => Some("broad".to_owned()),
        (None, false) => None,
    }
}

/// The number of the leg a row stands for.
fn leg_of(row: &Row) -> Option<&str> {
    row.id.as_deref()?.strip_prefix("leg-")
}

fn cell_class(kind: Kind, cell: &str) -> Option<&'static str> {
    match cell.chars().count() {
        _ if kind == Kind::Figure && cell.contains(" (") => Some("figure ranged"),
        _ if kind == Kind::Figure => class(kind),
        0..=LONGEST_WHOLE => Some("whole"),
        _ => Some("long"),
    }
}

fn class(kind: Kind) -> Option<&'static str> {
    match kind {
        Kind::Text => None,
        Kind::Figure => Some("figure"),
    }
}
