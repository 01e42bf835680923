//! What the model is given: double runs, conditions and priors, and what follows from them alone.

use std::collections::BTreeSet;

use serde::Serialize;

use super::{CompareRules, Conditions, RunRow, balance};

/// What the fit is given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Known {
    pub(super) rows: Vec<RunRow>,
    pub(super) conditions: Conditions,
    pub(super) rules: CompareRules,
    /// Whether a log tells the wind of every run.
    #[serde(skip)]
    pub(super) logged: bool,
}

/// What makes the half differences.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Cause {
    /// In still water.
    Wind,
    Current,
}

impl Known {
    /// The numbers that occur, in order.
    pub(super) fn distinct(&self, number: fn(&RunRow) -> usize) -> Vec<usize> {
        let all: BTreeSet<usize> = self.rows.iter().map(number).collect();
        all.into_iter().collect()
    }

    pub(super) fn days(&self) -> Vec<usize> {
        self.distinct(|r| r.day)
    }

    pub(super) fn logged_wind(&self, row: &RunRow) -> Option<[f64; 2]> {
        row.wind.filter(|_| self.logged)
    }

    /// See [`balance::mean_excess`], of the logged wind; 0 without a log.
    pub(super) fn logged_excess(&self, row: &RunRow) -> f64 {
        let excess = |[along, across]: [f64; 2]| balance::mean_excess(row.speed, along, across);
        self.logged_wind(row).map_or(0.0, excess)
    }

    /// Mean of the logarithms of the speeds, about which all levels lie.
    pub(super) fn usual_log(&self) -> f64 {
        over(&self.rows, |r| r.water_speed.unwrap_or(r.speed).ln())
    }

    /// Mean size of the half differences, as shares of the speed.
    pub(super) fn mean_share(&self) -> f64 {
        over(&self.rows, |r| r.share().abs())
    }

    /// Hours from the middle of the runs of the day.
    pub(super) fn hours(&self, row: &RunRow) -> f64 {
        let own = self.rows.iter().filter(|o| o.day == row.day);
        (row.at - over(own, |o| o.at)) / 3600.0
    }
}

/// Mean of a value over rows; NaN without any.
pub(super) fn over<'a>(
    rows: impl IntoIterator<Item = &'a RunRow>,
    value: impl Fn(&RunRow) -> f64,
) -> f64 {
    let add = |(sum, count), r| (sum + value(r), count + 1.0);
    let (sum, count) = rows.into_iter().fold((0.0, 0.0), add);
    sum / count
}
