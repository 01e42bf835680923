//! Tables of what the gain buys.

use super::{setting_cell, shared_decimals};
use crate::compare::Percent;
use crate::gain::{
    CellPower, CellReach, CellSlip, EqualSpeedDraw, HomeAnswer, HomeAt, PowerComparison, Ranged,
    Why, WhyVerdict,
};
use crate::report::document::{Cell, Column, Columns, Table};
use crate::report::rounding::{NO_BREAK_SPACE, in_unit, standard_error_of};
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

/// The columns that name a cell.
fn of_cell<'a, T: 'a>(own: fn(&T) -> [&String; 2]) -> Columns<'a, T> {
    let mut t = Columns::<T>::default();
    t.put(Column::words("Configuration"), move |row| {
        capital(&name(own(row)[0])).into()
    });
    t.put(Column::words("Setting"), move |row| {
        name(own(row)[1]).into()
    });
    t
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

fn changes(trial: &Trial) -> Table {
    let power = &trial.gain.power;
    let equal = |c: &PowerComparison| {
        let same = |e: &&EqualSpeedDraw| e.changed == c.changed && e.baseline == c.baseline;
        let own = power
            .equal_speed
            .iter()
            .find(same)
            .filter(|_| c.setting.is_none());
        own.map(|e| e.percent)
    };
    let pair = |c: &PowerComparison| -> Cell {
        let changed = capital(&name(&c.changed));
        format!("{changed} against {}", name(&c.baseline)).into()
    };
    let mut t = Columns::<PowerComparison>::default();
    t.put(Column::words("Pair"), pair);
    t.put(Column::words("Setting"), |c| {
        setting_cell(c.setting.as_deref())
    });
    t.put(Column::changes("Draw, equal setting", "%", 0), |c| {
        percent(&c.power_percent)
    });
    let farther = |energy: &Percent| percent(&farther_percent(energy));
    t.put(
        Column::changes("Distance, equal setting", "%", 0),
        move |c| farther(&c.energy_percent),
    );
    let at_speed = move |c: &PowerComparison| equal(c).map_or(Cell::Empty, |p| percent(&p));
    t.put(Column::changes("Draw, equal speed", "%", 0), at_speed);
    let far = move |c: &PowerComparison| equal(c).map_or(Cell::Empty, |p| farther(&p));
    t.put(Column::changes("Distance, equal speed", "%", 0), far);
    t.put(Column::words("Verdict"), |c| {
        let same =
            |w: &&Why| w.changed == c.changed && w.baseline == c.baseline && w.setting == c.setting;
        Cell::words(power.why.iter().find(same).map(|w| verdict(w.verdict)))
    });
    t.table("Change of draw and of distance on a charge at equal setting and at equal speed, with 95\u{a0}% intervals", &power.comparisons)
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
    let mut t = of_cell::<CellPower>(|c| [&c.configuration, &c.setting]);
    t.put(Column::figures("Speed", unit.symbol(), 2), move |c| {
        Cell::Figure(in_unit(c.speed_m_s, unit))
    });
    t.put(Column::figures("Draw", "W", 0), |c| estimate(c.watts));
    t.put(Column::figures("Current", "A", 1), |c| Cell::figure(c.amps));
    let energy = move |c: &CellPower| estimate(c.energy_j_per_m.map(|j| watt_hours(j, unit)));
    t.put(Column::figures("Energy", &per, 0), energy);
    t.put(Column::words("Stated limit"), |c| {
        Cell::words(
            c.over_limit
                .map(|over| if over { "above" } else { "below" }),
        )
    });
    t.table(
        "What each configuration draws at each setting, with 95\u{a0}% intervals",
        &trial.gain.power.cells,
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
    let far = move |ranged: Ranged| ranged.map(|m| m / metres);
    let errors = cells
        .iter()
        .filter_map(|c| Some(standard_error_of(far(c.calm_m).interval()?)));
    let distance = |title: &str| Column::figures(title, mile, shared_decimals(errors.clone(), 1));
    let mut t = of_cell::<CellReach>(|c| [&c.configuration, &c.setting]);
    t.put(Column::figures("Time", "h:mm", 0), |c| hours(c.time_s));
    t.put(distance("The day’s slower way"), move |c| {
        estimate(far(c.against_m))
    });
    t.put(distance("In a calm"), move |c| estimate(far(c.calm_m)));
    t.put(distance("The day’s faster way"), move |c| {
        estimate(far(c.with_m))
    });
    t.table("How long and how far the usable part of a full charge lasts, an estimate with 95\u{a0}% intervals", cells)
}

fn home(trial: &Trial) -> Table {
    let unit = trial.units;
    let home = trial.gain.reach.home.as_ref();
    let mut t = of_cell::<HomeAt>(|c| [&c.configuration, &c.setting]);
    let speed = move |c: &HomeAt| estimate(c.speed_m_s.map(|v| in_unit(v, unit)));
    t.put(Column::figures("Speed", unit.symbol(), 2), speed);
    t.put(Column::figures("Time", "h:mm", 0), |c| hours(c.time_s));
    let energy = |c: &HomeAt| estimate(c.energy_j.map(|j| j / JOULES_PER_WATT_HOUR));
    t.put(Column::figures("Energy", "Wh", 0), energy);
    let left = |c: &HomeAt| estimate(c.left_share.map(|share| 100.0 * share));
    t.put(Column::figures("Left of the usable charge", "%", 0), left);
    t.put(Column::words("Reserve"), |c| {
        Cell::words(c.answer.map(|answer| match answer {
            HomeAnswer::Kept => "kept",
            HomeAnswer::NotSure => "not sure",
            HomeAnswer::DoesNotReach => "the charge does not reach",
        }))
    });
    let charge = if home.is_some_and(|h| h.trial_taken_off) {
        "with what the log shows is left"
    } else {
        "from a full charge"
    };
    let caption = format!("The way home {charge}, an estimate with 95\u{a0}% intervals");
    t.table(&caption, home.iter().flat_map(|home| &home.cells))
}

fn slip(trial: &Trial) -> Table {
    let unit = trial.units;
    let mut t = of_cell::<CellSlip>(|c| [&c.configuration, &c.setting]);
    t.put(Column::figures("Pitch", "mm", 0), |c| {
        Cell::Figure(1000.0 * c.pitch_m)
    });
    t.put(Column::figures("Shaft", "1/min", 0), |c| {
        Cell::Figure(c.rpm)
    });
    let speed = move |c: &CellSlip| Cell::Figure(in_unit(c.pitch_speed_m_s, unit));
    t.put(Column::figures("Pitch speed", unit.symbol(), 2), speed);
    t.put(Column::figures("Apparent slip", "%", 0), |c| {
        estimate(c.slip_percent)
    });
    t.table("Apparent slip: what the boat goes less than pitch times turns; the interval is the speed’s alone", &trial.gain.propeller.cells)
}
