//! What a simulated day is made of: plain numbers, SI units, each with its usual range.

use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

/// A whole day to simulate: where, with what boat, steered and recorded how, and what is done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scenario {
    /// The name of the day, for files and messages.
    pub name: String,
    /// Latitude of the landing, degrees north, `[-89, 89]`.
    pub latitude_deg: f64,
    /// Longitude of the landing, degrees east, `[-180, 180)`.
    pub longitude_deg: f64,
    /// The air over the water.
    pub wind: Wind,
    /// The water's own motion.
    pub water: Water,
    /// The boat, its power settings and its configurations.
    pub boat: Boat,
    /// How it is steered.
    pub helm: Helm,
    /// How its track is recorded.
    pub recorder: Recorder,
    /// What is done and in what order.
    pub day: Day,
}

impl Scenario {
    /// The instant so many seconds after the recorder was switched on.
    pub(super) fn at(&self, seconds: f64) -> Timestamp {
        let since = SignedDuration::from_millis((seconds * 1000.0).round() as i64);
        let start = self.day.start;
        start.checked_add(since).unwrap_or(start)
    }
}

/// Wind at the height of the boat: a mean that may grow and veer, gusts, and a slow swing.
///
/// Gusts and swing are first-order Gauss-Markov processes (exponential autocorrelation),
/// our own model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Wind {
    /// Direction it blows from at the start, degrees true, `[0, 360)`.
    pub from_deg: f64,
    /// Mean speed at the start, m/s, 0 to 12.
    pub speed: f64,
    /// Growth of the mean speed, m/s per hour, -1 to 1.
    pub growth_per_h: f64,
    /// Veer of the mean direction, degrees per hour (positive clockwise), -20 to 20.
    pub veer_deg_per_h: f64,
    /// Standard deviation of the gusts as a share of the mean speed, 0.05 to 0.25.
    pub gust_share: f64,
    /// Time constant of the gusts, s, 20 to 90.
    pub gust_time_s: f64,
    /// Standard deviation of the slow swell of the speed as a share of the mean, 0 to 0.15.
    pub swell_share: f64,
    /// Standard deviation of the slow swing of the direction, degrees, 2 to 15.
    pub swing_deg: f64,
    /// Time constant of swell and swing, s, 600 to 1200.
    pub swing_time_s: f64,
    /// Standard deviation of the direction within gusts, degrees, 2 to 12.
    pub gust_swing_deg: f64,
}

/// Current, tide and waves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Water {
    /// Direction the current (and the flood, where there is a tide) sets towards, degrees true.
    pub set_deg: f64,
    /// Constant part of the current along the set, m/s, -1 to 1.
    pub drift: f64,
    /// Change of the current along the set, m/s per hour, -0.3 to 0.3.
    pub drift_per_h: f64,
    /// Amplitude of the tidal stream along the set, m/s, 0 to 1.2.
    pub tide: f64,
    /// Period of the tide, s; the principal lunar tide M2 has 44 714 s (12.4206 h).
    pub tide_period_s: f64,
    /// Phase of the tide at the start of the day, degrees; 0 is slack before the flood.
    pub tide_phase_deg: f64,
    /// Standard deviation of eddies, each axis, m/s, 0 to 0.05; time constant 10 min.
    pub eddies: f64,
    /// Standard deviation of the orbital velocity of the waves along the wind, m/s, 0 to 0.4.
    pub wave_speed: f64,
    /// Period of the waves as the boat meets them, s, 1.5 to 6.
    pub wave_period_s: f64,
}

/// The boat's mass, drags and thrusts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Boat {
    /// Mass as it lies in the water, kg, 80 to 1500.
    pub mass: f64,
    /// Added mass ahead as a share of the mass, 0.03 to 0.15.
    pub added_mass_ahead: f64,
    /// Added mass abeam as a share of the mass, 0.4 to 1.2.
    pub added_mass_abeam: f64,
    /// Drag of the hull ahead, N/(m/s)², 20 to 150: `drag * u |u|`.
    pub hull_drag: f64,
    /// Drag of the hull abeam, N/(m/s)², 200 to 3000: `drag * v |v|`.
    pub hull_drag_abeam: f64,
    /// Side force of keel and hull under way, N/(m/s)², 50 to 1500: `lift * |u| v`.
    pub keel: f64,
    /// Drag of the boat in the air ahead, N/(m/s)², 0.2 to 2.
    pub air_drag: f64,
    /// Drag of the boat in the air abeam, N/(m/s)², 0.5 to 6.
    pub air_drag_abeam: f64,
    /// Drag of turning, N per (rad/s)² per (m/s)², 3 to 10 times the mass in kg: `drag * r² u²`
    /// (induced drag goes with the square of the side force).
    pub turn_drag: f64,
    /// Fall of the thrust with speed through the water, share per m/s, 0 to 0.25: `T = T0 (1 - fall
    /// u)`.
    pub thrust_fall: f64,
    /// What the battery loses of its thrust, share of that at the start of the day per hour, 0 to
    /// 0.1.
    pub sag_per_h: f64,
    /// How far off the thrust meant the lever is set each time, at most, share, 0 to 0.05.
    pub lever_error: f64,
    /// Static thrust at each power setting in the first configuration, N, slowest first, 30 to
    /// 1200.
    pub thrusts: Vec<f64>,
    /// What is compared; the first is the old part.
    pub configurations: Vec<Configuration>,
}

/// One configuration of the boat, relative to the numbers in [`Boat`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Configuration {
    /// Its name.
    pub name: String,
    /// Thrust relative to [`Boat::thrusts`], 0.7 to 1.5.
    pub thrust_factor: f64,
    /// Drag of the hull ahead relative to [`Boat::hull_drag`], 0.7 to 1.5.
    pub drag_factor: f64,
    /// Mass relative to [`Boat::mass`], 0.7 to 1.5.
    pub mass_factor: f64,
}

impl Default for Configuration {
    fn default() -> Self {
        Self {
            name: String::new(),
            thrust_factor: 1.0,
            drag_factor: 1.0,
            mass_factor: 1.0,
        }
    }
}

/// How a heading is chosen for a leg and held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Steering {
    /// The course of the line, or its reciprocal, held as a heading: the boat makes leeway off the
    /// line.
    Heading,
    /// A heading chosen once per leg so that the leg should follow the line, with an error, then
    /// held.
    Aimed,
    /// The same, corrected slowly towards the line all along the leg.
    Line,
}

/// The person and the heading hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Helm {
    /// How headings are chosen.
    pub steering: Steering,
    /// Standard deviation of the heading chosen, degrees, 0 to 4.
    pub aim_error_deg: f64,
    /// Amplitude of the hunting of the heading, degrees, 0 to 5.
    pub hunting_deg: f64,
    /// Period of the hunting, s, 15 to 60.
    pub hunting_period_s: f64,
    /// Gain of the heading hold, degrees per second per degree, 0.15 to 0.6.
    pub gain: f64,
    /// Rate of turn with the helm over, degrees per second, 5 to 15.
    pub turn_rate_deg_s: f64,
    /// Share of the thrust kept in turns, 0.3 to 1.
    pub turn_throttle: f64,
    /// How far past the reciprocal the turn is taken to come back to the line, degrees, 0 to 60;
    /// with 0 the boat goes back beside the line, a turning circle away.
    pub loop_deg: f64,
    /// Chance that a turn goes to starboard, `[0, 1]`.
    pub starboard_share: f64,
}

/// When the recorder stores a fix.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Sampling {
    /// Every so many seconds, 1 to 30.
    Seconds(f64),
    /// Every so many metres from the last fix stored, 3 to 30.
    Metres(f64),
    /// When the course has changed by `turn_deg` since the last fix, or `longest_s` have passed;
    /// never sooner than `shortest_s`.
    Adaptive {
        /// Change of course that stores a fix, degrees, 5 to 30.
        turn_deg: f64,
        /// Shortest time between fixes, s.
        shortest_s: f64,
        /// Longest time between fixes, s.
        longest_s: f64,
    },
}

/// The recorder and its position errors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recorder {
    /// When fixes are stored.
    pub sampling: Sampling,
    /// Decimals of a degree stored, 4 to 7.
    pub decimals: u8,
    /// Standard deviation of the error that is new at every fix, each axis, m, 0.2 to 1.5.
    pub white_error: f64,
    /// Standard deviation of the slow error, each axis, m, 0.5 to 3.
    pub slow_error: f64,
    /// Time constant of the slow error, s, 180 to 600.
    pub slow_error_time_s: f64,
    /// Dropouts per hour, 0 to 4.
    pub dropouts_per_h: f64,
    /// Longest dropout, s, 10 to 120.
    pub dropout_longest_s: f64,
    /// Whether a dropout starts a new segment.
    pub split_at_dropout: bool,
    /// Whether speed (rounded to 0.1 kn) and course (rounded to 1 degree) are stored.
    pub stores_speed: bool,
}

/// How long a leg is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum LegLength {
    /// Between two marks this far apart, m, 150 to 900.
    Metres(f64),
    /// For this time on the steady heading, s, 120 to 480.
    Seconds(f64),
}

/// Double runs done one after another in one configuration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Which of [`Boat::configurations`].
    pub configuration: usize,
    /// Which of [`Boat::thrusts`], in the order run.
    pub settings: Vec<usize>,
    /// Double runs per setting and line, 1 to 5.
    pub double_runs: usize,
}

/// What is done on the day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Day {
    /// When the recorder is switched on, UTC.
    pub start: Timestamp,
    /// Time at the landing before leaving and after coming home, s, 0 to 600.
    pub moored_s: f64,
    /// Direction of the ride out, degrees true.
    pub ride_deg: f64,
    /// Length of the ride out, m, 0 to 8000; the ride home goes back along it.
    pub ride_m: f64,
    /// Straight stretches of the ride out, 1 to 6.
    pub ride_stretches: usize,
    /// Share of the highest thrust used on rides, 0.4 to 1.
    pub ride_throttle: f64,
    /// Fishing before the trial, s, 0 to 7200.
    pub fishing_before_s: f64,
    /// Fishing after the trial, s, 0 to 7200.
    pub fishing_after_s: f64,
    /// Share of the fishing time spent trolling along, 0 to 0.6.
    pub trolling_share: f64,
    /// Courses of the trial's lines, degrees true; one or two.
    pub lines_deg: Vec<f64>,
    /// Length of a leg.
    pub leg: LegLength,
    /// The trial, in the order run; a swap lies between blocks of different configuration.
    pub blocks: Vec<Block>,
    /// Length of a swap, s, 300 to 1500.
    pub swap_s: f64,
    /// Whether the swap is done ashore rather than adrift.
    pub swap_ashore: bool,
    /// Chance of a pause adrift after a leg, `[0, 1]`.
    pub pause_chance: f64,
    /// Longest pause, s, 0 to 120.
    pub pause_longest_s: f64,
    /// Chance that a leg is broken off and run again, `[0, 1]`.
    pub broken_off_chance: f64,
}
