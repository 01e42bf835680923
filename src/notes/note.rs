//! What the notes say, each thing with its line.
//!
//! Times are as written ([`When`]); [`super::resolve`] makes instants of them.

use jiff::Timestamp;

use super::energy::{Draw, EnergyNotes};
use super::section::Kept;
use super::story::Story;
use super::when::When;
use crate::units::{Bearing, ClockFace, Current, Speed, SpeedUnit};

/// A `notes.toml` as it was read; times are still as written.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Notes {
    /// The file's name, for messages.
    pub file: String,
    /// Title of the trial.
    pub title: Option<String>,
    /// IANA name of the time zone, known to be one.
    pub timezone: Option<String>,
    /// Unit in which results are to be shown.
    pub units: Option<SpeedUnit>,
    /// How the hours are counted where times are shown.
    pub clock: Option<ClockFace>,
    /// The true wind.
    pub wind: WindNote,
    /// Whether the water runs.
    pub current: Option<Current>,
    /// The smallest change worth knowing, percent.
    pub resolve_percent: Option<f64>,
    /// Whether tracks of two boats or two waters are one trial all the same.
    pub one_trial: bool,
    /// Configurations in the order they were fitted; one name may come again.
    pub configurations: Vec<ConfigurationNote>,
    /// Settings, slowest first; names differ.
    pub settings: Vec<SettingNote>,
    /// Corrections of single legs.
    pub legs: Vec<LegNote>,
    /// What is said of power, battery and the way home.
    pub energy: EnergyNotes,
    /// The person's own words.
    pub story: Story,
    /// What is written back as it was.
    pub(super) kept: Vec<Kept>,
}

/// `[wind]`: the true wind.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WindNote {
    /// Direction it blows from.
    pub from: Option<Bearing>,
    /// Speed.
    pub speed: Option<Speed>,
    /// File name of a station's log, as written.
    pub log: Option<String>,
}

/// `[[configuration]]`: what was fitted, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct ConfigurationNote<T = When> {
    /// Its name, never empty.
    pub name: String,
    /// When it was fitted; `None` where only the name is known.
    pub from: Option<T>,
    /// Pitch of the propeller, m.
    pub pitch_m: Option<f64>,
    /// Line in the file, from 1.
    pub line: usize,
}

/// `[[setting]]`: a power setting that was held.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SettingNote {
    /// Its name, never empty.
    pub name: String,
    /// Percent of full power, in `(0, 100]`.
    pub percent: Option<f64>,
    /// Line in the file, from 1.
    pub line: usize,
}

/// `[[leg]]`: corrections of one leg, and what the motor drew on it; it says at least one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct LegNote<T = When> {
    /// The leg.
    pub leg: LegName<T>,
    /// What is to be corrected, in the order in which it is applied.
    pub corrections: Vec<Correction<T>>,
    /// What the motor drew.
    pub draw: Draw,
    /// Line in the file, from 1.
    pub line: usize,
}

/// A leg as a person names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LegName<T = When> {
    /// By its number, from 1.
    Number(usize),
    /// By any time inside it.
    At(T),
}

/// What a person may correct of a leg.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction<T = When> {
    /// It belongs to the trial although it was left out.
    Include,
    /// It is not to be counted, and why.
    Exclude(String),
    /// It goes on in the next leg.
    JoinNext,
    /// It is two legs, before and after this time.
    Cut(T),
    /// It begins at this time.
    Start(T),
    /// It ends at this time.
    End(T),
    /// It makes a double run with this leg.
    PairWith(LegName<T>),
    /// The configuration it was run in.
    Configuration(String),
    /// The setting it was run at.
    Setting(String),
}

impl Correction {
    /// The key that says it.
    pub(super) fn key(&self) -> &'static str {
        match self {
            Self::Include => "include",
            Self::Exclude(_) => "exclude",
            Self::JoinNext => "join",
            Self::Cut(_) => "cut",
            Self::Start(_) => "start",
            Self::End(_) => "end",
            Self::PairWith(_) => "pair",
            Self::Configuration(_) => "configuration",
            Self::Setting(_) => "setting",
        }
    }

    /// The same at the instants that `find` gives for its times.
    pub(super) fn at<E>(
        &self,
        find: impl Fn(&When) -> Result<Timestamp, E>,
    ) -> Result<Correction<Timestamp>, E> {
        Ok(match self {
            Self::Include => Correction::Include,
            Self::Exclude(why) => Correction::Exclude(why.clone()),
            Self::JoinNext => Correction::JoinNext,
            Self::Cut(when) => Correction::Cut(find(when)?),
            Self::Start(when) => Correction::Start(find(when)?),
            Self::End(when) => Correction::End(find(when)?),
            Self::PairWith(leg) => Correction::PairWith(leg.at(find)?),
            Self::Configuration(name) => Correction::Configuration(name.clone()),
            Self::Setting(name) => Correction::Setting(name.clone()),
        })
    }
}

impl LegName {
    /// The same at the instant that `find` gives for its time.
    pub(super) fn at<E>(
        &self,
        find: impl Fn(&When) -> Result<Timestamp, E>,
    ) -> Result<LegName<Timestamp>, E> {
        Ok(match self {
            Self::Number(number) => LegName::Number(*number),
            Self::At(when) => LegName::At(find(when)?),
        })
    }
}
