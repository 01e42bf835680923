//! The tables of the write-up: the comparison and what it stands on; legs and double runs; the gain.

mod gain;
mod legs;

pub(super) use self::gain::{gain_tables, watt_hours};
pub(super) use self::legs::{double_runs_table, legs_table, legs_table_narrow};

use super::clock::Clock;
use super::document::{Cell, Column, Row, Table};
use super::rounding::{
    MOST_SPEED_DECIMALS, NO_BREAK_SPACE, decimals, fixed, in_unit, shared_percent_decimals,
    standard_error_of,
};
use super::words::{capital, headline_comparisons, name, pair_title, verdict};
use crate::compare::{Comparison, Percent, Verdict};
use crate::trial::Trial;

/// The decimals of a column whose figures have these standard errors: those that the surest deserves, but
/// one more than the least sure deserves at the most (GUM, JCGM 100:2008, 7.2.6; from memory).
fn shared_decimals(errors: impl Iterator<Item = f64> + Clone, most: usize) -> usize {
    let own = |error: f64| decimals(error, most);
    let least = errors.clone().map(own).min().unwrap_or(most);
    errors.map(own).max().unwrap_or(most).min(least + 1)
}

/// A setting, or all of them.
fn setting_cell(setting: Option<&str>) -> Cell {
    setting.map_or_else(|| "all".to_owned(), name).into()
}

fn runs_cell([before, after]: [usize; 2]) -> Cell {
    format!("{before}{NO_BREAK_SPACE}+{NO_BREAK_SPACE}{after}").into()
}

fn percent_cells(percent: &Percent) -> [Cell; 2] {
    [
        Cell::figure(percent.value),
        Cell::range(percent.low, percent.high),
    ]
}

/// The comparison at each setting and pooled; of three configurations or more, of each pair. None where
/// nothing was compared.
pub(super) fn comparison_table(trial: &Trial) -> Option<Table> {
    let unit = trial.units;
    let pairs = headline_comparisons(trial);
    let errors = trial
        .comparisons
        .iter()
        .filter_map(|c| Some(in_unit(c.difference_m_s.se?, unit)));
    let speeds = shared_decimals(errors, MOST_SPEED_DECIMALS);
    let percents = shared_percent_decimals(trial.comparisons.iter());
    let [baseline, changed] = match pairs.as_slice() {
        [] => return None,
        [only] => [&only.baseline, &only.changed].map(|raw| capital(&name(raw))),
        _ => ["Baseline".to_owned(), "Changed".to_owned()],
    };
    let row = |c: &Comparison| {
        // Speeds differ between settings, so pooled over them there is none: not unknown, but nothing.
        let speed = |m_s: Option<f64>| match c.setting {
            Some(_) => Cell::figure(m_s.map(|m_s| in_unit(m_s, unit))),
            None => Cell::Empty,
        };
        let [change, interval] = percent_cells(&c.percent);
        Row::new(vec![
            pair_title(c).into(),
            setting_cell(c.setting.as_deref()),
            runs_cell(c.double_runs),
            speed(c.baseline_m_s),
            speed(c.changed_m_s),
            change,
            interval,
            verdict(c.verdict).into(),
        ])
    };
    // Pooled over a single setting it would only say the same again.
    let several = trial.settings.len() > 1;
    let rows = trial
        .comparisons
        .iter()
        .filter(|c| several == c.setting.is_none() || c.setting.is_some());
    let mut table = Table {
        caption: "Speed in the mean wind and current of each setting, and the change with its 95\u{a0}% interval".to_owned(),
        columns: vec![
            Column::words("Pair"),
            Column::words("Setting"),
            Column::words("Double runs"),
            Column::figures(&baseline, unit.symbol(), speeds),
            Column::figures(&changed, unit.symbol(), speeds),
            Column::changes("Change", "%", percents),
            Column::changes("95\u{a0}% interval", "%", percents),
            Column::words("Verdict"),
        ],
        rows: rows.map(row).collect(),
    };
    if pairs.len() == 1 {
        table = table.without_first_column();
    }
    Some(table.without_idle_columns())
}

/// Each configuration at each setting, with what it is by the plain means.
pub(super) fn cells_table(trial: &Trial) -> Table {
    let unit = trial.units;
    let errors = trial
        .cells
        .iter()
        .filter_map(|c| c.mean_interval_m_s.map(standard_error_of));
    let decimals = shared_decimals(errors.map(|se| in_unit(se, unit)), MOST_SPEED_DECIMALS);
    let own = |m_s: f64| in_unit(m_s, unit);
    let rows = trial.cells.iter().map(|cell| {
        let interval = cell.mean_interval_m_s;
        Row::new(vec![
            capital(&name(&cell.configuration)).into(),
            name(&cell.setting).into(),
            Cell::count(cell.double_runs.len()),
            Cell::Figure(own(cell.mean_m_s)),
            Cell::range(interval.map(|i| own(i.low)), interval.map(|i| own(i.high))),
            Cell::Figure(own(cell.as_measured_m_s)),
            Cell::Figure(own(cell.half_difference_m_s.abs())),
            Cell::figure(cell.half_difference_per_hour_m_s.map(own)),
        ])
    });
    let speed = |title: &str| Column::figures(title, unit.symbol(), decimals);
    Table {
        caption: "Each configuration at each setting: speed in the mean wind and current of the setting, and as measured".to_owned(),
        columns: vec![
            Column::words("Configuration"),
            Column::words("Setting"),
            Column::words("Double runs"),
            speed("Speed"),
            speed("95\u{a0}% interval"),
            speed("As measured"),
            speed("Drift along the line"),
            Column::changes("Drift’s change per hour", unit.symbol(), decimals),
        ],
        rows: rows.collect(),
    }
    .without_idle_columns()
}

/// For each pair the change on each of several days, and below it that of all days; none for one day.
pub(super) fn days_tables(trial: &Trial) -> Vec<Table> {
    let clock = Clock::of(trial);
    let table = |pooled: &Comparison| {
        let shares = &pooled.across_days.as_ref()?.days;
        let changes = shares
            .iter()
            .map(|share| &share.percent)
            .chain([&pooled.percent]);
        let errors = changes.filter_map(|p| Some((p.high? - p.low?) / 4.0));
        let decimals = shared_decimals(errors, 1);
        let row = |day: Cell, date: Cell, percent: &Percent| {
            let [change, interval] = percent_cells(percent);
            Row::new(vec![day, date, change, interval])
        };
        let mut rows: Vec<Row> = (shares.iter())
            .map(|share| {
                let own = trial.days.iter().find(|day| day.day == share.day);
                let date = own.and_then(|day| day.from).map(|from| clock.date(from));
                row(Cell::count(share.day), Cell::words(date), &share.percent)
            })
            .collect();
        rows.push(row("all".into(), Cell::Empty, &pooled.percent));
        Some(Table {
            caption: format!("{}, day by day", capital(&pair_title(pooled))),
            columns: vec![
                Column::words("Day"),
                Column::words("Date"),
                Column::changes("Change", "%", decimals),
                Column::changes("95\u{a0}% interval", "%", decimals),
            ],
            rows,
        })
    };
    headline_comparisons(trial)
        .into_iter()
        .filter_map(table)
        .collect()
}

/// All pairs of three configurations or more; none for fewer.
pub(super) fn pairs_table(trial: &Trial) -> Option<Table> {
    // Over a single setting the pooled rows say the same again.
    let several = trial.settings.len() > 1;
    let rows = trial
        .pairs
        .iter()
        .filter(|pair| several || pair.setting.is_some())
        .map(|pair| {
            Row::new(vec![
                format!("{} against {}", name(&pair.changed), name(&pair.baseline)).into(),
                setting_cell(pair.setting.as_deref()),
                Cell::Figure(pair.percent),
                Cell::Range(pair.simultaneous.low, pair.simultaneous.high),
                p_value(pair.simultaneous.p_value),
            ])
        });
    let table = Table {
        caption: "All pairs, their intervals wide enough that all of them hold together in 95 of 100 such trials".to_owned(),
        columns: vec![
            Column::words("Pair"),
            Column::words("Setting"),
            Column::changes("Change", "%", 1),
            Column::changes("All together, 95\u{a0}%", "%", 1),
            Column::figures("p", "", 4),
        ],
        rows: rows.collect(),
    };
    (!table.rows.is_empty()).then(|| table.without_idle_columns())
}

/// Every comparison on the log scale, to be calculated again; none where nothing was compared.
pub(super) fn recalculation_table(trial: &Trial) -> Option<Table> {
    let rows = trial.comparisons.iter().filter_map(|c| {
        let log = c.log_ratio?;
        let together = c.simultaneous.as_ref();
        // Of a change that is shown nobody asks how large it is at the most.
        let beyond = c
            .no_change_beyond_percent
            .filter(|_| c.verdict == Verdict::NotShown);
        Some(Row::new(vec![
            capital(&name(&c.changed)).into(),
            setting_cell(c.setting.as_deref()),
            runs_cell(c.double_runs),
            Cell::Figure(log.value),
            Cell::Figure(log.se),
            c.p_value.map_or(Cell::Unknown, p_value),
            Cell::range(together.map(|s| s.low), together.map(|s| s.high)),
            Cell::figure(beyond),
            Cell::figure(c.as_measured_percent),
        ]))
    });
    let table = Table {
        caption:
            "The changes as natural logarithms of the ratio of speeds, with their standard errors"
                .to_owned(),
        columns: vec![
            Column::words("Changed"),
            Column::words("Setting"),
            Column::words("Double runs"),
            Column::changes("ln ratio", "", 4),
            Column::figures("Standard error", "", 4),
            Column::figures("p", "", 4),
            Column::changes("All together, 95\u{a0}%", "%", 1),
            Column::figures("No change beyond", "%", 1),
            Column::changes("Plain means", "%", 1),
        ],
        rows: rows.collect(),
    };
    (!table.rows.is_empty()).then(|| table.without_idle_columns())
}

/// Smaller p values are given as being smaller.
const LEAST_P: f64 = 0.0001;

fn p_value(p: f64) -> Cell {
    if p < LEAST_P {
        format!("<{}", fixed(LEAST_P, 4)).into()
    } else {
        Cell::Figure(p)
    }
}
