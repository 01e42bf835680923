//! Legs, wide for the page and narrow for a terminal.

use super::{known, left_out, wind_label};
use crate::day::Leg;
use crate::report::clock::Clock;
use crate::report::rounding::{UNKNOWN, clock_span, degrees, error, fixed, speed_decimals};
use crate::report::table::{Column, Row, Table};
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// Every leg, for the page.
pub(crate) fn legs_table_wide(analysis: &Trial) -> Table {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    let (mile, mile_m) = unit.long_distance();
    let mut table = Table {
        caption:
            "Legs: speed over the ground along the course in the steady part, and the range it held"
                .to_owned(),
        columns: vec![
            Column::text("Leg"),
            Column::text("Start"),
            Column::figure("Steady for", "m:ss"),
            Column::figure("Length", mile),
            Column::text("Course"),
            Column::figure("Speed", unit.symbol()),
            Column::figure("±", unit.symbol()),
            Column::figure("Held", unit.symbol()),
            Column::text("Wind"),
            Column::text("Configuration"),
            Column::text("Setting"),
            Column::text("Double run"),
        ],
        rows: Vec::new(),
    };
    for leg in &analysis.legs {
        let decimals = leg_decimals(leg, unit);
        let shown = |m_s: f64| fixed(Speed::metres_per_second(m_s).in_unit(unit), decimals);
        let held = match (leg.low_m_s, leg.high_m_s) {
            (Some(low), Some(high)) if low.is_finite() && high.is_finite() => {
                format!("{} to {}", shown(low), shown(high))
            }
            _ => UNKNOWN.to_owned(),
        };
        table.rows.push(Row {
            id: Some(format!("leg-{}", leg.leg)),
            cells: vec![
                leg.leg.to_string(),
                clock.second(leg.start),
                steady_span(leg),
                fixed(leg.length_m / mile_m, 2),
                degrees(leg.course_deg),
                leg.speed_m_s.map_or_else(|| UNKNOWN.to_owned(), shown),
                leg.speed_se_m_s
                    .map_or_else(|| UNKNOWN.to_owned(), |se| error(se, decimals, unit)),
                held,
                leg.wind_label
                    .map_or_else(|| UNKNOWN.to_owned(), |label| wind_label(label).to_owned()),
                known(leg.configuration.as_deref()),
                known(leg.setting.as_deref()),
                run_or_reason(leg),
            ],
            muted: !leg.included,
        });
    }
    if analysis.days.len() > 1 {
        table.columns.insert(1, Column::text("Day"));
        for (row, leg) in table.rows.iter_mut().zip(&analysis.legs) {
            row.cells.insert(1, leg.day.to_string());
        }
    }
    table.without_unknown_columns()
}

/// Every leg, in 80 columns of a terminal.
pub(crate) fn legs_table_narrow(analysis: &Trial) -> Table {
    Table {
        caption: "Legs".to_owned(),
        columns: narrow_columns(analysis.units),
        rows: narrow_rows(analysis).collect(),
    }
    .without_unknown_columns()
}

/// The same for several days, which are in one unit, the day first.
pub(crate) fn legs_table_of_days(days: &[Trial]) -> Table {
    let unit = days.first().map(|day| day.units).unwrap_or_default();
    let mut columns = vec![Column::figure("Day", "")];
    columns.extend(narrow_columns(unit));
    let rows = (1_usize..).zip(days).flat_map(|(day, analysis)| {
        narrow_rows(analysis).map(move |mut row| {
            row.cells.insert(0, day.to_string());
            row
        })
    });
    Table {
        caption: "Legs".to_owned(),
        columns,
        rows: rows.collect(),
    }
    .without_unknown_columns()
}

fn narrow_columns(unit: SpeedUnit) -> Vec<Column> {
    let (mile, _) = unit.long_distance();
    vec![
        Column::figure("Leg", ""),
        Column::text("Start").at_most(15),
        Column::figure("Length", mile),
        Column::text("Course"),
        Column::figure("Speed", unit.symbol()),
        Column::text("Wind"),
        Column::text("Configuration").at_most(13),
        Column::text("Setting").at_most(7),
        Column::figure("Double run", ""),
    ]
}

fn narrow_rows(analysis: &Trial) -> impl Iterator<Item = Row> {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    let (_, mile_m) = unit.long_distance();
    analysis.legs.iter().map(move |leg| {
        let decimals = leg_decimals(leg, unit);
        Row::new(vec![
            leg.leg.to_string(),
            clock.second(leg.start),
            fixed(leg.length_m / mile_m, 2),
            degrees(leg.course_deg),
            leg.speed_m_s.map_or_else(
                || UNKNOWN.to_owned(),
                |m_s| fixed(Speed::metres_per_second(m_s).in_unit(unit), decimals),
            ),
            leg.wind_label
                .map_or_else(|| UNKNOWN.to_owned(), |label| wind_label(label).to_owned()),
            known(leg.configuration.as_deref()),
            known(leg.setting.as_deref()),
            leg.double_run
                .map_or_else(|| UNKNOWN.to_owned(), |run| run.to_string()),
        ])
    })
}

fn leg_decimals(leg: &Leg, unit: SpeedUnit) -> usize {
    speed_decimals(leg.speed_m_s.unwrap_or(0.0), leg.speed_se_m_s, unit)
}

fn steady_span(leg: &Leg) -> String {
    leg.steady_from.map_or_else(
        || UNKNOWN.to_owned(),
        |from| clock_span(leg.end.duration_since(from).as_secs_f64()),
    )
}

/// The double run a leg belongs to, and why it does not count where it does not.
fn run_or_reason(leg: &Leg) -> String {
    let reason = left_out(leg.included, leg.reason.as_deref());
    match leg.double_run {
        Some(run) if leg.included => run.to_string(),
        Some(run) => format!("{run}, not counted: {reason}"),
        None if reason.is_empty() => UNKNOWN.to_owned(),
        None => format!("none: {reason}"),
    }
}
