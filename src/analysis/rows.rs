//! The rows of the comparison: one for each double run of the result.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::result::{DoubleRun, Leg, Wind, WindSource};
use crate::compare::{Conditions, RunRow};
use crate::units::{Bearing, Current};

/// What the comparison needs of a trial, of one day or of several.
pub(super) struct RunsOfTrial<'a> {
    /// Names of the configurations; a row has the place in this list.
    pub(super) configurations: &'a [String],
    /// Names of the settings, likewise.
    pub(super) settings: &'a [String],
    /// All legs, numbered from 1 without gaps.
    pub(super) legs: &'a [Leg],
    /// Logged wind by the number of the double run: from, and m/s.
    pub(super) logged: &'a BTreeMap<usize, (Bearing, f64)>,
}

impl RunsOfTrial<'_> {
    /// The rows of the double runs that can be compared, each with the run's number; those of
    /// unknown names are left out.
    pub(super) fn rows(&self, runs: &[DoubleRun]) -> Vec<(usize, RunRow)> {
        let numbered = |run: &DoubleRun| Some((run.double_run, self.row(run)?));
        runs.iter().filter_map(numbered).collect()
    }

    fn row(&self, run: &DoubleRun) -> Option<RunRow> {
        let place = |names: &[String], name: &String| names.iter().position(|n| n == name);
        let axis = Bearing::new(run.axis_deg)?;
        let legs = run.legs.map(|number| self.leg(number));
        // Along the axis first?
        let along = |leg: &Leg| (leg.course_deg - run.axis_deg).to_radians().cos() > 0.0;
        let middle = |leg: &Leg| {
            f64::midpoint(
                seconds(leg.steady_from.unwrap_or(leg.start)),
                seconds(leg.end),
            )
        };
        let apart = match legs {
            [Some(first), Some(second)] if along(first) != along(second) => {
                let later = middle(second) - middle(first);
                if along(first) { later } else { -later }
            }
            _ => 0.0,
        };
        let water = |leg: Option<&Leg>| leg?.water_speed_m_s;
        let water_speed = water(legs[0])
            .zip(water(legs[1]))
            .map(|(a, b)| f64::midpoint(a, b));
        let wind = self.logged.get(&run.double_run).map(|(from, speed)| {
            let off = axis.turn_to(*from).degrees().to_radians();
            [speed * off.cos(), speed * off.sin()]
        });
        Some(RunRow {
            configuration: place(self.configurations, &run.configuration)?,
            setting: place(self.settings, &run.setting)?,
            line: run.line,
            day: run.day,
            axis,
            speed: run.mean_m_s,
            half_difference: run.half_difference_m_s,
            se: run.mean_se_m_s,
            at: seconds(run.at),
            apart,
            wind,
            water_speed,
        })
    }

    fn leg(&self, number: usize) -> Option<&Leg> {
        self.legs.iter().find(|leg| leg.leg == number)
    }
}

/// Seconds since 1970 with their fraction.
fn seconds(time: Timestamp) -> f64 {
    time.as_second() as f64 + f64::from(time.subsec_nanosecond()) * 1e-9
}

/// What is known of wind and water beside the double runs. A direction that was found in the
/// legs themselves says nothing that they do not.
pub(super) fn conditions(wind: &Wind, current: Option<Current>) -> Conditions {
    let independent = matches!(
        wind.source,
        WindSource::Given | WindSource::Log | WindSource::Drift
    );
    Conditions {
        current,
        wind_speed: wind.speed_m_s,
        wind_from: wind.from_deg.filter(|_| independent).and_then(Bearing::new),
        wind_se_deg: wind.from_se_deg,
    }
}
