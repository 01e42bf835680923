//! Tables of what the gain buys.

use super::{setting_cell, shared_decimals};
use crate::compare::Percent;
use crate::gain::{HomeAnswer, Ranged, WhyVerdict};
use crate::report::document::{Cell, Column, Row, Table};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, in_unit, standard_error_of};
use crate::report::words::{capital, farther_percent, name};
use crate::trial::Trial;
use crate::units::SpeedUnit;

/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;

/// All tables that hold anything, in the order in which questions come.
pub(crate) fn gain_tables(trial: &Trial) -> Vec<Table> {
    let compared = (!trial.comparisons.is_empty()).then(|| changes(trial));
    let tables = [
        compared,
        Some(power(trial)),
        Some(reach(trial)),
        Some(home(trial)),
        Some(calm(trial)),
        Some(slip(trial)),
    ];
    let tables = tables
        .into_iter()
        .flatten()
        .filter(|table| !table.rows.is_empty());
    tables.map(Table::without_idle_columns).collect()
}

/// Energy over distance in W h for each long distance of the unit.
pub(crate) fn watt_hours(joules_per_metre: f64, unit: SpeedUnit) -> f64 {
    joules_per_metre * unit.long_distance().1 / JOULES_PER_WATT_HOUR
}

fn table(caption: &str, further: Vec<Column>, rows: impl Iterator<Item = Row>) -> Table {
    let mut columns = vec![Column::words("Configuration"), Column::words("Setting")];
    columns.extend(further);
    Table {
        caption: caption.to_owned(),
        columns,
        rows: rows.collect(),
    }
}

fn row(configuration: &str, setting: &str, further: impl IntoIterator<Item = Cell>) -> Row {
    let mut cells = vec![capital(&name(configuration)).into(), name(setting).into()];
    cells.extend(further);
    Row::new(cells)
}

fn estimate(ranged: Ranged) -> Cell {
    match (ranged.value, ranged.interval()) {
        (Some(value), Some(interval)) => Cell::Estimate(value, [interval.low, interval.high]),
        (value, _) => Cell::figure(value),
    }
}

fn percent(percent: &Percent) -> Cell {
    estimate(Ranged {
        value: percent.value,
        low: percent.low,
        high: percent.high,
    })
}

/// The decimals of a column of estimates.
fn decimals_of(all: impl Iterator<Item = Ranged> + Clone, most: usize) -> usize {
    shared_decimals(
        all.filter_map(|ranged| Some(standard_error_of(ranged.interval()?))),
        most,
    )
}

fn changes(trial: &Trial) -> Table {
    let power = &trial.gain.power;
    let rows = power.comparisons.iter().map(|c| {
        let same = |changed: &str, baseline: &str| changed == c.changed && baseline == c.baseline;
        let why = power
            .why
            .iter()
            .find(|w| same(&w.changed, &w.baseline) && w.setting == c.setting);
        let equal = power
            .equal_speed
            .iter()
            .find(|e| same(&e.changed, &e.baseline) && c.setting.is_none());
        Row::new(vec![
            format!(
                "{} against {}",
                capital(&name(&c.changed)),
                name(&c.baseline)
            )
            .into(),
            setting_cell(c.setting.as_deref()),
            percent(&c.power_percent),
            percent(&farther_percent(&c.energy_percent)),
            equal.map_or(Cell::Empty, |e| percent(&e.percent)),
            equal.map_or(Cell::Empty, |e| percent(&farther_percent(&e.percent))),
            Cell::words(why.map(|w| verdict(w.verdict))),
        ])
    });
    Table {
        caption: "Change of draw and of distance on a charge at equal setting and at equal speed, with 95\u{a0}% intervals".to_owned(),
        columns: vec![
            Column::words("Pair"),
            Column::words("Setting"),
            Column::changes("Draw, equal setting", "%", 0),
            Column::changes("Distance, equal setting", "%", 0),
            Column::changes("Draw, equal speed", "%", 0),
            Column::changes("Distance, equal speed", "%", 0),
            Column::words("Verdict"),
        ],
        rows: rows.collect(),
    }
}

/// Verdicts in words.
fn verdict(verdict: WhyVerdict) -> &'static str {
    match verdict {
        WhyVerdict::MoreEfficient => "more efficient",
        WhyVerdict::WorksHarder => "works harder",
        WhyVerdict::Both => "more efficient, works harder",
        WhyVerdict::LessEfficient => "less efficient",
        WhyVerdict::NotShown => "not shown",
        WhyVerdict::TooFew => "too few readings",
    }
}

fn power(trial: &Trial) -> Table {
    let unit = trial.units;
    let per = format!("Wh/{}", unit.long_distance().0);
    let rows = trial.gain.power.cells.iter().map(|c| {
        let over = c
            .over_limit
            .map(|over| if over { "above" } else { "below" });
        row(
            &c.configuration,
            &c.setting,
            [
                Cell::Figure(in_unit(c.speed_m_s, unit)),
                estimate(c.watts),
                Cell::figure(c.amps),
                estimate(c.energy_j_per_m.map(|j| watt_hours(j, unit))),
                Cell::words(over),
            ],
        )
    });
    table(
        "What each configuration draws at each setting, with 95\u{a0}% intervals",
        vec![
            Column::figures("Speed", unit.symbol(), 2),
            Column::figures("Draw", "W", 0),
            Column::figures("Current", "A", 1),
            Column::figures("Energy", &per, 0),
            Column::words("Stated limit"),
        ],
        rows,
    )
}

/// Seconds as hours and minutes, which are the least that a charge is known to: `8:23 (8:12 to 8:36)`.
fn hours(ranged: Ranged) -> Cell {
    let s = NO_BREAK_SPACE;
    let shown = |seconds: f64| {
        let minutes = (seconds / 60.0).round() as u64;
        format!("{}:{:02}", minutes / 60, minutes % 60)
    };
    let interval = ranged.interval().map_or_else(String::new, |i| {
        format!(" ({}{s}to{s}{})", shown(i.low), shown(i.high))
    });
    Cell::words(
        ranged
            .value
            .map(|value| format!("{}{interval}", shown(value))),
    )
}

fn reach(trial: &Trial) -> Table {
    let (mile, metres) = trial.units.long_distance();
    let cells = &trial.gain.reach.cells;
    let far = |ranged: Ranged| ranged.map(|m| m / metres);
    let decimals = decimals_of(cells.iter().map(|c| far(c.calm_m)), 1);
    let rows = cells.iter().map(|c| {
        let ways = [c.against_m, c.calm_m, c.with_m].map(|ranged| estimate(far(ranged)));
        row(
            &c.configuration,
            &c.setting,
            [hours(c.time_s)].into_iter().chain(ways),
        )
    });
    table(
        "How long and how far the usable part of a full charge lasts, an estimate with 95\u{a0}% intervals",
        vec![
            Column::figures("Time", "h:mm", 0),
            Column::figures("The day’s slower way", mile, decimals),
            Column::figures("In a calm", mile, decimals),
            Column::figures("The day’s faster way", mile, decimals),
        ],
        rows,
    )
}

fn home(trial: &Trial) -> Table {
    let unit = trial.units;
    let home = trial.gain.reach.home.as_ref();
    let rows = home.iter().flat_map(|h| &h.cells).map(|c| {
        row(
            &c.configuration,
            &c.setting,
            [
                estimate(c.speed_m_s.map(|v| in_unit(v, unit))),
                hours(c.time_s),
                estimate(c.energy_j.map(|j| j / JOULES_PER_WATT_HOUR)),
                estimate(c.left_share.map(|share| 100.0 * share)),
                Cell::words(c.answer.map(|answer| match answer {
                    HomeAnswer::Kept => "kept",
                    HomeAnswer::NotSure => "not sure",
                    HomeAnswer::DoesNotReach => "the charge does not reach",
                })),
            ],
        )
    });
    let charge = if home.is_some_and(|h| h.trial_taken_off) {
        "with what the log shows is left"
    } else {
        "from a full charge"
    };
    table(
        &format!("The way home {charge}, an estimate with 95\u{a0}% intervals"),
        vec![
            Column::figures("Speed", unit.symbol(), 2),
            Column::figures("Time", "h:mm", 0),
            Column::figures("Energy", "Wh", 0),
            Column::figures("Left of the usable charge", "%", 0),
            Column::words("Reserve"),
        ],
        rows,
    )
}

fn calm(trial: &Trial) -> Table {
    let unit = trial.units;
    let own = |ranged: Ranged| ranged.map(|v| in_unit(v, unit));
    let cells = trial.gain.calm.cells.as_deref().unwrap_or_default();
    let decimals = decimals_of(cells.iter().map(|c| own(c.calm_m_s)), 2);
    let mut columns = vec![Column::figures("In a calm", unit.symbol(), decimals)];
    for wind in cells
        .iter()
        .flat_map(|c| &c.winds)
        .take(cells.first().map_or(0, |c| c.winds.len()))
    {
        let speed = in_unit(wind.wind_m_s, unit);
        let speed = fixed(speed, usize::from((speed - speed.round()).abs() > 0.05));
        for side in ["Against", "With"] {
            let title = format!("{side} {speed}\u{a0}{unit}");
            columns.push(Column::figures(&title, unit.symbol(), decimals));
        }
    }
    let rows = cells.iter().map(|c| {
        let winds = c
            .winds
            .iter()
            .flat_map(|wind| [wind.against_m_s, wind.with_m_s]);
        let winds = winds.map(|ranged| Cell::figure(own(ranged).value));
        row(
            &c.configuration,
            &c.setting,
            [estimate(own(c.calm_m_s))].into_iter().chain(winds),
        )
    });
    table(
        "Speed in a calm with its 95\u{a0}% interval, and against and with a wind along the course",
        columns,
        rows,
    )
}

fn slip(trial: &Trial) -> Table {
    let unit = trial.units;
    let rows = trial.gain.propeller.cells.iter().map(|c| {
        row(
            &c.configuration,
            &c.setting,
            [
                Cell::Figure(1000.0 * c.pitch_m),
                Cell::Figure(c.rpm),
                Cell::Figure(in_unit(c.pitch_speed_m_s, unit)),
                estimate(c.slip_percent),
            ],
        )
    });
    table(
        "Apparent slip: what the boat goes less than pitch times turns; the interval is the speed’s alone",
        vec![
            Column::figures("Pitch", "mm", 0),
            Column::figures("Shaft", "1/min", 0),
            Column::figures("Pitch speed", unit.symbol(), 2),
            Column::figures("Apparent slip", "%", 0),
        ],
        rows,
    )
}
