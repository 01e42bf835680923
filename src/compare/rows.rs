//! The rows of the comparison: one for each double run of the result.

use std::collections::BTreeMap;

use super::{Conditions, RunRow};
use crate::day::{DoubleRun, Leg, Wind, WindSource};
use crate::units::seconds;
use crate::units::{Bearing, Current};

/// What the comparison needs of a trial, of one day or of several.
#[derive(Clone, Copy)]
pub(crate) struct RunsOfTrial<'a> {
    /// Names of the configurations; a row has the place in this list.
    pub(crate) configurations: &'a [String],
    /// Names of the settings, likewise.
    pub(crate) settings: &'a [String],
    /// All legs, numbered from 1 without gaps.
    pub(crate) legs: &'a [Leg],
    /// Logged wind by the number of the double run: from, and m/s.
    pub(crate) logged: &'a BTreeMap<usize, (Bearing, f64)>,
}

impl RunsOfTrial<'_> {
    /// The rows of the double runs that can be compared, each with the run's number; those of
    /// unknown names are left out.
    ///
    /// More than [`MOST_ROWS`] are made fewer: neighbours of one cell become one row with their
    /// mean, under the number of the first, so that the time does not grow with their cube.
    pub(crate) fn rows(&self, runs: &[DoubleRun]) -> Vec<(usize, RunRow)> {
        let numbered = |run: &DoubleRun| Some((run.double_run, self.row(run)?));
        let mut rows: Vec<(usize, RunRow)> = runs.iter().filter_map(numbered).collect();
        while rows.len() > MOST_ROWS {
            let before = rows.len();
            rows = in_pairs(&rows);
            if rows.len() == before {
                break;
            }
        }
        rows
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

/// A day of ten hours has room for as many double runs of five minutes; the fit takes 0.1 s.
const MOST_ROWS: usize = 120;

/// Neighbours of one cell, line and day put together, two and two.
fn in_pairs(rows: &[(usize, RunRow)]) -> Vec<(usize, RunRow)> {
    let cell = |row: &RunRow| (row.day, row.line, row.configuration, row.setting);
    let mut out = Vec::new();
    let mut rest = rows.iter().copied().peekable();
    while let Some((number, first)) = rest.next() {
        let second = rest.next_if(|(_, next)| cell(next) == cell(&first));
        out.push((
            number,
            second.map_or(first, |(_, second)| mean_row(&first, &second)),
        ));
    }
    out
}

/// The mean of two rows of one cell; what one of them lacks is unknown.
fn mean_row(one: &RunRow, other: &RunRow) -> RunRow {
    let mean = |value: fn(&RunRow) -> f64| f64::midpoint(value(one), value(other));
    let both = |value: fn(&RunRow) -> Option<f64>| Some(f64::midpoint(value(one)?, value(other)?));
    RunRow {
        speed: mean(|r| r.speed),
        half_difference: mean(|r| r.half_difference),
        se: both(|r| r.se).map(|se| se / std::f64::consts::SQRT_2),
        at: mean(|r| r.at),
        apart: mean(|r| r.apart),
        wind: one
            .wind
            .zip(other.wind)
            .map(|(a, b)| [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]),
        water_speed: both(|r| r.water_speed),
        ..*one
    }
}

/// What is known of wind and water beside the double runs. A direction that was found in the
/// legs themselves says nothing that they do not.
pub(crate) fn conditions(wind: &Wind, current: Option<Current>) -> Conditions {
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
