//! Why single points are set aside, counted.

use super::ReadError;
use super::text::clipped;
use crate::track::SetAside;

/// Longest value repeated in a message.
const VALUE_CHARACTERS: usize = 40;

/// What can be wrong with one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fault {
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

/// All of them, in the order of [`Fault`], with their words.
const ALL: [(Fault, &str); 17] = [
    (Fault::NoPosition, "no latitude or no longitude"),
    (
        Fault::UnreadablePosition,
        "latitude or longitude is not a number",
    ),
    (Fault::LatitudeRange, "latitude outside [-90, 90]"),
    (Fault::LongitudeRange, "longitude outside [-360, 360]"),
    (
        Fault::ZeroPosition,
        "position 0, 0: the receiver had none yet",
    ),
    (Fault::NoTime, "no time"),
    (Fault::UnreadableTime, "unreadable time"),
    (Fault::DateAlone, "a date without a time of day"),
    (Fault::ClockAlone, "a time of day without a date"),
    (Fault::TooFewCells, "fewer cells than the header asks for"),
    (
        Fault::TooManyCells,
        "more cells than the header names, as if the separator were the decimal mark too",
    ),
    (Fault::TooLong, "longer than 65536 bytes, the most of a row"),
    (Fault::CutOff, "cut off before its end"),
    (Fault::NoFix, "no fix: the receiver had no position"),
    (
        Fault::DeadReckoned,
        "dead reckoning of the receiver, no fix",
    ),
    (
        Fault::NotMeasured,
        "entered by hand or simulated by the receiver, no fix",
    ),
    (Fault::WrongChecksum, "wrong checksum"),
];

#[derive(Debug, Clone, Default)]
struct Counted {
    count: usize,
    first_offset: usize,
    first_value: String,
}

/// The faults of one file.
#[derive(Debug, Default)]
pub(super) struct Faults {
    counted: [Counted; ALL.len()],
}

impl Faults {
    /// Counts one point, which begins at byte `offset`; `value` is what was met. Returns whether
    /// it is the first with its fault.
    #[cold]
    pub(super) fn add(
        &mut self,
        fault: Fault,
        offset: usize,
        value: impl FnOnce() -> String,
    ) -> bool {
        let Some(counted) = self.counted.get_mut(fault as usize) else {
            return false;
        };
        let is_first = counted.count == 0;
        if is_first {
            counted.first_offset = offset;
            counted.first_value = clipped(value().trim(), VALUE_CHARACTERS);
        }
        counted.count += 1;
        is_first
    }

    /// How many points were set aside.
    pub(super) fn total(&self) -> usize {
        self.counted.iter().map(|c| c.count).sum()
    }

    /// Where the first point of each fault begins, bytes.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        self.met().map(|(_, _, counted)| counted.first_offset)
    }

    /// The counts as they go into a recording; `line_of` gives the line of a place.
    pub(super) fn set_aside(&self, line_of: impl Fn(usize) -> u64) -> Vec<SetAside> {
        self.met()
            .map(|(_, reason, counted)| SetAside {
                reason: reason.to_owned(),
                count: counted.count,
                first_line: Some(line_of(counted.first_offset)),
            })
            .collect()
    }

    /// The error for a file whose points were all set aside; `None` where none was met.
    pub(super) fn all_lost(&self, line_of: impl Fn(usize) -> u64, file: &str) -> Option<ReadError> {
        let (fault, reason, counted) = self.met().max_by_key(|(.., counted)| counted.count)?;
        let file = file.to_owned();
        let line = line_of(counted.first_offset);
        let points = self.total();
        let others = self
            .met()
            .any(|(f, ..)| !matches!(f, Fault::NoTime | Fault::CutOff));
        Some(match fault {
            Fault::NoTime if !others => ReadError::NoTimes { file, points, line },
            _ => ReadError::NoUsablePoint {
                file,
                line,
                value: counted.first_value.clone(),
                reason,
                points,
            },
        })
    }

    fn met(&self) -> impl Iterator<Item = (Fault, &'static str, &Counted)> {
        ALL.into_iter().filter_map(|(fault, reason)| {
            let counted = self.counted.get(fault as usize)?;
            (counted.count > 0).then_some((fault, reason, counted))
        })
    }
}
