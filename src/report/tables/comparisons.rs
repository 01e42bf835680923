//! Comparisons, and the cells they stand on.

use super::days::interval_with;
use crate::compare::{Cell, Comparison};
use crate::report::rounding::{
    UNKNOWN, apart_from_zero, fixed, shared_percent_decimals, signed, speed, speed_decimals,
    standard_error_of,
};
use crate::report::table::{Column, Row, Table};
use crate::report::words::{capital, name, pair_title, verdict};
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// The comparisons of each pair of configurations, a table a pair, in the order of the analysis.
pub(crate) fn comparison_tables(analysis: &Trial) -> Vec<Table> {
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

fn comparison_table(analysis: &Trial, pair: &[&Comparison]) -> Option<Table> {
    let first = pair.first()?;
    let unit = analysis.units.symbol();
    let by_setting = pair.iter().filter(|c| c.setting.is_some()).count();
    let shared = shared_percent_decimals(analysis.comparisons.iter());
    let rows = pair
        .iter()
        // Pooled over a single setting it would only say the same again.
        .filter(|c| c.setting.is_some() || by_setting != 1)
        .map(|c| comparison_row(analysis, c, shared))
        .collect();
    Some(Table {
        caption: format!(
            "{}: speed, change and 95\u{a0}% interval",
            capital(&pair_title(first))
        ),
        columns: vec![
            Column::text("Setting").at_most(10),
            Column::figure("Double runs", ""),
            Column::figure(&name(&first.baseline), unit).at_most(9),
            Column::figure(&name(&first.changed), unit).at_most(9),
            Column::figure("Change", unit),
            Column::figure("Change", "%"),
            Column::figure("95\u{a0}% interval", "%"),
            Column::text("Verdict"),
        ],
        rows,
    })
}

fn comparison_row(analysis: &Trial, comparison: &Comparison, shared: usize) -> Row {
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
    let own =
        |value: Option<f64>| value.map_or_else(none, |v| speed(v, speed_error(comparison), unit));
    let change = difference.value.map_or_else(none, |value| {
        let base = comparison.baseline_m_s.unwrap_or(value);
        signed(
            Speed::metres_per_second(value).in_unit(unit),
            speed_decimals(base, difference.se, unit),
        )
    });
    let decimals = apart_from_zero(&comparison.percent, shared);
    let percent = comparison
        .percent
        .value
        .map_or_else(|| UNKNOWN.to_owned(), |value| signed(value, decimals));
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
            interval_with(&comparison.percent, decimals),
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
pub(crate) fn cells_table(analysis: &Trial) -> Table {
    let unit = analysis.units;
    Table {
        caption:
            "Each configuration at each setting: speed in the mean wind and current of the setting"
                .to_owned(),
        columns: vec![
            Column::text("Configuration").at_most(16),
            Column::text("Setting").at_most(12),
            Column::figure("Double runs", ""),
            Column::figure("Speed", unit.symbol()),
            Column::figure("95\u{a0}% interval", unit.symbol()),
            Column::figure("As measured", unit.symbol()),
            Column::figure("Drift along the line", unit.symbol()),
            Column::figure("Drift’s change per hour", unit.symbol()),
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
        cell.mean_interval_m_s.map_or_else(unknown, |i| {
            format!("{} to {}", shown(i.low), shown(i.high))
        }),
        shown(cell.as_measured_m_s),
        shown(cell.half_difference_m_s.abs()),
        cell.half_difference_per_hour_m_s
            .map_or_else(unknown, with_sign),
    ])
}
