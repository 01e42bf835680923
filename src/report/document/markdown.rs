//! A document as Markdown, to paste into a newsletter or a post.
//!
//! `CommonMark` with the usual pipe tables; what is folded on a page is left out.

use super::{Document, ListKind, Part, Span, Table, Text};
use crate::report::rounding::NO_BREAK_SPACE;

impl Document {
    /// The whole text.
    pub fn to_markdown(&self) -> String {
        let mut numbers = [0; 2];
        let mut blocks = vec![format!("# {}", escaped(&self.title))];
        if !self.kicker.is_empty() {
            blocks.push(format!("*{}*", spans(&self.kicker)));
        }
        blocks.extend(
            self.parts
                .iter()
                .filter_map(|part| block(part, &mut numbers)),
        );
        if !self.colophon.is_empty() {
            blocks.push(format!("*{}*", spans(&self.colophon)));
        }
        let mut text = blocks.join("\n\n");
        text.push('\n');
        text
    }
}

fn block(part: &Part, [figures, tables]: &mut [usize; 2]) -> Option<String> {
    let s = NO_BREAK_SPACE;
    Some(match part {
        Part::Answer { text, .. } | Part::Paragraph(text) => spans(text),
        Part::Note(text) => format!("*{}*", spans(text)),
        Part::Caution(text) => format!("**Caution:** {}", spans(text)),
        Part::Heading(words) => format!("## {}", escaped(words)),
        Part::Subheading(words) => format!("### {}", escaped(words)),
        Part::List(kind, items) => {
            let line = |(at, item): (usize, &Text)| match kind {
                ListKind::Bullets => format!("- {}", spans(item)),
                ListKind::Checks => format!("- [ ] {}", spans(item)),
                ListKind::Steps => format!("{}. {}", at + 1, spans(item)),
            };
            lines(items.iter().enumerate().map(line))
        }
        Part::Facts(facts) => lines(
            facts
                .iter()
                .map(|(what, text)| format!("- **{}:** {}", escaped(what), spans(text))),
        ),
        Part::Figure(figure) => {
            *figures += 1;
            let title = escaped(figure.title.trim_end_matches('.'));
            let caption = escaped(&figure.caption);
            let path = &figure.path;
            format!("![{title}]({path})\n\n*Figure{s}{figures}. {title}. {caption}*")
        }
        Part::Picture(picture) => {
            let caption = escaped(&picture.caption);
            format!("![{caption}]({})\n\n*{caption}*", picture.path)
        }
        Part::Table(table) => {
            *tables += 1;
            format!("Table{s}{tables}. {}", pipes(table))
        }
        Part::Blanks(words) => {
            let blank = |word: &String| format!("{}: ______________", escaped(word));
            words.iter().map(blank).collect::<Vec<_>>().join("  ")
        }
        Part::Folded(_) => return None,
    })
}

fn lines(lines: impl Iterator<Item = String>) -> String {
    lines.collect::<Vec<_>>().join("\n")
}

fn pipes(table: &Table) -> String {
    let heads = table.columns.iter().map(|column| match &column.unit {
        Some(unit) => format!("{} ({unit})", escaped(&column.title)),
        None => escaped(&column.title),
    });
    let rules =
        (table.columns.iter()).map(|c| if c.is_figures() { "--:" } else { ":--" }.to_owned());
    let piped = |cells: &mut dyn Iterator<Item = String>| {
        format!("| {} |", cells.collect::<Vec<_>>().join(" | "))
    };
    let mut out = vec![format!("{}\n", escaped(&table.caption))];
    out.push(piped(&mut heads.into_iter()));
    out.push(piped(&mut rules.into_iter()));
    for row in &table.rows {
        let cells = table.columns.iter().zip(&row.cells);
        out.push(piped(
            &mut cells.map(|(column, cell)| escaped(&column.shown(cell, false))),
        ));
    }
    out.join("\n")
}

fn spans(text: &Text) -> String {
    let set = |span: &Span| match span {
        Span::Plain(words) => escaped(words),
        Span::Strong(words) => format!("**{}**", escaped(words)),
        // Within a code span nothing is escaped, and a backtick would end it.
        Span::Code(words) => format!("`{}`", words.replace(['`', '\n', '\r'], " ")),
    };
    text.0.iter().map(set).collect()
}

/// Text in which nothing is taken for a mark: names come from files.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if matches!(
            c,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '&' | '~' | '$'
        ) {
            out.push('\\');
        }
        out.push(if c.is_control() { ' ' } else { c });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_in_names_stay_letters() {
        assert_eq!(escaped("a|b *c* <d>\n"), "a\\|b \\*c\\* \\<d\\> ");
    }
}
