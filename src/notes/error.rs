//! Why notes could not be read.

/// Notes that could not be read: in which file, on which line, and why.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("cannot read `{file}`: line {line}: {what}")]
pub struct NotesError {
    /// The file's name.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong there, the value met and the range allowed, with a `hint:` line.
    pub what: String,
}

/// `` `a`, `b` and `c` ``
pub(super) fn quoted_list<T: AsRef<str>>(words: &[T]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("`{}`", w.as_ref())).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}
