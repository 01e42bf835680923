//! A document as plain text, for a terminal.
//!
//! Figures and what is folded on a page are left out.

use std::fmt::Write as _;

use super::{Column, Document, Kind, ListKind, Part, Table};
use crate::report::rounding::NO_BREAK_SPACE;

/// Columns of words are broken no narrower than this.
const NARROWEST: usize = 7;

impl Document {
    /// The whole text; no line is longer than `width` characters unless a single word or figure is.
    pub fn to_text(&self, width: usize) -> String {
        let mut out = String::new();
        push(&mut out, &self.title, "", width);
        if !self.kicker.is_empty() {
            push(&mut out, &self.kicker.to_plain(), "", width);
        }
        out.push('\n');
        let mut is_open = true;
        for part in &self.parts {
            let before = out.len();
            // Paragraphs follow one another closely; what is not one is set off.
            let close = matches!(part, Part::Paragraph(_));
            if !(close && is_open || out.ends_with("\n\n")) {
                out.push('\n');
            }
            let length = out.len();
            push_part(&mut out, part, width);
            if out.len() == length {
                out.truncate(before);
            } else {
                is_open = matches!(
                    part,
                    Part::Paragraph(_) | Part::Heading(_) | Part::Subheading(_)
                );
            }
        }
        if !self.colophon.is_empty() {
            out.push('\n');
            push(&mut out, &self.colophon.to_plain(), "", width);
        }
        out
    }
}

fn push_part(out: &mut String, part: &Part, width: usize) {
    match part {
        Part::Answer { text, .. } | Part::Paragraph(text) | Part::Note(text) => {
            push(out, &text.to_plain(), "", width);
        }
        Part::Caution(text) => push(out, &format!("Caution: {}", text.to_plain()), "", width),
        Part::Heading(words) | Part::Subheading(words) => push(out, words, "", width),
        Part::List(kind, items) => {
            for (at, item) in items.iter().enumerate() {
                let mark = match kind {
                    ListKind::Bullets => "- ".to_owned(),
                    ListKind::Steps => format!("{}. ", at + 1),
                    ListKind::Checks => "[ ] ".to_owned(),
                };
                push(out, &item.to_plain(), &mark, width);
            }
        }
        Part::Facts(facts) => {
            for (what, text) in facts {
                push(out, &format!("{what}: {}", text.to_plain()), "", width);
            }
        }
        Part::Table(table) => {
            push(out, &table.caption, "", width);
            out.push('\n');
            out.push_str(&table.to_text(width));
        }
        Part::Blanks(words) => {
            let blanks: Vec<String> = words
                .iter()
                .map(|w| format!("{w}: ______________"))
                .collect();
            push(out, &blanks.join("  "), "", width);
        }
        Part::Figure(_) | Part::Picture(_) | Part::Folded(_) => {}
    }
}

/// One paragraph, broken at spaces; further lines begin below the first word.
pub(in crate::report) fn push(out: &mut String, text: &str, mark: &str, width: usize) {
    let indent = mark.chars().count();
    let lines = broken(text, width.saturating_sub(indent), false);
    for (at, line) in lines.iter().enumerate() {
        if at == 0 {
            out.push_str(mark);
        } else if !line.is_empty() {
            out.extend(std::iter::repeat_n(' ', indent));
        }
        out.push_str(&plain(line));
        out.push('\n');
    }
}

/// No-break spaces held where lines were broken; a terminal shows them as plain ones.
fn plain(line: &str) -> String {
    line.replace(NO_BREAK_SPACE, " ")
}

/// A text on lines of at most so many characters, broken at spaces; `words_too` breaks longer words.
fn broken(text: &str, most: usize, words_too: bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let length = word.chars().count();
        match lines.last_mut() {
            Some(line) if (line.chars().count() + 1).saturating_add(length) <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ if words_too && length > most => {
                let letters: Vec<char> = word.chars().collect();
                lines.extend(
                    letters
                        .chunks(most.max(1))
                        .map(|part| part.iter().collect()),
                );
            }
            _ => lines.push(word.to_owned()),
        }
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

impl Table {
    /// The table in plain text: titles, units, a rule, the rows. Where it is wider than `width`, first
    /// the intervals of estimates go, then columns of words are broken over lines.
    pub fn to_text(&self, width: usize) -> String {
        let full = self.cells_as_text(false);
        let gaps = 2 * self.columns.len().saturating_sub(1);
        let natural = self.widths(&full);
        let cells = if natural.iter().sum::<usize>() + gaps > width {
            self.cells_as_text(true)
        } else {
            full
        };
        let mut widths = self.widths(&cells);
        while widths.iter().sum::<usize>() + gaps > width {
            let words = self
                .columns
                .iter()
                .zip(&mut widths)
                .filter(|(c, _)| c.kind == Kind::Words);
            match words.map(|(_, own)| own).max() {
                Some(own) if *own > NARROWEST => *own -= 1,
                _ => break,
            }
        }
        let head: Vec<Vec<String>> = (self.columns.iter().zip(&widths))
            .map(|(column, own)| head_lines(column, *own))
            .collect();
        let deepest = head.iter().map(Vec::len).max().unwrap_or(0);
        let head = head.into_iter().map(|mut lines| {
            // Titles rest on the rule, so short ones begin lower.
            let missing = deepest - lines.len();
            lines.splice(0..0, std::iter::repeat_n(String::new(), missing));
            lines
        });
        let mut out = String::new();
        self.push_lines(&mut out, &head.collect::<Vec<_>>(), &widths);
        let rule: Vec<Vec<String>> = widths.iter().map(|own| vec!["-".repeat(*own)]).collect();
        self.push_lines(&mut out, &rule, &widths);
        for row in &cells {
            let row = row
                .iter()
                .zip(&widths)
                .map(|(cell, own)| broken(cell, *own, true));
            self.push_lines(&mut out, &row.collect::<Vec<_>>(), &widths);
        }
        out
    }

    fn cells_as_text(&self, brief: bool) -> Vec<Vec<String>> {
        let row = |cells: &[super::Cell]| -> Vec<String> {
            let cells = self.columns.iter().zip(cells);
            cells
                .map(|(column, cell)| plain(&column.shown(cell, brief)))
                .collect()
        };
        self.rows.iter().map(|r| row(&r.cells)).collect()
    }

    /// What each column takes: its longest cell, or the longest word of its title.
    fn widths(&self, cells: &[Vec<String>]) -> Vec<usize> {
        let width = |at: usize, column: &Column| {
            let own = cells
                .iter()
                .filter_map(|row| row.get(at))
                .map(|cell| cell.chars().count());
            let words = column
                .title
                .split([' ', NO_BREAK_SPACE])
                .map(|word| word.chars().count());
            let unit = column.unit.iter().map(|unit| unit.chars().count());
            own.chain(words).chain(unit).max().unwrap_or(0)
        };
        (self.columns.iter().enumerate())
            .map(|(at, column)| width(at, column))
            .collect()
    }

    /// Cells of one row, each on as many lines as it takes.
    fn push_lines(&self, out: &mut String, cells: &[Vec<String>], widths: &[usize]) {
        let deepest = cells.iter().map(Vec::len).max().unwrap_or(0);
        for at in 0..deepest {
            let mut line = String::new();
            for ((column, lines), width) in self.columns.iter().zip(cells).zip(widths) {
                let cell = lines.get(at).map_or("", String::as_str);
                if column.is_figures() {
                    let _ = write!(line, "{cell:>width$}  ");
                } else {
                    let _ = write!(line, "{cell:<width$}  ");
                }
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
}

fn head_lines(column: &Column, width: usize) -> Vec<String> {
    let mut lines = broken(&plain(&column.title), width, true);
    lines.extend(column.unit.clone());
    lines
}

#[cfg(test)]
mod tests {
    use super::super::{Cell, Row};
    use super::*;

    fn table() -> Table {
        let row = |leg: &str, speed, wind: &str| {
            Row::new(vec![leg.into(), Cell::Figure(speed), wind.into()])
        };
        Table {
            caption: "Speeds".to_owned(),
            columns: vec![
                Column::words("Leg"),
                Column::figures("Speed over ground", "kn", 2),
                Column::words("Wind"),
            ],
            rows: vec![
                row("1", 3.05, "ahead"),
                row("2", 12.3, "on the starboard quarter"),
            ],
        }
    }

    #[test]
    fn text_is_set_in_columns() {
        assert_eq!(
            table().to_text(80),
            "      Speed\n       over\n     ground\nLeg      kn  Wind\n---  ------  ------------------------\n1      3.05  ahead\n2     12.30  on the starboard quarter\n"
        );
        assert!(
            table()
                .to_text(30)
                .lines()
                .all(|line| line.chars().count() <= 30)
        );
    }

    #[test]
    fn paragraphs_break_at_spaces_only() {
        let mut out = String::new();
        push(&mut out, &"12\u{a0}kn ".repeat(30), "- ", 80);
        assert!(
            out.lines()
                .all(|line| line.chars().count() <= 80 && line.ends_with("kn"))
        );
        assert!(out.lines().skip(1).all(|line| line.starts_with("  12 ")));
        let long = format!("a {} b", "x".repeat(100));
        let mut out = String::new();
        push(&mut out, &long, "", 80);
        assert_eq!(out, long.replace(' ', "\n") + "\n");
    }
}
