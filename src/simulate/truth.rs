//! What really happened on a simulated day, to judge what was found.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// The known truth of a simulated day. SI units, degrees true, UTC.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// The name of the day.
    pub name: String,
    /// The seed it was made from.
    pub seed: u64,
    /// Straight stretches under way of 30 s and more, in order of time, of the trial and others.
    pub legs: Vec<TrueLeg>,
    /// The double runs, in the order run.
    pub double_runs: Vec<TrueDoubleRun>,
    /// When each configuration was fitted, in order.
    pub configurations: Vec<TrueConfiguration>,
    /// The change from the first configuration to each other one, per setting.
    pub changes: Vec<TrueChange>,
    /// The wind: vector mean over the trial, gusts included.
    pub wind: TrueWind,
    /// The current: vector mean over the trial.
    pub current: TrueFlow,
    /// Drift of the idle boat in the trial's mean wind and current, noise-free, over ground.
    pub idle_drift: TrueFlow,
}

/// A straight stretch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueLeg {
    /// Turn finished: from here on the heading stays within 5 degrees (and the amplitude of the
    /// hunting) of the heading held.
    pub start: Timestamp,
    /// Approach finished: the first moment from which the speed ahead through the water stays for
    /// 10 s within 1 % of that of a boat in the same gusts, hunting alike, that was at its steady
    /// speed when the turn ended. Equal to the end where that was never reached.
    pub settled: Timestamp,
    /// Helm put over for the next turn, or throttle closed.
    pub end: Timestamp,
    /// Mean heading held from start to end, degrees true.
    pub heading_deg: f64,
    /// Course made good from settled to end, degrees true; without the motion in waves.
    pub course_deg: f64,
    /// Speed made good from settled to end, m/s: distance between the two places over time,
    /// without the motion in waves.
    pub speed_m_s: f64,
    /// Distance made good from start to end, m.
    pub length_m: f64,
    /// Mean wind from start to end.
    pub wind: TrueWind,
    /// Whether it is a run of the trial; rides, hops and trolling are not.
    pub trial: bool,
    /// Whether it was broken off, and so belongs to no double run.
    pub broken_off: bool,
    /// The trial's line, counted from 0 along the scenario's lines; `None` outside the trial.
    pub line: Option<usize>,
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Index of the power setting, slowest 0; `None` outside the trial.
    pub setting: Option<usize>,
    /// Index into the double runs.
    pub double_run: Option<usize>,
}

/// Two legs there and back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueDoubleRun {
    /// Indices into the legs: there, back.
    pub legs: [usize; 2],
    /// The trial's line.
    pub line: usize,
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Index of the power setting, slowest 0.
    pub setting: usize,
    /// Mean of the two legs' true speeds, m/s.
    pub mean_m_s: f64,
}

/// A configuration and when it was fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueConfiguration {
    /// Index into the configurations of the boat.
    pub configuration: usize,
    /// Its name.
    pub name: String,
    /// Fitted from: the start of the day, or the middle of the swap.
    pub from: Timestamp,
}

/// The true change of speed at one setting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueChange {
    /// Index of the old configuration.
    pub baseline: usize,
    /// Index of the new configuration.
    pub changed: usize,
    /// Index of the power setting, slowest 0.
    pub setting: usize,
    /// Steady reciprocal mean of the old configuration in the trial's mean wind and current,
    /// noise-free, mean over the trial's lines, m/s.
    pub baseline_m_s: f64,
    /// The same of the new configuration.
    pub changed_m_s: f64,
    /// Change of that mean, percent.
    pub percent: f64,
    /// Change of the steady speed in calm and still water, percent.
    pub calm_percent: f64,
    /// Steady speed of the old configuration in calm and still water, m/s.
    pub baseline_calm_m_s: f64,
}

/// Wind as a mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueWind {
    /// Direction it blows from, degrees true.
    pub from_deg: f64,
    /// Speed, m/s.
    pub speed_m_s: f64,
}

/// A flow or drift as a mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrueFlow {
    /// Direction it goes towards, degrees true.
    pub towards_deg: f64,
    /// Speed, m/s.
    pub speed_m_s: f64,
}
