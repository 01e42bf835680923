//! A table set for a terminal.

use super::{Column, Kind, Row, Table};

impl Table {
    /// The table in plain text: titles broken over lines, units where there are any, a rule, the rows.
    ///
    /// Where two spaces between columns would pass `width`, one stands there.
    pub(crate) fn to_text(&self, width: usize) -> String {
        let body: Vec<Vec<String>> = self.rows.iter().flat_map(|row| self.lines(row)).collect();
        let heads: Vec<Vec<String>> = self
            .columns
            .iter()
            .enumerate()
            .map(|(at, column)| head_lines(column, widest(&body, at)))
            .collect();
        let deepest = heads.iter().map(Vec::len).max().unwrap_or(0);
        let mut lines: Vec<Vec<String>> = (0..deepest)
            .map(|line| {
                heads
                    .iter()
                    // Titles stand on the rule, so short ones begin lower.
                    .map(|head| {
                        (line + head.len())
                            .checked_sub(deepest)
                            .and_then(|at| head.get(at).cloned())
                            .unwrap_or_default()
                    })
                    .collect()
            })
            .collect();
        let widths: Vec<usize> = (0..self.columns.len())
            .map(|at| widest(&lines, at).max(widest(&body, at)))
            .collect();
        lines.push(widths.iter().map(|width| "-".repeat(*width)).collect());
        lines.extend(body);
        let gaps = self.columns.len().saturating_sub(1);
        let roomy = widths.iter().sum::<usize>() + 2 * gaps <= width;
        let gap = if roomy { "  " } else { " " };
        let mut out = String::new();
        for line in &lines {
            self.push_line(&mut out, line, &widths, gap);
        }
        out
    }

    /// A row on as many lines as its longest cell takes: names are broken, never cut.
    fn lines(&self, row: &Row) -> Vec<Vec<String>> {
        let cells: Vec<Vec<String>> = self
            .columns
            .iter()
            .zip(&row.cells)
            .map(|(column, cell)| broken(cell, column.most))
            .collect();
        let deepest = cells.iter().map(Vec::len).max().unwrap_or(0);
        (0..deepest)
            .map(|at| {
                cells
                    .iter()
                    .map(|lines| lines.get(at).cloned().unwrap_or_default())
                    .collect()
            })
            .collect()
    }

    fn push_line(&self, out: &mut String, cells: &[String], widths: &[usize], gap: &str) {
        let mut line = String::new();
        for (at, (column, cell)) in self.columns.iter().zip(cells).enumerate() {
            if at > 0 {
                line.push_str(gap);
            }
            let width = widths.get(at).copied().unwrap_or(0);
            let space = width.saturating_sub(cell.chars().count());
            let padding = std::iter::repeat_n(' ', space);
            match column.kind {
                Kind::Text => {
                    line.push_str(cell);
                    line.extend(padding);
                }
                Kind::Figure => {
                    line.extend(padding);
                    line.push_str(cell);
                }
            }
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

/// A column's title, a line a word where the cells are narrow, and its unit.
fn head_lines(column: &Column, cells: usize) -> Vec<String> {
    let words: Vec<String> = column
        .title
        .split(' ')
        .flat_map(|word| broken(word, column.most))
        .collect();
    let room = words
        .iter()
        .map(|word| word.chars().count())
        .max()
        .unwrap_or(0)
        .max(cells);
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= room => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines.extend(column.unit.clone());
    lines
}

/// A text on lines of at most so many characters, broken at spaces where there are any.
fn broken(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let letters: Vec<char> = word.chars().collect();
        if let Some(line) = lines.last_mut()
            && line.chars().count() + 1 + letters.len() <= most
        {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.extend(
                letters
                    .chunks(most.max(1))
                    .map(|part| part.iter().collect::<String>()),
            );
        }
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

fn widest(rows: &[Vec<String>], at: usize) -> usize {
    rows.iter()
        .filter_map(|row| row.get(at))
        .map(|cell| cell.chars().count())
        .max()
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::super::tests::table;
    use super::broken;

    #[test]
    fn text_is_set_in_columns() {
        let mut table = table();
        table.rows.truncate(2);
        table.columns[1].title = "Speed over ground".to_owned();
        assert_eq!(
            table.to_text(80),
            "     Speed\n      over\n    ground\nLeg      kn  Wind\n---  ------  ----\n1      3.05  –\n2      12.3  –\n"
                .replace("     Speed\n      over\n    ground\n", "      Speed\n       over\n     ground\n")
        );
        assert!(table.to_text(10).contains("1     3.05 –\n"));
    }

    #[test]
    fn names_are_broken_not_cut() {
        assert_eq!(
            broken("battery in the stern locker", 13),
            ["battery in", "the stern", "locker"]
        );
        assert_eq!(broken("Flügelschraube", 7), ["Flügels", "chraube"]);
        assert_eq!(broken("", 7), [""]);
        assert_eq!(broken("–", usize::MAX), ["–"]);
    }

    #[test]
    fn an_empty_table_is_only_its_head() {
        let mut empty = table();
        empty.rows.clear();
        assert_eq!(
            empty.without_unknown_columns().to_text(80).lines().count(),
            3
        );
    }
}
