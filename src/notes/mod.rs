//! What a person knows and the track does not: `notes.toml`.
//!
//! Every key is optional. [`read`] takes the text in, [`resolve`] finds the instants that its times
//! mean on the day of the track, [`sentences`] says what could not be used. The report writes
//! them back (`report::data::notes_toml`).
//! ```toml
//! title = "Three blades against four"  # heads the article
//! change = "the propeller"           # what was changed
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
//! `one_trial = true` at the top says that tracks of two boats or two waters belong together.
//! Other corrections of a leg: `join = "next"`, `cut = "09:49:30"`, `start = "09:46:10"`,
//! `end = "09:51:40"`, `pair = 13` (or a time in that leg), `configuration`, `setting`; and what
//! the motor drew: `watts`, `volts`, `amps`. [`EnergyNotes`] shows what notes may say of power,
//! battery, propeller and the way home, [`Story`] what they may say for the article.

mod when;
pub(crate) use when::floor;
pub use when::{Clock, TimeError, When};

pub mod zone;

pub mod photo;

mod energy;
pub use energy::{BatteryNote, Draw, EnergyNotes, HomeNote, MotorNote, PowerLogNote, ReadingNote};

mod story;
pub use story::{Photo, Story};

mod note;
pub use note::{ConfigurationNote, Correction, LegName, LegNote, Notes, SettingNote, WindNote};

mod section;
pub(crate) use section::keys_of;
pub use section::{NotesError, percent};

mod read;
pub use read::{MOST_BYTES, read};

mod resolve;
pub use resolve::{Marks, Resolved, Timeline, resolve};

mod objection;
pub use objection::{Objection, sentences};

mod corrections;

mod apply;
pub use apply::apply;

mod write;
pub use write::escaped;
pub(crate) use write::{
    configuration, kept_line, kept_tables, line, plain, quoted, rounded, setting, water,
};
