//! What the gain buys, as it stands in the result: five keys beside the others.

use serde::Serialize;

use crate::compare::Percent;
use crate::stats::interval::Interval;
use crate::stats::monotone::monotone_curve;
use crate::track::{Position, SetAside};

/// A value with its 95 % interval; each part `None` where it cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Default)]
pub struct Ranged {
    /// The value.
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
}

impl Ranged {
    /// A value whose interval is not known.
    pub fn bare(value: f64) -> Self {
        Self {
            value: value.is_finite().then_some(value),
            ..Self::default()
        }
    }

    /// The same with every part put through a function that only grows.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let through = |v: Option<f64>| v.map(&f).filter(|v| v.is_finite());
        Self {
            value: through(self.value),
            low: through(self.low),
            high: through(self.high),
        }
    }

    /// The interval, where both ends are known.
    pub fn interval(self) -> Option<Interval> {
        Some(Interval {
            low: self.low?,
            high: self.high?,
        })
    }
}

/// What the draw says of a change; it follows from the intervals of power at equal setting and at
/// equal speed alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum WhyVerdict {
    /// Less power at equal speed, and no more draw shown at equal setting.
    #[serde(rename = "more efficient")]
    MoreEfficient,
    /// More draw at equal setting, and no less power shown at equal speed.
    #[serde(rename = "works the motor harder")]
    WorksHarder,
    /// Less power at equal speed, and more draw at equal setting.
    #[serde(rename = "both")]
    Both,
    /// More power at equal speed, and no more draw shown at equal setting.
    #[serde(rename = "less efficient")]
    LessEfficient,
    /// Neither interval keeps clear of zero.
    #[serde(rename = "not shown")]
    NotShown,
    /// The draw was read once at a setting, or the speed rests on one double run.
    #[serde(rename = "too few readings")]
    TooFew,
}

/// What the speed buys. Serialises as the keys `calm`, `equal_speed`, `power`, `reach` and `propeller`.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Gain {
    /// Speed in a calm.
    pub calm: Calm,
    /// Which setting of the new part gives the old one's speed.
    pub equal_speed: EqualSpeed,
    /// What the motor draws.
    pub power: Power,
    /// How long and how far a charge lasts.
    pub reach: Reach,
    /// Slip and the cube law.
    pub propeller: Propeller,
}

/// What the motor draws.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Power {
    /// Where the readings come from.
    pub source: PowerSource,
    /// How the log's clock was set right.
    pub clock: Option<LogClock>,
    /// Mean draw of each leg's steady part, where read.
    pub legs: Vec<LegPower>,
    /// Legs that count and that the log does not cover.
    pub uncovered_legs: Vec<usize>,
    /// Rows of the log that were left out, by reason.
    pub set_aside: Vec<SetAside>,
    /// Draw and energy of each double run, where both legs, or one of them, were read.
    pub double_runs: Vec<RunPower>,
    /// Draw and energy of each cell.
    pub cells: Vec<CellPower>,
    /// Each changed configuration against the baseline, per setting and pooled.
    pub comparisons: Vec<PowerComparison>,
    /// Power at equal speed, for each changed configuration.
    pub equal_speed: Vec<EqualSpeedDraw>,
    /// Why it is faster: one entry for each comparison.
    pub why: Vec<Why>,
    /// The motor's limit, as stated.
    pub limit_w: Option<f64>,
    /// The same as a current.
    pub limit_a: Option<f64>,
    /// The battery's volts as stated, where they stood in for volts that were not read.
    pub nominal_volts: Option<f64>,
    /// Why there are no figures, a sentence.
    pub reason: Option<String>,
    /// What could not be used, one sentence each.
    pub remarks: Vec<String>,
}

/// Where readings come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Default)]
#[serde(rename_all = "lowercase")]
pub enum PowerSource {
    /// A log.
    Log,
    /// Spot readings in the notes.
    Readings,
    /// There are none.
    #[default]
    None,
}

/// The offset of a log's clock.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LogClock {
    /// Added to the log's times.
    pub offset_s: f64,
    /// Whether the person gave it; else it was found where draw and speed step together.
    pub given: bool,
    /// Correlation of draw and speed at it, where found.
    pub correlation: Option<f64>,
    /// How much less any other offset correlates: the sharpness.
    pub margin: Option<f64>,
}

/// Draw of one leg.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LegPower {
    /// The leg.
    pub leg: usize,
    /// Mean power over its steady part.
    pub watts: f64,
    /// Its standard error, autocorrelation allowed for.
    pub watts_se: Option<f64>,
    /// Mean current, where logged.
    pub amps: Option<f64>,
}

/// Draw of one double run.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunPower {
    /// The double run.
    pub double_run: usize,
    /// Mean power, each leg weighing by its time over the same distance.
    pub watts: f64,
    /// Energy there and back over the distance there and back.
    pub energy_j_per_m: f64,
}

/// Draw of one configuration at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CellPower {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Double runs or readings it rests on.
    pub count: usize,
    /// Corrected speed, as the comparison has it.
    pub speed_m_s: f64,
    /// Power, W.
    pub watts: Ranged,
    /// Current, A, where known.
    pub amps: Option<f64>,
    /// Energy over distance: power over the corrected speed.
    pub energy_j_per_m: Ranged,
    /// Whether the draw is above the motor's stated limit; `None` where none is stated.
    pub over_limit: Option<bool>,
}

/// Draw of a changed configuration against the baseline at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerComparison {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The setting, `None` for all pooled.
    pub setting: Option<String>,
    /// Change of power.
    pub power_percent: Percent,
    /// Change of energy over distance.
    pub energy_percent: Percent,
    /// Why there is no verdict, a clause.
    pub reason: Option<String>,
}

/// Power at equal speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EqualSpeedDraw {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// Change of power, and so of energy over distance, at equal speed.
    pub percent: Percent,
    /// The power of the speed with which power is taken to go.
    pub exponent: Ranged,
    /// Where that is from: `fitted curve` where draws at two speeds say something of it, else
    /// `cube law`.
    pub method: Option<&'static str>,
    /// Lowest speed it holds for.
    pub from_m_s: Option<f64>,
    /// Highest speed it holds for.
    pub to_m_s: Option<f64>,
    /// Why there is no verdict, a clause.
    pub reason: Option<String>,
}

/// Why a configuration is faster.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Why {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The setting, `None` for all pooled.
    pub setting: Option<String>,
    /// What may be said.
    pub verdict: WhyVerdict,
}

/// How long and how far a charge lasts.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Reach {
    /// Energy the battery is rated for.
    pub rated_j: Option<f64>,
    /// The share of it that the person lets it give.
    pub usable_share: Option<f64>,
    /// The product.
    pub usable_j: Option<f64>,
    /// What the log shows that the ride out and the runs took, from the first fix to the end of the
    /// last leg; `None` where no log covers all of it.
    pub used_j: Option<f64>,
    /// Whether that is taken off the charge of `cells`. It never is: they are for a full charge.
    pub trial_taken_off: bool,
    /// One entry for each cell whose draw is known.
    pub cells: Vec<CellReach>,
    /// The way home.
    pub home: Option<WayHome>,
    /// Why there are no figures, a sentence.
    pub reason: Option<String>,
}

/// How long and how far at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CellReach {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Time.
    pub time_s: Ranged,
    /// Distance in a calm.
    pub calm_m: Ranged,
    /// Distance in the slower of the day's two directions: against its wind, and current.
    pub against_m: Ranged,
    /// Distance in the faster one.
    pub with_m: Ranged,
}

/// The way home.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WayHome {
    /// From the middle of the trial's line.
    pub from: Position,
    /// To here.
    pub to: Position,
    /// Along the geodesic.
    pub distance_m: f64,
    /// Course at the start, degrees true.
    pub course_deg: Option<f64>,
    /// How the wind was taken, a clause.
    pub wind: String,
    /// Share of the usable charge that must be left on arrival.
    pub reserve_share: Option<f64>,
    /// Whether what the ride out and the runs took is off the charge; where it is not known, the
    /// charge counts as full.
    pub trial_taken_off: bool,
    /// One entry for each cell whose draw is known.
    pub cells: Vec<HomeAt>,
    /// Why something is missing, a clause.
    pub reason: Option<String>,
}

/// The way home at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HomeAt {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Speed on that course.
    pub speed_m_s: Ranged,
    /// Time.
    pub time_s: Ranged,
    /// Energy.
    pub energy_j: Ranged,
    /// Share of the usable charge left on arrival; below 0 where it does not suffice.
    pub left_share: Ranged,
    /// Whether the lower end of that keeps the reserve; `None` where no reserve is stated.
    pub keeps_reserve: Option<bool>,
    /// The answer; `None` where no reserve or no charge is stated.
    pub answer: Option<HomeAnswer>,
}

/// Whether a charge gets the boat home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum HomeAnswer {
    /// The whole interval of what is left keeps the reserve.
    #[serde(rename = "kept")]
    Kept,
    /// The interval holds the reserve.
    #[serde(rename = "not sure")]
    NotSure,
    /// The whole interval lies below the reserve.
    #[serde(rename = "the charge does not reach")]
    DoesNotReach,
}

/// Propeller figures.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Propeller {
    /// Slip of each cell whose pitch and shaft speed were noted.
    pub cells: Vec<CellSlip>,
    /// The exponent of power against speed, for each configuration drawn at two settings or more.
    pub cube_law: Vec<CubeLaw>,
    /// Why there is no slip, a sentence.
    pub reason: Option<String>,
}

/// Apparent slip of one configuration at one setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CellSlip {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Pitch.
    pub pitch_m: f64,
    /// Shaft speed, turns a minute: mean of the readings.
    pub rpm: f64,
    /// Pitch times turns.
    pub pitch_speed_m_s: f64,
    /// Apparent slip, percent of the pitch speed; may be negative. The interval is the speed's alone.
    pub slip_percent: Ranged,
}

/// Power against speed of one configuration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CubeLaw {
    /// Configuration.
    pub configuration: String,
    /// Exponent with its interval.
    pub exponent: Ranged,
    /// Whether the interval holds 3.
    pub cube: bool,
}

/// Speed in a calm.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct Calm {
    /// One entry for each cell; `None` where there is none.
    pub cells: Option<Vec<CalmSpeed>>,
    /// Why there is none, a clause.
    pub reason: Option<String>,
    /// What is taken for granted, a sentence.
    pub assumption: Option<String>,
}

/// One configuration at one setting in a calm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalmSpeed {
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
    /// Double runs it rests on.
    pub double_runs: usize,
    /// Speed through the water in no wind.
    pub calm_m_s: Ranged,
    /// The same in winds straight ahead and astern.
    pub winds: Vec<InWind>,
}

/// Speed in a wind along the course.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InWind {
    /// Speed of the wind.
    pub wind_m_s: f64,
    /// Speed of the boat against it.
    pub against_m_s: Ranged,
    /// And with it.
    pub with_m_s: Ranged,
}

/// Speed against setting.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct EqualSpeed {
    /// The curve of each configuration that was run at two settings or more of known percent.
    pub curves: Vec<Curve>,
    /// The setting of each changed configuration that gives the baseline's speed.
    pub settings: Vec<EqualSetting>,
    /// Why there is none at all, a sentence.
    pub reason: Option<String>,
}

/// Speed against setting of one configuration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// Configuration.
    pub configuration: String,
    /// The settings that were run, by rising percent.
    pub points: Vec<CurvePoint>,
}

/// A setting and its corrected speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Percent of full power.
    pub percent: f64,
    /// Speed.
    pub speed_m_s: Ranged,
}

impl Curve {
    /// The speed at a percent between those that were run, m/s: the monotone curve through the
    /// points, in logarithms.
    pub fn at(&self, percent: f64) -> Option<f64> {
        let logs = |of: fn(&CurvePoint) -> Option<f64>| -> Option<Vec<f64>> {
            self.points.iter().map(|p| Some(of(p)?.ln())).collect()
        };
        let (x, y) = (logs(|p| Some(p.percent))?, logs(|p| p.speed_m_s.value)?);
        Some(monotone_curve(&x, &y)?.at(percent.ln())?.exp())
    }
}

/// A setting of equal speed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EqualSetting {
    /// The configuration that was run first.
    pub baseline: String,
    /// The one compared with it.
    pub changed: String,
    /// The baseline's setting.
    pub setting: String,
    /// The same in percent of full power.
    pub percent: f64,
    /// Speed of the baseline there.
    pub speed_m_s: f64,
    /// The setting of the changed configuration, percent; an end beyond the settings run is `None`.
    pub changed_percent: Ranged,
    /// Why there is none, a clause.
    pub reason: Option<String>,
}
