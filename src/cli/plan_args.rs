//! The arguments of `plan` and `rehearse`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use jiff::civil::Time;
use thereback::units::{Bearing, Speed, SpeedUnit, parse_direction};

use super::quantity;

#[derive(Debug, Args)]
pub(crate) struct PlanArgs {
    #[command(flatten)]
    pub(crate) request: RequestArgs,
    /// Folder for card.html, card.md, notes.toml and plan.json; made where there is none
    #[arg(short, long, value_name = "DIR", default_value = "output/plan")]
    pub(crate) output: PathBuf,
    /// Form of what goes to standard output
    #[arg(long, value_enum, default_value_t = PlanFormat::Text)]
    pub(crate) format: PlanFormat,
}

/// Forms in which a plan or a rehearsal is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PlanFormat {
    /// Plain text for the eye
    Text,
    /// The same as the JSON file
    Json,
}

/// What is asked of a plan.
#[derive(Debug, Clone, Args)]
pub(crate) struct RequestArgs {
    /// Smallest change of speed worth knowing: 5%
    #[arg(long, value_name = "PERCENT", value_parser = quantity::share)]
    pub(crate) resolve: Option<f64>,
    /// Speed expected at a setting, once for each setting: 2.4kn
    #[arg(long = "speed", value_name = "SPEED")]
    pub(crate) speeds: Vec<Speed>,
    /// What is compared, once for each, in the order fitted; else the old part and the new part
    #[arg(long = "part", value_name = "NAME")]
    pub(crate) parts: Vec<String>,
    /// Length of the straight water, room to turn included: 900m
    #[arg(long, value_name = "LENGTH", value_parser = quantity::length)]
    pub(crate) water: Option<f64>,
    /// Time on the water from the first run-up to the last leg: 3h, 2h30min
    #[arg(long, value_name = "TIME", value_parser = quantity::span)]
    pub(crate) time: Option<f64>,
    /// Where the wind is expected from: degrees true, or a compass point such as SW
    #[arg(long, value_name = "DIRECTION", value_parser = parse_direction)]
    pub(crate) wind_from: Option<Bearing>,
    /// Speed of the wind expected: 9kn
    #[arg(long, value_name = "SPEED")]
    pub(crate) wind_speed: Option<Speed>,
    /// Direction of the water, where it leaves no choice of line: 70, ENE
    #[arg(long, value_name = "DIRECTION", value_parser = parse_direction)]
    pub(crate) axis: Option<Bearing>,
    /// Mass of the boat with crew and gear: 345kg
    #[arg(long, value_name = "MASS", value_parser = quantity::mass)]
    pub(crate) mass: Option<f64>,
    /// The result.json of an earlier trial of this boat: its scatter, settling distance and speeds
    #[arg(long, value_name = "FILE")]
    pub(crate) from: Option<PathBuf>,
    /// Time one swap takes: 15min
    #[arg(long, value_name = "TIME", value_parser = quantity::span)]
    pub(crate) swap: Option<f64>,
    /// Power drawn at a setting, once for each --speed, in the same order: 400W
    #[arg(long = "draw", value_name = "POWER", value_parser = quantity::power)]
    pub(crate) draws: Vec<f64>,
    /// Usable energy of the battery: 1200Wh
    #[arg(long, value_name = "ENERGY", value_parser = quantity::energy)]
    pub(crate) battery: Option<f64>,
    /// Chance wanted of showing the change [default: 80%]
    #[arg(long, value_name = "PERCENT", value_parser = quantity::share)]
    pub(crate) chance: Option<f64>,
    /// Local time at which the trial is to begin: 09:30
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day)]
    pub(crate) start: Option<Time>,
    /// Title of the trial
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,
    /// Unit of the speeds shown: kn, mph, km/h or m/s
    #[arg(long, value_name = "UNIT")]
    pub(crate) units: Option<SpeedUnit>,
}

impl RequestArgs {
    /// Whether nothing was asked for.
    pub(crate) fn is_empty(&self) -> bool {
        self.resolve.is_none() && self.speeds.is_empty() && self.from.is_none()
    }
}

fn time_of_day(text: &str) -> Result<Time, String> {
    let at = |format: &str| Time::strptime(format, text.trim()).ok();
    at("%H:%M").ok_or_else(|| format!("`{text}` is not a time of day\nhint: write it as `09:30`"))
}
