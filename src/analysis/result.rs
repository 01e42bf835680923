//! The result: one plain, serialisable value that every output reads, and only that.
//!
//! Field names carry their units (SI: metres, seconds, metres per second,
//! degrees true). Times are UTC and serialise as RFC 3339. What is not known is
//! `None` and serialises as `null`: never 0, never NaN. The serialised form is
//! `result.json`; `schema` changes when a field changes its meaning.

use jiff::Timestamp;
use serde::Serialize;

pub use super::across::DayOfTrial;
use super::buys::Buys;
pub use super::circles::TurningCircle;
pub use super::compared::{
    AcrossDays, BadRun, Cell, Comparison, DayShare, Difference, Doubt, DoubtKind, FitSummary,
    LogRatio, Pair, Percent, Simultaneous, Verdict,
};
use super::covariate::WindCovariate;
pub use super::headings::HeadingFit;
use super::rules::Rules;
use super::warning::Warning;
use crate::compare::{Adjustment, ModelRecord};
use crate::geometry::Plane;
pub use crate::segmenter::WindLabel;
use crate::track::{Position, SetAside};
use crate::units::{ClockFace, Current, SpeedUnit};

/// Version of the serialised form.
pub const SCHEMA: u32 = 1;

/// All that was found in the recordings of one day, or of several.
///
/// Of several days, legs, lines and double runs are numbered through all of them, `comparisons` are
/// pooled over the days, and [`Self::days`] holds each day by itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Analysis {
    /// [`SCHEMA`].
    pub schema: u32,
    /// The trial's title, from the notes.
    pub title: Option<String>,
    /// The unit in which results are to be shown. The fields here stay SI.
    pub units: SpeedUnit,
    /// How the hours are to be counted where times are shown; not part of `result.json`, whose times are UTC.
    #[serde(skip)]
    pub clock: ClockFace,
    /// Local time.
    pub timezone: Zone,
    /// One entry per file, in the order given.
    pub tracks: Vec<TrackSummary>,
    /// The true wind during the trial.
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
    /// Every pair of three configurations or more, over all days; empty for fewer.
    pub pairs: Vec<Pair>,
    /// Each day by itself, in order of time; empty for one day, which the other fields then are.
    pub days: Vec<DayOfTrial>,
    /// How probable it is that the day was as it was read, and what it would be otherwise; `None` where
    /// there are no double runs, and for several days.
    pub reading: Option<Reading>,
    /// How wind and current entered the comparisons; `None` where there are no double runs.
    pub adjustment: Option<Adjustment>,
    /// What the fit says beside the comparisons; `None` where there are no double runs.
    pub fit: Option<FitSummary>,
    /// The design matrix and the posterior of the comparison, to check and repeat it; `None` where there
    /// are no double runs.
    pub model: Option<ModelRecord>,
    /// What a wind log says of each double run; `None` where there is none, and for several days.
    pub wind_covariate: Option<WindCovariate>,
    /// The smallest change worth knowing, percent, where the person named one.
    pub resolve_percent: Option<f64>,
    /// Speed against heading, a harmonic for each cell with legs on three headings or more.
    pub headings: Vec<HeadingFit>,
    /// Steady turns through two full circles, which tell the drift by themselves.
    pub circles: Vec<TurningCircle>,
    /// Stretches in which the boat lay idle and drifted.
    pub idle: Vec<IdleDrift>,
    /// Distance in which the boat made good all but 1/e of the speed lost in a turn.
    pub settling_distance_m: Option<f64>,
    /// What the gain buys: the keys `calm`, `equal_speed`, `power`, `reach` and `propeller`.
    #[serde(flatten)]
    pub buys: Buys,
    /// What a reader must know before believing the rest.
    pub warnings: Vec<Warning>,
    /// Every threshold in force.
    pub rules: Rules,
    /// The track itself, for drawing; not part of `result.json`.
    #[serde(skip)]
    pub trail: Trail,
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

/// The true wind, where it is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wind {
    /// Direction it blows from, degrees true.
    pub from_deg: Option<f64>,
    /// Standard error of the direction, degrees.
    pub from_se_deg: Option<f64>,
    /// Speed.
    pub speed_m_s: Option<f64>,
    /// Where it comes from.
    pub source: WindSource,
    /// Why there is none, or what to keep in mind; a sentence.
    pub remark: Option<String>,
}

/// Where the wind comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum WindSource {
    /// The command line or the notes.
    Given,
    /// A station's log, or the wind instruments in the recordings.
    Log,
    /// The drift while the boat lay idle.
    Drift,
    /// Legs on several headings.
    Legs,
    /// Not known.
    None,
}

/// A stretch on one steady heading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leg {
    /// Number, from 1, in order of time.
    pub leg: usize,
    /// The day, from 1; 1 where there is one only.
    pub day: usize,
    /// Which track (index into [`Analysis::tracks`]) it lies in.
    pub track: usize,
    /// The turn before it is over.
    pub start: Timestamp,
    /// The approach is over; from here it is measured. `None` where it never settled.
    pub steady_from: Option<Timestamp>,
    /// The turn after it begins.
    pub end: Timestamp,
    /// From start to end.
    pub duration_s: f64,
    /// Made good along the course from start to end.
    pub length_m: f64,
    /// Fixes in the steady part.
    pub fixes: usize,
    /// Course made good, degrees true.
    pub course_deg: f64,
    /// Speed over the ground along the course in the steady part.
    pub speed_m_s: Option<f64>,
    /// Its standard error, autocorrelation allowed for.
    pub speed_se_m_s: Option<f64>,
    /// Lower end of the range it consistently held (10th percentile of 10 s means).
    pub low_m_s: Option<f64>,
    /// Upper end of that range (90th percentile).
    pub high_m_s: Option<f64>,
    /// How far it strayed from its straight line, root mean square.
    pub cross_track_rms_m: f64,
    /// Mean of the speeds the recorder wrote, for comparison only.
    pub recorded_speed_m_s: Option<f64>,
    /// Mean depth over the steady part, where recorded.
    pub depth_m: Option<f64>,
    /// Mean heading over the steady part (circular), degrees true, where a compass was recorded.
    pub heading_deg: Option<f64>,
    /// Mean speed through the water over the steady part, where a log was recorded.
    pub water_speed_m_s: Option<f64>,
    /// Direction the wind comes from, off the bow: positive to starboard, `(-180, 180]`.
    pub wind_off_bow_deg: Option<f64>,
    /// The same in words.
    pub wind_label: Option<WindLabel>,
    /// The course line it lies on.
    pub line: Option<usize>,
    /// The double run it belongs to.
    pub double_run: Option<usize>,
    /// Configuration; `None` outside any double run.
    pub configuration: Option<String>,
    /// Setting; `None` outside any double run.
    pub setting: Option<String>,
    /// Whether it counts in the comparison.
    pub included: bool,
    /// Why it does not.
    pub reason: Option<String>,
    /// Where it starts.
    pub start_position: Position,
    /// Where its steady part begins.
    pub steady_position: Option<Position>,
    /// Where it ends.
    pub end_position: Position,
}

/// A line on the water that several legs share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseLine {
    /// Number, from 1.
    pub line: usize,
    /// Direction of the line, degrees true in `[0, 180)`.
    pub axis_deg: f64,
    /// One end of the stretch of it that was used.
    pub from: Position,
    /// The other end.
    pub to: Position,
    /// Its length.
    pub length_m: f64,
    /// The legs on it, in order of time.
    pub legs: Vec<usize>,
}

/// Two legs there and back on one line, in the same configuration and setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubleRun {
    /// Number, from 1, in order of time.
    pub double_run: usize,
    /// The day, from 1; 1 where there is one only.
    pub day: usize,
    /// Its two legs, in order of time.
    pub legs: [usize; 2],
    /// The course line.
    pub line: usize,
    /// Direction of the line, degrees true in `[0, 180)`.
    pub axis_deg: f64,
    /// Middle of the double run in time.
    pub at: Timestamp,
    /// Speed through the water: half of the vector by which the two velocities differ.
    pub mean_m_s: f64,
    /// Its standard error from the two legs alone (the scatter between runs is not in it).
    pub mean_se_m_s: Option<f64>,
    /// Root mean square of the two speeds: exact for a steady force rather than a steady current.
    pub root_mean_square_m_s: f64,
    /// Half of what the run along `axis_deg` was faster than the run back: drift along the line.
    pub half_difference_m_s: f64,
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
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

/// A stretch in which the boat lay idle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IdleDrift {
    /// From.
    pub start: Timestamp,
    /// To.
    pub end: Timestamp,
    /// Direction of the drift, degrees true.
    pub toward_deg: f64,
    /// Speed of the drift.
    pub speed_m_s: f64,
    /// Whether it was used for the wind.
    pub used: bool,
}

/// The track for drawing, on a plane in metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trail {
    /// The plane the points lie on; `None` for an empty trail.
    pub plane: Option<Plane>,
    /// Unbroken runs of points, in order of time.
    pub runs: Vec<Vec<TrailPoint>>,
    /// Speed over the ground in 10 s means, in order of time; gaps in time are breaks.
    pub speeds: Vec<SpeedPoint>,
    /// Start and end of each time in which the boat made no way, and a part may have been swapped.
    pub stops: Vec<[Timestamp; 2]>,
}

/// One fix on the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrailPoint {
    /// When.
    pub time: Timestamp,
    /// Metres east of the plane's origin.
    pub east_m: f64,
    /// Metres north of the plane's origin.
    pub north_m: f64,
}

/// The speed over the ground at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedPoint {
    /// Middle of the mean.
    pub time: Timestamp,
    /// Speed over the ground.
    pub speed_m_s: f64,
}
