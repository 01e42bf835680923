//! A table of any kind, row by row: its header, what separates its cells, where its rows begin.
//!
//! Syntax after RFC 4180, read tolerantly: any of `,` `;` tab and `|` between cells, any line
//! end, comment lines, text before the header. A row is a line: a quote that is not closed in its
//! line is read as any other character, so that nothing behind it is lost.

use std::borrow::Cow;

use memchr::memchr;

use crate::parser::ReadError;
use crate::parser::fault::Fault;
use crate::parser::source::{STEP_BYTES, SURVEYED_BYTES, Source};
use crate::parser::text::{clipped, text};

/// Separators tried, in this order.
const DELIMITERS: [u8; 4] = [b';', b'\t', b'|', b','];

/// How many lines are searched for the header: preambles are shorter.
const MOST_LINES: usize = 60;

/// Longest line looked at as a header, bytes.
const MOST_HEADER_BYTES: usize = 4096;

/// Longest row, bytes. A row of all that instruments on board give has under 2,000.
const MOST_ROW_BYTES: usize = 65_536;

/// Marks of a line that is no row.
const COMMENT_MARKS: [&str; 3] = ["#", "%", "//"];

/// Longest row repeated in a message, characters.
const ROW_CHARACTERS: usize = 60;

/// The header of a table and what separates its cells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Layout {
    delimiter: u8,
    /// The cells of the header.
    pub(crate) header: Vec<String>,
    /// Where the header's line begins, bytes from the start of the head.
    header_start: usize,
    /// Where the first row behind it begins.
    body_start: usize,
    line_end: u8,
}

/// How well a header serves: the more the better, and whether nothing is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Score {
    pub(crate) points: usize,
    pub(crate) is_complete: bool,
}

impl Layout {
    /// The line that serves best as a header by `score`, with the separator under which it does.
    ///
    /// The header is what decides on the separator: only under the right one are
    /// its names those of columns. Without any known name the first line with a
    /// separator in it is given; without such a line, `None`.
    pub(super) fn find(head: &[u8], score: impl Fn(&[String]) -> Score) -> Option<Self> {
        let line_end = line_end(head);
        let mut best: Option<(usize, Self)> = None;
        let mut start = 0;
        for line in head.split_inclusive(|&b| b == line_end).take(MOST_LINES) {
            let body_start = start + line.len();
            let short = line.len() <= MOST_HEADER_BYTES;
            let line = text(line);
            let content = uncommented(&line);
            let parts = |delimiter: &u8| short && content.as_bytes().contains(delimiter);
            for delimiter in DELIMITERS.into_iter().filter(parts) {
                let mut cells = Cells::new(delimiter);
                cells.split(content);
                let header: Vec<String> = cells.iter().map(str::to_owned).collect();
                if header.len() < 2 {
                    continue;
                }
                let Score {
                    points,
                    is_complete,
                } = score(&header);
                if best.as_ref().is_none_or(|(least, _)| points > *least) {
                    let layout = Self {
                        delimiter,
                        header,
                        header_start: start,
                        body_start,
                        line_end,
                    };
                    if is_complete {
                        return Some(layout);
                    }
                    best = Some((points, layout));
                }
            }
            start = body_start;
        }
        best.map(|(_, layout)| layout)
    }
}

/// A table and the file that it comes from.
pub(crate) struct Table<'a> {
    pub(crate) layout: Layout,
    source: Source<'a>,
    /// Where the header's line begins, bytes.
    header_place: usize,
    /// How many rows have quotes out of order.
    pub(crate) broken_quotes: usize,
}

impl<'a> Table<'a> {
    /// The table of a file of which nothing has been used yet; `None` where no line has several
    /// cells.
    pub(super) fn open(mut source: Source<'a>, score: impl Fn(&[String]) -> Score) -> Option<Self> {
        let layout = Layout::find(source.piece(), score)?;
        let header_place = source.place() + layout.header_start;
        source.advance(layout.body_start, [header_place]);
        Some(Self {
            layout,
            source,
            header_place,
            broken_quotes: 0,
        })
    }

    /// The line of the header.
    pub(crate) fn header_line(&self) -> u64 {
        self.source.line_of(self.header_place)
    }

    /// The line of a row whose place was returned when it was taken.
    pub(crate) fn line_of(&self, place: usize) -> u64 {
        self.source.line_of(place)
    }

    /// The file.
    pub(super) fn source(&self) -> &Source<'a> {
        &self.source
    }

    /// Gives the rows at hand to `take`, until it returns false; all of them are still to be read.
    /// The first megabyte is at hand, or as much as a survey may take.
    pub(super) fn survey(
        &mut self,
        whole: bool,
        mut take: impl FnMut(Row<'_>) -> bool,
    ) -> Result<(), ReadError> {
        if whole {
            self.source.fill_to(SURVEYED_BYTES)?;
        }
        let mut cells = Cells::new(self.layout.delimiter);
        let piece = self.source.piece();
        for line in piece.split_inclusive(|&b| b == self.layout.line_end) {
            let line = text(line.get(..MOST_ROW_BYTES).unwrap_or(line));
            if let Some(row) = Row::read(&line, 0, &mut cells)
                && !take(row)
            {
                break;
            }
        }
        Ok(())
    }

    /// Gives each row to `take`, in order, and each line that is too long to be one as a fault;
    /// `take` returns the place of the row where its line may be asked for later.
    pub(crate) fn rows(
        &mut self,
        mut take: impl FnMut(Result<Row<'_>, (Fault, &str)>, usize) -> Option<usize>,
    ) -> Result<(), ReadError> {
        let mut cells = Cells::new(self.layout.delimiter);
        let mut places = Vec::new();
        // Within a line that is too long.
        let mut skipping = false;
        loop {
            let (piece, place) = (self.source.piece(), self.source.place());
            let ended = self.source.ended;
            let mut at = 0;
            while let Some(rest) = piece.get(at..).filter(|rest| !rest.is_empty()) {
                let end = memchr(self.layout.line_end, rest);
                if end.is_none() && !ended && rest.len() <= MOST_ROW_BYTES {
                    break;
                }
                let line = rest.get(..end.unwrap_or(rest.len())).unwrap_or(rest);
                if line.len() > MOST_ROW_BYTES && !skipping {
                    let start = text(line.get(..ROW_CHARACTERS).unwrap_or(line));
                    places.extend(take(Err((Fault::TooLong, &start)), place + at));
                } else if !skipping {
                    let line = text(line);
                    if let Some(row) = Row::read(&line, place + at, &mut cells) {
                        places.extend(take(Ok(row), place + at));
                    }
                }
                skipping = end.is_none();
                at += line.len() + usize::from(end.is_some());
            }
            self.source.advance(at, places.drain(..));
            if ended {
                self.broken_quotes = cells.broken_quotes;
                return Ok(());
            }
            self.source.fill()?;
        }
    }
}

/// What ends the lines of a text: LF, also after CR, or CR alone.
fn line_end(head: &[u8]) -> u8 {
    let head = head.get(..STEP_BYTES).unwrap_or(head);
    if memchr(b'\n', head).is_none() && memchr(b'\r', head).is_some() {
        b'\r'
    } else {
        b'\n'
    }
}

/// The first lines of a text that are no comments and not empty.
pub(super) fn first_lines(head: &[u8]) -> impl Iterator<Item = Cow<'_, str>> {
    let end = line_end(head);
    head.split(move |&b| b == end)
        .map(text)
        .filter(|line| !line.trim().is_empty() && !is_comment(line))
}

/// Whether a line says of itself that it is no row.
fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    COMMENT_MARKS.iter().any(|mark| line.starts_with(mark))
}

/// A header may be a comment: `# time,lat,lon`.
fn uncommented(line: &str) -> &str {
    let mut rest = line.trim();
    while let Some(after) = COMMENT_MARKS
        .iter()
        .find_map(|mark| rest.strip_prefix(mark))
    {
        rest = after.trim_start();
    }
    rest
}

/// One row; its cells have neither quotes nor blanks round them.
#[derive(Clone, Copy)]
pub(crate) struct Row<'r> {
    line: &'r str,
    cells: &'r Cells,
    /// Where it begins, bytes.
    pub(crate) place: usize,
}

impl<'r> Row<'r> {
    /// `None` for a comment and for a line without anything in it.
    fn read(line: &'r str, place: usize, cells: &'r mut Cells) -> Option<Self> {
        if is_comment(line) {
            return None;
        }
        cells.split(line);
        let row = Self { line, cells, place };
        (!row.cells.iter().all(str::is_empty)).then_some(row)
    }

    /// A cell; empty where there is none.
    pub(crate) fn cell(self, at: usize) -> &'r str {
        self.cells.get(at).unwrap_or_default()
    }

    /// All its cells.
    pub(crate) fn cells(self) -> impl Iterator<Item = &'r str> {
        self.cells.iter()
    }

    /// How many cells it has.
    pub(crate) fn len(self) -> usize {
        self.cells.count
    }

    /// The row for a message.
    pub(crate) fn shown(self) -> String {
        let cells: Vec<&str> = self.cells().take(ROW_CHARACTERS).collect();
        if cells.is_empty() {
            return clipped(self.line, ROW_CHARACTERS);
        }
        clipped(&cells.join(" "), ROW_CHARACTERS)
    }
}

/// The cells of one line.
struct Cells {
    delimiter: u8,
    reader: csv_core::Reader,
    text: Vec<u8>,
    ends: Vec<usize>,
    count: usize,
    /// How many lines had quotes out of order.
    broken_quotes: usize,
}

impl Cells {
    fn new(delimiter: u8) -> Self {
        Self {
            delimiter,
            reader: csv_core::ReaderBuilder::new().delimiter(delimiter).build(),
            text: Vec::new(),
            ends: Vec::new(),
            count: 0,
            broken_quotes: 0,
        }
    }

    fn split(&mut self, line: &str) {
        let line = line.trim_matches(['\r', '\n', '\0']);
        self.count = 0;
        if line.is_empty() {
            return;
        }
        // Room for all that may come of it, so that one call is enough.
        self.text.resize(line.len() + 1, 0);
        self.ends.resize(line.len() + 2, 0);
        self.reader.reset();
        let (text, ends) = (&mut self.text, &mut self.ends);
        let (_, _, written, ended) = self.reader.read_record(line.as_bytes(), text, ends);
        let (result, _, _, last) = self.reader.read_record(
            b"\n",
            text.get_mut(written..).unwrap_or_default(),
            ends.get_mut(ended..).unwrap_or_default(),
        );
        self.count = ended + last;
        if result != csv_core::ReadRecordResult::Record {
            // A quote is left open.
            self.broken_quotes += 1;
            text.clear();
            ends.clear();
            for cell in line.split(char::from(self.delimiter)) {
                text.extend(cell.as_bytes());
                ends.push(text.len());
            }
            self.count = ends.len();
        }
    }

    fn get(&self, at: usize) -> Option<&str> {
        let end = *self.ends.get(..self.count)?.get(at)?;
        let start = at.checked_sub(1).and_then(|before| self.ends.get(before));
        let cell = self.text.get(start.copied().unwrap_or(0)..end)?;
        let cell = std::str::from_utf8(cell).ok()?.trim();
        // Quotes that were not taken for such because a blank comes before them.
        let inside = cell.strip_prefix('"').and_then(|c| c.strip_suffix('"'));
        Some(inside.map_or(cell, str::trim))
    }

    fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.count).map(|at| self.get(at).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn score(header: &[String]) -> Score {
        let known = |name: &&String| ["time", "lat", "lon"].contains(&name.as_str());
        let points = header.iter().filter(known).count();
        Score {
            points,
            is_complete: points == 3,
        }
    }

    #[track_caller]
    fn check(text: &str, delimiter: char, header: &[&str]) {
        let found = Layout::find(text.as_bytes(), score);
        let found = found.as_ref().map(|l| {
            (
                char::from(l.delimiter),
                l.header.iter().map(String::as_str).collect(),
            )
        });
        assert_eq!(found, Some((delimiter, header.to_vec())), "{text:?}");
    }

    #[test]
    fn the_header_decides_on_the_separator() {
        let names = ["time", "lat", "lon"];
        check("time,lat,lon\n1;2,3;4,5\n", ',', &names);
        check("time;lat;lon\n1,5;2,5;3,5\n", ';', &names);
        check("time\tlat\tlon\n", '\t', &names);
        check("time | lat | lon\n", '|', &names);
        check("\"time\" , \"lat\", \"lon\"\n", ',', &names);
        check("logger 7, firmware 2\n\n# time,lat,lon\n", ',', &names);
        check("time,lat,lon\r1,2,3\r", ',', &names);
        check("12.5,57.1,11.9\n", ',', &["12.5", "57.1", "11.9"]);
        assert_eq!(Layout::find(b"nothing here\n", score), None);
    }

    /// Rows as text and their places, of a table with this body.
    fn rows(body: &str) -> (Vec<String>, usize) {
        let text = format!("time,lat,lon\n{body}");
        let source = Source::new(text.as_bytes(), "x");
        let Some(mut table) = source.ok().and_then(|s| Table::open(s, score)) else {
            return (Vec::new(), 0);
        };
        let mut rows = Vec::new();
        let read = table.rows(|row, place| {
            rows.push(match row {
                Ok(row) => row.cells().collect::<Vec<_>>().join("|"),
                Err((fault, _)) => format!("{fault:?} at {place}"),
            });
            None
        });
        assert!(read.is_ok());
        (rows, table.broken_quotes)
    }

    #[test]
    fn cells_are_parted_outside_quotes() {
        assert_eq!(rows("1, 2 ,\"a,\"\"b\"\n").0, ["1|2|a,\"b"]);
        assert_eq!(rows("\n# 1,2\n,,\r\n1,2,3"), (vec!["1|2|3".to_owned()], 0));
        assert_eq!(
            rows("1,\"2,3\n4,\"5\",6\n"),
            (vec!["1|\"2|3".to_owned(), "4|5|6".to_owned()], 1)
        );
    }

    #[test]
    fn a_line_without_end_is_one_fault_and_costs_no_memory() {
        let long = ",".repeat(3 * STEP_BYTES);
        let (found, _) = rows(&format!("1,2,3\n{long}\n4,5,6\n{long}"));
        let second = 13 + 12 + long.len() + 1;
        assert_eq!(
            found,
            [
                "1|2|3".to_owned(),
                "TooLong at 19".to_owned(),
                "4|5|6".to_owned(),
                format!("TooLong at {second}"),
            ]
        );
    }
}
