//! How the rows of a table stand as cards in a column too narrow for the table.
//!
//! A card is headed by the row's first cell; the others stand below it, label beside value, two abreast
//! where they are short. The style sheet does it; here is settled what stands abreast.

use super::parts::LONGEST_WHOLE;
use crate::report::table::{FIGURE_SPACE, PUNCTUATION_SPACE, Table};

/// What pads a figure so that points stand under one another; cards show figures without it.
pub(super) const PADS: [char; 2] = [FIGURE_SPACE, PUNCTUATION_SPACE];

/// A table of no more rows than this is shown a line a cell: there is room, and it reads best.
const FEW_ROWS: usize = 4;

/// Label and value together up to this length stand abreast of another: half of a column 322 px wide less
/// the space between, in letters of 13 px, 6.7 px wide. Where a font is wider, the value goes below.
const LONGEST_HALF: usize = 22;

/// Where the cells of a column stand on their cards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Place {
    /// What stands before the cell.
    pub(super) label: String,
    /// Whether it takes a line by itself.
    pub(super) broad: bool,
}

/// The places of all columns.
pub(super) fn cards(table: &Table) -> Vec<Place> {
    let places = laid_out(table, false);
    if !is_torn(&places) {
        return places;
    }
    let headed = laid_out(table, true);
    if is_torn(&headed) { places } else { headed }
}

/// Whether a figure and its error, which stands in the column after it, come to stand on two lines.
fn is_torn(places: &[Place]) -> bool {
    let mut right = false;
    places.iter().any(|place| {
        let torn = place.label.starts_with('±') && !place.broad && !right;
        right = !place.broad && !right;
        torn
    })
}

/// The places of all columns, the head of the card on a line by itself or not.
fn laid_out(table: &Table, headed: bool) -> Vec<Place> {
    let few = table.rows.len() <= FEW_ROWS;
    let mut places: Vec<Place> = Vec::with_capacity(table.columns.len());
    // Whether the last place leaves the right half of its line free.
    let mut open = false;
    for (at, column) in table.columns.iter().enumerate() {
        let label = match &column.unit {
            // How a time is written shows by itself.
            Some(unit) if !unit.contains(':') => format!("{} ({unit})", column.title),
            _ => column.title.clone(),
        };
        let cells = table.rows.iter().filter_map(|row| row.cells.get(at));
        let lengths = cells.map(|cell| cell.trim_end_matches(PADS).chars().count());
        // What is long at the end of a card takes its own line there, and no hole comes before it.
        let last = at + 1 == table.columns.len();
        let longest = lengths.filter(|length| !last || *length <= LONGEST_WHOLE);
        let length = label.chars().count() + 1 + longest.max().unwrap_or(0);
        let broad = few || length > LONGEST_HALF || (headed && at == 0);
        if broad && open {
            widen(&mut places);
        }
        open = !broad && !open;
        places.push(Place { label, broad });
    }
    if open {
        widen(&mut places);
    }
    places
}

/// What would stand beside a hole takes the line by itself.
fn widen(places: &mut [Place]) {
    if let Some(last) = places.last_mut() {
        last.broad = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::table::{Column, Row};

    fn broad(rows: usize, cells: &[&str]) -> Vec<bool> {
        let table = Table {
            caption: String::new(),
            columns: cells
                .iter()
                .map(|_| Column::figure("Speed", "kn"))
                .collect(),
            rows: (0..rows)
                .map(|_| Row::new(cells.iter().map(|c| (*c).to_owned()).collect()))
                .collect(),
        };
        let places = cards(&table);
        assert!(places.iter().all(|place| place.label == "Speed (kn)"));
        places.into_iter().map(|place| place.broad).collect()
    }

    #[test]
    fn short_cells_stand_abreast_and_leave_no_hole() {
        let long = "battery in the stern locker";
        assert_eq!(broad(9, &["1", "2", "3"]), [false, false, true]);
        assert_eq!(
            broad(9, &["1", "2", long, "4", "5"]),
            [false, false, true, false, false]
        );
        assert_eq!(broad(9, &["1", long, "3", "4"]), [true, true, false, false]);
        assert_eq!(broad(2, &["1", "2"]), [true, true]);
        assert_eq!(
            broad(
                9,
                &["1.5\u{2007}\u{2007}\u{2007}\u{2007}\u{2007}\u{2007}", "2"]
            ),
            [false, false]
        );
    }
}
