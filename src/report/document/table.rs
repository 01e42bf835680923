//! A table of typed cells: every column has one unit and one number of decimals.

use crate::report::rounding::{NO_BREAK_SPACE, UNKNOWN, fixed, signed};

/// Rows of cells under columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// What it shows, a sentence or less.
    pub caption: String,
    /// The columns; the first names the row.
    pub columns: Vec<Column>,
    /// The rows; each has one cell for each column.
    pub rows: Vec<Row>,
}

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its title.
    pub title: String,
    /// The unit of its figures.
    pub unit: Option<String>,
    /// What its cells hold.
    pub kind: Kind,
}

/// What the cells of a column hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words, from the left.
    Words,
    /// Times of day, in the order of the rows.
    Times,
    /// Figures, decimal point under decimal point.
    Figures {
        /// Decimals of every figure.
        decimals: usize,
        /// Whether what is above zero has a plus sign.
        signed: bool,
    },
    /// Room to write in.
    Blank,
}

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Words, or a figure that is set already, such as `1:05`.
    Words(String),
    /// A figure.
    Figure(f64),
    /// From one figure to another.
    Range(f64, f64),
    /// A figure with its interval.
    Estimate(f64, [f64; 2]),
    /// Not known.
    Unknown,
    /// Nothing belongs here, or something is to be written here.
    Empty,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// The leg it stands for: page and charts show it together.
    pub leg: Option<usize>,
    /// One cell a column.
    pub cells: Vec<Cell>,
    /// How it is set.
    pub look: Look,
}

/// How a row is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Look {
    /// Like any other.
    #[default]
    Plain,
    /// Quieter, because it does not count.
    Muted,
    /// As a step between others: a swap, a break.
    Between,
}

impl Column {
    /// A column of words.
    pub fn words(title: &str) -> Self {
        Self::of(title, "", Kind::Words)
    }

    /// A column of times of day.
    pub fn times(title: &str) -> Self {
        Self::of(title, "", Kind::Times)
    }

    /// A column to write in.
    pub fn blank(title: &str, unit: &str) -> Self {
        Self::of(title, unit, Kind::Blank)
    }

    /// A column of figures; the unit may be empty.
    pub fn figures(title: &str, unit: &str, decimals: usize) -> Self {
        let signed = false;
        Self::of(title, unit, Kind::Figures { decimals, signed })
    }

    /// The same with a plus sign before what is above zero.
    pub fn changes(title: &str, unit: &str, decimals: usize) -> Self {
        let signed = true;
        Self::of(title, unit, Kind::Figures { decimals, signed })
    }

    fn of(title: &str, unit: &str, kind: Kind) -> Self {
        Self {
            title: title.to_owned(),
            unit: (!unit.is_empty()).then(|| unit.to_owned()),
            kind,
        }
    }

    /// Whether its cells stand from the right.
    pub(super) fn is_figures(&self) -> bool {
        matches!(self.kind, Kind::Figures { .. })
    }

    /// A cell as it is read; `brief` leaves out the interval of an estimate.
    pub(super) fn shown(&self, cell: &Cell, brief: bool) -> String {
        let figure = |value: f64| match self.kind {
            Kind::Figures { decimals, signed } if signed => self::signed(value, decimals),
            Kind::Figures { decimals, .. } => fixed(value, decimals),
            _ => fixed(value, 0),
        };
        let s = NO_BREAK_SPACE;
        let range = |[low, high]: [f64; 2]| format!("{}{s}to{s}{}", figure(low), figure(high));
        match cell {
            Cell::Words(words) => words.clone(),
            Cell::Figure(value) => figure(*value),
            Cell::Range(low, high) => range([*low, *high]),
            Cell::Estimate(value, _) if brief => figure(*value),
            Cell::Estimate(value, ends) => format!("{} ({})", figure(*value), range(*ends)),
            Cell::Unknown => UNKNOWN.to_owned(),
            Cell::Empty => String::new(),
        }
    }
}

impl Cell {
    /// A figure where there is one.
    pub fn figure(value: Option<f64>) -> Self {
        value
            .filter(|v| v.is_finite())
            .map_or(Self::Unknown, Self::Figure)
    }

    /// A range where both ends are known.
    pub fn range(low: Option<f64>, high: Option<f64>) -> Self {
        match (low, high) {
            (Some(low), Some(high)) if low.is_finite() && high.is_finite() => {
                Self::Range(low, high)
            }
            _ => Self::Unknown,
        }
    }

    /// Words where there are some.
    pub fn words(words: Option<impl Into<String>>) -> Self {
        words.map_or(Self::Unknown, |words| Self::Words(words.into()))
    }

    /// A whole number.
    pub fn count(number: usize) -> Self {
        Self::Words(number.to_string())
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(words: T) -> Self {
        Self::Words(words.into())
    }
}

impl Row {
    /// A row that counts.
    pub fn new(cells: Vec<Cell>) -> Self {
        Self {
            cells,
            ..Self::default()
        }
    }
}

type CellOf<'a, T> = Box<dyn Fn(&T) -> Cell + 'a>;

/// A table as it is put together: for each column its head and what is under it.
pub struct Columns<'a, T>(Vec<(Column, CellOf<'a, T>)>);

impl<T> Default for Columns<'_, T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<'a, T> Columns<'a, T> {
    /// A further column.
    pub fn put(&mut self, column: Column, cell: impl Fn(&T) -> Cell + 'a) {
        self.0.push((column, Box::new(cell)));
    }

    /// The table.
    pub fn table<'t>(self, caption: &str, rows: impl IntoIterator<Item = &'t T>) -> Table
    where
        T: 't,
    {
        let row = |row: &T| Row::new(self.0.iter().map(|(_, cell)| cell(row)).collect());
        Table {
            caption: caption.to_owned(),
            rows: rows.into_iter().map(row).collect(),
            columns: self.0.iter().map(|(column, _)| column.clone()).collect(),
        }
    }
}

impl Table {
    /// Leaves out columns that say nothing: nothing known in them, or the same words in every row of several.
    /// The first column stays, and so does room to write in.
    #[must_use]
    pub fn without_idle_columns(self) -> Self {
        let several = self.rows.len() > 1;
        self.without(|at, cells| at > 0 && (is_unknown(cells) || (several && is_constant(cells))))
    }

    /// Leaves out columns in which nothing is known.
    #[must_use]
    pub fn without_unknown_columns(self) -> Self {
        self.without(|at, cells| at > 0 && is_unknown(cells))
    }

    /// Leaves out the first column: the second then names the row.
    #[must_use]
    pub fn without_first_column(self) -> Self {
        self.without(|at, _| at == 0)
    }

    fn without(mut self, goes: impl Fn(usize, &[&Cell]) -> bool) -> Self {
        let stays = |(at, column): (usize, &Column)| {
            let cells: Vec<&Cell> = self
                .rows
                .iter()
                .filter_map(|row| row.cells.get(at))
                .collect();
            column.kind == Kind::Blank || !goes(at, &cells)
        };
        let kept: Vec<bool> = self.columns.iter().enumerate().map(stays).collect();
        keep(&mut self.columns, &kept);
        for row in &mut self.rows {
            keep(&mut row.cells, &kept);
        }
        self
    }
}

fn is_unknown(cells: &[&Cell]) -> bool {
    let unknown = |cell: &&Cell| matches!(cell, Cell::Unknown | Cell::Empty);
    !cells.is_empty() && cells.iter().all(unknown)
}

fn is_constant(cells: &[&Cell]) -> bool {
    let mut pairs = cells.windows(2);
    pairs.all(|pair| matches!(pair, [Cell::Words(one), Cell::Words(next)] if one == next))
}

fn keep<T>(items: &mut Vec<T>, kept: &[bool]) {
    let mut kept = kept.iter();
    items.retain(|_| kept.next().copied().unwrap_or(true));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_of_a_column_has_its_decimals() {
        let column = Column::changes("Change", "%", 1);
        assert_eq!(column.shown(&Cell::Figure(4.0), false), "+4.0");
        let estimate = Cell::Estimate(3.0, [-0.5, 6.25]);
        assert_eq!(
            column.shown(&estimate, false),
            "+3.0 (−0.5\u{a0}to\u{a0}+6.2)"
        );
        assert_eq!(column.shown(&estimate, true), "+3.0");
    }

    #[test]
    fn columns_that_say_nothing_go() {
        let row = |leg: &str, speed: f64| {
            let cells = vec![leg.into(), "1".into(), Cell::Figure(speed), Cell::Unknown];
            Row::new([cells, vec![Cell::Empty]].concat())
        };
        let table = Table {
            caption: String::new(),
            columns: vec![
                Column::words("Leg"),
                Column::words("Setting"),
                Column::figures("Speed", "kn", 2),
                Column::words("Wind"),
                Column::blank("Remarks", ""),
            ],
            rows: vec![row("1", 2.5), row("2", 3.5)],
        };
        let titles: Vec<String> = table
            .without_idle_columns()
            .columns
            .into_iter()
            .map(|column| column.title)
            .collect();
        assert_eq!(titles, ["Leg", "Speed", "Remarks"]);
    }
}
