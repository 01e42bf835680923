//! A wind log as covariate of the comparison, from the sample day to the written report.

use jiff::{SignedDuration, Timestamp};
use thereback::compare::Adjustment;
use thereback::parser::{Moment, WindLog, WindRow, read_file};
use thereback::report;
use thereback::track::Recording;
use thereback::trial::{Settings, Trial, analyse};
use thereback::units::{Bearing, Speed};

fn sample() -> Recording {
    read_file(std::path::Path::new("samples/lake_trim.gpx")).unwrap()
}

/// A reading every ten minutes from `from` on for `hours`, the wind growing by 0.4 m/s an hour.
fn log(from: Timestamp, hours: i64, with_speeds: bool) -> WindLog {
    let readings = (0..=6 * hours).map(|tens| WindRow {
        at: Moment::Instant(from + SignedDuration::from_mins(10 * tens)),
        from: Bearing::new(246.0).unwrap(),
        speed: with_speeds.then(|| Speed::metres_per_second(4.0 + 0.4 * tens as f64 / 6.0)),
    });
    WindLog {
        file: "station.csv".to_owned(),
        readings: readings.collect(),
        ..WindLog::default()
    }
}

fn analysed(log: Option<WindLog>) -> Trial {
    let settings = Settings {
        wind_log: log,
        ..Settings::default()
    };
    analyse(&[sample()], &settings)
}

fn begun() -> Timestamp {
    analysed(None).tracks[0].from.unwrap()
}

fn covered() -> Trial {
    analysed(Some(log(begun() - SignedDuration::from_hours(1), 12, true)))
}

#[test]
fn a_log_that_covers_the_runs_goes_before_the_half_differences() {
    let analysis = covered();
    let told = analysis.days[0].wind_covariate.as_ref().unwrap();
    assert!(told.applied && told.reason.is_none(), "{told:?}");
    assert_eq!(told.double_runs.len(), analysis.double_runs.len());
    assert!(
        told.double_runs
            .is_sorted_by(|a, b| a.speed_m_s <= b.speed_m_s)
    );
    assert_eq!(analysis.adjustment, Some(Adjustment::Logged));
    for comparison in &analysis.comparisons {
        assert!(comparison.as_measured_percent.is_some());
    }
}

#[test]
fn the_report_says_whose_wind_it_was() {
    let analysis = covered();
    let files = report::files(&analysis, &[], report::ChartForm::Svg).unwrap();
    let text = |name: &str| {
        let file = files.iter().find(|file| file.path.ends_with(name)).unwrap();
        String::from_utf8(file.bytes.clone()).unwrap()
    };
    let page = text("report.html");
    for words in [
        "The wind log says how it blew during each double run",
        "By the plain means of the double runs the change would be",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(text("result.json").contains("\"wind_covariate\": {"));
}

/// What is refused, with its reason, leaves the comparison as it is without a log.
#[track_caller]
fn refused(log: WindLog, reason: &str) {
    let (with, without) = (analysed(Some(log)), analysed(None));
    let told = with.days[0].wind_covariate.as_ref().unwrap();
    assert!(!told.applied);
    assert!(told.reason.as_ref().unwrap().contains(reason), "{told:?}");
    // The half differences serve, as without a log.
    for analysis in [&with, &without] {
        let by = analysis.adjustment;
        assert!(matches!(by, Some(Adjustment::Wind { .. })), "{by:?}");
    }
    let logs = |analysis: &Trial| -> Vec<_> {
        analysis
            .comparisons
            .iter()
            .map(|c| c.log_ratio.map(|l| l.value))
            .collect()
    };
    assert_eq!(logs(&with).len(), logs(&without).len());
    let page = report::files(&with, &[], report::ChartForm::Svg).unwrap();
    let page = page
        .iter()
        .find(|file| file.path.ends_with("report.html"))
        .unwrap();
    let page = String::from_utf8_lossy(&page.bytes);
    assert!(
        page.contains("The wind log is not used for this"),
        "{reason}"
    );
}

#[test]
fn a_log_that_does_not_serve_is_refused_with_its_reason() {
    let start = begun();
    refused(log(start, 12, false), "holds no speeds");
    refused(log(start, 2, true), "does not cover");
    refused(
        log(start + SignedDuration::from_hours(48), 2, true),
        "covers none",
    );
}

/// The sample day again so many hours later.
fn later(hours: i64) -> Recording {
    let mut recording = sample();
    let after = SignedDuration::from_hours(hours);
    for track in &mut recording.tracks {
        for fix in track.segments.iter_mut().flatten() {
            fix.time += after;
        }
    }
    for waypoint in &mut recording.waypoints {
        waypoint.time = waypoint.time.map(|time| time + after);
    }
    recording
}

#[test]
fn one_log_serves_every_day_that_it_covers() {
    let hours = 49;
    let of_days = |log: WindLog| {
        let settings = Settings {
            wind_log: Some(log),
            ..Settings::default()
        };
        analyse(vec![sample(), later(hours)], &settings)
    };
    let from = begun() - SignedDuration::from_hours(1);
    let both = of_days(log(from, 24 * 4, true));
    assert_eq!(both.days.len(), 2);
    let applied = |analysis: &Trial| -> Vec<bool> {
        let told = analysis.days.iter().map(|day| &day.wind_covariate);
        told.map(|told| told.as_ref().is_some_and(|told| told.applied))
            .collect()
    };
    assert_eq!(applied(&both), [true, true]);
    // One that ends with the first day leaves the second to its own half differences.
    let first = of_days(log(from, 12, true));
    assert_eq!(applied(&first), [true, false]);
    let reason = first.days[1].wind_covariate.as_ref().unwrap();
    assert!(reason.reason.is_some());
    let pooled = |analysis: &Trial| analysis.comparisons.last().unwrap().percent.value.unwrap();
    assert!((pooled(&both) - pooled(&first)).abs() < 2.0);
}
