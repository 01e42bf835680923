//! A whole day as NMEA 0183: the same double runs as from the GPX, and the instruments in the result.

use std::fmt::Write as _;
use std::path::Path;

use jiff::SignedDuration;
use thereback::day::WindSource;
use thereback::parser::read_file;
use thereback::track::{Fix, Recording};
use thereback::trial::{Settings, Trial, analyse};

use crate::reading_nmea_any::{rmc, rmc_of};
use crate::reading_nmea_log::{fixes, log, read_log};

fn sample() -> Recording {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/lake_trim.gpx");
    read_file(&path).unwrap()
}

/// The sample's fixes as RMC, each with these sentences behind it.
fn as_nmea(sample: &Recording, behind: &str) -> String {
    let mut text = String::new();
    for fix in fixes(sample) {
        write!(text, "{}\r\n{behind}", rmc(&fix)).unwrap();
    }
    text
}

fn analysed(recording: Recording) -> Trial {
    analyse(&[recording], &Settings::default())
}

#[test]
fn the_sample_day_gives_the_same_double_runs_as_nmea() {
    let sample = sample();
    let log = read_log(as_nmea(&sample, ""));
    let (gpx, nmea) = (analysed(sample), analysed(log));
    assert!(gpx.double_runs.len() >= 6);
    assert_eq!(gpx.double_runs.len(), nmea.double_runs.len());
    for (one, other) in gpx.double_runs.iter().zip(&nmea.double_runs) {
        assert_eq!(one.legs, other.legs);
        assert_eq!(
            (&one.configuration, &one.setting),
            (&other.configuration, &other.setting)
        );
        assert!(
            (one.mean_m_s - other.mean_m_s).abs() < 1e-3,
            "{one:?} {other:?}"
        );
    }
    assert!(
        nmea.legs
            .iter()
            .all(|leg| leg.heading_deg.is_none() && leg.water_speed_m_s.is_none())
    );
}

/// A multiplexer repeats every other fix under its own talker, its time 1.4 s late.
#[test]
fn a_late_copy_by_another_talker_changes_nothing() {
    let sample = sample();
    let mut text = String::new();
    for (index, fix) in fixes(&sample).iter().enumerate() {
        writeln!(text, "{}", rmc(fix)).unwrap();
        let late = Fix {
            time: fix.time + SignedDuration::from_millis(1400),
            ..*fix
        };
        if index % 2 == 0 {
            writeln!(text, "{}", rmc_of("II", &late)).unwrap();
        }
    }
    let log = read_log(&text);
    assert_eq!(log.tracks.len(), 2);
    let (gpx, nmea) = (analysed(sample), analysed(log));
    assert_eq!(gpx.double_runs.len(), nmea.double_runs.len());
    for (one, other) in gpx.double_runs.iter().zip(&nmea.double_runs) {
        assert!(
            (one.mean_m_s - other.mean_m_s).abs() < 1e-3,
            "{one:?} {other:?}"
        );
    }
}

#[test]
fn instruments_reach_the_legs_and_the_wind() {
    let instruments = log(&[
        "HEHDT,123.0,T",
        "IIVHW,,T,,M,2.0,N,,K",
        "WIMWD,235.0,T,,M,11.0,N,,M",
    ]);
    let log = read_log(as_nmea(&sample(), &instruments));
    let analysis = analysed(log);
    assert_eq!(analysis.wind.source, WindSource::Log);
    assert!((analysis.wind.from_deg.unwrap() - 235.0).abs() < 1e-6);
    assert!((analysis.wind.speed_m_s.unwrap() - 11.0 * 1852.0 / 3600.0).abs() < 1e-6);
    assert!(analysis.wind.remark.unwrap().contains("wind instruments"));
    let measured: Vec<_> = analysis
        .legs
        .iter()
        .filter(|leg| leg.speed_m_s.is_some())
        .collect();
    assert!(measured.len() >= 12);
    for leg in measured {
        assert!((leg.heading_deg.unwrap() - 123.0).abs() < 1e-9);
        assert!((leg.water_speed_m_s.unwrap() - 2.0 * 1852.0 / 3600.0).abs() < 1e-9);
    }
}
