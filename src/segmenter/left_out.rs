//! Why a leg does not count.

use std::fmt;

/// Why a leg is left out; shows as a clause in plain words.
#[derive(Debug, Clone, PartialEq)]
pub enum LeftOut {
    /// It ended before the boat had gathered its speed.
    TooShort {
        /// How long it lasted, s.
        lasted_s: f64,
        /// How long the boat needs, s.
        needed_s: f64,
    },
    /// The notes say so.
    Noted(String),
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooShort { lasted_s, needed_s } => write!(
                f,
                "too short: {lasted_s:.0} s, of which the boat needs {needed_s:.0} s to gather its speed"
            ),
            Self::Noted(reason) => f.write_str(reason),
        }
    }
}
