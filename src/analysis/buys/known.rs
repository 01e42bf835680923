//! What every part looks up: names, levels, runs.

use jiff::tz::TimeZone;

use super::log::{Cell, Log};
use crate::analysis::legs::name;
use crate::analysis::result::{Analysis, DoubleRun, Leg};
use crate::analysis::settings::Settings;
use crate::compare::Posterior;
use crate::notes::Resolved;
use crate::segmenter::Assigned;
use crate::stats::summary::mean;

/// The day so far.
pub(super) struct Known<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) assigned: &'a Assigned,
    pub(super) noted: &'a Resolved,
    pub(super) asked: &'a Settings,
    pub(super) zone: &'a TimeZone,
    /// The comparison, whose cells have the numbers of `assigned`; `None` without double runs.
    pub(super) posterior: Option<&'a Posterior>,
}

impl Known<'_> {
    pub(super) fn configuration(&self, index: usize) -> String {
        name(&self.assigned.configurations, index)
    }

    /// What the others are compared with: the first configuration that was run.
    pub(super) fn baseline(&self) -> usize {
        let first = self
            .posterior
            .and_then(|p| p.configurations().first().copied());
        first.unwrap_or(0)
    }

    pub(super) fn setting(&self, index: usize) -> String {
        name(&self.assigned.settings, index)
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
            place(&self.assigned.configurations, configuration)?,
            place(&self.assigned.settings, setting)?,
        ))
    }

    /// The double runs with their cells.
    pub(super) fn runs(&self) -> impl Iterator<Item = (&DoubleRun, Cell)> {
        let runs = self.analysis.double_runs.iter();
        runs.filter_map(|run| Some((run, self.cell(&run.configuration, &run.setting)?)))
    }

    pub(super) fn runs_of(&self, cell: Cell) -> impl Iterator<Item = &DoubleRun> {
        self.runs()
            .filter(move |(_, own)| *own == cell)
            .map(|(run, _)| run)
    }

    pub(super) fn leg(&self, number: usize) -> Option<&Leg> {
        self.analysis.legs.iter().find(|leg| leg.leg == number)
    }

    /// Speeds of the two legs of a double run, in order of time.
    pub(super) fn leg_speeds(&self, run: &DoubleRun) -> Option<[f64; 2]> {
        let [there, back] = run.legs.map(|n| self.leg(n).and_then(|leg| leg.speed_m_s));
        Some([there?, back?])
    }

    /// Logarithm of a cell's corrected speed.
    pub(super) fn speed(&self, cell: Cell) -> Option<Log> {
        Log::of_cells(self.posterior?, &[(1.0, cell)])
    }

    /// The same in the slower (-1) or faster (1) of the day's two directions.
    pub(super) fn one_way(&self, cell: Cell, side: f64) -> Option<Log> {
        let halves: Vec<f64> = self.runs_of(cell).map(|r| r.half_difference_m_s).collect();
        let speed = self.speed(cell)?;
        let share = 1.0 + side * mean(&halves)?.abs() / speed.value.exp();
        (share > 0.0).then(|| speed.moved(share.ln()))
    }
}
