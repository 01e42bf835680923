//! What a person says of the day: where configurations begin, what settings are called, what of
//! the legs was read wrongly. All optional.

use jiff::Timestamp;

/// The notes, in terms of times.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Marks {
    /// Configurations in the order they were fitted.
    pub configurations: Vec<ConfigurationMark>,
    /// Settings, slowest first.
    pub settings: Vec<SettingMark>,
    /// Corrections of single legs.
    pub legs: Vec<LegMark>,
}

impl Marks {
    /// Whether nothing was said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The configurations in the order they were fitted, as indices into their names.
    pub(super) fn order(&self) -> Vec<usize> {
        let names = self.names();
        let place = |mark: &ConfigurationMark| names.iter().position(|n| *n == mark.name);
        self.configurations.iter().filter_map(place).collect()
    }

    /// The names of the configurations, each once.
    pub(super) fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for mark in &self.configurations {
            if !names.contains(&mark.name.as_str()) {
                names.push(&mark.name);
            }
        }
        names
    }
}

/// A configuration and when it was fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct ConfigurationMark {
    /// Its name.
    pub name: String,
    /// From when on; `None` where only the name is known.
    pub from: Option<Timestamp>,
    /// Line in the notes, from 1.
    pub line: usize,
}

/// A power setting.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingMark {
    /// Its name.
    pub name: String,
    /// Percent of full power.
    pub percent: Option<f64>,
}

/// Which leg a correction means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LegRef {
    /// Its number.
    Number(usize),
    /// Any time inside it.
    At(Timestamp),
}

/// One correction of one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct LegMark {
    /// The leg.
    pub leg: LegRef,
    /// Line in the notes, from 1.
    pub line: usize,
    /// What is to be corrected.
    pub correction: Correction,
}

/// What a person may correct of a leg.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction {
    /// It belongs to the trial.
    Include,
    /// It does not, and why.
    Exclude(String),
    /// It goes on in the next leg.
    JoinNext,
    /// It is two legs, before and after this time.
    Cut(Timestamp),
    /// It begins at this time.
    Start(Timestamp),
    /// It ends at this time.
    End(Timestamp),
    /// It makes a double run with this leg.
    PairWith(LegRef),
    /// The configuration it was run in.
    Configuration(String),
    /// The setting it was run at.
    Setting(String),
}

/// What of the notes could not be used as written, or was used with a doubt.
#[derive(Debug, Clone, PartialEq)]
pub struct Objection {
    /// Line in the notes, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: ObjectionKind,
}

/// Why a note could not be used, or was doubted.
#[derive(Debug, Clone, PartialEq)]
pub enum ObjectionKind {
    /// A configuration was said to begin while the boat was under way on a leg.
    SwapUnderWay {
        /// The configuration.
        name: String,
        /// When it was said to begin.
        at: Timestamp,
        /// Number of the leg.
        leg: usize,
        /// From when to when that leg was run.
        span: [Timestamp; 2],
        /// The stop that was taken in its place.
        used: Option<[Timestamp; 2]>,
        /// The nearest stop.
        nearest: Option<[Timestamp; 2]>,
    },
    /// Double runs that the notes give to one configuration are as fast as those of an earlier one.
    CameBack {
        /// The configuration that the notes give.
        name: String,
        /// The earlier one.
        earlier: String,
        /// The stop before them.
        stop: [Timestamp; 2],
    },
    /// A configuration was said to begin between two double runs without a stop between them.
    SwapWithoutStop {
        /// The configuration.
        name: String,
        /// When it was said to begin.
        at: Timestamp,
        /// The nearest stop.
        nearest: [Timestamp; 2],
    },
    /// No double run lies between this swap and the next, or after it.
    NoRunWith {
        /// The configuration.
        name: String,
        /// When it was said to begin.
        at: Timestamp,
        /// The nearest stop.
        nearest: Option<[Timestamp; 2]>,
    },
    /// There is no leg of this number.
    NoSuchLeg {
        /// The number.
        number: usize,
        /// The last number there is.
        last: usize,
    },
    /// No leg was being run at this time.
    NoLegAt {
        /// The time.
        at: Timestamp,
        /// The nearest leg and when it was run.
        nearest: Option<(usize, [Timestamp; 2])>,
    },
    /// A leg cannot be joined with the next.
    CannotJoin {
        /// The leg.
        leg: usize,
        /// The next one; `None` where it is the last.
        next: Option<usize>,
        /// Whether that one lies in another recording.
        other_file: bool,
    },
    /// A leg cannot be cut at a time outside it.
    CutOutside {
        /// The leg.
        leg: usize,
        /// Where it was to be cut.
        at: Timestamp,
        /// From when to when it was run.
        span: [Timestamp; 2],
    },
    /// A leg cannot end or begin there.
    EndsOutside {
        /// The leg.
        leg: usize,
        /// Where it was to begin or end.
        at: Timestamp,
        /// Between which times it can.
        span: [Timestamp; 2],
    },
    /// Two legs cannot be a double run.
    CannotPair {
        /// The legs.
        legs: [usize; 2],
        /// Why.
        why: NoPair,
    },
    /// Two corrections exclude each other; neither is applied.
    Contradiction {
        /// The leg.
        leg: usize,
        /// Line of the other one.
        with_line: usize,
    },
    /// A correction leaves a leg without its counterpart.
    LeftUnpaired {
        /// The leg corrected.
        leg: usize,
        /// The leg left alone.
        other: usize,
    },
    /// A leg was given a configuration or setting, but belongs to no double run.
    NotInRun {
        /// The leg.
        leg: usize,
        /// The configuration or setting.
        name: String,
    },
    /// As many names as were given were not found.
    NamesDoNotFit {
        /// Configurations rather than settings.
        configurations: bool,
        /// How many were named.
        named: usize,
        /// How many were found.
        found: usize,
    },
}

/// Why two legs cannot be a double run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPair {
    /// They are one.
    SameLeg,
    /// They were run the same way.
    SameWay,
    /// They do not share the water.
    FarApart,
    /// One of them was paired with this leg.
    AlreadyPaired(usize),
    /// They lie in different recordings.
    OtherRecording,
}
