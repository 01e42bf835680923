//! The result: one plain, serialisable value that every output reads, and only that.
//!
//! Field names carry their units (SI: metres, seconds, metres per second,
//! degrees true). Times are UTC and serialise as RFC 3339. What is not known is
//! `None` and serialises as `null`: never 0, never NaN. The serialised form is
//! `result.json`; `schema` changes when a field changes its meaning.

use jiff::Timestamp;
use serde::Serialize;

use super::rules::Rules;
use super::warning::Warning;
use crate::compare::{Adjustment, Cell, Comparison, FitSummary, ModelRecord, Pair};
use crate::day::{
    CourseLine, DoubleRun, HeadingFit, IdleDrift, Leg, Trail, TurningCircle, Wind, WindCovariate,
};
use crate::gain::Gain;
use crate::notes::Story;
use crate::track::SetAside;
use crate::units::{ClockFace, Current, SpeedUnit};

/// Version of the serialised form.
pub const SCHEMA: u32 = 2;

/// All that was found in the recordings of a trial, of one day or of several.
///
/// Legs, lines and double runs are numbered through all days and name their day; what belongs to
/// a day as a whole is in [`Self::days`], a list of one for most trials. There is one comparison, of
/// all double runs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trial {
    /// [`SCHEMA`].
    pub schema: u32,
    /// The trial's title, from the notes.
    pub title: Option<String>,
    /// What the person wrote of the trial, the boat and the water, for those who read the article.
    pub story: Story,
    /// The unit in which results are to be shown. The fields here stay SI.
    pub units: SpeedUnit,
    /// How the hours are to be counted where times are shown; not part of `result.json`, whose times are UTC.
    #[serde(skip)]
    pub clock: ClockFace,
    /// Local time.
    pub timezone: Zone,
    /// One entry per file, day by day, in the order given.
    pub tracks: Vec<TrackSummary>,
    /// The true wind during the trial: that of the day where there is one, what all days share else.
    pub wind: Wind,
    /// Whether the water runs, where it is known beforehand.
    pub current: Option<Current>,
    /// Every straight stretch on one steady heading, in order of time, numbered from 1.
    pub legs: Vec<Leg>,
    /// The lines on the water that two or more legs share, numbered from 1.
    pub lines: Vec<CourseLine>,
    /// Two legs there and back each, in order of time, numbered from 1.
    pub double_runs: Vec<DoubleRun>,
    /// Configurations in the order they were first run.
    pub configurations: Vec<Configuration>,
    /// Settings, slowest first.
    pub settings: Vec<Setting>,
    /// One entry for each configuration at each setting that was run.
    pub cells: Vec<Cell>,
    /// Each changed configuration against the baseline, per setting and pooled.
    pub comparisons: Vec<Comparison>,
    /// Every pair of three configurations or more; empty for fewer.
    pub pairs: Vec<Pair>,
    /// How wind and current entered the comparisons; `None` where there are no double runs.
    pub adjustment: Option<Adjustment>,
    /// What the fit says beside the comparisons; `None` where there are no double runs.
    pub fit: Option<FitSummary>,
    /// The design matrix and the posterior of the comparison, to check and repeat it; `None` where there
    /// are no double runs.
    pub model: Option<ModelRecord>,
    /// The smallest change worth knowing, percent, where the person named one.
    pub resolve_percent: Option<f64>,
    /// What the gain buys: the keys `calm`, `equal_speed`, `power`, `reach` and `propeller`.
    #[serde(flatten)]
    pub gain: Gain,
    /// Each day, in order of time.
    pub days: Vec<Day>,
    /// What a reader must know before believing the rest.
    pub warnings: Vec<Warning>,
    /// Every threshold in force.
    pub rules: Rules,
}

/// One day on the water.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Day {
    /// Number, from 1, in order of time.
    pub day: usize,
    /// The first fix used; `None` where there is none.
    pub from: Option<Timestamp>,
    /// The last fix used.
    pub to: Option<Timestamp>,
    /// The true wind.
    pub wind: Wind,
    /// How probable it is that the day was as it was read, and what it would be otherwise; `None` where
    /// there are no double runs.
    pub reading: Option<Reading>,
    /// What a wind log says of each double run; `None` where there is no log.
    pub wind_covariate: Option<WindCovariate>,
    /// Speed against heading, a harmonic for each cell with legs on three headings or more.
    pub headings: Vec<HeadingFit>,
    /// Steady turns through two full circles, which show the drift by themselves.
    pub circles: Vec<TurningCircle>,
    /// Stretches in which the boat lay idle and drifted.
    pub idle: Vec<IdleDrift>,
    /// Distance in which the boat made good all but 1/e of the speed lost in a turn.
    pub settling_distance_m: Option<f64>,
    /// The track itself, for drawing; not part of `result.json`.
    #[serde(skip)]
    pub trail: Trail,
}

impl Trial {
    /// The legs of a day.
    pub fn legs_of(&self, day: usize) -> impl Iterator<Item = &Leg> {
        self.legs.iter().filter(move |leg| leg.day == day)
    }

    /// The double runs of a day.
    pub fn runs_of(&self, day: usize) -> impl Iterator<Item = &DoubleRun> {
        self.double_runs.iter().filter(move |run| run.day == day)
    }

    /// A leg by its number.
    pub fn leg(&self, number: usize) -> Option<&Leg> {
        self.legs.iter().find(|leg| leg.leg == number)
    }
}

/// The zone in which local times are shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Zone {
    /// IANA name, `Area/City`.
    pub name: String,
    /// Where it comes from.
    pub source: ZoneSource,
}

/// Where the time zone comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum ZoneSource {
    /// The command line or the notes.
    Given,
    /// Looked up at the first fix.
    Position,
    /// Neither was to be had: UTC.
    None,
}

/// What was read from one file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrackSummary {
    /// File name without folders.
    pub file: String,
    /// The day, from 1.
    pub day: usize,
    /// Points met in the file.
    pub fixes_read: usize,
    /// Fixes that entered the analysis.
    pub fixes_used: usize,
    /// The difference, by reason.
    pub set_aside: Vec<SetAside>,
    /// Oddities of the file, one sentence each.
    pub remarks: Vec<String>,
    /// First and last time used.
    pub from: Option<Timestamp>,
    /// Last time used.
    pub to: Option<Timestamp>,
    /// The usual step between fixes, seconds (median).
    pub interval_s: Option<f64>,
}

/// What is compared: a propeller, a trim, a hull, a load.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Configuration {
    /// Name from the notes, or `A`, `B`, ….
    pub name: String,
    /// When its first double run began.
    pub from: Timestamp,
    /// When its last double run ended.
    pub to: Timestamp,
    /// Whether the notes named it or the track alone suggests it.
    pub source: GroupSource,
    /// How sure it is that the double runs fall into groups as they were read, `[0, 1]`: the share of
    /// this reading among all that were tried, each weighing `exp(-score)`; `None` where the notes say it.
    pub confidence: Option<f64>,
}

/// A power setting that was held during several legs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Setting {
    /// Name from the notes, or `1`, `2`, … slowest first.
    pub name: String,
    /// Percent of full power, from the notes.
    pub percent: Option<f64>,
    /// Whether the notes named it or the track alone suggests it.
    pub source: GroupSource,
    /// How sure it is that the double runs fall into groups as they were read, `[0, 1]`: the share of
    /// this reading among all that were tried, each weighing `exp(-score)`; `None` where the notes say it.
    pub confidence: Option<f64>,
}

/// How sure the reading of a day is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// How probable it is among all that were tried, `[0, 1]`.
    pub probability: f64,
    /// The most probable of those that group the double runs otherwise.
    pub other: Option<OtherAnswer>,
    /// Whether the two are near enough, and differ enough in what they say, that neither is claimed.
    pub unclear: bool,
}

/// What another reading of the day would answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherAnswer {
    /// How probable it is, `[0, 1]`.
    pub probability: f64,
    /// How many configurations it has.
    pub configurations: usize,
    /// How many settings.
    pub settings: usize,
    /// How many double runs.
    pub double_runs: usize,
    /// Which configuration each double run of the day then has, from 1; `None` for one left out.
    pub parts: Vec<Option<usize>>,
    /// Each changed configuration against the baseline, per setting and pooled.
    pub comparisons: Vec<Comparison>,
}

/// How a grouping came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum GroupSource {
    /// The notes say so.
    Notes,
    /// Found in the track.
    Track,
}
