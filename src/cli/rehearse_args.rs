//! The arguments of `rehearse`.

use std::path::PathBuf;

use clap::Args;
use thereback::simulate::Sampling;
use thereback::units::Speed;

use super::plan_args::{PlanFormat, RequestArgs};
use super::quantity;

#[derive(Debug, Args)]
pub(crate) struct RehearseArgs {
    #[command(flatten)]
    pub(crate) request: RequestArgs,
    /// A plan drawn up before, instead of the options of `plan`
    #[arg(long, value_name = "FILE", conflicts_with_all = ["resolve", "speeds", "parts", "water", "time", "wind_from", "wind_speed", "axis", "mass", "from", "swap", "draws", "battery", "chance", "start", "title", "units"])]
    pub(crate) plan: Option<PathBuf>,
    /// Days simulated in all, shared out among five sizes of change
    #[arg(long, value_name = "DAYS", default_value_t = 1000, value_parser = days)]
    pub(crate) times: usize,
    /// Seed of the random numbers: the same seed gives the same days
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Wind rehearsed in, where it is not the one planned for: 14kn
    #[arg(long, value_name = "SPEED", help_heading = "Conditions")]
    pub(crate) rehearsed_wind: Option<Speed>,
    /// Standard deviation of the gusts as a share of the wind [default: 14%]
    #[arg(long, value_name = "PERCENT", value_parser = quantity::share, help_heading = "Conditions")]
    pub(crate) gusts: Option<f64>,
    /// By how much the wind grows in an hour: 2kn
    #[arg(long, value_name = "SPEED", help_heading = "Conditions")]
    pub(crate) wind_grows: Option<Speed>,
    /// By how much the wind falls in an hour: 2kn
    #[arg(
        long,
        value_name = "SPEED",
        conflicts_with = "wind_grows",
        help_heading = "Conditions"
    )]
    pub(crate) wind_falls: Option<Speed>,
    /// Greatest speed of a tidal stream along the line: 0.5kn
    #[arg(long, value_name = "SPEED", help_heading = "Conditions")]
    pub(crate) tide: Option<Speed>,
    /// Height of the waves: 0.2m
    #[arg(long, value_name = "LENGTH", value_parser = quantity::length, help_heading = "Conditions")]
    pub(crate) waves: Option<f64>,
    /// How far off the thrust meant the throttle is set each time, at most [default: 1%]
    #[arg(long, value_name = "PERCENT", value_parser = quantity::share, help_heading = "Conditions")]
    pub(crate) throttle: Option<f64>,
    /// What the battery loses of the thrust in an hour [default: 0.4%]
    #[arg(long, value_name = "PERCENT", value_parser = quantity::share, help_heading = "Conditions")]
    pub(crate) sag: Option<f64>,
    /// When the recorder keeps a fix: every 1s, or every 10m
    #[arg(long, value_name = "STEP", value_parser = sampling, help_heading = "Conditions")]
    pub(crate) record: Option<Sampling>,
    /// Decimals of a degree the recorder keeps, 4 to 7 [default: 6]
    #[arg(long, value_name = "NUMBER", help_heading = "Conditions")]
    pub(crate) decimals: Option<u8>,
    /// Folder for rehearsal.html, power.svg and rehearsal.json; made where there is none
    #[arg(short, long, value_name = "DIR", default_value = "output/rehearsal")]
    pub(crate) output: PathBuf,
    /// Keep a simulated day of each size of change here, as GPX with its truth; with no plan, the sample days
    #[arg(long, value_name = "DIR")]
    pub(crate) save: Option<PathBuf>,
    /// Form of what goes to standard output
    #[arg(long, value_enum, default_value_t = PlanFormat::Text)]
    pub(crate) format: PlanFormat,
}

/// Fewer say nothing, more take hours.
const DAYS: std::ops::RangeInclusive<usize> = 5..=1_000_000;

fn days(text: &str) -> Result<usize, String> {
    text.trim().parse().ok().filter(|days| DAYS.contains(days)).ok_or_else(|| {
        format!("`{text}` is no number of days from 5 to 1000000\nhint: a thousand show shares to some 5 %")
    })
}

fn sampling(text: &str) -> Result<Sampling, String> {
    if let Ok(seconds) = quantity::span(text) {
        return Ok(Sampling::Seconds(seconds));
    }
    quantity::length(text).map(Sampling::Metres).map_err(|_| {
        format!("`{text}` is no step of a recorder\nhint: write `1s` for a fix every second, `10m` for one every ten metres")
    })
}
