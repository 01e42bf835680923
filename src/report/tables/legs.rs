//! Legs, wide for the page and narrow for a terminal, and double runs.

use super::shared_decimals;
use crate::day::Leg;
use crate::report::clock::Clock;
use crate::report::document::{Cell, Column, Look, Row, Table};
use crate::report::rounding::{
    MOST_SPEED_DECIMALS, NO_BREAK_SPACE, axis, clock_span, degrees, in_unit,
};
use crate::report::words::{name, one_line, shortened, wind_label};
use crate::trial::Trial;

/// Reasons longer than this are cut in tables.
const LONGEST_REASON: usize = 160;

/// The columns that page and terminal share, and a cell of each for a leg.
struct LegColumns<'a> {
    trial: &'a Trial,
    clock: Clock,
    decimals: usize,
}

impl<'a> LegColumns<'a> {
    fn of(trial: &'a Trial) -> Self {
        let errors = trial
            .legs
            .iter()
            .filter(|leg| leg.included)
            .filter_map(|leg| leg.speed_se_m_s);
        Self {
            trial,
            clock: Clock::of(trial),
            decimals: shared_decimals(
                errors.map(|se| in_unit(se, trial.units)),
                MOST_SPEED_DECIMALS,
            ),
        }
    }

    fn speed(&self, m_s: Option<f64>) -> Cell {
        Cell::figure(m_s.map(|m_s| in_unit(m_s, self.trial.units)))
    }

    fn length(&self, leg: &Leg) -> Cell {
        Cell::Figure(leg.length_m / self.trial.units.long_distance().1)
    }
}

/// Every leg, for the page.
pub(crate) fn legs_table(trial: &Trial) -> Table {
    let of = LegColumns::of(trial);
    let unit = trial.units;
    let row = |leg: &Leg| {
        let steady = leg
            .steady_from
            .map(|from| clock_span(leg.end.duration_since(from).as_secs_f64()));
        let ends = [leg.low_m_s, leg.high_m_s].map(|end| end.map(|m_s| in_unit(m_s, unit)));
        Row {
            leg: Some(leg.leg),
            cells: vec![
                Cell::count(leg.leg),
                Cell::count(leg.day),
                of.clock.second(leg.start).into(),
                Cell::words(steady),
                of.length(leg),
                degrees(leg.course_deg).into(),
                of.speed(leg.speed_m_s),
                of.speed(leg.speed_se_m_s),
                Cell::range(ends[0], ends[1]),
                Cell::words(leg.wind_label.map(wind_label)),
                Cell::words(leg.configuration.as_deref().map(name)),
                Cell::words(leg.setting.as_deref().map(name)),
                run_or_reason(leg),
            ],
            look: if leg.included {
                Look::Plain
            } else {
                Look::Muted
            },
        }
    };
    Table {
        caption: "Legs: speed over the ground along the course in the steady part, its standard error (±), and the range it held for ten seconds at a time, the slowest and fastest tenth left out; wind as seen from the helm".to_owned(),
        columns: vec![
            Column::words("Leg"),
            Column::words("Day"),
            Column::times("Start"),
            Column::figures("Steady for", "m:ss", 0),
            Column::figures("Length", unit.long_distance().0, 2),
            Column::words("Course"),
            Column::figures("Speed", unit.symbol(), of.decimals),
            Column::figures("±", unit.symbol(), of.decimals + 1),
            Column::figures("Held", unit.symbol(), of.decimals),
            Column::words("Wind"),
            Column::words("Configuration"),
            Column::words("Setting"),
            Column::words("Double run"),
        ],
        rows: trial.legs.iter().map(row).collect(),
    }
    .without_idle_columns()
}

/// Every leg, in 80 columns of a terminal.
pub(crate) fn legs_table_narrow(trial: &Trial) -> Table {
    let of = LegColumns::of(trial);
    let row = |leg: &Leg| {
        Row::new(vec![
            Cell::count(leg.leg),
            if trial.days.len() > 1 {
                Cell::count(leg.day)
            } else {
                Cell::Unknown
            },
            of.clock.second(leg.start).into(),
            of.length(leg),
            degrees(leg.course_deg).into(),
            of.speed(leg.speed_m_s),
            Cell::words(leg.wind_label.map(wind_label)),
            Cell::words(leg.configuration.as_deref().map(name)),
            Cell::words(leg.setting.as_deref().map(name)),
            Cell::words(leg.double_run.map(|run| run.to_string())),
        ])
    };
    Table {
        caption: "Legs".to_owned(),
        columns: vec![
            Column::figures("Leg", "", 0),
            Column::figures("Day", "", 0),
            Column::words("Start"),
            Column::figures("Length", trial.units.long_distance().0, 2),
            Column::words("Course"),
            Column::figures("Speed", trial.units.symbol(), of.decimals),
            Column::words("Wind"),
            Column::words("Configuration"),
            Column::words("Setting"),
            Column::figures("Double run", "", 0),
        ],
        rows: trial.legs.iter().map(row).collect(),
    }
    .without_unknown_columns()
}

/// The double run a leg belongs to, and why it does not count where it does not.
fn run_or_reason(leg: &Leg) -> Cell {
    let reason = leg.reason.as_deref().map_or_else(
        || "no reason given".to_owned(),
        |reason| shortened(&one_line(reason), LONGEST_REASON),
    );
    match leg.double_run {
        Some(run) if leg.included => Cell::count(run),
        Some(run) => format!("{run}, not counted: {reason}").into(),
        None => format!("none: {reason}").into(),
    }
}

/// Every double run.
pub(crate) fn double_runs_table(trial: &Trial) -> Table {
    let clock = Clock::of(trial);
    let unit = trial.units;
    let errors = trial.double_runs.iter().filter_map(|run| run.mean_se_m_s);
    let decimals = shared_decimals(errors.map(|se| in_unit(se, unit)), MOST_SPEED_DECIMALS);
    let rows = trial.double_runs.iter().map(|run| {
        let [there, back] = run.legs;
        let s = NO_BREAK_SPACE;
        // The end of the line toward which wind and current together carried the boat.
        let toward = if run.half_difference_m_s < 0.0 {
            run.axis_deg + 180.0
        } else {
            run.axis_deg
        };
        Row::new(vec![
            Cell::count(run.double_run),
            Cell::count(run.day),
            clock.second(run.at).into(),
            format!("{there}{s}and{s}{back}").into(),
            axis(run.axis_deg).into(),
            name(&run.configuration).into(),
            name(&run.setting).into(),
            Cell::Figure(in_unit(run.mean_m_s, unit)),
            Cell::figure(run.mean_se_m_s.map(|se| in_unit(se, unit))),
            Cell::Figure(in_unit(run.half_difference_m_s.abs(), unit)),
            degrees(toward).into(),
        ])
    });
    Table {
        caption: "Double runs: the mean of the two directions, its standard error from the scatter within the two legs (±), and half of what they differ by: the drift along the line, wind and current together".to_owned(),
        columns: vec![
            Column::words("Double run"),
            Column::words("Day"),
            Column::words("Middle"),
            Column::words("Legs"),
            Column::words("Course line"),
            Column::words("Configuration"),
            Column::words("Setting"),
            Column::figures("Mean speed", unit.symbol(), decimals),
            Column::figures("±", unit.symbol(), decimals + 1),
            Column::figures("Drift along the line", unit.symbol(), decimals),
            Column::words("Toward"),
        ],
        rows: rows.collect(),
    }
    .without_idle_columns()
}
