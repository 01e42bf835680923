//! A whole day as NMEA 0183: the same double runs as from the GPX, and the instruments in the result.

use std::fmt::Write as _;
use std::path::Path;

use thereback::analysis::{Analysis, Settings, WindSource, analyse};
use thereback::parser::read_file;
use thereback::track::Recording;

use crate::reading_nmea_any::rmc;
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

fn analysed(recording: Recording) -> Analysis {
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
