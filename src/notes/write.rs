//! Lines of `notes.toml`: keys with values, examples in comments, texts made safe.

use std::borrow::Cow;
use std::fmt::Write;

use super::note::{ConfigurationNote, Notes};
use super::section::{keys_of, place};
use crate::units::Current;

/// A line for a value, or its example in a comment.
pub(crate) fn line(table: &str, name: &str, value: Option<String>) -> String {
    let key = keys_of(table).into_iter().find(|key| key.name == name);
    match (value, key) {
        (Some(value), _) => format!("{name} = {value}\n"),
        (None, Some(key)) if key.remark.is_empty() => format!("# {}\n", key.example),
        (None, Some(key)) => format!("# {} # {}\n", key.example, key.remark),
        (None, None) => String::new(),
    }
}

/// A line as it was in the notes, or its example in a comment.
pub(crate) fn kept_line(given: &Notes, table: &str, name: &str) -> String {
    let own = given.kept.iter().filter(|kept| kept.table == table);
    let kept = own
        .flat_map(|kept| &kept.lines)
        .find(|(key, _)| *key == name);
    kept.map_or_else(|| line(table, name, None), |(_, line)| line.clone())
}

/// Tables as they were in the notes.
pub(crate) fn kept_tables(given: &Notes, names: &[&str]) -> String {
    let mut out = String::new();
    for name in names {
        let own = given.kept.iter().filter(|kept| kept.table == *name);
        for kept in own.filter(|kept| !kept.lines.is_empty()) {
            let _ = writeln!(out, "\n{}", place(name));
            out.extend(kept.lines.iter().map(|(_, line)| line.as_str()));
        }
    }
    out
}

/// `[water]`, in comments where it is not known.
pub(crate) fn water(current: Option<Current>) -> String {
    let current = current.map(|current| quoted(current.word()));
    format!("\n[water]\n{}", line("water", "current", current))
}

/// A `[[configuration]]` with a remark.
pub(crate) fn configuration(note: &ConfigurationNote, remark: &str) -> String {
    let mut out = "\n[[configuration]]".to_owned();
    if !remark.is_empty() {
        let _ = write!(out, " # {}", plain(remark));
    }
    let _ = writeln!(out, "\nname = {}", quoted(&note.name));
    if let Some(pitch_m) = note.pitch_m {
        let _ = writeln!(out, "pitch = \"{} mm\"", rounded(pitch_m * 1e3, 3));
    }
    if let Some(from) = &note.from {
        let _ = writeln!(out, "from = {}", quoted(&from.to_string()));
    }
    out
}

/// A `[[setting]]`.
pub(crate) fn setting(name: &str, percent: Option<f64>) -> String {
    let percent = line(
        "setting",
        "percent",
        percent.map(|percent| percent.to_string()),
    );
    format!("\n[[setting]]\nname = {}\n{percent}", quoted(name))
}

/// A number with at most so many decimals and no idle zeros.
pub(crate) fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

/// Untrusted text that must stay on one line of comment.
pub(crate) fn plain(text: &str) -> String {
    let line = text.replace(char::is_control, " ");
    escaped(line.trim_end()).into_owned()
}

/// A TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", escaped_toml(text))
}

/// The inside of a TOML basic string, with hidden characters shown.
fn escaped_toml(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if is_hidden(letter) => {
                // Writing to a `String` cannot fail.
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out
}

/// Text whose hidden characters are shown as escapes: those that move the cursor, and those that
/// turn the direction of what is around them (Unicode Standard Annex 9, 2).
pub fn escaped(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let shown = |letter: char| match letter {
        letter if is_hidden(letter) => letter.escape_unicode().to_string(),
        letter => letter.to_string(),
    };
    Cow::Owned(text.chars().map(shown).collect())
}

fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}')
}
