//! What a person knows and the track does not: `notes.toml`.
//!
//! Every key is optional. [`read`] takes the text in, [`resolve`] finds the instants that its times
//! mean on the day of the track, [`sentences`] says what could not be used, [`write`] writes it back.
//! ```toml
//! title = "Three blades against four"
//! timezone = "Europe/Stockholm"      # else found from the position
//! units = "kn"                       # kn, mph, km/h or m/s
//! clock = "24h"                      # 24h or 12h
//!
//! [wind]                             # true wind
//! from = 235                         # degrees true, or a compass point such as "SW"
//! speed = "11 kn"
//! log = "wind.csv"                   # a station's log instead; see `day::wind_log`
//!
//! [water]
//! current = "none"                   # none, river or tide
//!
//! [[configuration]]                  # in the order they were fitted
//! name = "three blades"
//! from = "09:12"                     # or the name of a waypoint marked on the plotter
//!
//! [[setting]]                        # slowest first
//! name = "half"
//! percent = 50                       # or a knob's step: step = 3, of = 10
//!
//! [[leg]]                            # corrects one leg
//! leg = 12                           # its number, or any time in it: at = "09:47"
//! exclude = "ferry wake"             # or include = true
//! ```
//! Other corrections of a leg: `join = "next"`, `cut = "09:49:30"`, `start = "09:46:10"`,
//! `end = "09:51:40"`, `pair = 13` (or a time in that leg), `configuration`, `setting`; and what
//! the motor drew: `watts`, `volts`, `amps`. [`EnergyNotes`] shows what notes may say of power,
//! battery, propeller and the way home.

pub mod zone;

mod nearest;

mod when;
pub use when::{TimeError, When};

mod error;
pub use error::NotesError;

mod section;

mod energy;
pub use energy::{BatteryNote, Draw, EnergyNotes, HomeNote, MotorNote, PowerLogNote, ReadingNote};

mod read;
pub use read::read;

mod marks;
pub use marks::{
    ConfigurationMark, Correction, LegMark, LegRef, Marks, NoPair, Objection, ObjectionKind,
    SettingMark,
};

mod swaps;

mod corrections;

mod apply;
pub use apply::apply;

mod timeline;
pub use timeline::Timeline;

mod shift;

mod resolve;
pub use resolve::{LegReading, Resolved, resolve};

mod clock;
pub use clock::Clock;

mod objections;
pub use objections::sentences;

mod write;
pub use write::write;
pub(crate) use write::{configuration, quoted, setting, water};

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
    /// Configurations in the order they were fitted; one name may come again.
    pub configurations: Vec<ConfigurationNote>,
    /// Settings, slowest first; names differ.
    pub settings: Vec<SettingNote>,
    /// Corrections of single legs.
    pub legs: Vec<LegNote>,
    /// What is said of power, battery and the way home.
    pub energy: EnergyNotes,
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
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ConfigurationNote {
    /// Its name, never empty.
    pub name: String,
    /// When it was fitted.
    pub from: Option<When>,
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
pub struct LegNote {
    /// The leg.
    pub leg: LegName,
    /// Whether it belongs to the trial although it was left out.
    pub include: bool,
    /// Why it is not to be counted.
    pub exclude: Option<String>,
    /// Whether it and the next are one.
    pub join_next: bool,
    /// Where it is to be cut in two.
    pub cut: Option<When>,
    /// Where it begins.
    pub start: Option<When>,
    /// Where it ends.
    pub end: Option<When>,
    /// The leg with which it is a double run.
    pub pair: Option<LegName>,
    /// The configuration it was run in.
    pub configuration: Option<String>,
    /// The setting it was run at.
    pub setting: Option<String>,
    /// What the motor drew.
    pub draw: Draw,
    /// Line in the file, from 1.
    pub line: usize,
}

/// A leg as a person names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LegName {
    /// By its number, from 1.
    Number(usize),
    /// By any time inside it.
    At(When),
}
