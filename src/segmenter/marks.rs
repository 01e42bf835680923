//! What a person says of the day, and what of it could not be used. All optional.

use jiff::Timestamp;

/// The notes, in terms of times and leg numbers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Marks {
    /// Configurations in the order they were fitted; one name may come again.
    pub configurations: Vec<ConfigurationMark>,
    /// Settings, slowest first.
    pub settings: Vec<SettingMark>,
    /// Corrections of single legs; several may be of one leg.
    pub legs: Vec<LegMark>,
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

/// A correction of one leg.
#[derive(Debug, Clone, PartialEq)]
pub struct LegMark {
    /// The leg.
    pub leg: LegRef,
    /// Line in the notes, from 1.
    pub line: usize,
    /// What is put right.
    pub correction: Correction,
}

/// How a leg is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LegRef {
    /// By its number, from 1. Every leg found in the track has one, which no correction changes: a
    /// joined leg keeps the first, the second part of a cut leg gets the next free one.
    Number(usize),
    /// By any time inside it.
    At(Timestamp),
}

/// What is put right about a leg.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction {
    /// It belongs to the trial.
    Include,
    /// It does not, and why.
    Exclude(String),
    /// It and the next are one.
    JoinNext,
    /// It is two, the second from this time on.
    Cut(Timestamp),
    /// It begins here.
    Start(Timestamp),
    /// It ends here.
    End(Timestamp),
    /// It and the other are one double run.
    PairWith(LegRef),
    /// It was run in this configuration.
    Configuration(String),
    /// It was run at this setting.
    Setting(String),
}

/// What of the notes could not be used as written, or was used with a doubt. Worded in `notes`.
#[derive(Debug, Clone, PartialEq)]
pub struct Objection {
    /// Line in the notes, from 1; 0 where it is of no one line.
    pub line: usize,
    /// What it is.
    pub what: ObjectionKind,
}

/// Kinds of objections. Spans run from the first time to the second.
#[derive(Debug, Clone, PartialEq)]
pub enum ObjectionKind {
    /// A part cannot have been fitted while a leg of a double run was under way.
    SwapUnderWay {
        /// The part.
        name: String,
        /// When it is said to have been fitted.
        at: Timestamp,
        /// The leg under way.
        leg: usize,
        /// When that leg was run.
        span: [Timestamp; 2],
        /// The stop taken in its place.
        used: Option<[Timestamp; 2]>,
        /// The nearest stop.
        nearest: Option<[Timestamp; 2]>,
    },
    /// No double run lies between this swap and the next, or after it.
    NoRunWith {
        /// The part.
        name: String,
        /// When it is said to have been fitted.
        at: Timestamp,
        /// The nearest stop.
        nearest: Option<[Timestamp; 2]>,
    },
    /// No leg has this number.
    NoSuchLeg {
        /// The number.
        number: usize,
        /// The last there is; 0 where there is none.
        last: usize,
    },
    /// No leg was under way then.
    NoLegAt {
        /// When.
        at: Timestamp,
        /// The nearest leg and when it was run.
        nearest: Option<(usize, [Timestamp; 2])>,
    },
    /// A leg cannot be joined with the next.
    CannotJoin {
        /// The leg.
        leg: usize,
        /// The next; `None` where it is the last.
        next: Option<usize>,
        /// Whether the next lies in another recording.
        other_file: bool,
    },
    /// A cut that is not inside its leg.
    CutOutside {
        /// The leg.
        leg: usize,
        /// Where it was to be cut.
        at: Timestamp,
        /// When the leg was run.
        span: [Timestamp; 2],
    },
    /// An end that a leg cannot have.
    EndsOutside {
        /// The leg.
        leg: usize,
        /// The end asked for.
        at: Timestamp,
        /// Within which its ends may lie.
        span: [Timestamp; 2],
    },
    /// Two legs that cannot be a double run.
    CannotPair {
        /// The legs.
        legs: [usize; 2],
        /// Why.
        why: NoPair,
    },
    /// Two corrections that exclude each other; neither is applied.
    Contradiction {
        /// The leg.
        leg: usize,
        /// Line of the other correction.
        with_line: usize,
    },
    /// A correction takes a leg its counterpart.
    LeftUnpaired {
        /// The leg corrected.
        leg: usize,
        /// The leg left alone.
        other: usize,
    },
    /// A part or setting for a leg that is in no double run.
    NotInRun {
        /// The leg.
        leg: usize,
        /// The name of the part or setting.
        name: String,
    },
    /// Names without times that are not as many as what was found.
    NamesDoNotFit {
        /// Whether of configurations, else of settings.
        configurations: bool,
        /// How many are named.
        named: usize,
        /// How many were found.
        found: usize,
    },
}

/// Why two legs cannot be a double run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPair {
    /// They are one and the same.
    SameLeg,
    /// They run the same way.
    SameWay,
    /// They lie too far apart.
    FarApart,
    /// One of them is in a double run with this leg already.
    AlreadyPaired(usize),
    /// They lie in different recordings.
    OtherRecording,
}
