//! What notes say of power: the log, the battery, the motor's limit, spot readings, the way home.
//!
//! ```toml
//! [power]
//! log = "power.csv"                  # see `trial::power_log`
//! clock_offset = "90 s"              # added to the log's times; else found
//!
//! [battery]
//! amp_hours = 100                    # with volts, or: watt_hours = 1280
//! volts = 12.8                       # also stands in for readings of amps alone
//! usable = "80 %"                    # what you let it give; no default
//!
//! [motor]
//! limit_amps = 50                    # or limit_watts
//!
//! [home]
//! lat = 59.412
//! lon = 18.204
//! reserve = "30 %"                   # of the usable charge, to be left on arrival
//!
//! [[configuration]]
//! name = "three blades"
//! pitch = "10 in"
//!
//! [[reading]]                        # off a clamp meter and a tachometer, as often as read
//! configuration = "three blades"
//! setting = "half"
//! amps = 23.5
//! volts = 12.6
//! rpm = 900                          # of the propeller's shaft
//! ```

use jiff::{SignedDuration, Timestamp};

use super::error::{NotesError, Problem};
use super::read::listed;
use super::section::Section;
use crate::track::Position;

/// Everything the notes say of power and reach.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EnergyNotes {
    /// `[power]`: the log of the draw.
    pub log: PowerLogNote,
    /// `[battery]`.
    pub battery: Option<BatteryNote>,
    /// `[motor]`.
    pub motor: MotorNote,
    /// `[home]`.
    pub home: Option<HomeNote>,
    /// Pitches of configurations.
    pub pitches: Vec<PitchNote>,
    /// `[[reading]]`: spot readings.
    pub readings: Vec<ReadingNote>,
    /// Spot readings of single legs; filled where times become instants.
    pub legs: Vec<LegReading>,
}

/// `[power]`: a log of the draw.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PowerLogNote {
    /// File name, as written.
    pub log: Option<String>,
    /// What is to be added to its times.
    pub clock_offset: Option<SignedDuration>,
}

/// `[battery]`: what it holds and what of it may be used.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct BatteryNote {
    /// Rated charge, A h.
    pub amp_hours: Option<f64>,
    /// Nominal voltage, V.
    pub volts: Option<f64>,
    /// Rated energy, W h.
    pub watt_hours: Option<f64>,
    /// The share of it that the person lets it give, in `(0, 1]`.
    pub usable: Option<f64>,
}

impl BatteryNote {
    /// Rated energy, W h: as given, or charge times nominal voltage.
    pub fn rated_wh(self) -> Option<f64> {
        self.watt_hours
            .or_else(|| Some(self.amp_hours? * self.volts?))
    }
}

/// `[motor]`: what its maker allows for as long as one likes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MotorNote {
    /// Power, W.
    pub limit_watts: Option<f64>,
    /// Current, A.
    pub limit_amps: Option<f64>,
}

/// `[home]`: where the boat must get back to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HomeNote {
    /// The place.
    pub position: Position,
    /// Share of the usable charge that must be left on arrival, in `[0, 1)`.
    pub reserve: Option<f64>,
}

/// The pitch of a propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct PitchNote {
    /// The configuration it belongs to.
    pub configuration: String,
    /// Pitch, m.
    pub pitch_m: f64,
}

/// What the motor draws.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Draw {
    /// Power, W.
    pub watts: Option<f64>,
    /// Voltage, V.
    pub volts: Option<f64>,
    /// Current, A.
    pub amps: Option<f64>,
}

impl Draw {
    /// Whether nothing is said.
    pub fn is_empty(self) -> bool {
        self == Self::default()
    }

    /// Power, W: as read, or voltage times current; `None` where neither is there.
    pub fn power(self) -> Option<f64> {
        self.watts.or_else(|| Some(self.volts? * self.amps?))
    }

    /// The same with `nominal` volts of the battery where the current alone was read.
    #[must_use]
    pub fn with_volts(self, nominal: Option<f64>) -> Self {
        Self {
            volts: self.volts.or(nominal.filter(|_| self.is_amps_alone())),
            ..self
        }
    }

    /// Whether the current was read, and neither power nor voltage.
    pub fn is_amps_alone(self) -> bool {
        self.amps.is_some() && self.volts.is_none() && self.watts.is_none()
    }

    /// Current, A: as read, or power over voltage.
    pub fn current(self) -> Option<f64> {
        self.amps
            .or_else(|| Some(self.watts? / self.volts.filter(|v| *v > 0.0)?))
    }
}

/// `[[reading]]`: spot readings at one configuration and setting.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingNote {
    /// The configuration.
    pub configuration: String,
    /// The setting.
    pub setting: String,
    /// What the motor drew.
    pub draw: Draw,
    /// Speed of the propeller's shaft, turns a minute.
    pub rpm: Option<f64>,
    /// Line in the file, from 1.
    pub line: usize,
}

/// A spot reading of one leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegReading {
    /// Any time inside the leg.
    pub at: Timestamp,
    /// What the motor drew.
    pub draw: Draw,
}

pub(super) const POWER: &[&str] = &["log", "clock_offset"];
pub(super) const BATTERY: &[&str] = &["amp_hours", "volts", "watt_hours", "usable"];
pub(super) const MOTOR: &[&str] = &["limit_watts", "limit_amps"];
pub(super) const HOME: &[&str] = &["lat", "lon", "reserve"];
pub(super) const READING: &[&str] = &["configuration", "setting", "watts", "volts", "amps", "rpm"];

/// Most volts, amps, watts, hours and turns a minute that a small boat can have: a slip of the finger beyond.
const MOST_VOLTS: f64 = 1_000.0;
const MOST_AMPS: f64 = 2_000.0;
const MOST_WATTS: f64 = 1e6;
const MOST_HOURS: f64 = 1e6;
const MOST_RPM: f64 = 20_000.0;

/// All that stands outside `[[configuration]]` and `[[leg]]`.
pub(super) fn read_energy(
    top: &Section,
    configurations: &[&str],
    settings: &[&str],
) -> Result<EnergyNotes, NotesError> {
    let battery = read_battery(top)?;
    let volts = battery.and_then(|b| b.volts);
    Ok(EnergyNotes {
        log: read_log(top)?,
        battery,
        motor: read_motor(top)?,
        home: read_home(top)?,
        pitches: Vec::new(),
        readings: read_readings(top, configurations, settings, volts)?,
        legs: Vec::new(),
    })
}

fn read_log(top: &Section) -> Result<PowerLogNote, NotesError> {
    let Some(power) = top.table("power", "[power]", POWER)? else {
        return Ok(PowerLogNote::default());
    };
    Ok(PowerLogNote {
        log: power.text("log", "log = \"power.csv\"")?,
        clock_offset: power.offset("clock_offset", "clock_offset = \"90 s\"")?,
    })
}

fn read_battery(top: &Section) -> Result<Option<BatteryNote>, NotesError> {
    let Some(battery) = top.table("battery", "[battery]", BATTERY)? else {
        return Ok(None);
    };
    let note = BatteryNote {
        amp_hours: battery.number("amp_hours", "amp_hours = 100", MOST_HOURS)?,
        volts: battery.number("volts", "volts = 12.8", MOST_VOLTS)?,
        watt_hours: battery.number("watt_hours", "watt_hours = 1280", MOST_HOURS)?,
        usable: battery.share("usable", "usable = \"80 %\"")?,
    };
    if note.amp_hours.is_some() && note.watt_hours.is_some() {
        return Err(battery.error("watt_hours", Problem::TwoCapacities));
    }
    // Volts alone still turn amps into watts; what the battery holds is then not known.
    let volts_alone = note.volts.is_some() && note.amp_hours.is_none() && note.usable.is_none();
    if note.rated_wh().is_none() && !volts_alone {
        let key = if note.amp_hours.is_some() {
            ("volts", "volts = 12.8")
        } else {
            ("amp_hours", "amp_hours = 100")
        };
        return Err(battery.missing(key.0, key.1));
    }
    Ok(Some(note))
}

fn read_motor(top: &Section) -> Result<MotorNote, NotesError> {
    let Some(motor) = top.table("motor", "[motor]", MOTOR)? else {
        return Ok(MotorNote::default());
    };
    Ok(MotorNote {
        limit_watts: motor.number("limit_watts", "limit_watts = 600", MOST_WATTS)?,
        limit_amps: motor.number("limit_amps", "limit_amps = 50", MOST_AMPS)?,
    })
}

fn read_home(top: &Section) -> Result<Option<HomeNote>, NotesError> {
    let Some(home) = top.table("home", "[home]", HOME)? else {
        return Ok(None);
    };
    let degrees = |key: &'static str, example, most: f64| -> Result<f64, NotesError> {
        home.signed(key, example, most)?
            .ok_or_else(|| home.missing(key, example))
    };
    let (lat, lon) = (
        degrees("lat", "lat = 59.412", 90.0)?,
        degrees("lon", "lon = 18.204", 180.0)?,
    );
    let position = Position::new(lat, lon).ok_or_else(|| home.missing("lat", "lat = 59.412"))?;
    Ok(Some(HomeNote {
        position,
        reserve: home.share_or_none("reserve", "reserve = \"30 %\"")?,
    }))
}

fn read_readings(
    top: &Section,
    configurations: &[&str],
    settings: &[&str],
    nominal: Option<f64>,
) -> Result<Vec<ReadingNote>, NotesError> {
    top.tables("reading", "[[reading]]", READING)?
        .iter()
        .map(|section| {
            let name = |key, names, example| -> Result<String, NotesError> {
                listed(section, key, names)?.ok_or_else(|| section.missing(key, example))
            };
            let reading = ReadingNote {
                configuration: name(
                    "configuration",
                    configurations,
                    "configuration = \"three blades\"",
                )?,
                setting: name("setting", settings, "setting = \"half\"")?,
                draw: read_draw(section, nominal)?,
                rpm: section.number("rpm", "rpm = 900", MOST_RPM)?,
                line: section.line(),
            };
            if reading.draw.is_empty() && reading.rpm.is_none() {
                return Err(section.error("configuration", Problem::NothingRead));
            }
            Ok(reading)
        })
        .collect()
}

/// Watts, volts and amps of a section; amps alone only where the battery's `nominal` volts are stated.
pub(super) fn read_draw(section: &Section, nominal: Option<f64>) -> Result<Draw, NotesError> {
    let draw = Draw {
        watts: section.number("watts", "watts = 290", MOST_WATTS)?,
        volts: section.number("volts", "volts = 12.6", MOST_VOLTS)?,
        amps: section.number("amps", "amps = 23.5", MOST_AMPS)?,
    };
    if draw.is_amps_alone() && nominal.is_none() {
        return Err(section.error("amps", Problem::AmpsAlone));
    }
    if draw.volts.is_some() && draw.power().is_none() {
        return Err(section.error("volts", Problem::VoltsAlone));
    }
    Ok(draw)
}
