//! The arguments.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use jiff::civil::Date;
use thereback::notes::{percent, zone};
use thereback::report::ChartForm;
use thereback::units::{Bearing, ClockFace, Current, Speed, SpeedUnit, parse_direction};

use super::plan_args::PlanArgs;
use super::rehearse_args::RehearseArgs;

/// Tells whether a change to a small boat made it faster
///
/// The change may be another propeller, trim, load or bottom paint; all it takes is the track the
/// plotter recorded. Run there and back on one line, a few times with the old part and a few times
/// with the new one: the runs, the swap, the wind and how sure the answer is are found in the track.
#[derive(Debug, Parser)]
#[command(
    name = "thereback",
    version,
    subcommand_value_name = "COMMAND",
    after_help = EXAMPLES,
    max_term_width = 100
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// Shown below the help and in the manual page.
pub(crate) const EXAMPLES: &str = "\
Examples:
  thereback report day.gpx
      the whole job; the write-up lies in output/report.html
  thereback report day.gpx --notes output/notes.toml
      again, with the notes corrected
  thereback report morning.gpx afternoon.gpx --wind-from SW --wind-speed 11kn -o trial
      two recordings of one day, the wind as the station had it
  thereback legs day.gpx --format csv --units km/h > legs.csv
      only the legs, as a table for a spreadsheet
  thereback legs season --format geojson > season.geojson
      the legs of every day in a folder, for a map
  thereback plan --resolve 5% --speed 2.4kn --speed 4.6kn --water 900m --time 3h --wind-from SW
      before the day: how many runs, in what order, and a card to print
  thereback rehearse --plan output/plan/plan.json --wind-grows 2kn
      a thousand such days in a growing wind: would the plan have told?

Exit codes: 0 measured, 1 ran well but found nothing to measure, 2 bad usage or input.";

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Measure the trial and write it up
    ///
    /// The write-up is report.html with its charts, a short text to paste as report.md, the legs, double runs and comparison as CSV, the
    /// legs as GPX, the whole result as JSON, and the notes as understood, to correct and pass back.
    /// A summary goes to standard output. The legs of each day are found by themselves, and the
    /// double runs of all days are compared by one model.
    Report(ReportArgs),
    /// Show the legs that were found
    ///
    /// One line each: when, on which course, how fast, with what wind off the bow, and what it was
    /// counted as. Tracks of several days, such as a folder of them, are analysed day by day, and a
    /// column tells the day; with notes, which belong to one trial, they are one.
    Legs(LegsArgs),
    /// Plan a trial before the day
    ///
    /// From the smallest change worth knowing: how many double runs, how long the legs, on which heading, in
    /// what order, how long it takes, and what it can and cannot tell. Writes a card to print, notes to correct after
    /// the day, and plan.json. Exit code 1 where the time does not suffice.
    Plan(Box<PlanArgs>),
    /// Simulate the plan many times: would it have told?
    ///
    /// Each simulated day is read by the same code that will read the real track, with notes of every swap and without
    /// any. Says how often a change of each size is shown, how often one is claimed that is not there, how often the day
    /// is read as it was without notes, and what to alter.
    Rehearse(Box<RehearseArgs>),
    /// Print the completions for a shell
    Completions {
        /// The shell
        shell: Shell,
    },
    /// Print the manual page
    Man,
}

#[derive(Debug, Args)]
pub(crate) struct ReportArgs {
    #[command(flatten)]
    pub(crate) trial: TrialArgs,
    /// Folder for the write-up; made where there is none
    #[arg(short, long, value_name = "DIR", default_value = "output")]
    pub(crate) output: PathBuf,
    /// Form of the chart files: svg, or png in pixels at print resolution
    #[arg(long, value_enum, default_value_t = Charts::Svg)]
    pub(crate) charts: Charts,
}

/// Forms in which charts are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Charts {
    /// Sharp at any size
    Svg,
    /// 300 dots per inch at 132 mm wide
    Png,
}

impl Charts {
    /// As the library names it.
    pub(crate) fn form(self) -> ChartForm {
        match self {
            Self::Svg => ChartForm::Svg,
            Self::Png => ChartForm::Png,
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct LegsArgs {
    #[command(flatten)]
    pub(crate) trial: TrialArgs,
    /// Form in which the legs are shown
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub(crate) format: Format,
}

/// The tracks of one day or of several, and what the track alone does not tell.
#[derive(Debug, Args)]
pub(crate) struct TrialArgs {
    /// Tracks of the trial: GPX or CSV files, also gzip-compressed, folders of them, or - for
    /// standard input; a night between them begins another day
    #[arg(required = true, value_name = "TRACK")]
    pub(crate) tracks: Vec<PathBuf>,
    /// Day of the first fix in UTC, for an NMEA 0183 log that holds times alone: 2031-06-04
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
    /// Notes on the trial: names and times of what was fitted, corrections
    #[arg(long, value_name = "FILE")]
    pub(crate) notes: Option<PathBuf>,
    /// Where the true wind blows from: degrees true, or a point such as SW or west
    #[arg(long, value_name = "DIRECTION", value_parser = parse_direction)]
    pub(crate) wind_from: Option<Bearing>,
    /// Speed of the true wind, with its unit: 11kn, "5.2 m/s"
    #[arg(long, value_name = "SPEED")]
    pub(crate) wind_speed: Option<Speed>,
    /// Whether the water runs: none, river or tide
    #[arg(long, value_name = "KIND")]
    pub(crate) current: Option<Current>,
    /// Smallest change of speed worth knowing, percent: 5 or 5%. A change that the interval holds below it is said to be no
    /// larger
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub(crate) resolve: Option<f64>,
    /// Log of the true wind: a CSV file of times, directions and speeds, such as a station's; where it
    /// covers the double runs they are compared in one wind
    #[arg(long, value_name = "FILE")]
    pub(crate) wind_log: Option<PathBuf>,
    /// Log of what the motor draws: a CSV file of times with volts and amps, or watts
    #[arg(long, value_name = "FILE")]
    pub(crate) power_log: Option<PathBuf>,
    /// Unit of the speeds shown: kn, mph, km/h or m/s
    #[arg(long, value_name = "UNIT")]
    pub(crate) units: Option<SpeedUnit>,
    /// How the hours of the times shown are counted: 12 or 24
    #[arg(long, value_name = "HOURS")]
    pub(crate) clock: Option<ClockFace>,
    /// Time zone of the times shown: Europe/Helsinki, or the city alone; else found from the position
    #[arg(long, value_name = "CITY", value_parser = zone::name_of)]
    pub(crate) timezone: Option<String>,
}

/// Forms in which legs are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// A table for the eye
    Table,
    /// Comma-separated values, units in the headers
    Csv,
    /// The result's own terms, SI units
    Json,
    /// Each leg a track, for the plotter or a map
    Gpx,
    /// Each leg a line with its figures (RFC 7946), for maps
    Geojson,
}

fn date(text: &str) -> Result<Date, String> {
    text.parse()
        .map_err(|_| format!("`{text}` is not a date\nhint: write it as `2031-06-04`"))
}
