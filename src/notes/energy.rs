//! What notes say of power: the log, the battery, the motor's limit, spot readings, the way home.
//!
//! ```toml
//! [power]
//! log = "power.csv"                  # see `gain::power_log`
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

use jiff::SignedDuration;

use super::section::{NotesError, Section};
use crate::parser::quantity::{CURRENT, ENERGY, POWER, VOLTAGE};
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
    /// `[[reading]]`: spot readings.
    pub readings: Vec<ReadingNote>,
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

/// A clock further off than this was never set; its dates mean nothing.
const LONGEST_OFFSET: SignedDuration = SignedDuration::from_hours(30 * 24);

/// Most volts, amps, watts, hours and turns a minute that a small boat can have.
const MOST_VOLTS: f64 = 1_000.0;
const MOST_AMPS: f64 = 2_000.0;
const MOST_WATTS: f64 = 1e6;
const MOST_HOURS: f64 = 1e6;
const MOST_RPM: f64 = 20_000.0;

/// The names that the notes list.
#[derive(Debug)]
pub(super) struct Names<'a> {
    pub(super) configurations: Vec<&'a str>,
    pub(super) settings: Vec<&'a str>,
}

/// What the notes say of power outside `[[configuration]]` and `[[leg]]`.
pub(super) fn read_energy(top: &Section, names: &Names<'_>) -> Result<EnergyNotes, NotesError> {
    let battery = read_battery(top)?;
    let volts = battery.and_then(|b| b.volts);
    let readings = top.tables("reading")?;
    let readings = readings.iter().map(|it| read_reading(it, names, volts));
    Ok(EnergyNotes {
        log: read_log(top)?,
        battery,
        motor: read_motor(top)?,
        home: read_home(top)?,
        readings: readings.collect::<Result<_, _>>()?,
    })
}

fn read_log(top: &Section) -> Result<PowerLogNote, NotesError> {
    let Some(power) = top.table("power")? else {
        return Ok(PowerLogNote::default());
    };
    // As people write it: `90 s`, `-2 min`, `1 h 30 min`.
    let read = |text: &str| {
        text.parse::<SignedDuration>()
            .map_err(|_| format!("`{text}` is not a time with its unit\nhint: write `90 s`"))
    };
    let fits = |offset: &SignedDuration| offset.abs() <= LONGEST_OFFSET;
    Ok(PowerLogNote {
        log: power.text("log")?,
        clock_offset: power.fitted("clock_offset", "[-30 days, 30 days]", read, fits)?,
    })
}

fn read_battery(top: &Section) -> Result<Option<BatteryNote>, NotesError> {
    let Some(battery) = top.table("battery")? else {
        return Ok(None);
    };
    let usable = battery.percent("usable", "(0 %, 100 %]", |p| p > 0.0 && p <= 100.0)?;
    let note = BatteryNote {
        amp_hours: battery.number("amp_hours", MOST_HOURS)?,
        volts: battery.quantity("volts", VOLTAGE, MOST_VOLTS)?,
        watt_hours: battery.quantity("watt_hours", ENERGY, MOST_HOURS)?,
        usable: usable.map(|percent| percent / 100.0),
    };
    if note.amp_hours.is_some() && note.watt_hours.is_some() {
        let what = "the battery has both `amp_hours` and `watt_hours`\n\
                    hint: give one of them; `amp_hours` goes with `volts`";
        return Err(battery.error("watt_hours", what));
    }
    // Volts alone still turn amps into watts; what the battery holds is then not known.
    let volts_alone = note.volts.is_some() && note.amp_hours.is_none() && note.usable.is_none();
    if note.rated_wh().is_none() && !volts_alone {
        return Err(battery.missing(if note.amp_hours.is_some() {
            "volts"
        } else {
            "amp_hours"
        }));
    }
    Ok(Some(note))
}

fn read_motor(top: &Section) -> Result<MotorNote, NotesError> {
    let Some(motor) = top.table("motor")? else {
        return Ok(MotorNote::default());
    };
    Ok(MotorNote {
        limit_watts: motor.quantity("limit_watts", POWER, MOST_WATTS)?,
        limit_amps: motor.quantity("limit_amps", CURRENT, MOST_AMPS)?,
    })
}

fn read_home(top: &Section) -> Result<Option<HomeNote>, NotesError> {
    let Some(home) = top.table("home")? else {
        return Ok(None);
    };
    let degrees = |key, most: f64| {
        let allowed = format!("[-{most}, {most}]");
        let read = home.fitted(key, &allowed, str::parse::<f64>, |v| v.abs() <= most)?;
        read.ok_or_else(|| home.missing(key))
    };
    let position = Position::new(degrees("lat", 90.0)?, degrees("lon", 180.0)?);
    let reserve = home.percent("reserve", "[0 %, 100 %)", |p| (0.0..100.0).contains(&p))?;
    Ok(Some(HomeNote {
        position: position.ok_or_else(|| home.missing("lat"))?,
        reserve: reserve.map(|percent| percent / 100.0),
    }))
}

fn read_reading(
    section: &Section,
    names: &Names<'_>,
    nominal_volts: Option<f64>,
) -> Result<ReadingNote, NotesError> {
    let name = |key, names| {
        section
            .listed(key, names)?
            .ok_or_else(|| section.missing(key))
    };
    let reading = ReadingNote {
        configuration: name("configuration", &names.configurations)?,
        setting: name("setting", &names.settings)?,
        draw: read_draw(section, nominal_volts)?,
        rpm: section.number("rpm", MOST_RPM)?,
        line: section.line(),
    };
    if reading.draw.is_empty() && reading.rpm.is_none() {
        let what = "this [[reading]] holds no reading\nhint: add `watts = 290`, \
                    `amps = 23.5` with `volts = 12.6`, or `rpm = 900`";
        return Err(section.error("configuration", what));
    }
    Ok(reading)
}

/// Watts, volts and amps of a section; amps alone only where the battery's nominal volts are
/// given.
pub(super) fn read_draw(section: &Section, nominal_volts: Option<f64>) -> Result<Draw, NotesError> {
    let draw = Draw {
        watts: section.quantity("watts", POWER, MOST_WATTS)?,
        volts: section.quantity("volts", VOLTAGE, MOST_VOLTS)?,
        amps: section.quantity("amps", CURRENT, MOST_AMPS)?,
    };
    if draw.is_amps_alone() && nominal_volts.is_none() {
        let what = "`amps` is given without `volts`, so the power is not known\nhint: add \
                    `volts = 12.6` as read, or the battery's `volts = 12.8` under [battery]";
        return Err(section.error("amps", what));
    }
    if draw.volts.is_some() && draw.power().is_none() {
        let what = "`volts` is given without `amps`, so the power is not known\nhint: add \
                    `amps = 23.5`, or write `watts = 290`";
        return Err(section.error("volts", what));
    }
    Ok(draw)
}
