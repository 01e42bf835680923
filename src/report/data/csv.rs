//! The tables as CSV: the columns of `result.json` in the chosen units, the unit in each header.
//!
//! Speeds are given to a ten-thousandth: a file is for calculating on, so it is not
//! rounded as print is. Times are local, RFC 3339 with their offset. Unknown is
//! an empty cell. Text that a spreadsheet would take for a formula gets an
//! apostrophe before it (OWASP, CSV injection).

use csv::Writer;

use crate::compare::{Cell, Comparison};
use crate::day::{DoubleRun, Leg};
use crate::gain::{CellReach, Ranged};
use crate::report::ReportError;
use crate::report::clock::Clock;
use crate::report::rounding::in_unit;
use crate::report::tables::watt_hours;
use crate::report::words::{one_line, verdict, wind_label};
use crate::track::Position;
use crate::trial::Trial;
use crate::units::SpeedUnit;

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

/// A part of a value with its name.
type Named<T, Part> = (&'static str, fn(&T) -> Part);

type CellOf<'a, T> = Box<dyn Fn(&T) -> String + 'a>;

/// A table as it is put together: for each column its header and what is under it.
struct Table<'a, T> {
    unit: SpeedUnit,
    columns: Vec<(String, CellOf<'a, T>)>,
}

impl<'a, T: 'a> Table<'a, T> {
    /// With `day` as the first column where there are several.
    fn of(trial: &Trial, day: Option<fn(&T) -> usize>) -> Self {
        let mut table = Self {
            unit: trial.units,
            columns: Vec::new(),
        };
        if let Some(day) = day.filter(|_| trial.days.len() > 1) {
            table.put("day", move |row| day(row).to_string());
        }
        table
    }

    fn put(&mut self, header: &str, cell: impl Fn(&T) -> String + 'a) {
        self.columns.push((header.to_owned(), Box::new(cell)));
    }

    /// A column of text, empty where there is none.
    fn text(&mut self, header: &str, of: impl for<'t> Fn(&'t T) -> Option<&'t str> + 'a) {
        self.put(header, move |row| text(of(row).unwrap_or_default()));
    }

    /// A column of figures, empty where one is not known.
    fn figure(&mut self, header: &str, decimals: usize, of: impl Fn(&T) -> Option<f64> + 'a) {
        let cell = move |value| number(value, decimals);
        self.put(header, move |row| of(row).map_or_else(String::new, cell));
    }

    /// A column of speeds given in m/s, written in the chosen unit.
    fn speed(&mut self, header: &str, of: impl Fn(&T) -> Option<f64> + 'a) {
        let unit = self.unit;
        let header = format!("{header}_{}", unit.column());
        let shown = move |row: &T| Some(in_unit(of(row)?, unit));
        self.figure(&header, SPEED_DECIMALS, shown);
    }

    fn write(&self, rows: &[T]) -> Result<Vec<u8>, ReportError> {
        let mut writer = Writer::from_writer(Vec::new());
        let headers = self.columns.iter().map(|(header, _)| header);
        writer.write_record(headers).map_err(ReportError::Csv)?;
        for row in rows {
            let cells = self.columns.iter().map(|(_, cell)| cell(row));
            writer.write_record(cells).map_err(ReportError::Csv)?;
        }
        let failed = |error: csv::IntoInnerError<_>| ReportError::Csv(error.into_error().into());
        writer.into_inner().map_err(failed)
    }
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

fn whole(number: Option<usize>) -> String {
    number.map_or_else(String::new, |n| n.to_string())
}

/// `legs.csv`.
///
/// # Errors
/// [`ReportError::Csv`] where the writer fails, which memory alone could cause.
pub fn legs_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let clock = &Clock::of(trial);
    let (mile, mile_m) = trial.units.long_distance();
    let (metre, metre_m) = trial.units.short_distance();
    let tracks = &trial.tracks;
    let mut t = Table::<Leg>::of(trial, Some(|leg| leg.day));
    t.put("leg", |leg| leg.leg.to_string());
    t.put("track", |leg| leg.track.to_string());
    t.put("file", |leg| {
        text(tracks.get(leg.track).map_or("", |track| &track.file))
    });
    t.put("start", |leg| clock.rfc3339(leg.start));
    t.put("steady_from", |leg| {
        leg.steady_from
            .map_or_else(String::new, |at| clock.rfc3339(at))
    });
    t.put("end", |leg| clock.rfc3339(leg.end));
    t.figure("duration_s", 1, |leg| Some(leg.duration_s));
    let length = format!("length_{mile}");
    t.figure(&length, LONG_DISTANCE_DECIMALS, move |leg| {
        Some(leg.length_m / mile_m)
    });
    t.put("fixes", |leg| leg.fixes.to_string());
    t.figure("course_deg", ANGLE_DECIMALS, |leg| Some(leg.course_deg));
    t.speed("speed", |leg| leg.speed_m_s);
    t.speed("speed_se", |leg| leg.speed_se_m_s);
    t.speed("low", |leg| leg.low_m_s);
    t.speed("high", |leg| leg.high_m_s);
    let across = format!("cross_track_rms_{metre}");
    t.figure(&across, SHORT_DISTANCE_DECIMALS, move |leg| {
        Some(leg.cross_track_rms_m / metre_m)
    });
    t.speed("recorded_speed", |leg| leg.recorded_speed_m_s);
    let depth = format!("depth_{metre}");
    t.figure(&depth, SHORT_DISTANCE_DECIMALS, move |leg| {
        Some(leg.depth_m? / metre_m)
    });
    t.figure("heading_deg", ANGLE_DECIMALS, |leg| leg.heading_deg);
    t.speed("water_speed", |leg| leg.water_speed_m_s);
    t.figure("wind_off_bow_deg", ANGLE_DECIMALS, |leg| {
        leg.wind_off_bow_deg
    });
    t.text("wind_label", |leg| leg.wind_label.map(wind_label));
    t.put("line", |leg| whole(leg.line));
    t.put("double_run", |leg| whole(leg.double_run));
    t.text("configuration", |leg| leg.configuration.as_deref());
    t.text("setting", |leg| leg.setting.as_deref());
    t.put("included", |leg| leg.included.to_string());
    t.text("reason", |leg| leg.reason.as_deref());
    let places: [Named<Leg, Option<Position>>; 3] = [
        ("start", |leg| Some(leg.start_position)),
        ("steady", |leg| leg.steady_position),
        ("end", |leg| Some(leg.end_position)),
    ];
    for (place, of) in places {
        let [lat, lon] = ["lat", "lon"].map(|angle| format!("{place}_{angle}"));
        t.figure(&lat, DEGREE_DECIMALS, move |leg| Some(of(leg)?.latitude()));
        t.figure(&lon, DEGREE_DECIMALS, move |leg| Some(of(leg)?.longitude()));
    }
    t.write(&trial.legs)
}

/// `double_runs.csv`.
///
/// # Errors
/// As [`legs_csv`].
pub fn double_runs_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let clock = &Clock::of(trial);
    let mut t = Table::<DoubleRun>::of(trial, Some(|run| run.day));
    t.put("double_run", |run| run.double_run.to_string());
    t.put("leg_1", |run| run.legs[0].to_string());
    t.put("leg_2", |run| run.legs[1].to_string());
    t.put("line", |run| run.line.to_string());
    t.figure("axis_deg", ANGLE_DECIMALS, |run| Some(run.axis_deg));
    t.put("at", |run| clock.rfc3339(run.at));
    t.speed("mean", |run| Some(run.mean_m_s));
    t.speed("mean_se", |run| run.mean_se_m_s);
    t.speed("root_mean_square", |run| Some(run.root_mean_square_m_s));
    t.speed("half_difference", |run| Some(run.half_difference_m_s));
    t.text("configuration", |run| Some(&run.configuration));
    t.text("setting", |run| Some(&run.setting));
    t.write(&trial.double_runs)
}

/// `comparison.csv`; the row pooled over settings has an empty setting and `pooled` true.
///
/// # Errors
/// As [`legs_csv`].
pub fn comparison_csv(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let mut t = Table::<Comparison>::of(trial, None);
    t.text("baseline", |c| Some(&c.baseline));
    t.text("changed", |c| Some(&c.changed));
    t.text("setting", |c| c.setting.as_deref());
    t.put("pooled", |c| c.setting.is_none().to_string());
    t.put("baseline_double_runs", |c| c.double_runs[0].to_string());
    t.put("changed_double_runs", |c| c.double_runs[1].to_string());
    t.speed("baseline", |c| c.baseline_m_s);
    t.speed("changed", |c| c.changed_m_s);
    t.speed("difference", |c| c.difference_m_s.value);
    t.speed("difference_se", |c| c.difference_m_s.se);
    t.figure("difference_df", 2, |c| c.difference_m_s.df);
    t.speed("difference_low", |c| c.difference_m_s.low);
    t.speed("difference_high", |c| c.difference_m_s.high);
    let p = PERCENT_DECIMALS;
    t.figure("percent", p, |c| c.percent.value);
    t.figure("percent_low", p, |c| c.percent.low);
    t.figure("percent_high", p, |c| c.percent.high);
    t.figure("as_measured_percent", p, |c| c.as_measured_percent);
    t.figure("p_value", 5, |c| c.p_value);
    t.figure("log_ratio", LOG_DECIMALS, |c| Some(c.log_ratio?.value));
    t.figure("log_ratio_se", LOG_DECIMALS, |c| Some(c.log_ratio?.se));
    t.figure("simultaneous_percent_low", p, |c| {
        Some(c.simultaneous.as_ref()?.low)
    });
    t.figure("simultaneous_percent_high", p, |c| {
        Some(c.simultaneous.as_ref()?.high)
    });
    t.figure("no_change_beyond_percent", p, |c| {
        c.no_change_beyond_percent
    });
    t.text("verdict", |c| Some(verdict(c.verdict)));
    t.text("reason", |c| c.reason.as_deref());
    t.write(&trial.comparisons)
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
    let (mile, mile_m) = trial.units.long_distance();
    let is = |cell: &Cell, configuration: &str, setting: &str| {
        configuration == cell.configuration && setting == cell.setting
    };
    let calm = move |cell: &Cell| {
        let mut own = gain.calm.cells.iter().flatten();
        let found = own.find(|c| is(cell, &c.configuration, &c.setting))?;
        Some(found.calm_m_s)
    };
    let power = move |cell: &Cell| {
        let mut own = gain.power.cells.iter();
        own.find(|c| is(cell, &c.configuration, &c.setting))
    };
    let reach = move |cell: &Cell| {
        let mut own = gain.reach.cells.iter();
        own.find(|c| is(cell, &c.configuration, &c.setting))
    };
    let slip = move |cell: &Cell| {
        let mut own = gain.propeller.cells.iter();
        let found = own.find(|c| is(cell, &c.configuration, &c.setting))?;
        found.slip_percent.value
    };
    let mut t = Table::<Cell>::of(trial, None);
    t.text("configuration", |cell| Some(&cell.configuration));
    t.text("setting", |cell| Some(&cell.setting));
    t.speed("speed", |cell| Some(cell.mean_m_s));
    t.speed("calm", move |cell| calm(cell)?.value);
    t.speed("calm_low", move |cell| calm(cell)?.low);
    t.speed("calm_high", move |cell| calm(cell)?.high);
    t.figure("power_w", 1, move |cell| power(cell)?.watts.value);
    t.figure("power_low_w", 1, move |cell| power(cell)?.watts.low);
    t.figure("power_high_w", 1, move |cell| power(cell)?.watts.high);
    t.figure("current_a", 2, move |cell| power(cell)?.amps);
    let ends: [Named<Ranged, Option<f64>>; 3] = [
        ("", |r| r.value),
        ("_low", |r| r.low),
        ("_high", |r| r.high),
    ];
    for (end, of) in ends {
        let per =
            move |cell: &Cell| Some(watt_hours(of(&power(cell)?.energy_j_per_m)?, trial.units));
        t.figure(&format!("energy{end}_wh_per_{mile}"), 2, per);
    }
    t.figure("time_h", 3, move |cell| {
        Some(reach(cell)?.time_s.value? / 3600.0)
    });
    let ways: [Named<CellReach, Ranged>; 3] = [
        ("calm", |r| r.calm_m),
        ("slower_way", |r| r.against_m),
        ("faster_way", |r| r.with_m),
    ];
    for (way, of) in ways {
        let far = move |cell: &Cell| Some(of(reach(cell)?).value? / mile_m);
        t.figure(&format!("{way}_reach_{mile}"), 2, far);
    }
    t.figure("apparent_slip_percent", PERCENT_DECIMALS, slip);
    t.write(&trial.cells).map(Some)
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
        assert_eq!([text("four blades"), text("")], ["four blades", ""]);
    }

    #[test]
    fn numbers_are_plain() {
        assert_eq!(number(-0.000_01, 4), "0.0000");
        assert_eq!(number(-1.5, 1), "-1.5");
        assert_eq!(number(f64::NAN, 4), "");
    }
}
