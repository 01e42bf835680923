//! Why notes could not be read.

use super::when::TimeError;
use crate::trial::zone::ZoneError;
use crate::units::UnitError;

/// Notes that could not be read: in which file, on which line, and why.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("cannot read `{file}`: line {line}: {problem}")]
pub struct NotesError {
    /// The file's name.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong there.
    pub problem: Box<Problem>,
}

/// What is wrong at one place of the notes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "the fields are the words of the messages")]
pub enum Problem {
    /// Not TOML.
    #[error(
        "{what}\nhint: a line goes `key = value`, and text stands in double quotes: `name = \"four blades\"`"
    )]
    Syntax { what: String },
    /// A key or table of unknown name.
    #[error("`{key}` is not a key of {place}\nhint: {}", hint(*nearest, allowed))]
    UnknownKey {
        key: String,
        place: &'static str,
        nearest: Option<&'static str>,
        allowed: &'static [&'static str],
    },
    /// A value of the wrong kind.
    #[error("`{key}` is {met}, not {wanted}\nhint: write `{example}`")]
    Kind {
        key: &'static str,
        met: &'static str,
        wanted: &'static str,
        example: &'static str,
    },
    /// A key that must be there.
    #[error("this {place} has no `{key}`\nhint: add `{example}`")]
    Missing {
        place: &'static str,
        key: &'static str,
        example: &'static str,
    },
    /// A text with nothing in it.
    #[error("`{key}` is empty\nhint: write `{example}`, or leave the line out")]
    Empty {
        key: &'static str,
        example: &'static str,
    },
    /// A quantity or unit that cannot be read.
    #[error("`{key}`: {error}")]
    Unit { key: &'static str, error: UnitError },
    /// A time that cannot be read.
    #[error("`{key}`: {error}")]
    Time { key: &'static str, error: TimeError },
    /// A time zone that does not exist.
    #[error("`timezone`: {0}")]
    Zone(ZoneError),
    /// A percentage out of range.
    #[error(
        "`percent`: `{met}` is outside (0, 100]\nhint: give percent of full power, such as `percent = 50`"
    )]
    Percent { met: String },
    /// A value out of range.
    #[error("`{key}`: `{met}` is outside {allowed}\nhint: write `{example}`")]
    Outside {
        key: &'static str,
        met: String,
        allowed: String,
        example: &'static str,
    },
    /// A battery's capacity given twice.
    #[error(
        "the battery has both `amp_hours` and `watt_hours`\nhint: give one of them; `amp_hours` goes with `volts`"
    )]
    TwoCapacities,
    /// A step of a setting without how many there are, or above it.
    #[error(
        "`step`: `{met}` is outside {allowed}\nhint: give the step and how many there are: `step = 3` and `of = 10`"
    )]
    Step { met: String, allowed: String },
    /// A reading that reads nothing.
    #[error(
        "this [[reading]] holds no reading\nhint: add `watts = 290`, `amps = 23.5` with `volts = 12.6`, or `rpm = 900`"
    )]
    NothingRead,
    /// A current without any voltage.
    #[error(
        "`amps` stands without `volts`, so the power is not known\nhint: add `volts = 12.6` as read, or the battery's `volts = 12.8` under [battery]"
    )]
    AmpsAlone,
    /// A voltage without a current.
    #[error(
        "`volts` stands without `amps`, so the power is not known\nhint: add `amps = 23.5`, or write `watts = 290`"
    )]
    VoltsAlone,
    /// Settings that are not listed slowest first.
    #[error(
        "setting `{name}` ({percent} %) comes after `{before}` ({before_percent} %)\nhint: list the settings slowest first"
    )]
    Order {
        name: String,
        percent: String,
        before: String,
        before_percent: String,
    },
    /// Two settings of one name.
    #[error("setting `{name}` is there twice\nhint: list each setting once, slowest first")]
    Twice { name: String },
    /// A leg about which nothing is said.
    #[error(
        "this [[leg]] says nothing about the leg\nhint: add `exclude = \"the reason\"`, `configuration = \"its name\"`, `setting = \"its name\"` or `watts = 290`"
    )]
    NothingSaid,
    /// A leg in a configuration or setting that is not listed.
    #[error("there is no {kind} `{name}` in these notes\nhint: {}", names_hint(kind, nearest.as_ref(), listed))]
    UnknownName {
        kind: &'static str,
        name: String,
        nearest: Option<String>,
        listed: Vec<String>,
    },
}

fn hint(nearest: Option<&str>, allowed: &[&str]) -> String {
    let allowed = quoted_list(allowed);
    match nearest {
        Some(key) => format!("did you mean `{key}`? the keys here are {allowed}"),
        None => format!("the keys here are {allowed}"),
    }
}

fn names_hint(kind: &str, nearest: Option<&String>, listed: &[String]) -> String {
    let listed = quoted_list(listed);
    match nearest {
        Some(name) => format!("did you mean `{name}`? listed are {listed}"),
        None => format!("listed are {listed}; add a [[{kind}]] of that name"),
    }
}

/// `` `a`, `b` and `c` ``
pub(super) fn quoted_list<T: AsRef<str>>(words: &[T]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("`{}`", w.as_ref())).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}
