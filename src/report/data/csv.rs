//! The tables as CSV: the columns of `result.json` in the chosen units, the unit in each header.
//!
//! Speeds are given to a ten-thousandth: a file is for calculating on, so it is not
//! rounded as print is. Times are local, RFC 3339 with their offset. Unknown is
//! an empty cell. Text that a spreadsheet would take for a formula gets an
//! apostrophe before it (OWASP, CSV injection).

use csv::Writer;

use crate::compare::{Cell, Comparison};
use crate::day::{DoubleRun, Leg};
use crate::gain::Ranged;
use crate::report::ReportError;
use crate::report::clock::Clock;
use crate::report::rounding::in_unit;
use crate::report::tables::watt_hours;
use crate::report::words::{one_line, verdict, wind_label};
use crate::track::Position;
use crate::trial::Trial;

/// What a spreadsheet takes for the beginning of a formula.
///
/// Tab, carriage return and line feed may begin one too; they never reach a cell.
const FORMULA_STARTS: [char; 4] = ['=', '+', '-', '@'];

const SPEED_DECIMALS: usize = 4;
const LONG_DISTANCE_DECIMALS: usize = 4;
const SHORT_DISTANCE_DECIMALS: usize = 2;
const ANGLE_DECIMALS: usize = 2;
const PERCENT_DECIMALS: usize = 3;
/// A centimetre.
const DEGREE_DECIMALS: usize = 7;
/// A millionth of a logarithm: a ten-thousandth of a percent.
const LOG_DECIMALS: usize = 6;

/// A header and what is under it for a row.
struct Column<'a, T>(String, Box<dyn Fn(&T) -> String + 'a>);

fn column<'a, T>(header: impl Into<String>, cell: impl Fn(&T) -> String + 'a) -> Column<'a, T> {
    Column(header.into(), Box::new(cell))
}

/// A column of figures, empty where one is not known.
fn figure<'a, T>(
    header: impl Into<String>,
    decimals: usize,
    of: impl Fn(&T) -> Option<f64> + 'a,
) -> Column<'a, T> {
    column(header, move |row| {
        of(row).map_or_else(String::new, |value| number(value, decimals))
    })
}

fn write<T>(columns: &[Column<'_, T>], rows: &[T]) -> Result<Vec<u8>, ReportError> {
    let mut writer = Writer::from_writer(Vec::new());
    let headers = columns.iter().map(|Column(header, _)| header);
    writer.write_record(headers).map_err(ReportError::Csv)?;
    for row in rows {
        let cells = columns.iter().map(|Column(_, cell)| cell(row));
        writer.write_record(cells).map_err(ReportError::Csv)?;
    }
    writer
        .into_inner()
        .map_err(|failed| ReportError::Csv(failed.into_error().into()))
}

/// Text as a cell on one line, guarded against being taken for a formula.
fn text(raw: &str) -> String {
    let raw = one_line(raw);
    if raw.starts_with(FORMULA_STARTS) {
        format!("'{raw}")
    } else {
        raw
    }
}

fn maybe(raw: Option<&str>) -> String {
    text(raw.unwrap_or_default())
}

fn whole(number: Option<usize>) -> String {
    number.map_or_else(String::new, |n| n.to_string())
}

fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let shown = format!("{value:.decimals$}");
    match shown.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) => zero.to_owned(),
        _ => shown,
    }
}

/// `legs.csv`.
///
/// # Errors
/// [`ReportError::Csv`] where the writer fails, which memory alone could cause.
pub fn legs_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let unit = trial.units;
    let u = unit.column();
    let clock = Clock::of(trial);
    let (mile, mile_m) = unit.long_distance();
    let (metre, metre_m) = unit.short_distance();
    let speed = |header: &str, of: fn(&Leg) -> Option<f64>| {
        figure(format!("{header}_{u}"), SPEED_DECIMALS, move |leg| {
            Some(in_unit(of(leg)?, unit))
        })
    };
    let degree = |header: &str, of: fn(&Leg) -> Option<f64>| figure(header, ANGLE_DECIMALS, of);
    let short = |header: &str, of: fn(&Leg) -> Option<f64>| {
        figure(
            format!("{header}_{metre}"),
            SHORT_DISTANCE_DECIMALS,
            move |leg| Some(of(leg)? / metre_m),
        )
    };
    let latitude = |header: &str, of: fn(&Leg) -> Option<Position>| {
        figure(header, DEGREE_DECIMALS, move |leg| {
            Some(of(leg)?.latitude())
        })
    };
    let longitude = |header: &str, of: fn(&Leg) -> Option<Position>| {
        figure(header, DEGREE_DECIMALS, move |leg| {
            Some(of(leg)?.longitude())
        })
    };
    let mut columns: Vec<Column<'_, Leg>> = day_column(trial, |leg: &Leg| leg.day);
    columns.extend([
        column("leg", |leg: &Leg| leg.leg.to_string()),
        column("track", |leg: &Leg| leg.track.to_string()),
        column("file", |leg: &Leg| {
            maybe(trial.tracks.get(leg.track).map(|t| t.file.as_str()))
        }),
        column("start", |leg: &Leg| clock.rfc3339(leg.start)),
        column("steady_from", |leg: &Leg| {
            leg.steady_from
                .map_or_else(String::new, |at| clock.rfc3339(at))
        }),
        column("end", |leg: &Leg| clock.rfc3339(leg.end)),
        figure("duration_s", 1, |leg: &Leg| Some(leg.duration_s)),
        figure(
            format!("length_{mile}"),
            LONG_DISTANCE_DECIMALS,
            |leg: &Leg| Some(leg.length_m / mile_m),
        ),
        column("fixes", |leg: &Leg| leg.fixes.to_string()),
        degree("course_deg", |leg| Some(leg.course_deg)),
        speed("speed", |leg| leg.speed_m_s),
        speed("speed_se", |leg| leg.speed_se_m_s),
        speed("low", |leg| leg.low_m_s),
        speed("high", |leg| leg.high_m_s),
        short("cross_track_rms", |leg| Some(leg.cross_track_rms_m)),
        speed("recorded_speed", |leg| leg.recorded_speed_m_s),
        short("depth", |leg| leg.depth_m),
        degree("heading_deg", |leg| leg.heading_deg),
        speed("water_speed", |leg| leg.water_speed_m_s),
        degree("wind_off_bow_deg", |leg| leg.wind_off_bow_deg),
        column("wind_label", |leg: &Leg| {
            leg.wind_label.map_or("", wind_label).to_owned()
        }),
        column("line", |leg: &Leg| whole(leg.line)),
        column("double_run", |leg: &Leg| whole(leg.double_run)),
        column("configuration", |leg: &Leg| {
            maybe(leg.configuration.as_deref())
        }),
        column("setting", |leg: &Leg| maybe(leg.setting.as_deref())),
        column("included", |leg: &Leg| leg.included.to_string()),
        column("reason", |leg: &Leg| maybe(leg.reason.as_deref())),
        latitude("start_lat", |leg| Some(leg.start_position)),
        longitude("start_lon", |leg| Some(leg.start_position)),
        latitude("steady_lat", |leg| leg.steady_position),
        longitude("steady_lon", |leg| leg.steady_position),
        latitude("end_lat", |leg| Some(leg.end_position)),
        longitude("end_lon", |leg| Some(leg.end_position)),
    ]);
    write(&columns, &trial.legs)
}

/// `day` as the first column where there are several.
fn day_column<'a, T>(trial: &Trial, day: impl Fn(&T) -> usize + 'a) -> Vec<Column<'a, T>> {
    let several = trial.days.len() > 1;
    several
        .then(|| column("day", move |row| day(row).to_string()))
        .into_iter()
        .collect()
}

/// `double_runs.csv`.
///
/// # Errors
/// As [`legs_csv`].
pub fn double_runs_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let unit = trial.units;
    let clock = Clock::of(trial);
    let speed = |header: &str, of: fn(&DoubleRun) -> Option<f64>| {
        let header = format!("{header}_{}", unit.column());
        figure(header, SPEED_DECIMALS, move |run| {
            Some(in_unit(of(run)?, unit))
        })
    };
    let mut columns: Vec<Column<'_, DoubleRun>> = day_column(trial, |run: &DoubleRun| run.day);
    columns.extend([
        column("double_run", |run: &DoubleRun| run.double_run.to_string()),
        column("leg_1", |run: &DoubleRun| run.legs[0].to_string()),
        column("leg_2", |run: &DoubleRun| run.legs[1].to_string()),
        column("line", |run: &DoubleRun| run.line.to_string()),
        figure("axis_deg", ANGLE_DECIMALS, |run: &DoubleRun| {
            Some(run.axis_deg)
        }),
        column("at", |run: &DoubleRun| clock.rfc3339(run.at)),
        speed("mean", |run| Some(run.mean_m_s)),
        speed("mean_se", |run| run.mean_se_m_s),
        speed("root_mean_square", |run| Some(run.root_mean_square_m_s)),
        speed("half_difference", |run| Some(run.half_difference_m_s)),
        column("configuration", |run: &DoubleRun| text(&run.configuration)),
        column("setting", |run: &DoubleRun| text(&run.setting)),
    ]);
    write(&columns, &trial.double_runs)
}

/// `comparison.csv`; the row pooled over settings has an empty setting and `pooled` true.
///
/// # Errors
/// As [`legs_csv`].
pub fn comparison_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let unit = trial.units;
    let speed = |header: &str, of: fn(&Comparison) -> Option<f64>| {
        let header = format!("{header}_{}", unit.column());
        figure(header, SPEED_DECIMALS, move |c| Some(in_unit(of(c)?, unit)))
    };
    let percent =
        |header: &str, of: fn(&Comparison) -> Option<f64>| figure(header, PERCENT_DECIMALS, of);
    let columns: [Column<'_, Comparison>; 25] = [
        column("baseline", |c: &Comparison| text(&c.baseline)),
        column("changed", |c: &Comparison| text(&c.changed)),
        column("setting", |c: &Comparison| maybe(c.setting.as_deref())),
        column("pooled", |c: &Comparison| c.setting.is_none().to_string()),
        column("baseline_double_runs", |c: &Comparison| {
            c.double_runs[0].to_string()
        }),
        column("changed_double_runs", |c: &Comparison| {
            c.double_runs[1].to_string()
        }),
        speed("baseline", |c| c.baseline_m_s),
        speed("changed", |c| c.changed_m_s),
        speed("difference", |c| c.difference_m_s.value),
        speed("difference_se", |c| c.difference_m_s.se),
        figure("difference_df", 2, |c: &Comparison| c.difference_m_s.df),
        speed("difference_low", |c| c.difference_m_s.low),
        speed("difference_high", |c| c.difference_m_s.high),
        percent("percent", |c| c.percent.value),
        percent("percent_low", |c| c.percent.low),
        percent("percent_high", |c| c.percent.high),
        percent("as_measured_percent", |c| c.as_measured_percent),
        figure("p_value", 5, |c: &Comparison| c.p_value),
        figure("log_ratio", LOG_DECIMALS, |c: &Comparison| {
            Some(c.log_ratio?.value)
        }),
        figure("log_ratio_se", LOG_DECIMALS, |c: &Comparison| {
            Some(c.log_ratio?.se)
        }),
        percent("simultaneous_percent_low", |c| {
            Some(c.simultaneous.as_ref()?.low)
        }),
        percent("simultaneous_percent_high", |c| {
            Some(c.simultaneous.as_ref()?.high)
        }),
        percent("no_change_beyond_percent", |c| c.no_change_beyond_percent),
        column("verdict", |c: &Comparison| verdict(c.verdict).to_owned()),
        column("reason", |c: &Comparison| maybe(c.reason.as_deref())),
    ];
    write(&columns, &trial.comparisons)
}

/// `power.csv`: what each configuration draws and how far a charge takes it, a row for each cell; `None`
/// where neither a draw nor a speed in a calm is known.
///
/// # Errors
/// As [`legs_csv`].
pub fn power_csv(trial: &Trial) -> Result<Option<Vec<u8>>, ReportError> {
    let gain = &trial.gain;
    if gain.power.cells.is_empty() && gain.calm.cells.is_none() {
        return Ok(None);
    }
    let unit = trial.units;
    let u = unit.column();
    let (mile, mile_m) = unit.long_distance();
    let is = |cell: &Cell, configuration: &str, setting: &str| {
        configuration == cell.configuration && setting == cell.setting
    };
    let calm = |cell: &Cell| -> Ranged {
        let mut own = gain
            .calm
            .cells
            .iter()
            .flatten()
            .filter(|c| is(cell, &c.configuration, &c.setting));
        own.next().map_or_else(Ranged::default, |c| {
            c.calm_m_s.map(|m_s| in_unit(m_s, unit))
        })
    };
    let power = |cell: &Cell| {
        gain.power
            .cells
            .iter()
            .find(|c| is(cell, &c.configuration, &c.setting))
    };
    let watts = |cell: &Cell| power(cell).map_or_else(Ranged::default, |c| c.watts);
    let energy = |cell: &Cell| {
        power(cell).map_or_else(Ranged::default, |c| {
            c.energy_j_per_m.map(|j| watt_hours(j, unit))
        })
    };
    let reach = |cell: &Cell| {
        gain.reach
            .cells
            .iter()
            .find(|c| is(cell, &c.configuration, &c.setting))
    };
    let slip = |cell: &Cell| {
        let mut own = gain.propeller.cells.iter();
        own.find(|c| is(cell, &c.configuration, &c.setting))
            .and_then(|c| c.slip_percent.value)
    };
    let columns: [Column<'_, Cell>; 18] = [
        column("configuration", |cell: &Cell| text(&cell.configuration)),
        column("setting", |cell: &Cell| text(&cell.setting)),
        figure(format!("speed_{u}"), SPEED_DECIMALS, |cell: &Cell| {
            Some(in_unit(cell.mean_m_s, unit))
        }),
        figure(format!("calm_{u}"), SPEED_DECIMALS, |cell| calm(cell).value),
        figure(format!("calm_low_{u}"), SPEED_DECIMALS, |cell| {
            calm(cell).low
        }),
        figure(format!("calm_high_{u}"), SPEED_DECIMALS, |cell| {
            calm(cell).high
        }),
        figure("power_w", 1, |cell| watts(cell).value),
        figure("power_low_w", 1, |cell| watts(cell).low),
        figure("power_high_w", 1, |cell| watts(cell).high),
        figure("current_a", 2, |cell| power(cell)?.amps),
        figure(format!("energy_wh_per_{mile}"), 2, |cell| {
            energy(cell).value
        }),
        figure(format!("energy_low_wh_per_{mile}"), 2, |cell| {
            energy(cell).low
        }),
        figure(format!("energy_high_wh_per_{mile}"), 2, |cell| {
            energy(cell).high
        }),
        figure("time_h", 3, |cell| {
            Some(reach(cell)?.time_s.value? / 3600.0)
        }),
        figure(format!("calm_reach_{mile}"), 2, |cell| {
            Some(reach(cell)?.calm_m.value? / mile_m)
        }),
        figure(format!("slower_way_reach_{mile}"), 2, |cell| {
            Some(reach(cell)?.against_m.value? / mile_m)
        }),
        figure(format!("faster_way_reach_{mile}"), 2, |cell| {
            Some(reach(cell)?.with_m.value? / mile_m)
        }),
        figure("apparent_slip_percent", PERCENT_DECIMALS, slip),
    ];
    write(&columns, &trial.cells).map(Some)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_disarmed() {
        for start in FORMULA_STARTS {
            let cell = format!("{start}cmd|' /C calc'!A0");
            assert_eq!(text(&cell), format!("'{cell}"));
        }
        assert_eq!(text("\t\r\n=1+1"), "'=1+1");
        assert_eq!([text("four blades"), maybe(None)], ["four blades", ""]);
    }

    #[test]
    fn numbers_are_plain() {
        assert_eq!(number(-0.000_01, 4), "0.0000");
        assert_eq!(number(-1.5, 1), "-1.5");
        assert_eq!(number(f64::NAN, 4), "");
    }
}
