//! A table of finished text, set for a terminal here and as HTML by the page.

mod terminal;

use super::rounding::UNKNOWN;

/// A figure space, as wide as a digit.
pub(crate) const FIGURE_SPACE: char = '\u{2007}';
/// A punctuation space, as wide as a decimal point.
pub(crate) const PUNCTUATION_SPACE: char = '\u{2008}';

/// Rows of cells under columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Table {
    /// What it shows, a sentence or less.
    pub(crate) caption: String,
    /// The columns; the first names the row.
    pub(crate) columns: Vec<Column>,
    /// The rows; each has one cell for each column.
    pub(crate) rows: Vec<Row>,
}

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Column {
    /// Its title.
    pub(crate) title: String,
    /// The unit of its figures.
    pub(crate) unit: Option<String>,
    /// How its cells are set.
    pub(crate) kind: Kind,
    /// Widest it may become in a terminal, characters.
    pub(crate) most: usize,
}

/// How cells of a column are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Words, from the left.
    Text,
    /// Figures, decimal point under decimal point.
    Figure,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Row {
    /// A name for links, unique in the write-up: `leg-3`.
    pub(crate) id: Option<String>,
    /// Finished text, one a column.
    pub(crate) cells: Vec<String>,
    /// Whether the row stands back because it does not count.
    pub(crate) muted: bool,
}

impl Column {
    /// A column of words.
    pub(crate) fn text(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            unit: None,
            kind: Kind::Text,
            most: usize::MAX,
        }
    }

    /// A column of figures.
    pub(crate) fn figure(title: &str, unit: &str) -> Self {
        Self {
            title: title.to_owned(),
            unit: (!unit.is_empty()).then(|| unit.to_owned()),
            kind: Kind::Figure,
            most: usize::MAX,
        }
    }

    /// The same, no wider than this in a terminal.
    #[must_use]
    pub(crate) fn at_most(mut self, characters: usize) -> Self {
        self.most = characters;
        self
    }
}

impl Row {
    /// A row that counts, without a name for links.
    pub(crate) fn new(cells: Vec<String>) -> Self {
        Self {
            id: None,
            cells,
            muted: false,
        }
    }
}

impl Table {
    /// Leaves out columns in which nothing is known.
    #[must_use]
    pub(crate) fn without_unknown_columns(mut self) -> Self {
        if self.rows.is_empty() {
            return self;
        }
        let known: Vec<bool> = (0..self.columns.len())
            .map(|at| {
                at == 0
                    || self
                        .rows
                        .iter()
                        .filter_map(|row| row.cells.get(at))
                        .any(|cell| !cell.is_empty() && cell != UNKNOWN)
            })
            .collect();
        keep(&mut self.columns, &known);
        for row in &mut self.rows {
            keep(&mut row.cells, &known);
        }
        self
    }

    /// Leaves out what stands in brackets behind a figure, and the caption's word of it.
    #[must_use]
    pub(crate) fn without_brackets(mut self) -> Self {
        let before = |text: &str, mark: &str| text.split(mark).next().unwrap_or("").to_owned();
        self.caption = before(&self.caption, ", with 95");
        self.caption = before(&self.caption, " with 95");
        for row in &mut self.rows {
            for (column, cell) in self.columns.iter().zip(&mut row.cells) {
                if column.kind == Kind::Figure {
                    *cell = before(cell, " (");
                }
            }
        }
        self
    }

    /// Pads figures with spaces of a digit's width, so that their points stand under one another
    /// when the column is set from the right in tabular figures.
    #[must_use]
    pub(crate) fn with_points_aligned(mut self) -> Self {
        for at in 0..self.columns.len() {
            if self.columns.get(at).is_none_or(|c| c.kind != Kind::Figure) {
                continue;
            }
            let most = self
                .rows
                .iter()
                .filter_map(|row| row.cells.get(at).and_then(|cell| tail_of(cell)))
                .max()
                .unwrap_or(0);
            for row in &mut self.rows {
                if let Some(cell) = row.cells.get_mut(at)
                    && let Some(tail) = tail_of(cell)
                {
                    if tail == 0 && most > 0 {
                        cell.push(PUNCTUATION_SPACE);
                    }
                    let missing = most.saturating_sub(tail.max(1)).min(most);
                    let missing = if tail == 0 && most > 0 {
                        most - 1
                    } else {
                        missing
                    };
                    cell.extend(std::iter::repeat_n(FIGURE_SPACE, missing));
                }
            }
        }
        self
    }
}

/// How many characters of a figure stand from its decimal point on; `None` for what is not one figure.
fn tail_of(cell: &str) -> Option<usize> {
    let figure = cell
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '+' | '−' | '<' | ','));
    (figure && !cell.is_empty()).then(|| cell.find('.').map_or(0, |at| cell.len() - at))
}

fn keep<T>(items: &mut Vec<T>, known: &[bool]) {
    let mut flags = known.iter();
    items.retain(|_| flags.next().copied().unwrap_or(true));
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(super) fn table() -> Table {
        Table {
            caption: "Speeds".to_owned(),
            columns: vec![
                Column::text("Leg"),
                Column::figure("Speed", "kn"),
                Column::text("Wind"),
            ],
            rows: vec![
                Row::new(vec!["1".into(), "3.05".into(), UNKNOWN.into()]),
                Row::new(vec!["2".into(), "12.3".into(), UNKNOWN.into()]),
                Row::new(vec!["3".into(), "7".into(), String::new()]),
            ],
        }
    }

    #[test]
    fn unknown_columns_go() {
        let table = table().without_unknown_columns();
        assert_eq!(table.columns.len(), 2);
        assert!(table.rows.iter().all(|row| row.cells.len() == 2));
    }

    #[test]
    fn points_stand_under_one_another() {
        let aligned = table().with_points_aligned();
        let cells: Vec<&str> = aligned.rows.iter().map(|r| r.cells[1].as_str()).collect();
        assert_eq!(cells, ["3.05", "12.3\u{2007}", "7\u{2008}\u{2007}\u{2007}"]);
    }
}
