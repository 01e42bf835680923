//! A table of any kind, row by row: its header, what separates its cells, where its rows begin.
//!
//! The one reader of tables, for tracks, wind logs and power logs alike. Syntax after RFC 4180,
//! read tolerantly: any of `,` `;` tab and `|` between cells, any line end, comment lines, text
//! before the header. A row is a line: a quote that is not closed in its line is read as any other
//! character, so that nothing behind it is lost.

mod heading;
mod times;

use memchr::memchr;

pub(super) use self::heading::{Heading, Unit};
pub(super) use self::times::{TimeColumns, Times};
use super::ReadError;
use super::source::{STEP_BYTES, SURVEYED_BYTES, Source, clipped, text};
use super::tally::{Fault, Oddity, Tally};

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

/// Most names of a header repeated in a message, and most characters of each.
const MOST_NAMES: usize = 20;
const NAME_CHARACTERS: usize = 30;

/// The header of a table and what separates its cells.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Layout {
    delimiter: u8,
    /// The cells of the header.
    header: Vec<String>,
    /// The header's line, counted from 1.
    header_line: usize,
    /// Where the first row behind it begins.
    body_start: usize,
    line_end: u8,
}

impl Layout {
    /// The line that serves best as a header, with the separator under which it does; `score`
    /// gives how many of the columns sought a header has, and with `enough` it is found.
    ///
    /// The header is what decides on the separator: only under the right one are
    /// its names those of columns. Without any known name the first line with a
    /// separator in it is given; without such a line, `None`.
    fn find(head: &[u8], score: impl Fn(&[String]) -> usize, enough: usize) -> Option<Self> {
        let line_end = line_end(head);
        let mut best: Option<(usize, Self)> = None;
        let mut body_start = 0;
        let lines = head.split_inclusive(|&b| b == line_end);
        for (number, line) in (1..=MOST_LINES).zip(lines) {
            body_start += line.len();
            let content = text(line.get(..MOST_HEADER_BYTES).unwrap_or(line));
            let content = uncommented(&content);
            let parts = |delimiter: &u8| {
                line.len() <= MOST_HEADER_BYTES && content.as_bytes().contains(delimiter)
            };
            for delimiter in DELIMITERS.into_iter().filter(parts) {
                let mut cells = Cells::new(delimiter);
                cells.split(content);
                let header: Vec<String> = cells.iter().map(str::to_owned).collect();
                let points = score(&header);
                let is_better = best.as_ref().is_none_or(|(most, _)| points > *most);
                if header.len() > 1 && is_better {
                    let layout = Self {
                        delimiter,
                        header,
                        header_line: number,
                        body_start,
                        line_end,
                    };
                    best = Some((points, layout));
                }
            }
            if best.as_ref().is_some_and(|(points, _)| *points >= enough) {
                break;
            }
        }
        best.map(|(_, layout)| layout)
    }
}

/// Whether a text is a table: a line of it names at least two columns by `score`, or its first
/// two lines have the same separator equally often, and the second has digits.
pub(super) fn is_table(head: &str, score: impl Fn(&[String]) -> usize) -> bool {
    let found = Layout::find(head.as_bytes(), &score, 2);
    if found.is_some_and(|layout| score(&layout.header) >= 2) {
        return true;
    }
    let lines = head.lines().map(str::trim);
    let mut lines = lines.filter(|line| !line.is_empty() && !is_comment(line));
    let (Some(first), Some(second)) = (lines.next(), lines.next()) else {
        return false;
    };
    DELIMITERS.map(char::from).iter().any(|&separator| {
        let count = first.matches(separator).count();
        count >= 1 && second.matches(separator).count() == count
    }) && second.contains(|c: char| c.is_ascii_digit())
}

/// A table and the file that it comes from.
pub(super) struct Table<'a> {
    layout: Layout,
    source: Source<'a>,
}

impl<'a> Table<'a> {
    /// The table of a file of which nothing has been used yet; `score` gives how many of the
    /// columns sought a header has, of which there are `enough`.
    /// `None` where no line has several cells.
    pub(super) fn open(
        mut source: Source<'a>,
        score: impl Fn(&[String]) -> usize,
        enough: usize,
    ) -> Option<Self> {
        let layout = Layout::find(source.piece(), score, enough)?;
        source.advance(layout.body_start, []);
        Some(Self { layout, source })
    }

    /// The cells of the header.
    pub(super) fn header(&self) -> &[String] {
        &self.layout.header
    }

    /// The cells of the header, for a message.
    pub(super) fn names(&self) -> String {
        let header = self.header();
        let names = header.iter().take(MOST_NAMES);
        let mut names: Vec<String> = names
            .map(|name| format!("`{}`", clipped(name, NAME_CHARACTERS)))
            .collect();
        if header.len() > MOST_NAMES {
            names.push(format!("{} more", header.len() - MOST_NAMES));
        }
        names.join(", ")
    }

    /// The name of one column, for a message.
    pub(super) fn name(&self, at: usize) -> String {
        clipped(
            self.header().get(at).map_or("", String::as_str),
            NAME_CHARACTERS,
        )
    }

    /// The line of the header.
    pub(super) fn header_line(&self) -> u64 {
        self.layout.header_line as u64
    }

    /// The file.
    pub(super) fn source(&self) -> &Source<'a> {
        &self.source
    }

    /// Gives the rows at hand to `take`, until it returns false; all of them are still to be read.
    /// The first megabyte is at hand, or as much as a survey may take.
    fn survey(
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

    /// Gives all rows at hand, or as many as a survey may take, to `take`.
    pub(super) fn survey_all(&mut self, mut take: impl FnMut(Row<'_>)) -> Result<(), ReadError> {
        self.survey(true, |row| {
            take(row);
            true
        })
    }

    /// Gives each row to `take`, in order; a row in which it finds a fault is counted in the
    /// tally with its line and the value met, and so is each line that is too long to be a row.
    ///
    /// # Errors
    /// [`ReadError`] where the file cannot be read on, or has more than `most` good rows.
    pub(super) fn rows(
        &mut self,
        tally: &mut Tally,
        most: usize,
        mut take: impl FnMut(&mut Tally, Row<'_>) -> Result<(), Lost>,
    ) -> Result<(), ReadError> {
        let mut cells = Cells::new(self.layout.delimiter);
        // Within a line that is too long.
        let mut skipping = false;
        let (mut line_number, mut taken) = (self.layout.header_line, 0);
        loop {
            let piece = self.source.piece();
            let ended = self.source.ended;
            let mut at = 0;
            while let Some(rest) = piece.get(at..).filter(|rest| !rest.is_empty()) {
                let end = memchr(self.layout.line_end, rest);
                if end.is_none() && !ended && rest.len() <= MOST_ROW_BYTES {
                    break;
                }
                let line = rest.get(..end.unwrap_or(rest.len())).unwrap_or(rest);
                line_number += usize::from(!skipping);
                if line.len() > MOST_ROW_BYTES && !skipping {
                    let start = line.get(..ROW_CHARACTERS).unwrap_or(line);
                    tally.lose(Fault::TooLong, line_number, || text(start).into());
                } else if !skipping {
                    let line = text(line);
                    if let Some(row) = Row::read(&line, line_number, &mut cells) {
                        tally.note_if(row.cells.quotes_are_broken, Oddity::BrokenQuotes);
                        match take(tally, row) {
                            Ok(()) => taken += 1,
                            Err(Lost(fault, value)) => {
                                tally.lose(fault, line_number, || value);
                            }
                        }
                    }
                }
                skipping = end.is_none();
                at += line.len() + usize::from(end.is_some());
            }
            self.source.advance(at, []);
            if taken > most {
                return Err(ReadError::TooManyRows {
                    file: self.source.file.clone(),
                    most,
                });
            }
            if ended {
                return Ok(());
            }
            self.source.fill()?;
        }
    }
}

/// Why a row cannot be used, and the value met.
pub(super) struct Lost(pub(super) Fault, pub(super) String);

/// What ends the lines of a text: LF, also after CR, or CR alone.
fn line_end(head: &[u8]) -> u8 {
    let head = head.get(..STEP_BYTES).unwrap_or(head);
    if memchr(b'\n', head).is_none() && memchr(b'\r', head).is_some() {
        b'\r'
    } else {
        b'\n'
    }
}

/// Whether a line says of itself that it is no row.
fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    COMMENT_MARKS.iter().any(|mark| line.starts_with(mark))
}

/// A header may be a comment: `# time,lat,lon`.
fn uncommented(line: &str) -> &str {
    line.trim_start_matches(|c: char| c.is_whitespace() || matches!(c, '#' | '%' | '/'))
}

/// One row; its cells have neither quotes nor blanks round them.
#[derive(Clone, Copy)]
pub(super) struct Row<'r> {
    cells: &'r Cells,
    /// Its line in the file.
    pub(super) line: usize,
}

impl<'r> Row<'r> {
    /// `None` for a comment and for a line without anything in it.
    fn read(text: &str, line: usize, cells: &'r mut Cells) -> Option<Self> {
        if is_comment(text) {
            return None;
        }
        cells.split(text);
        let row = Self { cells, line };
        (!row.cells().all(str::is_empty)).then_some(row)
    }

    /// A cell; empty where there is none.
    pub(super) fn cell(self, at: usize) -> &'r str {
        self.cells.get(at).unwrap_or_default()
    }

    /// All its cells.
    pub(super) fn cells(self) -> impl Iterator<Item = &'r str> {
        self.cells.iter()
    }

    /// How many cells it has.
    pub(super) fn len(self) -> usize {
        self.cells.ends.len()
    }

    /// The row for a message.
    pub(super) fn shown(self) -> String {
        let cells: Vec<&str> = self.cells().take(ROW_CHARACTERS).collect();
        clipped(&cells.join(" "), ROW_CHARACTERS)
    }
}

/// The cells of one line.
struct Cells {
    delimiter: u8,
    reader: csv_core::Reader,
    text: Vec<u8>,
    /// Where each cell ends.
    ends: Vec<usize>,
    quotes_are_broken: bool,
}

impl Cells {
    fn new(delimiter: u8) -> Self {
        Self {
            delimiter,
            reader: csv_core::ReaderBuilder::new().delimiter(delimiter).build(),
            text: Vec::new(),
            ends: Vec::new(),
            quotes_are_broken: false,
        }
    }

    fn split(&mut self, line: &str) {
        let line = line.trim_matches(['\r', '\n', '\0']);
        self.quotes_are_broken = false;
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
        ends.truncate(ended + last);
        if result != csv_core::ReadRecordResult::Record {
            // A quote is left open, or there is nothing in the line.
            self.quotes_are_broken = !line.is_empty();
            text.clear();
            ends.clear();
            for cell in line.split(char::from(self.delimiter)) {
                text.extend(cell.as_bytes());
                ends.push(text.len());
            }
        }
    }

    fn get(&self, at: usize) -> Option<&str> {
        let end = *self.ends.get(at)?;
        let start = at.checked_sub(1).and_then(|before| self.ends.get(before));
        let cell = self.text.get(start.copied().unwrap_or(0)..end)?;
        let cell = std::str::from_utf8(cell).ok()?.trim();
        // Quotes that were not taken for such because a blank comes before them.
        let inside = cell.strip_prefix('"').and_then(|c| c.strip_suffix('"'));
        Some(inside.map_or(cell, str::trim))
    }

    fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.ends.len()).map(|at| self.get(at).unwrap_or_default())
    }
}
