//! Why single points are set aside, counted.

use super::ReadError;
use super::text::clipped;
use crate::track::SetAside;

/// Longest value repeated in a message.
const VALUE_CHARACTERS: usize = 40;

/// What can be wrong with one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    NoPosition,
    UnreadablePosition,
    LatitudeRange,
    LongitudeRange,
    ZeroPosition,
    NoTime,
    UnreadableTime,
    DateAlone,
    ClockAlone,
    TooFewCells,
    TooManyCells,
    TooLong,
    CutOff,
    NoFix,
    DeadReckoned,
    NotMeasured,
    WrongChecksum,
}

impl Fault {
    const ALL: [Self; 17] = [
        Self::NoPosition,
        Self::UnreadablePosition,
        Self::LatitudeRange,
        Self::LongitudeRange,
        Self::ZeroPosition,
        Self::NoTime,
        Self::UnreadableTime,
        Self::DateAlone,
        Self::ClockAlone,
        Self::TooFewCells,
        Self::TooManyCells,
        Self::TooLong,
        Self::CutOff,
        Self::NoFix,
        Self::DeadReckoned,
        Self::NotMeasured,
        Self::WrongChecksum,
    ];

    fn reason(self) -> &'static str {
        match self {
            Self::NoPosition => "no latitude or no longitude",
            Self::UnreadablePosition => "latitude or longitude is not a number",
            Self::LatitudeRange => "latitude outside [-90, 90]",
            Self::LongitudeRange => "longitude outside [-360, 360]",
            Self::ZeroPosition => "position 0, 0: the receiver had none yet",
            Self::NoTime => "no time",
            Self::UnreadableTime => "unreadable time",
            Self::DateAlone => "a date without a time of day",
            Self::ClockAlone => "a time of day without a date",
            Self::TooFewCells => "fewer cells than the header asks for",
            Self::TooManyCells => {
                "more cells than the header names, as if the separator were the decimal mark too"
            }
            Self::TooLong => "longer than any row of a table",
            Self::CutOff => "cut off before its end",
            Self::NoFix => "no fix: the receiver had no position",
            Self::DeadReckoned => "dead reckoning of the receiver, no fix",
            Self::NotMeasured => "entered by hand or simulated by the receiver, no fix",
            Self::WrongChecksum => "wrong checksum",
        }
    }
}

#[derive(Debug, Clone, Default)]
struct Counted {
    count: usize,
    first_offset: usize,
    first_value: String,
}

/// The faults of one file.
#[derive(Debug, Default)]
pub(super) struct Faults {
    counted: [Counted; Fault::ALL.len()],
}

impl Faults {
    /// Counts one point, which begins at byte `offset`; `value` is what was met. Returns whether it is
    /// the first with its fault.
    #[cold]
    pub(super) fn add(&mut self, fault: Fault, offset: usize, value: &str) -> bool {
        let Some(counted) = self.counted.get_mut(fault as usize) else {
            return false;
        };
        let is_first = counted.count == 0;
        if is_first {
            counted.first_offset = offset;
            counted.first_value = clipped(value.trim(), VALUE_CHARACTERS);
        }
        counted.count += 1;
        is_first
    }

    /// How many points were set aside.
    pub(super) fn total(&self) -> usize {
        self.counted.iter().map(|c| c.count).sum()
    }

    /// Where the first point of each fault stands, bytes.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        self.met().map(|(_, counted)| counted.first_offset)
    }

    /// The counts as they go into a recording; `line_of` gives the line of a place.
    pub(super) fn set_aside(&self, line_of: impl Fn(usize) -> u64) -> Vec<SetAside> {
        self.met()
            .map(|(fault, counted)| SetAside {
                reason: fault.reason().to_owned(),
                count: counted.count,
                first_line: Some(line_of(counted.first_offset)),
            })
            .collect()
    }

    /// The error for a file whose points were all set aside; `None` where none was met.
    pub(super) fn all_lost(&self, line_of: impl Fn(usize) -> u64, file: &str) -> Option<ReadError> {
        let (fault, counted) = self.met().max_by_key(|(_, counted)| counted.count)?;
        let file = file.to_owned();
        let line = line_of(counted.first_offset);
        let points = self.total();
        let others = self
            .met()
            .any(|(f, _)| !matches!(f, Fault::NoTime | Fault::CutOff));
        Some(match fault {
            Fault::NoTime if !others => ReadError::NoTimes { file, points, line },
            _ => ReadError::NoUsablePoint {
                file,
                line,
                value: counted.first_value.clone(),
                reason: fault.reason(),
                points,
            },
        })
    }

    fn met(&self) -> impl Iterator<Item = (Fault, &Counted)> {
        Fault::ALL
            .into_iter()
            .zip(&self.counted)
            .filter(|(_, counted)| counted.count > 0)
    }
}
