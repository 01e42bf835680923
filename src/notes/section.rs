//! One table of the notes, read key by key, with errors that point at the line.

use std::borrow::Cow;
use std::fmt::Display;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::when::When;
use crate::parser::quantity::{Measure, SHARE};

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

/// Every key with an example and a remark, as a file of notes.
const KEYS: &str = include_str!("keys.toml");

/// A key as [`KEYS`] has it; the name of a table is a key of the table around it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Key {
    table: &'static str,
    pub(crate) name: &'static str,
    /// How it is written: `from = 235`, `[wind]`.
    pub(super) example: &'static str,
    pub(super) remark: &'static str,
}

/// All keys, in order; those at the top belong to the table without a name.
fn keys() -> impl Iterator<Item = Key> {
    let mut table = "";
    KEYS.lines()
        .filter(|line| !line.is_empty())
        .map(move |line| {
            let line = line.strip_prefix("# ").unwrap_or(line);
            let (example, remark) = line.split_once(" # ").unwrap_or((line, ""));
            let (name, table) = if let Some((name, _)) = example.split_once(" = ") {
                (name, table)
            } else {
                table = example.trim_matches(['[', ']']);
                (table, "")
            };
            Key {
                table,
                name,
                example,
                remark,
            }
        })
}

/// The keys of a table, each once.
pub(crate) fn keys_of(table: &str) -> Vec<Key> {
    let mut own: Vec<Key> = Vec::new();
    for key in keys().filter(|key| key.table == table) {
        if own.iter().all(|known| known.name != key.name) {
            own.push(key);
        }
    }
    own
}

fn names_of(table: &str) -> Vec<&'static str> {
    keys_of(table).into_iter().map(|key| key.name).collect()
}

/// How a key, or a table at the top, is written.
fn example_of(table: &str, name: &str) -> &'static str {
    let own = keys_of(table).into_iter().find(|key| key.name == name);
    own.map_or("", |key| key.example)
}

/// Longest text on one line, characters. Our own choice: two lines of a page.
const MOST_CHARACTERS: usize = 200;

/// The text being read and the name of its file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) text: &'a str,
    pub(super) file: &'a str,
}

impl<'a> Source<'a> {
    pub(super) fn error(self, at: &Range<usize>, what: String) -> NotesError {
        NotesError {
            file: self.file.to_owned(),
            line: self.line(at.start),
            what,
        }
    }

    /// The line, from 1, of a place in the text.
    fn line(self, at: usize) -> usize {
        let before = self.text.as_bytes().get(..at).unwrap_or_default();
        1 + memchr::memchr_iter(b'\n', before).count()
    }

    /// A value as the text has it.
    fn written(self, value: &Spanned<DeValue>) -> &'a str {
        self.text.get(value.span()).unwrap_or_default()
    }
}

/// A table all of whose keys are known.
#[derive(Debug)]
pub(super) struct Section<'a> {
    source: Source<'a>,
    name: &'static str,
    table: &'a DeTable<'a>,
    span: Range<usize>,
}

impl<'a> Section<'a> {
    /// All of the notes.
    pub(super) fn top(source: Source<'a>, table: &'a DeTable<'a>) -> Result<Self, NotesError> {
        Self {
            source,
            name: "",
            table,
            span: 0..0,
        }
        .checked(&names_of(""))
    }

    /// The same, or the error for the first key that does not belong there.
    fn checked(self, known: &[&'static str]) -> Result<Self, NotesError> {
        let unknown = (self.table.keys())
            .filter(|key| !known.contains(&key.get_ref().as_ref()))
            .min_by_key(|key| key.span().start);
        let Some(key) = unknown else {
            return Ok(self);
        };
        let word = key.get_ref().as_ref();
        let near = || nearest(word, known.iter().copied());
        let hint = belongs(word)
            .or_else(|| near().map(|key| format!("did you mean `{key}`? ")))
            .unwrap_or_default();
        let place = place(self.name);
        let what = format!(
            "`{word}` is not a key of {place}\nhint: {hint}the keys here are {}",
            quoted_list(known)
        );
        Err(self.source.error(&key.span(), what))
    }

    /// The line, from 1, on which it begins.
    pub(super) fn line(&self) -> usize {
        self.source.line(self.span.start)
    }

    /// Whether `key` is there.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// An error at the value of `key`; at the section's head where there is none.
    pub(super) fn error(&self, key: &str, what: impl Into<String>) -> NotesError {
        let span = self.table.get(key).map_or(self.span.clone(), Spanned::span);
        self.source.error(&span, what.into())
    }

    /// The error for a key that must be there.
    pub(super) fn missing(&self, key: &str) -> NotesError {
        let (place, example) = (place(self.name), example_of(self.name, key));
        let what = format!("this {place} has no `{key}`\nhint: add `{example}`");
        self.source.error(&self.span, what)
    }

    /// The tables under `key`, `[[key]]`; a single `[key]` will do.
    pub(super) fn tables(&self, key: &'static str) -> Result<Vec<Section<'a>>, NotesError> {
        let items = match self.table.get(key).map(|value| (value, value.get_ref())) {
            None => Vec::new(),
            Some((_, DeValue::Array(items))) => items.iter().collect(),
            Some((value, _)) => vec![value],
        };
        let known = names_of(key);
        let section = |item: &'a Spanned<DeValue<'a>>| match item.get_ref() {
            DeValue::Table(table) => Section {
                source: self.source,
                name: key,
                table,
                span: item.span(),
            }
            .checked(&known),
            _ => Err(self.not_of_kind(key, "not a table")),
        };
        items.into_iter().map(section).collect()
    }

    /// The one table under `key`.
    pub(super) fn table(&self, key: &'static str) -> Result<Option<Section<'a>>, NotesError> {
        let mut tables = self.tables(key)?;
        if tables.len() > 1 {
            return Err(self.not_of_kind(key, "there more than once"));
        }
        Ok(tables.pop())
    }

    fn not_of_kind(&self, key: &str, why: &str) -> NotesError {
        let example = example_of(self.name, key);
        self.error(key, format!("`{key}` is {why}\nhint: write `{example}`"))
    }

    /// The value of `key` as text, whether it has quotes or is a bare number or time.
    fn value(&self, key: &str) -> Result<Option<Cow<'a, str>>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let written = self.source.written(value);
        match value.get_ref() {
            DeValue::String(text) => Ok(Some(text.clone())),
            DeValue::Datetime(_) => Ok(Some(Cow::Borrowed(written))),
            DeValue::Integer(_) | DeValue::Float(_) => Ok(Some(written.replace('_', "").into())),
            DeValue::Boolean(_) => Err(self.not_of_kind(key, "true or false")),
            DeValue::Array(_) => Err(self.not_of_kind(key, "a list")),
            DeValue::Table(_) => Err(self.not_of_kind(key, "a table")),
        }
    }

    /// A text that is not blank, its ends trimmed.
    pub(super) fn text(&self, key: &str) -> Result<Option<String>, NotesError> {
        self.long_text(key, MOST_CHARACTERS)
    }

    /// The same where it may have so many characters.
    pub(super) fn long_text(&self, key: &str, most: usize) -> Result<Option<String>, NotesError> {
        let read = |text: &str| match (text.trim(), text.trim().chars().count()) {
            ("", _) => Err(format!(
                "it is empty\nhint: write `{}`, or leave the line out",
                example_of(self.name, key)
            )),
            (_, count) if count > most => Err(format!(
                "it has {count} characters\nhint: at most {most} fit"
            )),
            (text, _) => Ok(text.to_owned()),
        };
        self.parsed(key, read)
    }

    /// A text that must be there.
    pub(super) fn required_text(&self, key: &str) -> Result<String, NotesError> {
        self.text(key)?.ok_or_else(|| self.missing(key))
    }

    /// A text that must be among those listed, where any are.
    pub(super) fn listed(&self, key: &str, names: &[&str]) -> Result<Option<String>, NotesError> {
        let name = self.text(key)?;
        // Without a list the name is one of those that the track suggests, not known yet.
        let Some(unknown) = name
            .as_deref()
            .filter(|name| !names.is_empty() && !names.contains(name))
        else {
            return Ok(name);
        };
        let mut all = names.to_vec();
        all.dedup();
        let all = quoted_list(all);
        let hint = match nearest(unknown, names.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`? listed are {all}"),
            None => format!("listed are {all}; add a [[{key}]] of that name"),
        };
        let what = format!("there is no {key} `{unknown}` in these notes\nhint: {hint}");
        Err(self.error(key, what))
    }

    /// What `read` makes of a text or number; its error has its own hint.
    pub(super) fn parsed<T, E: Display>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Result<Option<T>, NotesError> {
        let read = self.value(key)?.map(|text| read(&text)).transpose();
        read.map_err(|error| self.error(key, format!("`{key}`: {error}")))
    }

    /// The same where it fits; `allowed` says in words what does.
    pub(super) fn fitted<T, E: Display>(
        &self,
        key: &str,
        allowed: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
        fits: impl Fn(&T) -> bool,
    ) -> Result<Option<T>, NotesError> {
        let hint = || format!("hint: write `{}`", example_of(self.name, key));
        self.parsed(key, |text| match read(text) {
            Ok(value) if fits(&value) => Ok(value),
            Ok(_) => Err(format!("`{text}` is outside {allowed}\n{}", hint())),
            Err(error) if error.to_string().contains("hint:") => Err(error.to_string()),
            Err(_) => Err(format!("`{text}` cannot be read\n{}", hint())),
        })
    }

    /// A time, or the name of a waypoint.
    pub(super) fn when(&self, key: &str) -> Result<Option<When>, NotesError> {
        self.parsed(key, When::read)
    }

    /// A number in `(0, most]`.
    pub(super) fn number(&self, key: &str, most: f64) -> Result<Option<f64>, NotesError> {
        let fits = |v: &f64| *v > 0.0 && *v <= most;
        self.fitted(key, &format!("(0, {most}]"), str::parse::<f64>, fits)
    }

    /// The same with the unit or without it, of which `measure` has the names.
    pub(super) fn quantity(
        &self,
        key: &str,
        measure: Measure,
        most: f64,
    ) -> Result<Option<f64>, NotesError> {
        let read = |text: &str| match text.trim().parse::<f64>() {
            Ok(number) => Ok(number),
            Err(_) => measure.read(text),
        };
        let fits = |v: &f64| *v > 0.0 && *v <= most;
        self.fitted(key, &format!("(0, {most}]"), read, fits)
    }

    /// A share of a whole, of which `fits` says whether it may be; in percent.
    pub(super) fn percent(
        &self,
        key: &str,
        allowed: &str,
        fits: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, NotesError> {
        self.fitted(key, allowed, percent, |percent| fits(*percent))
    }

    /// The one thing that `key` may say, `true` or a word.
    pub(super) fn only(&self, key: &str) -> Result<bool, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(false);
        };
        let example = example_of(self.name, key);
        let met = self.source.written(value);
        if example == format!("{key} = {}", met.replace('\'', "\"")) {
            return Ok(true);
        }
        let what = format!("`{key}` is `{met}`\nhint: write `{example}`, or leave the line out");
        Err(self.error(key, what))
    }

    /// Its lines as they were written, without comments and without what is written anew. A file is
    /// named relative to the notes, and the next ones may lie in another folder.
    pub(super) fn kept(&self) -> Kept {
        let line = |key: Key| {
            let value = self.table.get(key.name)?;
            let is_table = matches!(value.get_ref(), DeValue::Table(_) | DeValue::Array(_));
            let written = format!("{} = {}", key.name, self.source.written(value));
            let line = match key.name {
                "title" | "timezone" | "units" | "clock" | "resolve" | "current" => return None,
                "photo" | "log" => format!("# {written} # name it from this folder\n"),
                _ => format!("{written}\n"),
            };
            (!is_table).then_some((key.name, line))
        };
        Kept {
            table: self.name,
            lines: keys_of(self.name).into_iter().filter_map(line).collect(),
        }
    }
}

/// A table as it was written, for the notes that are written back.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kept {
    pub(super) table: &'static str,
    pub(super) lines: Vec<(&'static str, String)>,
}

/// A share in percent as people write it: `80 %`, or 80 alone.
///
/// # Errors
/// A sentence with its hint for what is not one, and for a bare number below one, which leaves open
/// whether 0.8 means 0.8 % or 80 %.
pub fn percent(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(bare) if 0.0 < bare && bare < 1.0 => Err(format!(
            "`{text}` can mean {bare} % or {} %\nhint: write it with its sign: `{bare} %`",
            (bare * 1e6).round() / 1e4
        )),
        Ok(percent) => Ok(percent),
        // To a millionth of a percent: 0.07 is not 7.000000000000001 percent.
        Err(_) => (SHARE.read(text))
            .map(|share| (share * 1e8).round() / 1e6)
            .map_err(|error| error.to_string()),
    }
}

/// A table as messages name it.
pub(super) fn place(name: &str) -> &'static str {
    match name {
        "" => "the notes",
        table => example_of("", table),
    }
}

/// Where a key that is somewhere else belongs.
fn belongs(name: &str) -> Option<String> {
    let mut tables: Vec<&str> = keys()
        .filter(|key| key.name == name)
        .map(|key| key.table)
        .collect();
    tables.dedup();
    if tables.contains(&"") {
        return Some("it belongs at the top, above the first table; ".to_owned());
    }
    let tables: Vec<&str> = tables.into_iter().map(place).collect();
    (!tables.is_empty()).then(|| format!("it belongs under {}; ", tables.join(" or ")))
}

/// `` `a`, `b` and `c` ``
pub(super) fn quoted_list<T: AsRef<str>>(words: impl IntoIterator<Item = T>) -> String {
    let quoted: Vec<String> = (words.into_iter())
        .map(|word| format!("`{}`", word.as_ref()))
        .collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// How alike two words must be for one to be meant by the other, by Jaro's measure with Winkler's
/// prefix, from 0 to 1. Common practice, no source.
const ALIKE: f64 = 0.85;

/// The candidate most like `typed`, letters' case aside, where one is like enough to be meant.
pub(super) fn nearest<'a>(
    typed: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    (candidates.into_iter())
        .map(|word| (strsim::jaro_winkler(&typed, &word.to_lowercase()), word))
        .filter(|(alike, _)| *alike >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}
