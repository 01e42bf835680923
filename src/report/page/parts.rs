//! Figures and tables of the page.

use maud::{Markup, PreEscaped, html};

use crate::plotter::Chart;
use crate::report::table::{Kind, Row, Table};

/// Tables of no more rows than this stay on one sheet in print: some half of a Letter page.
const LONGEST_UNBROKEN: usize = 24;

/// Tables of this many columns or more may stand wider than the others.
const MANY_COLUMNS: usize = 10;

/// Cells of words up to this length stay on one line.
const LONGEST_WHOLE: usize = 18;

/// The running numbers of figures and tables.
#[derive(Debug, Default)]
pub(super) struct Numbers {
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
pub(super) struct Data {
    /// Anchor in the page.
    pub(super) anchor: &'static str,
    /// What the link says.
    pub(super) words: &'static str,
}

/// A chart with its caption below it, which says where its figures stand as a table.
pub(super) fn figure(chart: &Chart, data: Option<&Data>, numbers: &mut Numbers) -> Markup {
    let number = numbers.next_figure();
    let label = format!("figure-{number}");
    let drawing = drawing(&chart.svg);
    // A drawing that bears its own text alternative needs none from the page.
    let named = drawing
        .split('>')
        .next()
        .is_some_and(|opening| opening.contains("aria-labelledby"));
    html! {
        figure id=(label) {
            div.scroll tabindex="0" role="region" aria-labelledby={ (label) "-title" } {
                div.drawing role=[(!named).then_some("img")] aria-label=[(!named).then_some(&chart.alt)] {
                    (PreEscaped(drawing))
                }
            }
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

/// The drawing without what may stand before it in a file of its own.
fn drawing(svg: &str) -> &str {
    svg.find("<svg")
        .and_then(|at| svg.get(at..))
        .unwrap_or("")
        .trim_end()
}

/// A table with its caption above it; the first cell of a row heads the row.
pub(super) fn table(table: Table, numbers: &mut Numbers) -> Markup {
    let number = numbers.next_table();
    let label = format!("table-{number}");
    let table = table.with_points_aligned();
    let short = table.rows.len() <= LONGEST_UNBROKEN;
    let many = table.columns.len() >= MANY_COLUMNS;
    let sorts = table.rows.len() > 1 && table.rows.iter().all(|row| leg_of(row).is_some());
    html! {
        div.scroll.tabular.short[short].many-columns[many] tabindex="0" role="region" aria-labelledby=(label) {
            table.sorts[sorts] {
                caption id=(label) {
                    span {
                        span.number { "Table\u{a0}" (number) }
                        " "
                        (table.caption)
                    }
                }
                thead {
                    tr {
                        @for column in &table.columns {
                            th scope="col" class=[class(column.kind)] data-order=[(sorts && column.title == "Start").then_some("leg")] {
                                (column.title)
                                @if let Some(unit) = &column.unit {
                                    " " span.unit { (unit) }
                                }
                            }
                        }
                    }
                }
                tbody {
                    @for row in &table.rows {
                        (self::row(&table, row))
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

fn row(table: &Table, row: &Row) -> Markup {
    html! {
        tr id=[row.id.as_deref()] data-leg=[leg_of(row)] class=[row.muted.then_some("muted")] {
            @for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
                @if at == 0 {
                    th scope="row" class=[class(column.kind)] { (cell) }
                } @else {
                    td class=[cell_class(column.kind, cell)] {
                        @if column.kind == Kind::Figure { (breakable(cell)) } @else { (cell) }
                    }
                }
            }
        }
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
