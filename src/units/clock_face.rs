//! Times of day as people read them.

use std::str::FromStr;

use super::UnitError;

/// How the hours of the day are counted where times are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ClockFace {
    /// 0 to 23: `14:05`.
    #[default]
    Hours24,
    /// 1 to 12 twice, with am and pm: `2:05 pm`.
    Hours12,
}

impl ClockFace {
    /// As typed: `24h` or `12h`.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Hours24 => "24h",
            Self::Hours12 => "12h",
        }
    }

    /// The format of a time of day to the minute, as jiff's `strftime` takes it.
    pub fn minute(self) -> &'static str {
        match self {
            Self::Hours24 => "%H:%M",
            Self::Hours12 => "%-I:%M\u{a0}%P",
        }
    }

    /// The format of a time of day to the second, as jiff's `strftime` takes it.
    pub fn second(self) -> &'static str {
        match self {
            Self::Hours24 => "%H:%M:%S",
            Self::Hours12 => "%-I:%M:%S\u{a0}%P",
        }
    }
}

impl FromStr for ClockFace {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        match text
            .trim()
            .to_ascii_lowercase()
            .trim_end_matches('h')
            .trim_end()
        {
            "24" => Ok(Self::Hours24),
            "12" => Ok(Self::Hours12),
            _ => Err(UnitError::Clock(text.trim().to_owned())),
        }
    }
}
