//! The tables of the write-up, their figures rounded; the page and the terminal set them.

use super::clock::Clock;
use super::rounding::{
    UNKNOWN, axis, clock_span, degrees, error, fixed, percent_decimals, signed, speed,
    speed_decimals, standard_error_of,
};
use super::table::{Column, Row, Table};
use super::words::{name, pair_title, verdict};
use crate::analysis::{Analysis, Cell, Comparison, DoubleRun, Leg, WindLabel};
use crate::units::{Speed, SpeedUnit};

/// The comparisons of each pair of configurations, a table a pair, in the order of the analysis.
pub(crate) fn comparison_tables(analysis: &Analysis) -> Vec<Table> {
    let mut pairs: Vec<Vec<&Comparison>> = Vec::new();
    for comparison in &analysis.comparisons {
        let known = pairs.iter_mut().find(|pair| {
            pair.first().is_some_and(|first| {
                first.baseline == comparison.baseline && first.changed == comparison.changed
            })
        });
        match known {
            Some(pair) => pair.push(comparison),
            None => pairs.push(vec![comparison]),
        }
    }
    pairs
        .iter()
        .filter_map(|pair| comparison_table(analysis, pair))
        .collect()
}

fn comparison_table(analysis: &Analysis, pair: &[&Comparison]) -> Option<Table> {
    let first = pair.first()?;
    let unit = analysis.units.symbol();
    let by_setting = pair.iter().filter(|c| c.setting.is_some()).count();
    let rows = pair
        .iter()
        // Pooled over a single setting it would only say the same again.
        .filter(|c| c.setting.is_some() || by_setting != 1)
        .map(|c| comparison_row(analysis, c))
        .collect();
    Some(Table {
        caption: format!(
            "{}: speed, change and 95\u{a0}% interval",
            super::words::capital(&pair_title(first))
        ),
        columns: vec![
            Column::text("Setting").at_most(10),
            Column::figure("Double runs", ""),
            Column::figure(&name(&first.baseline), unit).at_most(7),
            Column::figure(&name(&first.changed), unit).at_most(7),
            Column::figure("Change", unit),
            Column::figure("Change", "%"),
            Column::figure("95\u{a0}% interval", "%"),
            Column::text("Verdict"),
        ],
        rows,
    })
}

fn comparison_row(analysis: &Analysis, comparison: &Comparison) -> Row {
    let unit = analysis.units;
    let [before, after] = comparison.double_runs;
    let difference = &comparison.difference_m_s;
    // Speeds differ between settings, so pooled over them there is none: not unknown, but nothing.
    let none = || {
        if comparison.setting.is_some() {
            UNKNOWN.to_owned()
        } else {
            String::new()
        }
    };
    let own = |value: Option<f64>| {
        value.map_or_else(
            none,
            |v| speed(v, speed_error(comparison), unit),
        )
    };
    let change = difference.value.map_or_else(
        none,
        |value| {
            let base = comparison.baseline_m_s.unwrap_or(value);
            signed(
                Speed::metres_per_second(value).in_unit(unit),
                speed_decimals(base, difference.se, unit),
            )
        },
    );
    let decimals = percent_decimals(&comparison.percent);
    let percent = comparison
        .percent
        .value
        .map_or_else(|| UNKNOWN.to_owned(), |value| signed(value, decimals));
    let interval = match (comparison.percent.low, comparison.percent.high) {
        (Some(low), Some(high)) if low.is_finite() && high.is_finite() => {
            format!("{} to {}", signed(low, decimals), signed(high, decimals))
        }
        _ => UNKNOWN.to_owned(),
    };
    Row {
        id: None,
        cells: vec![
            comparison
                .setting
                .as_deref()
                .map_or_else(|| "all".to_owned(), name),
            format!("{before}\u{a0}+\u{a0}{after}"),
            own(comparison.baseline_m_s),
            own(comparison.changed_m_s),
            change,
            percent,
            interval,
            verdict(comparison.verdict).to_owned(),
        ],
        muted: false,
    }
}

/// The standard error of one side of a comparison: that of the difference, shared between the two.
fn speed_error(comparison: &Comparison) -> Option<f64> {
    comparison
        .difference_m_s
        .se
        .map(|se| se / std::f64::consts::SQRT_2)
}

/// Each configuration at each setting.
pub(crate) fn cells_table(analysis: &Analysis) -> Table {
    let unit = analysis.units;
    Table {
        caption: "Each configuration at each setting".to_owned(),
        columns: vec![
            Column::text("Configuration").at_most(16),
            Column::text("Setting").at_most(12),
            Column::figure("Double runs", ""),
            Column::figure("Speed", unit.symbol()),
            Column::figure("95\u{a0}% interval", unit.symbol()),
            Column::figure("Mean of means", unit.symbol()),
            Column::figure("Drift along the line", unit.symbol()),
            Column::figure("Its change per hour", unit.symbol()),
        ],
        rows: analysis
            .cells
            .iter()
            .map(|cell| cell_row(cell, unit))
            .collect(),
    }
    .without_unknown_columns()
}

fn cell_row(cell: &Cell, unit: SpeedUnit) -> Row {
    let se = cell.mean_interval_m_s.map(standard_error_of);
    let decimals = speed_decimals(cell.mean_m_s, se, unit);
    let shown = |m_s: f64| fixed(Speed::metres_per_second(m_s).in_unit(unit), decimals);
    let with_sign = |m_s: f64| signed(Speed::metres_per_second(m_s).in_unit(unit), decimals);
    let unknown = || UNKNOWN.to_owned();
    Row::new(vec![
        name(&cell.configuration),
        name(&cell.setting),
        cell.double_runs.len().to_string(),
        shown(cell.mean_m_s),
        cell.mean_interval_m_s
            .map_or_else(unknown, |i| format!("{} to {}", shown(i.low), shown(i.high))),
        cell.mean_of_means_m_s.map_or_else(unknown, shown),
        shown(cell.half_difference_m_s.abs()),
        cell.half_difference_per_hour_m_s
            .map_or_else(unknown, with_sign),
    ])
}

/// Every double run.
pub(crate) fn double_runs_table(analysis: &Analysis) -> Table {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    Table {
        caption: "Double runs: the mean of the two directions, and the drift along the line".to_owned(),
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
    }
    .without_unknown_columns()
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
            left_out(run.included, run.reason.as_deref()),
        ],
        muted: !run.included,
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

/// Every leg, for the page.
pub(crate) fn legs_table_wide(analysis: &Analysis) -> Table {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    let (mile, mile_m) = unit.long_distance();
    let mut table = Table {
        caption: "Legs: speed over the ground along the course in the steady part, and the range it held".to_owned(),
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
    table.without_unknown_columns()
}

/// Every leg, in 80 columns of a terminal.
pub(crate) fn legs_table_narrow(analysis: &Analysis) -> Table {
    let clock = Clock::of(analysis);
    let unit = analysis.units;
    let (mile, mile_m) = unit.long_distance();
    Table {
        caption: "Legs".to_owned(),
        columns: vec![
            Column::figure("Leg", ""),
            Column::text("Start").at_most(15),
            Column::figure("Length", mile),
            Column::text("Course"),
            Column::figure("Speed", unit.symbol()),
            Column::text("Wind"),
            Column::text("Configuration").at_most(13),
            Column::text("Setting").at_most(7),
            Column::figure("Double run", ""),
        ],
        rows: analysis
            .legs
            .iter()
            .map(|leg| {
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
            .collect(),
    }
    .without_unknown_columns()
}

/// The wind off the bow in the trade's words.
pub(crate) fn wind_label(label: WindLabel) -> &'static str {
    match label {
        WindLabel::Ahead => "ahead",
        WindLabel::StarboardBow => "starboard bow",
        WindLabel::StarboardBeam => "starboard beam",
        WindLabel::StarboardQuarter => "starboard quarter",
        WindLabel::Astern => "astern",
        WindLabel::PortQuarter => "port quarter",
        WindLabel::PortBeam => "port beam",
        WindLabel::PortBow => "port bow",
    }
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

fn known(text: Option<&str>) -> String {
    text.map_or_else(|| UNKNOWN.to_owned(), name)
}

fn left_out(included: bool, reason: Option<&str>) -> String {
    match (included, reason) {
        (true, _) => String::new(),
        (false, Some(reason)) => name(reason),
        (false, None) => "no reason given".to_owned(),
    }
}
