//! Where a table's header stands and what separates its cells.

use csv::{ReaderBuilder, Trim};

use super::columns::Columns;

/// Separators tried, in this order.
const DELIMITERS: [u8; 4] = [b';', b'\t', b'|', b','];

/// How many lines are searched for the header: preambles are shorter.
const MOST_LINES: usize = 60;

/// Longest line looked at as a header, bytes.
const MOST_LINE_BYTES: usize = 4096;

/// Marks of a line that is no row.
const COMMENT_MARKS: [&str; 3] = ["#", "%", "//"];

/// A table before its rows are read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    pub(super) delimiter: u8,
    /// The cells of the header.
    pub(super) header: Vec<String>,
    pub(super) columns: Columns,
    /// Where the header's line begins, bytes.
    pub(super) header_start: usize,
    /// Where the first row behind it begins, bytes.
    pub(super) body_start: usize,
}

/// The line that names the columns best, with the separator under which it does.
///
/// The header is what decides on the separator: only under the right one are
/// its names those of columns. Without any known name the first line with a
/// separator in it is given; without such a line, `None`.
pub(super) fn layout(text: &str) -> Option<Layout> {
    let mut best: Option<(usize, Layout)> = None;
    let mut start = 0;
    for line in lines(text).take(MOST_LINES) {
        let body_start = start + line.len();
        let content = uncommented(line.trim_end_matches(['\r', '\n']));
        let short = content.len() <= MOST_LINE_BYTES && !content.trim().is_empty();
        for delimiter in DELIMITERS.into_iter().filter(|_| short) {
            let header = cells(content, delimiter);
            if header.len() < 2 {
                continue;
            }
            let columns = Columns::named(header.iter().map(String::as_str));
            let score = columns.essentials();
            if best.as_ref().is_none_or(|(least, _)| score > *least) {
                let layout = Layout {
                    delimiter,
                    header,
                    columns,
                    header_start: start,
                    body_start,
                };
                if layout.columns.missing().is_none() {
                    return Some(layout);
                }
                best = Some((score, layout));
            }
        }
        start = body_start;
    }
    best.map(|(_, layout)| layout)
}

/// The lines with what ends them, be it LF, CR LF or CR alone.
pub(super) fn lines(text: &str) -> impl Iterator<Item = &str> {
    let cr_alone = !text.contains('\n');
    text.split_inclusive(if cr_alone { '\r' } else { '\n' })
}

/// Whether a line says of itself that it is no row.
pub(super) fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    COMMENT_MARKS.iter().any(|mark| line.starts_with(mark))
}

/// A header may stand in a comment: `# time,lat,lon`.
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

/// A cell without quotes that were not taken for such because a blank stands before them.
pub(super) fn unquoted(cell: &str) -> &str {
    let inside = cell
        .strip_prefix('"')
        .and_then(|cell| cell.strip_suffix('"'));
    inside.map_or(cell, str::trim)
}

fn cells(line: &str, delimiter: u8) -> Vec<String> {
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .delimiter(delimiter)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(line.as_bytes());
    let record = reader.records().next().and_then(Result::ok);
    record
        .map(|record| record.iter().map(|c| unquoted(c).to_owned()).collect())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, delimiter: char, header: &[&str]) {
        let found = layout(text);
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
        assert_eq!(layout("nothing here\n"), None);
    }

    #[test]
    fn the_body_begins_behind_the_header() {
        let text = "# made by hand\ntime,lat,lon\r\n1,2,3\n";
        let found = layout(text);
        let places = found.map(|l| (l.header_start, l.body_start));
        assert_eq!(places, Some((15, 29)));
    }
}
