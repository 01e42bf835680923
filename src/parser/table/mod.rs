//! Tables of fixes: comma-separated values and their kin.
//!
//! Syntax after RFC 4180, read tolerantly: any of `,` `;` tab and `|` between
//! cells, any line end, comment lines, text before the header. What a column
//! holds is told by its name (`names`), places and times by their form
//! (`angle`, `when`), the order of day and month over the whole column
//! (`dates`). A row that cannot be used is set aside and counted.

mod angle;
mod columns;
mod compass;
mod dates;
mod layout;
mod names;
mod remarks;
mod rows;
mod when;

use super::ReadError;
use super::lines::line_of;
use super::text::{Decoded, clipped};
use crate::track::{RecordedTrack, Recording};

/// Most names of a header repeated in a message, and most characters of each.
const MOST_NAMES: usize = 20;
const NAME_CHARACTERS: usize = 30;

/// Whether a text that is nothing else is a table: its header names a column known here, or its
/// first lines have the same separators.
pub(super) fn is_table(head: &str) -> bool {
    let named = layout::layout(head).is_some_and(|found| found.columns.essentials() >= 2);
    named || has_even_rows(head)
}

/// Whether the first two lines that are no comments have the same separator equally often, and the
/// second has digits.
fn has_even_rows(head: &str) -> bool {
    let mut lines = layout::lines(head)
        .map(str::trim)
        .filter(|line| !line.is_empty() && !layout::is_comment(line));
    let (first, second) = (
        lines.next().unwrap_or_default(),
        lines.next().unwrap_or_default(),
    );
    [';', '\t', ',', '|'].iter().any(|&separator| {
        let count = first.matches(separator).count();
        count >= 1 && second.matches(separator).count() == count
    }) && second.contains(|c: char| c.is_ascii_digit())
}

/// Reads a table of fixes.
pub(super) fn read(decoded: &Decoded<'_>, file: &str) -> Result<Recording, ReadError> {
    let text = decoded.text.as_ref();
    let layout = layout::layout(text).ok_or_else(|| ReadError::NoColumns {
        file: file.to_owned(),
        line: 1,
        what: "no line has several cells".to_owned(),
        found: "none".to_owned(),
    })?;
    if let Some(missing) = layout.columns.missing() {
        return Err(ReadError::NoColumns {
            file: file.to_owned(),
            line: line_of(text, layout.header_start),
            what: if layout.columns.essentials() == 0 {
                "no header names the columns".to_owned()
            } else {
                format!("the header names no column for {missing}")
            },
            found: shown(&layout.header),
        });
    }
    let line_of = |place| line_of(text, place);
    let mut gathered = rows::gather(text, &layout);
    if gathered.fixes.is_empty() {
        let lost = gathered.faults.all_lost(line_of, file);
        return Err(lost.unwrap_or_else(|| ReadError::Empty {
            file: file.to_owned(),
            what: "it is a table without any row",
        }));
    }
    let mut remarks: Vec<String> = decoded.remark.clone().into_iter().collect();
    remarks.extend(remarks::remarks(&gathered, &layout, text));
    let fixes = std::mem::take(&mut gathered.fixes);
    Ok(Recording {
        file: file.to_owned(),
        points_met: fixes.len() + gathered.faults.total(),
        set_aside: gathered.faults.set_aside(line_of),
        tracks: vec![RecordedTrack {
            name: None,
            segments: vec![fixes],
        }],
        remarks,
        ..Recording::default()
    })
}

fn shown(header: &[String]) -> String {
    let mut names: Vec<String> = header
        .iter()
        .take(MOST_NAMES)
        .map(|name| format!("`{}`", clipped(name, NAME_CHARACTERS)))
        .collect();
    if header.len() > MOST_NAMES {
        names.push(format!("{} more", header.len() - MOST_NAMES));
    }
    names.join(", ")
}
