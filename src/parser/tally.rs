//! What could not be used in a file, and what was odd about the rest: counted, with its words.

use std::collections::BTreeMap;

use super::ReadError;
use super::source::clipped;
use crate::track::SetAside;

/// Longest value repeated in a message.
const VALUE_CHARACTERS: usize = 40;

/// What can be wrong with one point or row, in the order of the lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
    NoFigure,
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
    /// What is wrong, for a list.
    pub(super) fn words(self) -> &'static str {
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
            Self::NoFigure => "a figure is missing, cannot be read or cannot be",
            Self::TooFewCells => "fewer cells than the header asks for",
            Self::TooManyCells => {
                "more cells than the header names, as if the separator were the decimal mark too"
            }
            Self::TooLong => "longer than 65536 bytes, the most of a row",
            Self::CutOff => "cut off before its end",
            Self::NoFix => "no fix: the receiver had no position",
            Self::DeadReckoned => "dead reckoning of the receiver, no fix",
            Self::NotMeasured => "entered by hand or simulated by the receiver, no fix",
            Self::WrongChecksum => "wrong checksum",
        }
    }
}

/// What can be odd about a point or value, in the order of the remarks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Oddity {
    /// A waypoint without a position.
    LostWaypoint,
    /// A sentence without a checksum, in a log that has none for its kind.
    Unchecked,
    /// A report of another ship.
    Ais,
    /// A position with its time from the stamp on the line.
    Stamped,
    /// A row that is the header once more.
    HeaderAgain,
    /// A row with a quote left open.
    BrokenQuotes,
    /// A time without a zone.
    Zoneless,
    /// A coordinate with a minus sign beside its hemisphere.
    Signed,
    /// A longitude beyond 180.
    Wrapped,
    /// A value in another unit than metres and seconds.
    Converted,
    /// A value whose unit is not known.
    UnknownUnit,
    /// A speed through the water of which no column names the unit.
    Unitless,
    /// A magnetic heading where the variation is not known.
    Unturned,
    /// A wind off the bow where heading, course or speed are not known.
    UnplacedWind,
}

impl Oddity {
    /// The thing, and what became of it.
    fn words(self) -> [&'static str; 2] {
        match self {
            Self::LostWaypoint => ["waypoint", "without a usable position passed over"],
            Self::Unchecked => ["sentence", "without a checksum taken as they stand"],
            Self::Ais => ["AIS sentence", "about other ships passed over"],
            Self::Stamped => [
                "position",
                "without a time of its own dated by the stamp on the line",
            ],
            Self::HeaderAgain => [
                "repeated header",
                "passed over: tables joined end to end, of which all were read",
            ],
            Self::BrokenQuotes => [
                "row",
                "with quotes out of order, which were read as any other character",
            ],
            Self::Zoneless => ["time", "without a zone taken as UTC"],
            Self::Signed => [
                "position",
                "with a minus sign taken as south or west, whatever the letter behind",
            ],
            Self::Wrapped => ["longitude", "beyond 180 degrees taken round the Earth"],
            Self::Converted => [
                "recorded value",
                "given in another unit than metres and seconds converted",
            ],
            Self::UnknownUnit => ["recorded value", "in an unknown unit left out"],
            Self::Unitless => [
                "speed",
                "through the water left out: the column names no unit; write it into the \
                 header, as in `stw (kn)`",
            ],
            Self::Unturned => [
                "magnetic heading",
                "left out: the variation was not known there",
            ],
            Self::UnplacedWind => [
                "wind reading",
                "left out: heading, course or speed were not known at the time",
            ],
        }
    }
}

/// How many points have one fault, and the first of them.
#[derive(Debug)]
pub(super) struct Counted {
    count: usize,
    /// Where it is, bytes or lines as the reader counts.
    pub(super) place: usize,
    /// What was met there.
    pub(super) value: String,
}

/// The faults and oddities of one file.
#[derive(Debug, Default)]
pub(super) struct Tally {
    faults: BTreeMap<Fault, Counted>,
    oddities: BTreeMap<Oddity, usize>,
}

impl Tally {
    /// Counts one point set aside, which begins at `place`; `value` is what was met.
    #[cold]
    pub(super) fn lose(&mut self, fault: Fault, place: usize, value: impl FnOnce() -> String) {
        let counted = self.faults.entry(fault).or_insert_with(|| Counted {
            count: 0,
            place,
            value: clipped(value().trim(), VALUE_CHARACTERS),
        });
        counted.count += 1;
    }

    /// Counts one oddity.
    pub(super) fn note(&mut self, oddity: Oddity) {
        *self.oddities.entry(oddity).or_default() += 1;
    }

    /// Counts one oddity where it is there.
    pub(super) fn note_if(&mut self, is_there: bool, oddity: Oddity) {
        if is_there {
            self.note(oddity);
        }
    }

    /// How many points were set aside.
    pub(super) fn lost(&self) -> usize {
        self.faults.values().map(|counted| counted.count).sum()
    }

    /// The commonest fault and the first point with it.
    pub(super) fn commonest(&self) -> Option<(Fault, &Counted)> {
        let all = self.faults.iter().map(|(fault, counted)| (*fault, counted));
        all.max_by_key(|(_, counted)| counted.count)
    }

    /// Where the first point of each fault begins, bytes.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        self.faults.values().map(|counted| counted.place)
    }

    /// The points set aside, by reason; `line_of` gives the line of a place.
    pub(super) fn set_aside(&self, line_of: impl Fn(usize) -> u64) -> Vec<SetAside> {
        let all = self.faults.iter().map(|(fault, counted)| SetAside {
            reason: fault.words().to_owned(),
            count: counted.count,
            first_line: Some(line_of(counted.place)),
        });
        all.collect()
    }

    /// The oddities, one sentence each.
    pub(super) fn remarks(&self) -> impl Iterator<Item = String> {
        self.oddities.iter().map(|(oddity, number)| {
            let [noun, what] = oddity.words();
            let plural = if *number == 1 { "" } else { "s" };
            format!("{number} {noun}{plural} {what}.")
        })
    }

    /// The error for a file whose points were all set aside; `None` where none was met.
    pub(super) fn all_lost(&self, line_of: impl Fn(usize) -> u64, file: &str) -> Option<ReadError> {
        let (fault, first) = self.commonest()?;
        let file = file.to_owned();
        let line = line_of(first.place);
        let points = self.lost();
        let of_time = |fault: &Fault| matches!(fault, Fault::NoTime | Fault::CutOff);
        Some(
            if fault == Fault::NoTime && self.faults.keys().all(of_time) {
                ReadError::NoTimes { file, points, line }
            } else {
                ReadError::NoUsablePoint {
                    file,
                    line,
                    value: first.value.clone(),
                    reason: fault.words(),
                    points,
                }
            },
        )
    }
}

/// `1 row`, `2 rows`.
pub(super) fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}
