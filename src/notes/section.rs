//! One table of the notes, read key by key, with errors that point at the line.

use std::borrow::Cow;
use std::fmt::Display;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{NotesError, quoted_list};
use super::nearest::nearest;
use super::{LegName, When};

/// The keys of a table: the name of each and how it is written.
pub(super) type Keys = &'static [(&'static str, &'static str)];

/// Most legs that a number may name: far above any day.
const MOST_LEGS: usize = 1_000_000;

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
    /// As messages name it.
    place: &'static str,
    table: &'a DeTable<'a>,
    span: Range<usize>,
    keys: Keys,
}

impl<'a> Section<'a> {
    /// A section, or the error for the first key that is not in `keys`.
    pub(super) fn new(
        source: Source<'a>,
        place: &'static str,
        table: &'a DeTable<'a>,
        span: Range<usize>,
        keys: Keys,
    ) -> Result<Self, NotesError> {
        let known = || keys.iter().map(|(name, _)| *name);
        let unknown = table
            .keys()
            .filter(|key| !known().any(|name| name == key.get_ref().as_ref()))
            .min_by_key(|key| key.span().start);
        if let Some(key) = unknown {
            let meant = nearest(key.get_ref(), known());
            let meant = meant.map_or_else(String::new, |name| format!("did you mean `{name}`? "));
            let what = format!(
                "`{}` is not a key of {place}\nhint: {meant}the keys here are {}",
                key.get_ref(),
                quoted_list(&known().collect::<Vec<_>>())
            );
            return Err(source.error(&key.span(), what));
        }
        Ok(Self {
            source,
            place,
            table,
            span,
            keys,
        })
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
    pub(super) fn error(&self, key: &str, what: String) -> NotesError {
        let span = self.table.get(key).map_or(self.span.clone(), Spanned::span);
        self.source.error(&span, what)
    }

    /// The error for a key that must be there.
    pub(super) fn missing(&self, key: &str) -> NotesError {
        let what = format!(
            "this {} has no `{key}`\nhint: add `{}`",
            self.place,
            self.example(key)
        );
        self.source.error(&self.span, what)
    }

    /// A table under `key`.
    pub(super) fn table(
        &self,
        key: &'static str,
        keys: Keys,
    ) -> Result<Option<Section<'a>>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let DeValue::Table(table) = value.get_ref() else {
            return Err(self.kind(key, value, "a table"));
        };
        Section::new(self.source, self.example(key), table, value.span(), keys).map(Some)
    }

    /// The tables under `key`, `[[key]]`; a single `[key]` will do.
    pub(super) fn tables(
        &self,
        key: &'static str,
        keys: Keys,
    ) -> Result<Vec<Section<'a>>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(Vec::new());
        };
        let items = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        let section = |item: &'a Spanned<DeValue<'a>>| match item.get_ref() {
            DeValue::Table(table) => {
                Section::new(self.source, self.example(key), table, item.span(), keys)
            }
            _ => Err(self.kind(key, item, "a table")),
        };
        items.into_iter().map(section).collect()
    }

    /// The value of `key` as text, where it is of a kind that will do.
    fn value(
        &self,
        key: &str,
        wanted: &str,
        will_do: impl Fn(&DeValue) -> bool,
    ) -> Result<Option<Cow<'a, str>>, NotesError> {
        match self.table.get(key) {
            None => Ok(None),
            Some(value) if !will_do(value.get_ref()) => Err(self.kind(key, value, wanted)),
            Some(value) => Ok(Some(match value.get_ref() {
                DeValue::String(text) => text.clone(),
                _ => Cow::Borrowed(self.source.written(value)),
            })),
        }
    }

    /// A text that is not blank, its ends trimmed.
    pub(super) fn text(&self, key: &str) -> Result<Option<String>, NotesError> {
        let Some(text) = self.value(key, "a text", is_text)? else {
            return Ok(None);
        };
        let text = text.trim();
        if text.is_empty() {
            let example = self.example(key);
            let what = format!("`{key}` is empty\nhint: write `{example}`, or leave the line out");
            return Err(self.error(key, what));
        }
        Ok(Some(text.to_owned()))
    }

    /// The same where it must be there.
    pub(super) fn required_text(&self, key: &str) -> Result<String, NotesError> {
        self.text(key)?.ok_or_else(|| self.missing(key))
    }

    /// A text or number, read by `read`, whose error has its own hint.
    pub(super) fn parsed<T, E: Display>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Result<Option<T>, NotesError> {
        let text = self.value(key, "a text or a number", |v| is_text(v) || is_number(v))?;
        let read = text.map(|text| read(&text)).transpose();
        read.map_err(|error| self.error(key, format!("`{key}`: {error}")))
    }

    /// A time: in quotes, or as TOML's own.
    pub(super) fn when(&self, key: &str) -> Result<Option<When>, NotesError> {
        let will_do = |v: &DeValue| is_text(v) || matches!(v, DeValue::Datetime(_));
        let text = self.value(key, "a time or the name of a waypoint", will_do)?;
        let read = text.map(|text| When::read(&text)).transpose();
        read.map_err(|error| self.error(key, format!("`{key}`: {error}")))
    }

    /// A leg: its number, or a time in it.
    pub(super) fn leg(&self, key: &str) -> Result<Option<LegName>, NotesError> {
        let will_do = |v: &DeValue| !matches!(v, DeValue::Integer(_));
        if self
            .table
            .get(key)
            .is_none_or(|value| will_do(value.get_ref()))
        {
            return Ok(self.when(key)?.map(LegName::At));
        }
        Ok(self.count(key)?.map(LegName::Number))
    }

    /// A whole number that counts legs.
    pub(super) fn count(&self, key: &str) -> Result<Option<usize>, NotesError> {
        let allowed = format!("the whole numbers from 1 to {MOST_LEGS}");
        let fits = |v: f64| (1.0..=MOST_LEGS as f64).contains(&v) && v.fract() == 0.0;
        Ok(self.ranged(key, &allowed, fits)?.map(|v| v as usize))
    }

    /// A number in `(0, most]`.
    pub(super) fn number(&self, key: &str, most: f64) -> Result<Option<f64>, NotesError> {
        self.ranged(key, &format!("(0, {most}]"), |v| v > 0.0 && v <= most)
    }

    /// A number in `[-most, most]`.
    pub(super) fn signed(&self, key: &str, most: f64) -> Result<Option<f64>, NotesError> {
        self.ranged(key, &format!("[-{most}, {most}]"), |v| v.abs() <= most)
    }

    fn ranged(
        &self,
        key: &str,
        allowed: &str,
        fits: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, NotesError> {
        let written = self.value(key, "a number", is_number)?;
        self.fitting(key, written.as_deref(), allowed, |written| {
            let number = written.replace('_', "").parse::<f64>().ok();
            number.filter(|v| v.is_finite() && fits(*v))
        })
    }

    /// A text that has to fit; `allowed` says in words what does.
    pub(super) fn fitted<T>(
        &self,
        key: &str,
        allowed: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<Option<T>, NotesError> {
        self.fitting(key, self.text(key)?.as_deref(), allowed, read)
    }

    fn fitting<T>(
        &self,
        key: &str,
        written: Option<&str>,
        allowed: &str,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Result<Option<T>, NotesError> {
        let Some(written) = written else {
            return Ok(None);
        };
        let example = self.example(key);
        let what = || format!("`{key}`: `{written}` is outside {allowed}\nhint: write `{example}`");
        let read = read(written).ok_or_else(|| self.error(key, what()));
        read.map(Some)
    }

    /// A share of a whole as `"80 %"`, of which `fits` says whether it may be; as a share of one.
    ///
    /// A bare number would leave open whether 0.8 means 0.8 % or 80 %, so the sign must be there.
    pub(super) fn share(
        &self,
        key: &str,
        allowed: &str,
        fits: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, NotesError> {
        self.fitted(key, allowed, |text| {
            let number = text.strip_suffix('%')?.trim().replace(',', ".");
            let percent = number.parse::<f64>().ok();
            let percent = percent.filter(|p| p.is_finite() && fits(*p));
            percent.map(|percent| percent / 100.0)
        })
    }

    /// The one thing that `key` may say, `true` or a word.
    pub(super) fn only(&self, key: &str) -> Result<bool, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(false);
        };
        let example = self.example(key);
        let met = match value.get_ref() {
            DeValue::String(met) => format!("\"{met}\""),
            _ => self.source.written(value).to_owned(),
        };
        if format!("{key} = {met}") == example {
            return Ok(true);
        }
        let what = format!("`{key}` is `{met}`\nhint: write `{example}`, or leave the line out");
        Err(self.error(key, what))
    }

    fn example(&self, key: &str) -> &'static str {
        let own = self.keys.iter().find(|(name, _)| *name == key);
        own.map_or("", |(_, example)| example)
    }

    fn kind(&self, key: &str, value: &Spanned<DeValue>, wanted: &str) -> NotesError {
        let met = match value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a bare time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let example = self.example(key);
        let what = format!("`{key}` is {met}, not {wanted}\nhint: write `{example}`");
        self.source.error(&value.span(), what)
    }
}

fn is_text(value: &DeValue) -> bool {
    matches!(value, DeValue::String(_))
}

fn is_number(value: &DeValue) -> bool {
    matches!(value, DeValue::Integer(_) | DeValue::Float(_))
}
