//! Numbers, shares and spans of time in a table of the notes.

use jiff::SignedDuration;
use toml::de::DeValue;

use super::super::error::{NotesError, Problem};
use super::Section;

/// A clock further off than this was never set; its dates mean nothing.
const LONGEST_OFFSET: SignedDuration = SignedDuration::from_hours(30 * 24);

impl Section<'_> {
    /// A number in `(0, most]`.
    pub(in crate::trial::notes) fn number(
        &self,
        key: &'static str,
        example: &'static str,
        most: f64,
    ) -> Result<Option<f64>, NotesError> {
        self.ranged(key, example, &format!("(0, {most}]"), |v| {
            v > 0.0 && v <= most
        })
    }

    /// A number in `[-most, most]`.
    pub(in crate::trial::notes) fn signed(
        &self,
        key: &'static str,
        example: &'static str,
        most: f64,
    ) -> Result<Option<f64>, NotesError> {
        self.ranged(key, example, &format!("[-{most}, {most}]"), |v| {
            v.abs() <= most
        })
    }

    fn ranged(
        &self,
        key: &'static str,
        example: &'static str,
        allowed: &str,
        fits: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, NotesError> {
        let Some(value) = self.table.get(key) else {
            return Ok(None);
        };
        let written = match value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => self.source.written(value),
            _ => return Err(self.kind(key, value, "a number", example)),
        };
        let number = written.replace('_', "").parse::<f64>().ok();
        match number.filter(|v| v.is_finite() && fits(*v)) {
            Some(number) => Ok(Some(number)),
            None => Err(self.outside(key, written, allowed, example)),
        }
    }

    fn outside(
        &self,
        key: &'static str,
        met: &str,
        allowed: &str,
        example: &'static str,
    ) -> NotesError {
        let problem = Problem::Outside {
            key,
            met: met.to_owned(),
            allowed: allowed.to_owned(),
            example,
        };
        self.error(key, problem)
    }

    /// A share as `"80 %"`, in `(0 %, 100 %]`; as a share of one.
    pub(in crate::trial::notes) fn share(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<Option<f64>, NotesError> {
        self.percent_text(key, example, "(0 %, 100 %]", |p| p > 0.0 && p <= 100.0)
    }

    /// A share as `"30 %"`, in `[0 %, 100 %)`; as a share of one.
    pub(in crate::trial::notes) fn share_or_none(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<Option<f64>, NotesError> {
        self.percent_text(key, example, "[0 %, 100 %)", |p| (0.0..100.0).contains(&p))
    }

    /// A bare number would leave open whether 0.8 means 0.8 % or 80 %, so the sign must be there.
    fn percent_text(
        &self,
        key: &'static str,
        example: &'static str,
        allowed: &str,
        fits: impl Fn(f64) -> bool,
    ) -> Result<Option<f64>, NotesError> {
        let Some(text) = self.text(key, example)? else {
            return Ok(None);
        };
        let number = text
            .strip_suffix('%')
            .and_then(|number| number.trim().replace(',', ".").parse::<f64>().ok());
        match number.filter(|p| p.is_finite() && fits(*p)) {
            Some(percent) => Ok(Some(percent / 100.0)),
            None => Err(self.outside(key, &text, allowed, example)),
        }
    }

    /// A span of time as people write it: `90 s`, `-2 min`, `1 h 30 min`.
    pub(in crate::trial::notes) fn offset(
        &self,
        key: &'static str,
        example: &'static str,
    ) -> Result<Option<SignedDuration>, NotesError> {
        let Some(text) = self.text(key, example)? else {
            return Ok(None);
        };
        match text.parse::<SignedDuration>() {
            Ok(span) if span.abs() <= LONGEST_OFFSET => Ok(Some(span)),
            _ => Err(self.outside(key, &text, "[-30 days, 30 days], with its unit", example)),
        }
    }
}
