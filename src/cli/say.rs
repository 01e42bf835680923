//! What the program says: data on standard output, messages on standard error.

use std::borrow::Cow;
use std::fmt::Display;
use std::io::{self, ErrorKind, Write};

use anyhow::{Result, anyhow};
use thereback::notes::escaped;

/// An error with its hint on a line of its own.
pub(crate) fn error(error: &anyhow::Error) {
    message("error", &format!("{error:#}"));
}

/// Something to keep in mind.
pub(crate) fn warning(text: impl Display) {
    message("warning", &text.to_string());
}

/// Something to know.
pub(crate) fn note(text: impl Display) {
    message("note", &text.to_string());
}

fn message(kind: &str, text: &str) {
    // Where standard error is gone there is nobody left to tell.
    let _ = writeln!(io::stderr().lock(), "{kind}: {}", printable(text));
}

/// File names and names from files can hold control sequences and marks that turn the direction of
/// writing; a terminal must not obey them, and a person sees what is there.
fn printable(text: &str) -> String {
    let lines: Vec<Cow<str>> = text.split('\n').map(escaped).collect();
    lines.join("\n")
}

/// Text for a person, on standard output.
pub(crate) fn text(text: &str) -> Result<()> {
    data(printable(text).as_bytes())
}

/// Data, on standard output, byte for byte. A reader that has closed the pipe has had enough,
/// which is a success.
pub(crate) fn data(bytes: &[u8]) -> Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(anyhow!(
            "cannot write to standard output: {error}\nhint: check where it is sent and that there is space left"
        )),
        _ => Ok(()),
    }
}
