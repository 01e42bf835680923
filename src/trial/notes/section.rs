//! One table of the notes, with errors that point at the line.

mod numbers;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{NotesError, Problem};
use super::nearest::nearest;
use super::when::When;
use crate::units::UnitError;

/// The text being read and the name of its file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) text: &'a str,
    pub(super) file: &'a str,
}

impl<'a> Source<'a> {
    pub(super) fn error(self, at: Range<usize>, problem: Problem) -> NotesError {
        NotesError {
            file: self.file.to_owned(),
            line: self.line(at.start),
            problem: Box::new(problem),
        }
    }

    /// The line, from 1, of a place in the text.
    fn line(self, at: usize) -> usize {
        let before = self.text.as_bytes().get(..at).unwrap_or_default();
        1 + memchr::memchr_iter(b'\n', before).count()
    }

    /// A value as it stands in the text.
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
}

impl<'a> Section<'a> {
    /// A section, or the error for the first key that is not in `keys`.
    pub(super) fn new(
        source: Source<'a>,
        place: &'static str,
        table: &'a DeTable<'a>,
        span: Range<usize>,
        keys: &'static [&'static str],
    ) -> Result<Self, NotesError> {
        let unknown = table
            .keys()
            .filter(|key| !keys.contains(&key.get_ref().as_ref()))
            .min_by_key(|key| key.span().start);
        if let Some(key) = unknown {
            let problem = Problem::UnknownKey {
                key: key.get_ref().to_string(),
                place,
                nearest: nearest_key(key.get_ref(), keys),
                allowed: keys,
            };
            return Err(source.error(key.span(), problem));
        }
        Ok(Self {
            source,
            place,
            table,
            span,
        })
    }

    /// The line, from 1, on which it begins.
    pub(super) fn line(&self) -> usize {
        self.source.line(self.span.start)
    }

    /// An error at the value of `key`; at the section's head where there is none.
    pub(super) fn error(&self, key: &str, problem: Problem) -> NotesError {
        let span = self.table.get(key).map_or(self.span.clone(), Spanned::span);
        self.source.error(span, problem)
    }

    /// A table under `key`.
    pub(super) fn table(
        &self,
        key: &'static str,
        place: &'static str,
        keys: &'static [&'static str],
    ) -> Result<Option<Section<'a>>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let DeValue::Table(table) = value.get_ref() else {
            return Err(self.kind(key, value, "a table", place));
        };
        Section::new(self.source, place, table, value.span(), keys).map(Some)
    }

    /// The tables under `key`, `[[key]]`; a single `[key]` will do.
    pub(super) fn tables(
        &self,
        key: &'static str,
        place: &'static str,
        keys: &'static [&'static str],
    ) -> Result<Vec<Section<'a>>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(Vec::new());
        };
        let items = match value.get_ref() {
            DeValue::Array(items) => items.iter().collect(),
            _ => vec![value],
        };
        items
            .into_iter()
            .map(|item| match item.get_ref() {
                DeValue::Table(table) => Section::new(self.source, place, table, item.span(), keys),
                _ => Err(self.kind(key, item, "a table", place)),
            })
            .collect()
    }

    /// A text that is not blank, its ends trimmed.
    pub(super) fn text(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<Option<String>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let DeValue::String(text) = value.get_ref() else {
            return Err(self.kind(key, value, "a text", example));
        };
        match text.trim() {
            "" => Err(self.error(key, Problem::Empty { key, example })),
            text => Ok(Some(text.to_owned())),
        }
    }

    /// The same where it must be there.
    pub(super) fn required_text(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<String, NotesError> {
        self.text(key, example)?
            .ok_or_else(|| self.missing(key, example))
    }

    /// A text or number, read by `read`.
    pub(super) fn quantity<T>(
        &self,
        key: &'static str,
        example: &'static str,
        read: impl FnOnce(&str) -> Result<T, UnitError>,
    ) -> Result<Option<T>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref(),
            DeValue::Integer(_) | DeValue::Float(_) => self.source.written(value),
            _ => return Err(self.kind(key, value, "a text or a number", example)),
        };
        read(text)
            .map(Some)
            .map_err(|error| self.error(key, Problem::Unit { key, error }))
    }

    /// A time: in quotes, or as TOML's own.
    pub(super) fn when(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<Option<When>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref(),
            DeValue::Datetime(_) => self.source.written(value),
            _ => return Err(self.kind(key, value, "a time or the name of a waypoint", example)),
        };
        When::read(text)
            .map(Some)
            .map_err(|error| self.error(key, Problem::Time { key, error }))
    }

    /// Percent of full power, in `(0, 100]`.
    pub(super) fn percent(&self, key: &'static str) -> Result<Option<f64>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let written = match value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => self.source.written(value),
            _ => return Err(self.kind(key, value, "a number", "percent = 50")),
        };
        let number = written.replace('_', "").parse::<f64>().ok();
        match number.filter(|percent| *percent > 0.0 && *percent <= 100.0) {
            Some(percent) => Ok(Some(percent)),
            None => Err(self.error(
                key,
                Problem::Percent {
                    met: written.to_owned(),
                },
            )),
        }
    }

    pub(super) fn missing(&self, key: &'static str, example: &'static str) -> NotesError {
        let place = self.place;
        self.source.error(
            self.span.clone(),
            Problem::Missing {
                place,
                key,
                example,
            },
        )
    }

    fn kind(
        &self,
        key: &'static str,
        value: &Spanned<DeValue>,
        wanted: &'static str,
        example: &'static str,
    ) -> NotesError {
        let met = match value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a bare time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.source.error(
            value.span(),
            Problem::Kind {
                key,
                met,
                wanted,
                example,
            },
        )
    }
}

fn nearest_key(key: &str, keys: &'static [&'static str]) -> Option<&'static str> {
    let name = nearest(key, keys.iter().copied())?;
    keys.iter().copied().find(|known| *known == name)
}
