//! Tables of what the gain buys.

use super::super::words::{capital, name, range};
use crate::compare::Percent;
use crate::gain::{HomeAnswer, Ranged, Why, WhyVerdict};
use crate::report::rounding::{UNKNOWN, clock_span, fixed, percent_decimals, signed};
use crate::report::table::{Column, Row, Table};
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;

/// Decimals of speeds, at most.
const SPEED: usize = 2;

/// All tables that hold anything, in the order in which questions come.
pub(crate) fn gain_tables(analysis: &Trial) -> Vec<Table> {
    let tables = [
        power(analysis),
        why(analysis),
        reach(analysis),
        home(analysis),
        calm(analysis),
        slip(analysis),
    ];
    tables
        .into_iter()
        .filter(|t| !t.rows.is_empty())
        .map(Table::without_unknown_columns)
        .collect()
}

/// Energy over distance in W h for each long distance of the unit.
pub(crate) fn watt_hours(joules_per_metre: f64, unit: SpeedUnit) -> f64 {
    joules_per_metre * unit.long_distance().1 / JOULES_PER_WATT_HOUR
}

fn cell_columns() -> Vec<Column> {
    vec![
        Column::text("Configuration").at_most(16),
        Column::text("Setting").at_most(12),
    ]
}

fn table(caption: &str, further: Vec<Column>, rows: Vec<Row>) -> Table {
    let mut columns = cell_columns();
    columns.extend(further);
    Table {
        caption: caption.to_owned(),
        columns,
        rows,
    }
}

fn power(analysis: &Trial) -> Table {
    let unit = analysis.units;
    let per = format!("Wh/{}", unit.long_distance().0);
    let rows = analysis.gain.power.cells.iter().map(|c| {
        let over = match c.over_limit {
            None => UNKNOWN.to_owned(),
            Some(true) => "above".to_owned(),
            Some(false) => "below".to_owned(),
        };
        Row::new(vec![
            name(&c.configuration),
            name(&c.setting),
            speed(Ranged::bare(c.speed_m_s), unit),
            range(c.watts, 0),
            c.amps.map_or_else(|| UNKNOWN.to_owned(), |a| fixed(a, 1)),
            range(c.energy_j_per_m.map(|j| watt_hours(j, unit)), 1),
            over,
        ])
    });
    table(
        "What each configuration draws at each setting, with 95\u{a0}% intervals",
        vec![
            Column::figure("Speed", unit.symbol()),
            Column::figure("Draw", "W"),
            Column::figure("Current", "A"),
            Column::figure("Energy", &per),
            Column::text("Stated limit"),
        ],
        rows.collect(),
    )
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

fn percent(percent: &Percent) -> String {
    let places = percent_decimals(percent);
    match (percent.value, percent.low, percent.high) {
        (Some(value), Some(low), Some(high)) => format!(
            "{} ({} to {})",
            signed(value, places),
            signed(low, places),
            signed(high, places)
        ),
        (Some(value), ..) => signed(value, places),
        _ => UNKNOWN.to_owned(),
    }
}

fn why(analysis: &Trial) -> Table {
    let power = &analysis.gain.power;
    let rows = power.comparisons.iter().map(|c| {
        let of = |w: &&Why| w.changed == c.changed && w.setting == c.setting;
        let at_speed = power
            .equal_speed
            .iter()
            .find(|e| e.changed == c.changed && c.setting.is_none());
        Row::new(vec![
            format!("{} against {}", name(&c.changed), name(&c.baseline)),
            c.setting.as_deref().map_or_else(|| "all".to_owned(), name),
            percent(&c.power_percent),
            percent(&c.energy_percent),
            at_speed.map_or_else(|| UNKNOWN.to_owned(), |e| percent(&e.percent)),
            power
                .why
                .iter()
                .find(of)
                .map_or(UNKNOWN, |w| verdict(w.verdict))
                .to_owned(),
        ])
    });
    let mut out = table(
        "Change of draw and of energy over distance, with 95\u{a0}% intervals",
        vec![
            Column::figure("Draw, equal setting", "%"),
            Column::figure("Energy, equal setting", "%"),
            Column::figure("Power, equal speed", "%"),
            Column::text("Verdict"),
        ],
        rows.collect(),
    );
    if let Some(first) = out.columns.first_mut() {
        *first = Column::text("Pair").at_most(20);
    }
    out
}

/// Seconds as hours and minutes.
fn hours(ranged: Ranged) -> String {
    let shown = |s: f64| {
        // Whole minutes: no charge is known to a second.
        let minutes = (s / 60.0).round();
        let text = clock_span(minutes * 60.0);
        text.strip_suffix(":00").map_or(text.clone(), |t| {
            if t.contains(':') {
                t.to_owned()
            } else {
                format!("0:{t:0>2}")
            }
        })
    };
    match (ranged.value, ranged.interval()) {
        (Some(value), Some(i)) => {
            format!("{} ({} to {})", shown(value), shown(i.low), shown(i.high))
        }
        (Some(value), None) => shown(value),
        _ => UNKNOWN.to_owned(),
    }
}

fn reach(analysis: &Trial) -> Table {
    let (mile, metres) = analysis.units.long_distance();
    let far = |ranged: Ranged| range(ranged.map(|m| m / metres), 1);
    let rows = analysis.gain.reach.cells.iter().map(|c| {
        Row::new(vec![
            name(&c.configuration),
            name(&c.setting),
            hours(c.time_s),
            far(c.calm_m),
            far(c.against_m),
            far(c.with_m),
        ])
    });
    table(
        "How long and how far the usable part of a full charge lasts, with 95\u{a0}% intervals",
        vec![
            Column::figure("Time", "h:mm"),
            Column::figure("In a calm", mile),
            Column::figure("The day’s slower way", mile),
            Column::figure("The day’s faster way", mile),
        ],
        rows.collect(),
    )
}

fn home(analysis: &Trial) -> Table {
    let unit = analysis.units;
    let home = analysis.gain.reach.home.as_ref();
    let rows = home.iter().flat_map(|h| &h.cells).map(|c| {
        Row::new(vec![
            name(&c.configuration),
            name(&c.setting),
            speed(c.speed_m_s, unit),
            hours(c.time_s),
            range(c.energy_j.map(|j| j / JOULES_PER_WATT_HOUR), 0),
            range(c.left_share.map(|share| 100.0 * share), 0),
            match c.answer {
                None => UNKNOWN.to_owned(),
                Some(HomeAnswer::Kept) => "kept".to_owned(),
                Some(HomeAnswer::NotSure) => "not sure".to_owned(),
                Some(HomeAnswer::DoesNotReach) => "does not reach".to_owned(),
            },
        ])
    });
    let charge = if home.is_some_and(|h| h.trial_taken_off) {
        "with what the log shows is left"
    } else {
        "from a full charge"
    };
    table(
        &format!("The way home {charge}, an estimate with 95\u{a0}% intervals"),
        vec![
            Column::figure("Speed", unit.symbol()),
            Column::figure("Time", "h:mm"),
            Column::figure("Energy", "Wh"),
            Column::figure("Left of the usable charge", "%"),
            Column::text("Reserve"),
        ],
        rows.collect(),
    )
}

fn speed(ranged: Ranged, unit: SpeedUnit) -> String {
    range(
        ranged.map(|v| Speed::metres_per_second(v).in_unit(unit)),
        SPEED,
    )
}

fn calm(analysis: &Trial) -> Table {
    let unit = analysis.units;
    let cells = || analysis.gain.calm.cells.iter().flatten();
    let mut columns = vec![Column::figure("In a calm", unit.symbol())];
    for wind in cells()
        .next()
        .map(|c| c.winds.as_slice())
        .unwrap_or_default()
    {
        let of = fixed(Speed::metres_per_second(wind.wind_m_s).in_unit(unit), 1);
        let of = of.strip_suffix(".0").unwrap_or(&of).to_owned();
        for side in ["against", "with"] {
            let title = format!("{} {of}\u{a0}{unit}", capital(side));
            columns.push(Column::figure(&title, unit.symbol()));
        }
    }
    let rows = cells().map(|c| {
        let mut row = vec![
            name(&c.configuration),
            name(&c.setting),
            speed(c.calm_m_s, unit),
        ];
        for wind in &c.winds {
            row.push(value(wind.against_m_s, unit));
            row.push(value(wind.with_m_s, unit));
        }
        Row::new(row)
    });
    table(
        "Speed in a calm with its 95\u{a0}% interval, and against and with a wind along the course",
        columns,
        rows.collect(),
    )
}

/// The value without its interval, to the decimals the interval supports.
fn value(ranged: Ranged, unit: SpeedUnit) -> String {
    let text = speed(ranged, unit);
    text.split(" (").next().unwrap_or(UNKNOWN).to_owned()
}

fn slip(analysis: &Trial) -> Table {
    let rows = analysis.gain.propeller.cells.iter().map(|c| {
        Row::new(vec![
            name(&c.configuration),
            name(&c.setting),
            fixed(1000.0 * c.pitch_m, 0),
            fixed(c.rpm, 0),
            speed(Ranged::bare(c.pitch_speed_m_s), analysis.units),
            range(c.slip_percent, 0),
        ])
    });
    table(
        "Apparent slip: what the boat goes less than pitch times turns; the interval is the speed’s alone",
        vec![
            Column::figure("Pitch", "mm"),
            Column::figure("Shaft", "1/min"),
            Column::figure("Pitch speed", analysis.units.symbol()),
            Column::figure("Apparent slip", "%"),
        ],
        rows.collect(),
    )
}
