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

/// A chart with its caption below it.
pub(super) fn figure(chart: &Chart, numbers: &mut Numbers) -> Markup {
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
    html! {
        div.scroll.tabular.short[short].many-columns[many] tabindex="0" role="region" aria-labelledby=(label) {
            table {
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
                            th scope="col" class=[class(column.kind)] {
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

fn row(table: &Table, row: &Row) -> Markup {
    html! {
        tr id=[row.id.as_deref()] class=[row.muted.then_some("muted")] {
            @for (at, (column, cell)) in table.columns.iter().zip(&row.cells).enumerate() {
                @if at == 0 {
                    th scope="row" class=[class(column.kind)] { (cell) }
                } @else {
                    td class=[cell_class(column.kind, cell)] { (cell) }
                }
            }
        }
    }
}

fn cell_class(kind: Kind, cell: &str) -> Option<&'static str> {
    match cell.chars().count() {
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
