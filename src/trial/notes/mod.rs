//! What a person knows and the track does not: `notes.toml`.
//!
//! Every key is optional. Times are local; how they become instants is told at [`resolve`].
//! ```toml
//! title = "Three blades against four"
//! timezone = "Europe/Stockholm"      # else told from the position
//! units = "kn"                       # kn, mph, km/h or m/s
//! clock = "24h"                      # 24h or 12h
//!
//! [wind]                             # true wind
//! from = 235                         # degrees true, or a compass point such as "SW"
//! speed = "11 kn"
//! log = "wind.csv"                   # a station's log instead; see `trial::wind_log`
//!
//! [[configuration]]                  # in the order they were fitted
//! name = "three blades"
//! from = "09:12"                     # or the name of a waypoint marked on the plotter
//!
//! [[setting]]                        # slowest first
//! name = "half"
//! percent = 50
//!
//! [[leg]]                            # correct one leg, named by any time inside it
//! at = "09:47"
//! exclude = "ferry wake"             # or: configuration = "three blades", setting = "half", watts = 290
//! ```
//! What notes may say of power, battery, propeller and the way home stands at [`EnergyNotes`].

mod energy;
pub use energy::{
    BatteryNote, Draw, EnergyNotes, HomeNote, LegReading, MotorNote, PitchNote, PowerLogNote,
    ReadingNote,
};

mod when;
pub use when::{TimeError, When};

mod read;
pub use read::read;

mod error;
pub use error::{NotesError, Problem};

mod resolve;
pub use resolve::{ConfigurationMark, LegMark, Resolved, SettingMark, Timeline, resolve};

mod outing;

mod section;

mod clock;

mod write;
mod write_energy;
pub(crate) use write::quoted;
pub use write::write;

pub(crate) mod nearest;

use crate::units::{Bearing, ClockFace, Speed, SpeedUnit};

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
#[derive(Debug, Clone, PartialEq)]
pub struct ConfigurationNote {
    /// Its name, never empty.
    pub name: String,
    /// When it was fitted.
    pub from: Option<When>,
    /// Line in the file, from 1.
    pub line: usize,
}

/// `[[setting]]`: a power setting that was held.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingNote {
    /// Its name, never empty.
    pub name: String,
    /// Percent of full power, in `(0, 100]`.
    pub percent: Option<f64>,
    /// Line in the file, from 1.
    pub line: usize,
}

/// `[[leg]]`: a correction of one leg; it says at least one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct LegNote {
    /// Any time inside the leg.
    pub at: When,
    /// Why it is not to be counted.
    pub exclude: Option<String>,
    /// The configuration it was run in.
    pub configuration: Option<String>,
    /// The setting it was run at.
    pub setting: Option<String>,
    /// What the motor drew.
    pub draw: Draw,
    /// Line in the file, from 1.
    pub line: usize,
}

impl LegNote {
    /// Whether it says anything but what the motor drew.
    pub fn corrects(&self) -> bool {
        self.exclude.is_some() || self.configuration.is_some() || self.setting.is_some()
    }
}
