//! What every part looks up: names, levels, runs.

use jiff::tz::TimeZone;

use crate::analysis::legs::name;
use crate::analysis::outcome::Counted;
use crate::analysis::result::{Analysis, DoubleRun, Leg};
use crate::analysis::settings::Settings;
use crate::compare::Posterior;
use crate::notes::Resolved;
use crate::stats::interval::Estimate;
use crate::trial::buys::draw::cell_log;
use crate::trial::compare::{RunSpeed, cells, of_runs};

/// The day so far.
pub(super) struct Known<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) counted: &'a Counted<'a>,
    pub(super) noted: &'a Resolved,
    pub(super) asked: &'a Settings,
    pub(super) zone: &'a TimeZone,
    /// The comparison, whose cells have the numbers of `counted`; `None` without double runs.
    pub(super) posterior: Option<&'a Posterior>,
}

impl Known<'_> {
    pub(super) fn level(&self) -> f64 {
        self.asked.rules.comparison.level
    }

    pub(super) fn configuration(&self, index: usize) -> String {
        name(&self.counted.assigned.configurations, index)
    }

    pub(super) fn setting(&self, index: usize) -> String {
        name(&self.counted.assigned.settings, index)
    }

    pub(super) fn cells(&self) -> Vec<(usize, usize)> {
        cells(of_runs(&self.counted.speeds))
    }

    /// The cell of these names.
    pub(super) fn cell(&self, configuration: &str, setting: &str) -> Option<(usize, usize)> {
        let place = |names: &[String], name: &str| names.iter().position(|n| n == name);
        let assigned = self.counted.assigned;
        Some((
            place(&assigned.configurations, configuration)?,
            place(&assigned.settings, setting)?,
        ))
    }

    /// The counted double runs with what the comparison sees of them.
    pub(super) fn runs(&self) -> impl Iterator<Item = (&DoubleRun, &RunSpeed)> {
        self.counted
            .runs
            .iter()
            .zip(&self.counted.speeds)
            .filter_map(|(index, speed)| Some((self.analysis.double_runs.get(*index)?, speed)))
    }

    pub(super) fn leg(&self, number: usize) -> Option<&Leg> {
        self.analysis.legs.get(number.checked_sub(1)?)
    }

    /// Speeds of the two legs of a double run, in order of time.
    pub(super) fn leg_speeds(&self, run: &DoubleRun) -> Option<[f64; 2]> {
        let [there, back] = run.legs.map(|n| self.leg(n).and_then(|leg| leg.speed_m_s));
        Some([there?, back?])
    }

    /// Logarithm of a cell's speed, with its error where there is one.
    pub(super) fn speed_log(&self, cell: (usize, usize)) -> Option<Estimate> {
        cell_log(&self.counted.speeds, cell, self.level())
    }

    /// Mean half difference of a cell as a size, m/s.
    pub(super) fn half_difference(&self, cell: (usize, usize)) -> Option<f64> {
        let (configuration, setting) = (self.configuration(cell.0), self.setting(cell.1));
        let of =
            |c: &&crate::analysis::Cell| c.configuration == configuration && c.setting == setting;
        self.analysis
            .cells
            .iter()
            .find(of)
            .map(|c| c.half_difference_m_s.abs())
    }
}
