//! What every part looks up: names, levels, runs.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::GainRules;
use super::estimate::{Cell, LogEstimate};
use super::power_log::PowerLog;
use crate::compare::{CompareRules, Posterior};
use crate::day::{CourseLine, DoubleRun, Leg, SpeedPoint, Wind};
use crate::notes::Resolved;
use crate::stats::summary::mean;
use crate::units::SpeedUnit;

/// A trial whose runs are compared.
#[derive(Clone, Copy)]
pub(crate) struct Known<'a> {
    pub(crate) legs: &'a [Leg],
    pub(crate) double_runs: &'a [DoubleRun],
    pub(crate) lines: &'a [CourseLine],
    /// Speed over the ground, in order of time.
    pub(crate) speeds: &'a [SpeedPoint],
    /// The first fix used.
    pub(crate) from: Option<Timestamp>,
    pub(crate) units: SpeedUnit,
    pub(crate) wind: &'a Wind,
    /// Names of the configurations; cells have the places in these lists.
    pub(crate) configurations: &'a [String],
    /// Names of the settings.
    pub(crate) settings: &'a [String],
    /// Percent of full power of each setting, where noted.
    pub(crate) percents: &'a [Option<f64>],
    pub(crate) noted: &'a Resolved,
    pub(crate) power_log: Option<&'a PowerLog>,
    /// The zone of times without one.
    pub(crate) zone: &'a TimeZone,
    pub(crate) rules: &'a GainRules,
    pub(crate) compare: &'a CompareRules,
    /// The comparison; `None` without double runs.
    pub(crate) posterior: Option<&'a Posterior>,
}

impl Known<'_> {
    pub(super) fn configuration(&self, index: usize) -> String {
        self.configurations.get(index).cloned().unwrap_or_default()
    }

    /// What the others are compared with: the first configuration that was run.
    pub(super) fn baseline(&self) -> usize {
        let first = self
            .posterior
            .and_then(|p| p.configurations().first().copied());
        first.unwrap_or(0)
    }

    pub(super) fn setting(&self, index: usize) -> String {
        self.settings.get(index).cloned().unwrap_or_default()
    }

    /// The cells that hold double runs, in order.
    pub(super) fn cells(&self) -> Vec<Cell> {
        let mut cells: Vec<Cell> = self.runs().map(|(_, cell)| cell).collect();
        cells.sort_unstable();
        cells.dedup();
        cells
    }

    /// The cell of these names.
    pub(super) fn cell(&self, configuration: &str, setting: &str) -> Option<Cell> {
        let place = |names: &[String], name: &str| names.iter().position(|n| n == name);
        Some((
            place(self.configurations, configuration)?,
            place(self.settings, setting)?,
        ))
    }

    /// The double runs with their cells.
    pub(super) fn runs(&self) -> impl Iterator<Item = (&DoubleRun, Cell)> {
        let runs = self.double_runs.iter();
        runs.filter_map(|run| Some((run, self.cell(&run.configuration, &run.setting)?)))
    }

    pub(super) fn runs_of(&self, cell: Cell) -> impl Iterator<Item = &DoubleRun> {
        self.runs()
            .filter(move |(_, own)| *own == cell)
            .map(|(run, _)| run)
    }

    pub(super) fn leg(&self, number: usize) -> Option<&Leg> {
        self.legs.iter().find(|leg| leg.leg == number)
    }

    /// Speeds of the two legs of a double run, in order of time.
    pub(super) fn leg_speeds(&self, run: &DoubleRun) -> Option<[f64; 2]> {
        let [there, back] = run.legs.map(|n| self.leg(n).and_then(|leg| leg.speed_m_s));
        Some([there?, back?])
    }

    /// Logarithm of a cell's corrected speed.
    pub(super) fn speed(&self, cell: Cell) -> Option<LogEstimate> {
        LogEstimate::of_cells(self.posterior?, &[(1.0, cell)])
    }

    /// The same in the slower (-1) or faster (1) of the two directions.
    pub(super) fn one_way(&self, cell: Cell, side: f64) -> Option<LogEstimate> {
        let halves: Vec<f64> = self.runs_of(cell).map(|r| r.half_difference_m_s).collect();
        let speed = self.speed(cell)?;
        let share = 1.0 + side * mean(&halves)?.abs() / speed.value.exp();
        (share > 0.0).then(|| speed.moved(share.ln()))
    }
}
