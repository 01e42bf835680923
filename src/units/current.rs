//! Whether the water runs, as people say it.

use std::str::FromStr;

use serde::Serialize;

use super::UnitError;

/// Whether there is a current where the boat runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Current {
    /// Still water.
    None,
    /// One that keeps its direction and changes slowly.
    River,
    /// One that grows, slackens and turns.
    Tide,
}

impl Current {
    /// As typed: `none`, `river` or `tide`.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::River => "river",
            Self::Tide => "tide",
        }
    }
}

impl FromStr for Current {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let word = text.trim().to_ascii_lowercase();
        [Self::None, Self::River, Self::Tide]
            .into_iter()
            .find(|current| current.word() == word)
            .ok_or_else(|| UnitError::Current(text.trim().to_owned()))
    }
}
