//! The tables of the write-up: the comparison and what it stands on; legs and double runs; the gain.

mod gain;
mod legs;

pub(super) use self::gain::{gain_tables, watt_hours};
pub(super) use self::legs::{double_runs_table, legs_table};

use super::clock::Clock;
use super::document::{Cell, Column, Columns, Table};
use super::rounding::{
    MOST_SPEED_DECIMALS, NO_BREAK_SPACE, decimals, fixed, in_unit, shared_percent_decimals,
    standard_error_of,
};
use super::words::{capital, headline_comparisons, name, pair_title, verdict};
use crate::compare::{self, Comparison, Pair, Percent};
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

fn interval_cell(percent: &Percent) -> Cell {
    Cell::range(percent.low, percent.high)
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
    // Speeds differ between settings, so pooled over them there is none: not unknown, but nothing.
    let speed = move |c: &Comparison, m_s: Option<f64>| match c.setting {
        Some(_) => Cell::figure(m_s.map(|m_s| in_unit(m_s, unit))),
        None => Cell::Empty,
    };
    let mut t = Columns::<Comparison>::default();
    if pairs.len() > 1 {
        t.put(Column::words("Pair"), |c| pair_title(c).into());
    }
    t.put(Column::words("Setting"), |c| {
        setting_cell(c.setting.as_deref())
    });
    t.put(Column::words("Double runs"), |c| runs_cell(c.double_runs));
    let [baseline, changed] =
        [baseline, changed].map(|head| Column::figures(&head, unit.symbol(), speeds));
    t.put(baseline, move |c| speed(c, c.baseline_m_s));
    t.put(changed, move |c| speed(c, c.changed_m_s));
    t.put(Column::changes("Change", "%", percents), |c| {
        Cell::figure(c.percent.value)
    });
    t.put(Column::changes("95\u{a0}% interval", "%", percents), |c| {
        interval_cell(&c.percent)
    });
    t.put(Column::words("Verdict"), |c| verdict(c.verdict).into());
    // Pooled over a single setting it would only say the same again.
    let several = trial.settings.len() > 1;
    let rows = trial
        .comparisons
        .iter()
        .filter(|c| several || c.setting.is_some());
    Some(
        t.table("Speed in the mean wind and current, and its change", rows)
            .without_idle_columns(),
    )
}

/// Each configuration at each setting, with what it is by the plain means.
pub(super) fn cells_table(trial: &Trial) -> Table {
    let unit = trial.units;
    let errors = trial
        .cells
        .iter()
        .filter_map(|c| c.mean_interval_m_s.map(standard_error_of));
    let decimals = shared_decimals(errors.map(|se| in_unit(se, unit)), MOST_SPEED_DECIMALS);
    let own = move |m_s: f64| in_unit(m_s, unit);
    let speed = |title: &str| Column::figures(title, unit.symbol(), decimals);
    let mut t = Columns::<compare::Cell>::default();
    t.put(Column::words("Configuration"), |cell| {
        capital(&name(&cell.configuration)).into()
    });
    t.put(Column::words("Setting"), |cell| name(&cell.setting).into());
    t.put(Column::words("Double runs"), |cell| {
        Cell::count(cell.double_runs.len())
    });
    t.put(speed("Speed"), move |cell| Cell::Figure(own(cell.mean_m_s)));
    t.put(speed("95\u{a0}% interval"), move |cell| {
        let ends = cell.mean_interval_m_s;
        ends.map_or(Cell::Unknown, |ends| {
            Cell::Range(own(ends.low), own(ends.high))
        })
    });
    t.put(speed("As measured"), move |cell| {
        Cell::Figure(own(cell.as_measured_m_s))
    });
    let drift = speed("Drift along the line");
    t.put(drift, move |cell| {
        Cell::Figure(own(cell.half_difference_m_s.abs()))
    });
    let change = Column::changes("Drift’s change per hour", unit.symbol(), decimals);
    t.put(change, move |cell| {
        Cell::figure(cell.half_difference_per_hour_m_s.map(own))
    });
    t.table(
        "Each configuration at each setting, in mean wind and current and as measured",
        &trial.cells,
    )
    .without_idle_columns()
}

/// For each pair the change on each of several days, and below it that of all days; none for one day.
pub(super) fn days_tables(trial: &Trial) -> Vec<Table> {
    let clock = Clock::of(trial);
    let table = |pooled: &Comparison| {
        let shares = &pooled.across_days.as_ref()?.days;
        let all = shares.iter().map(|share| (Some(share.day), share.percent));
        let all: Vec<(Option<usize>, Percent)> = all.chain([(None, pooled.percent)]).collect();
        let errors = all
            .iter()
            .filter_map(|(_, p)| Some((p.high? - p.low?) / 4.0));
        let decimals = shared_decimals(errors, 1);
        let mut t = Columns::<(Option<usize>, Percent)>::default();
        t.put(Column::words("Day"), |(day, _)| {
            day.map_or("all".into(), Cell::count)
        });
        t.put(Column::words("Date"), |(day, _)| {
            let own = trial.days.iter().find(|own| Some(own.day) == *day);
            let date = own.and_then(|own| Some(clock.date(own.from?)));
            date.map_or(Cell::Empty, Cell::Words)
        });
        t.put(Column::changes("Change", "%", decimals), |(_, p)| {
            Cell::figure(p.value)
        });
        t.put(
            Column::changes("95\u{a0}% interval", "%", decimals),
            |(_, p)| interval_cell(p),
        );
        Some(t.table(
            &format!("{}, day by day", capital(&pair_title(pooled))),
            &all,
        ))
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
    let pairs = trial
        .pairs
        .iter()
        .filter(|pair| several || pair.setting.is_some());
    let mut t = Columns::<Pair>::default();
    t.put(Column::words("Pair"), |p| {
        format!("{} against {}", name(&p.changed), name(&p.baseline)).into()
    });
    t.put(Column::words("Setting"), |p| {
        setting_cell(p.setting.as_deref())
    });
    t.put(Column::changes("Change", "%", 1), |p| {
        Cell::Figure(p.percent)
    });
    let together = |p: &Pair| Cell::Range(p.simultaneous.low, p.simultaneous.high);
    t.put(Column::changes("All together, 95\u{a0}%", "%", 1), together);
    t.put(Column::figures("p", "", 4), |p| {
        p_value(p.simultaneous.p_value)
    });
    let table = t.table("All pairs, their intervals wide enough that all of them hold together in 95 of 100 such trials", pairs);
    (!table.rows.is_empty()).then(|| table.without_idle_columns())
}

/// Every comparison on the log scale, to be calculated again; none where nothing was compared.
pub(super) fn recalculation_table(trial: &Trial) -> Option<Table> {
    let logs = trial.comparisons.iter().filter(|c| c.log_ratio.is_some());
    let mut t = Columns::<Comparison>::default();
    t.put(Column::words("Changed"), |c| {
        capital(&name(&c.changed)).into()
    });
    t.put(Column::words("Setting"), |c| {
        setting_cell(c.setting.as_deref())
    });
    t.put(Column::words("Double runs"), |c| runs_cell(c.double_runs));
    t.put(Column::changes("ln ratio", "", 4), |c| {
        Cell::figure(c.log_ratio.map(|log| log.value))
    });
    t.put(Column::figures("Standard error", "", 4), |c| {
        Cell::figure(c.log_ratio.map(|log| log.se))
    });
    t.put(Column::figures("p", "", 4), |c| {
        c.p_value.map_or(Cell::Unknown, p_value)
    });
    t.put(Column::changes("All together, 95\u{a0}%", "%", 1), |c| {
        let together = c.simultaneous.as_ref();
        together.map_or(Cell::Unknown, |s| Cell::Range(s.low, s.high))
    });
    t.put(Column::changes("Plain means", "%", 1), |c| {
        Cell::figure(c.as_measured_percent)
    });
    let table = t.table(
        "The changes as natural logarithms of the ratio of speeds, with their standard errors",
        logs,
    );
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
