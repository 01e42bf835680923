//! Legs, wide for the page and narrow for a terminal, and double runs.

use super::shared_decimals;
use crate::day::{DoubleRun, Leg};
use crate::report::clock::Clock;
use crate::report::document::{Cell, Column, Columns, Look, Table};
use crate::report::rounding::{
    MOST_SPEED_DECIMALS, NO_BREAK_SPACE, axis, clock_span, degrees, in_unit,
};
use crate::report::words::{name, one_line, shortened, wind_label};
use crate::trial::Trial;

/// Reasons longer than this are cut in tables.
const LONGEST_REASON: usize = 160;

/// Every leg: for the page, or in the 80 columns of a terminal.
pub(crate) fn legs_table(trial: &Trial, page: bool) -> Table {
    let clock = &Clock::of(trial);
    let unit = trial.units;
    let u = unit.symbol();
    let (mile, mile_m) = unit.long_distance();
    let counted = trial.legs.iter().filter(|leg| leg.included);
    let errors = counted.filter_map(|leg| Some(in_unit(leg.speed_se_m_s?, unit)));
    let decimals = shared_decimals(errors, MOST_SPEED_DECIMALS);
    let own = move |m_s: Option<f64>| m_s.map(|m_s| in_unit(m_s, unit));
    let mut t = Columns::<Leg>::default();
    t.put(Column::words("Leg"), |leg| Cell::count(leg.leg));
    if trial.days.len() > 1 {
        t.put(Column::words("Day"), |leg| Cell::count(leg.day));
    }
    t.put(Column::times("Start"), |leg| clock.second(leg.start).into());
    if page {
        t.put(Column::figures("Steady for", "m:ss", 0), |leg| {
            let span = |from| clock_span(leg.end.duration_since(from).as_secs_f64());
            Cell::words(leg.steady_from.map(span))
        });
    }
    t.put(Column::figures("Length", mile, 2), move |leg| {
        Cell::Figure(leg.length_m / mile_m)
    });
    t.put(Column::words("Course"), |leg| {
        degrees(leg.course_deg).into()
    });
    t.put(Column::figures("Speed", u, decimals), move |leg| {
        Cell::figure(own(leg.speed_m_s))
    });
    if page {
        let error = Column::figures("±", u, decimals + 1);
        t.put(error, move |leg| Cell::figure(own(leg.speed_se_m_s)));
        let held = Column::figures("Held", u, decimals);
        t.put(held, move |leg| {
            Cell::range(own(leg.low_m_s), own(leg.high_m_s))
        });
    }
    t.put(Column::words("Wind"), |leg| {
        Cell::words(leg.wind_label.map(wind_label))
    });
    let configuration = |leg: &Leg| Cell::words(leg.configuration.as_deref().map(name));
    t.put(Column::words("Configuration"), configuration);
    t.put(Column::words("Setting"), |leg| {
        Cell::words(leg.setting.as_deref().map(name))
    });
    t.put(Column::words("Double run"), move |leg| run_cell(leg, page));
    let mut table = t.table(LEGS, &trial.legs).without_unknown_columns();
    for (row, leg) in table.rows.iter_mut().zip(&trial.legs) {
        row.leg = Some(leg.leg);
        row.look = if leg.included {
            Look::Plain
        } else {
            Look::Muted
        };
    }
    table
}

const LEGS: &str = "Legs: speed over the ground along the course in the steady part, its standard error (±), and the range it held for ten seconds at a time, the slowest and fastest tenth left out; wind as seen from the helm";

/// The double run a leg belongs to and, on a page, why it does not count where it does not.
fn run_cell(leg: &Leg, page: bool) -> Cell {
    let why = leg.reason.as_deref().filter(|_| page && !leg.included);
    let why = why.map(|reason| shortened(&one_line(reason), LONGEST_REASON));
    match (leg.double_run, why) {
        (Some(run), None) => Cell::count(run),
        (Some(run), Some(why)) => format!("{run}, not counted: {why}").into(),
        (None, Some(why)) => format!("none: {why}").into(),
        (None, None) => Cell::Unknown,
    }
}

/// Every double run.
pub(crate) fn double_runs_table(trial: &Trial) -> Table {
    let clock = &Clock::of(trial);
    let s = NO_BREAK_SPACE;
    let unit = trial.units;
    let u = unit.symbol();
    let errors = trial.double_runs.iter().filter_map(|run| run.mean_se_m_s);
    let decimals = shared_decimals(errors.map(|se| in_unit(se, unit)), MOST_SPEED_DECIMALS);
    let own = move |m_s: Option<f64>| Cell::figure(m_s.map(|m_s| in_unit(m_s, unit)));
    let mut t = Columns::<DoubleRun>::default();
    t.put(Column::words("Double run"), |run| {
        Cell::count(run.double_run)
    });
    t.put(Column::words("Day"), |run| Cell::count(run.day));
    t.put(Column::words("Middle"), |run| clock.second(run.at).into());
    t.put(Column::words("Legs"), |run| {
        let [there, back] = run.legs;
        format!("{there}{s}and{s}{back}").into()
    });
    t.put(Column::words("Course line"), |run| {
        axis(run.axis_deg).into()
    });
    t.put(Column::words("Configuration"), |run| {
        name(&run.configuration).into()
    });
    t.put(Column::words("Setting"), |run| name(&run.setting).into());
    t.put(Column::figures("Mean speed", u, decimals), move |run| {
        own(Some(run.mean_m_s))
    });
    t.put(Column::figures("±", u, decimals + 1), move |run| {
        own(run.mean_se_m_s)
    });
    let drift = Column::figures("Drift along the line", u, decimals);
    t.put(drift, move |run| own(Some(run.half_difference_m_s.abs())));
    // The end of the line toward which wind and current together carried the boat.
    t.put(Column::words("Toward"), |run| {
        let back = if run.half_difference_m_s < 0.0 {
            180.0
        } else {
            0.0
        };
        degrees(run.axis_deg + back).into()
    });
    t.table(DOUBLE_RUNS, &trial.double_runs)
        .without_idle_columns()
}

const DOUBLE_RUNS: &str = "Double runs: the mean of the two directions, its standard error from the scatter within the two legs (±), and half of what they differ by: the drift along the line, wind and current together";
