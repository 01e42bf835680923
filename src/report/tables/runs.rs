//! Double runs.

use crate::day::DoubleRun;
use crate::report::clock::Clock;
use crate::report::rounding::{UNKNOWN, axis, degrees, error, fixed, speed_decimals};
use crate::report::table::{Column, Row, Table};
use crate::report::words::name;
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// Every double run.
pub(crate) fn double_runs_table(analysis: &Trial) -> Table {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    let mut table = Table {
        caption: "Double runs: the mean of the two directions, and the drift along the line"
            .to_owned(),
        columns: vec![
            Column::text("Double run"),
            Column::text("Middle"),
            Column::text("Legs"),
            Column::text("Course line"),
            Column::text("Configuration"),
            Column::text("Setting"),
            Column::figure("Mean speed", unit.symbol()),
            Column::figure("±", unit.symbol()),
            Column::figure("Drift along the line", unit.symbol()),
            Column::text("Toward"),
            Column::text("Not counted because"),
        ],
        rows: analysis
            .double_runs
            .iter()
            .map(|run| double_run_row(run, &clock, unit))
            .collect(),
    };
    if analysis.days.len() > 1 {
        table.columns.insert(1, Column::text("Day"));
        for (row, run) in table.rows.iter_mut().zip(&analysis.double_runs) {
            row.cells.insert(1, run.day.to_string());
        }
    }
    table.without_unknown_columns()
}

fn double_run_row(run: &DoubleRun, clock: &Clock, unit: SpeedUnit) -> Row {
    let [there, back] = run.legs;
    let decimals = speed_decimals(run.mean_m_s, run.mean_se_m_s, unit);
    Row {
        id: Some(format!("double-run-{}", run.double_run)),
        cells: vec![
            run.double_run.to_string(),
            clock.second(run.at),
            format!("{there}\u{a0}and\u{a0}{back}"),
            axis(run.axis_deg),
            name(&run.configuration),
            name(&run.setting),
            fixed(
                Speed::metres_per_second(run.mean_m_s).in_unit(unit),
                decimals,
            ),
            run.mean_se_m_s
                .map_or_else(|| UNKNOWN.to_owned(), |se| error(se, decimals, unit)),
            fixed(
                Speed::metres_per_second(run.half_difference_m_s.abs()).in_unit(unit),
                decimals,
            ),
            toward(run),
        ],
        muted: false,
    }
}

/// The end of the line toward which wind and current together carried the boat.
fn toward(run: &DoubleRun) -> String {
    if run.half_difference_m_s < 0.0 {
        degrees(run.axis_deg + 180.0)
    } else {
        degrees(run.axis_deg)
    }
}
