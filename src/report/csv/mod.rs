//! The tables as CSV: the columns of `result.json` in the chosen units, the unit in each header.
//!
//! Speeds stand to a ten-thousandth: a file is for reckoning on, so it is not
//! rounded as print is. Times are local, RFC 3339 with their offset. Unknown is
//! an empty cell. Text that a spreadsheet would take for a formula gets an
//! apostrophe before it (OWASP, CSV injection).

mod cells;
mod gain;

pub use gain::power_csv;

use csv::Writer;

use self::cells::{
    ANGLE_DECIMALS, LONG_DISTANCE_DECIMALS, PERCENT_DECIMALS, SECONDS_DECIMALS,
    SHORT_DISTANCE_DECIMALS, maybe, number, place, speed, text,
};
use super::ReportError;
use super::clock::Clock;
use super::tables::wind_label;
use super::words;
use crate::compare::Comparison;
use crate::trial::Trial;
use crate::units::SpeedUnit;

/// `legs.csv`.
///
/// # Errors
/// [`ReportError::Csv`] where the writer fails, which memory alone could cause.
pub fn legs_csv(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    let header = with_day(legs_header(analysis.units), analysis);
    let legs = analysis.legs.iter();
    let rows = leg_rows(analysis).zip(legs);
    write(
        &header,
        rows.map(|(row, leg)| with_day_of(row, leg.day, analysis)),
    )
}

/// A header with `day` first where there are several.
fn with_day(mut header: Vec<String>, analysis: &Trial) -> Vec<String> {
    if analysis.days.len() > 1 {
        header.insert(0, "day".to_owned());
    }
    header
}

/// A row under such a header.
fn with_day_of(mut row: Vec<String>, day: usize, analysis: &Trial) -> Vec<String> {
    if analysis.days.len() > 1 {
        row.insert(0, day.to_string());
    }
    row
}

/// The same for several days, which are in one unit: `day` is the first column.
pub(super) fn legs_csv_of_days(days: &[Trial]) -> Result<Vec<u8>, ReportError> {
    let unit = days.first().map(|day| day.units).unwrap_or_default();
    let mut header = vec!["day".to_owned()];
    header.extend(legs_header(unit));
    let rows = (1_usize..).zip(days).flat_map(|(day, analysis)| {
        leg_rows(analysis).map(move |mut row| {
            row.insert(0, day.to_string());
            row
        })
    });
    write(&header, rows)
}

fn legs_header(unit: SpeedUnit) -> Vec<String> {
    let (mile, _) = unit.long_distance();
    let (metre, _) = unit.short_distance();
    let u = unit.column();
    vec![
        "leg".into(),
        "track".into(),
        "file".into(),
        "start".into(),
        "steady_from".into(),
        "end".into(),
        "duration_s".into(),
        format!("length_{mile}"),
        "fixes".into(),
        "course_deg".into(),
        format!("speed_{u}"),
        format!("speed_se_{u}"),
        format!("low_{u}"),
        format!("high_{u}"),
        format!("cross_track_rms_{metre}"),
        format!("recorded_speed_{u}"),
        format!("depth_{metre}"),
        "heading_deg".into(),
        format!("water_speed_{u}"),
        "wind_off_bow_deg".into(),
        "wind_label".into(),
        "line".into(),
        "double_run".into(),
        "configuration".into(),
        "setting".into(),
        "included".into(),
        "reason".into(),
        "start_lat".into(),
        "start_lon".into(),
        "steady_lat".into(),
        "steady_lon".into(),
        "end_lat".into(),
        "end_lon".into(),
    ]
}

fn leg_rows(analysis: &Trial) -> impl Iterator<Item = Vec<String>> {
    let unit = analysis.units;
    let clock = Clock::of(analysis);
    let (_, mile_m) = unit.long_distance();
    let (_, metre_m) = unit.short_distance();
    analysis.legs.iter().map(move |leg| {
        let short = |metres: f64| number(metres / metre_m, SHORT_DISTANCE_DECIMALS);
        let file = analysis.tracks.get(leg.track).map(|t| t.file.as_str());
        let [start_lat, start_lon] = place(Some(leg.start_position));
        let [steady_lat, steady_lon] = place(leg.steady_position);
        let [end_lat, end_lon] = place(Some(leg.end_position));
        vec![
            leg.leg.to_string(),
            leg.track.to_string(),
            text(file),
            clock.rfc3339(leg.start),
            leg.steady_from
                .map_or_else(String::new, |at| clock.rfc3339(at)),
            clock.rfc3339(leg.end),
            number(leg.duration_s, SECONDS_DECIMALS),
            number(leg.length_m / mile_m, LONG_DISTANCE_DECIMALS),
            leg.fixes.to_string(),
            number(leg.course_deg, ANGLE_DECIMALS),
            speed(leg.speed_m_s, unit),
            speed(leg.speed_se_m_s, unit),
            speed(leg.low_m_s, unit),
            speed(leg.high_m_s, unit),
            short(leg.cross_track_rms_m),
            speed(leg.recorded_speed_m_s, unit),
            leg.depth_m.map_or_else(String::new, short),
            leg.heading_deg
                .map_or_else(String::new, |deg| number(deg, ANGLE_DECIMALS)),
            speed(leg.water_speed_m_s, unit),
            leg.wind_off_bow_deg
                .map_or_else(String::new, |deg| number(deg, ANGLE_DECIMALS)),
            leg.wind_label
                .map_or_else(String::new, |label| wind_label(label).to_owned()),
            leg.line.map_or_else(String::new, |n| n.to_string()),
            leg.double_run.map_or_else(String::new, |n| n.to_string()),
            text(leg.configuration.as_deref()),
            text(leg.setting.as_deref()),
            leg.included.to_string(),
            text(leg.reason.as_deref()),
            start_lat,
            start_lon,
            steady_lat,
            steady_lon,
            end_lat,
            end_lon,
        ]
    })
}

/// `double_runs.csv`.
///
/// # Errors
/// As [`legs_csv`].
pub fn double_runs_csv(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    let unit = analysis.units;
    let clock = Clock::of(analysis);
    let u = unit.column();
    let header: Vec<String> = vec![
        "double_run".into(),
        "leg_1".into(),
        "leg_2".into(),
        "line".into(),
        "axis_deg".into(),
        "at".into(),
        format!("mean_{u}"),
        format!("mean_se_{u}"),
        format!("root_mean_square_{u}"),
        format!("half_difference_{u}"),
        "configuration".into(),
        "setting".into(),
    ];
    let rows = analysis.double_runs.iter().map(|run| {
        let [there, back] = run.legs;
        let row = vec![
            run.double_run.to_string(),
            there.to_string(),
            back.to_string(),
            run.line.to_string(),
            number(run.axis_deg, ANGLE_DECIMALS),
            clock.rfc3339(run.at),
            speed(Some(run.mean_m_s), unit),
            speed(run.mean_se_m_s, unit),
            speed(Some(run.root_mean_square_m_s), unit),
            speed(Some(run.half_difference_m_s), unit),
            text(Some(&run.configuration)),
            text(Some(&run.setting)),
        ];
        with_day_of(row, run.day, analysis)
    });
    write(&with_day(header, analysis), rows)
}

/// `comparison.csv`; the row pooled over settings has an empty setting and `pooled` true.
///
/// # Errors
/// As [`legs_csv`].
pub fn comparison_csv(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    let u = analysis.units.column();
    let header: Vec<String> = vec![
        "baseline".into(),
        "changed".into(),
        "setting".into(),
        "pooled".into(),
        "baseline_double_runs".into(),
        "changed_double_runs".into(),
        format!("baseline_{u}"),
        format!("changed_{u}"),
        format!("difference_{u}"),
        format!("difference_se_{u}"),
        "difference_df".into(),
        format!("difference_low_{u}"),
        format!("difference_high_{u}"),
        "percent".into(),
        "percent_low".into(),
        "percent_high".into(),
        "as_measured_percent".into(),
        "p_value".into(),
        "log_ratio".into(),
        "log_ratio_se".into(),
        "simultaneous_percent_low".into(),
        "simultaneous_percent_high".into(),
        "no_change_beyond_percent".into(),
        "verdict".into(),
        "reason".into(),
    ];
    let rows = analysis
        .comparisons
        .iter()
        .map(|comparison| comparison_row(comparison, analysis.units));
    write(&header, rows)
}

/// A millionth of a logarithm: a ten-thousandth of a percent.
const LOG_DECIMALS: usize = 6;

fn comparison_row(comparison: &Comparison, unit: SpeedUnit) -> Vec<String> {
    let [before, after] = comparison.double_runs;
    let difference = &comparison.difference_m_s;
    let percent = |value: Option<f64>| maybe(value, PERCENT_DECIMALS);
    vec![
        text(Some(&comparison.baseline)),
        text(Some(&comparison.changed)),
        text(comparison.setting.as_deref()),
        comparison.setting.is_none().to_string(),
        before.to_string(),
        after.to_string(),
        speed(comparison.baseline_m_s, unit),
        speed(comparison.changed_m_s, unit),
        speed(difference.value, unit),
        speed(difference.se, unit),
        maybe(difference.df, 2),
        speed(difference.low, unit),
        speed(difference.high, unit),
        percent(comparison.percent.value),
        percent(comparison.percent.low),
        percent(comparison.percent.high),
        percent(comparison.as_measured_percent),
        maybe(comparison.p_value, 5),
        maybe(comparison.log_ratio.map(|log| log.value), LOG_DECIMALS),
        maybe(comparison.log_ratio.map(|log| log.se), LOG_DECIMALS),
        percent(comparison.simultaneous.as_ref().map(|s| s.low)),
        percent(comparison.simultaneous.as_ref().map(|s| s.high)),
        percent(comparison.no_change_beyond_percent),
        words::verdict(comparison.verdict).to_owned(),
        text(comparison.reason.as_deref()),
    ]
}

fn write(
    header: &[String],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<Vec<u8>, ReportError> {
    let mut writer = Writer::from_writer(Vec::new());
    writer.write_record(header).map_err(ReportError::Csv)?;
    for row in rows {
        writer.write_record(&row).map_err(ReportError::Csv)?;
    }
    writer
        .into_inner()
        .map_err(|failed| ReportError::Csv(failed.into_error().into()))
}
