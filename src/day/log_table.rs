//! The table of a log: a header and rows, parted by `,`, `;` or tabs.

use csv::{Position, Reader, ReaderBuilder, StringRecord, Trim};

/// A table whose header is read.
pub(crate) struct LogTable<'t> {
    /// The header.
    pub(crate) headers: StringRecord,
    reader: Reader<&'t [u8]>,
}

impl<'t> LogTable<'t> {
    /// Opens the text of a table; what parts the cells is told by the header.
    pub(crate) fn open(text: &'t str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().next().unwrap_or_default();
        let delimiter = [b';', b'\t']
            .into_iter()
            .find(|delimiter| head.as_bytes().contains(delimiter))
            .unwrap_or(b',');
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .trim(Trim::All)
            .from_reader(text.as_bytes());
        Self {
            headers: reader.headers().cloned().unwrap_or_default(),
            reader,
        }
    }

    /// The rows with their lines; `None` for what is no row.
    pub(crate) fn rows(self) -> impl Iterator<Item = (u64, Option<StringRecord>)> {
        self.reader.into_records().map(|row| {
            let line = match &row {
                Ok(row) => row.position().map_or(0, Position::line),
                Err(error) => error.position().map_or(0, Position::line),
            };
            (line, row.ok())
        })
    }
}

/// The header's cells, for a message that says what was found.
pub(crate) fn listed(headers: &StringRecord) -> String {
    let quoted: Vec<String> = headers.iter().map(|header| format!("`{header}`")).collect();
    quoted.join(", ")
}
