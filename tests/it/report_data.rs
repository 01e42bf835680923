//! The data files of the write-up: CSV, JSON and GPX, read back by their own readers.

use jiff::Timestamp;
use serde_json::Value;
use thereback::geometry::{Plane, PlanePoint};
use thereback::report::data::{
    comparison_csv, double_runs_csv, legs_csv, legs_gpx, legs_json, result_json,
};
use thereback::track::Position;
use thereback::trial::Trial;
use thereback::units::{Speed, SpeedUnit};

use super::{report_fixture as fixture, report_variants as variants};

/// The keys of `result.json` that readers may rely on.
const CONTRACT: [(&str, &str); 7] = [
    (
        "",
        "schema tracks wind legs lines double_runs configurations settings cells comparisons warnings rules",
    ),
    ("tracks", "file fixes_read fixes_used set_aside"),
    ("wind", "from_deg from_se_deg speed_m_s source"),
    (
        "legs",
        "leg start steady_from end duration_s length_m course_deg speed_m_s speed_se_m_s low_m_s high_m_s cross_track_rms_m wind_off_bow_deg wind_label line double_run configuration setting included reason",
    ),
    (
        "double_runs",
        "double_run legs line axis_deg mean_m_s half_difference_m_s configuration setting",
    ),
    (
        "comparisons",
        "baseline changed setting double_runs baseline_m_s changed_m_s difference_m_s percent verdict",
    ),
    ("warnings", "code text"),
];

fn json(bytes: &[u8]) -> Value {
    serde_json::from_slice(bytes).unwrap()
}

#[test]
fn result_json_has_the_shape_promised() {
    for day in [
        fixture::day(),
        variants::too_few(),
        variants::without_wind(),
        variants::nasty(),
    ] {
        let result = json(&result_json(&day).unwrap());
        for (place, keys) in CONTRACT {
            let value = if place.is_empty() {
                &result
            } else {
                &result[place]
            };
            let items = match value {
                Value::Array(items) => items.iter().collect(),
                other => vec![other],
            };
            assert!(!items.is_empty(), "{place}");
            for item in items {
                for key in keys.split(' ') {
                    assert!(item.get(key).is_some(), "{place} lacks {key}");
                }
            }
        }
        let first = &result["comparisons"][0];
        for key in ["value", "se", "df", "low", "high"] {
            assert!(first["difference_m_s"].get(key).is_some());
        }
        for key in ["value", "low", "high"] {
            assert!(first["percent"].get(key).is_some());
        }
    }
}

#[test]
fn result_json_is_si_and_utc_with_null_for_unknown() {
    let day = variants::without_wind();
    let result = json(&result_json(&day).unwrap());
    assert_eq!(result["schema"], thereback::trial::SCHEMA);
    let leg = &result["legs"][0];
    assert_eq!(leg["speed_m_s"], day.legs[0].speed_m_s.unwrap());
    assert_eq!(leg["start"], "2031-06-04T06:12:00Z");
    assert!(leg["wind_label"].is_null());
    assert_eq!(result["wind"]["source"], "none");
    assert!(result["wind"]["from_deg"].is_null());
    let pooled = result["comparisons"].as_array().unwrap().last().unwrap();
    assert!(pooled["setting"].is_null());
    assert_eq!(pooled["verdict"], "faster");
    let with_wind = json(&result_json(&fixture::day()).unwrap());
    assert_eq!(with_wind["legs"][1]["wind_label"], "starboard bow");
}

#[test]
fn legs_json_is_the_same_array() {
    let day = fixture::day();
    let all = json(&result_json(&day).unwrap());
    assert_eq!(json(&legs_json(&day).unwrap()), all["legs"]);
}

fn csv(bytes: &[u8]) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(bytes);
    let header = reader
        .headers()
        .unwrap()
        .iter()
        .map(ToOwned::to_owned)
        .collect();
    let rows = reader
        .records()
        .map(|row| row.unwrap().iter().map(ToOwned::to_owned).collect())
        .collect();
    (header, rows)
}

fn cell<'a>(table: &'a (Vec<String>, Vec<Vec<String>>), row: usize, column: &str) -> &'a str {
    let at = table.0.iter().position(|name| name == column);
    assert!(at.is_some(), "no column {column}");
    &table.1[row][at.unwrap()]
}

#[test]
fn legs_csv_has_the_columns_of_the_json_in_the_chosen_unit() {
    let mut day = fixture::day();
    for unit in SpeedUnit::ALL {
        day.units = unit;
        let table = csv(&legs_csv(&day).unwrap());
        assert_eq!(table.1.len(), day.legs.len());
        let speed: f64 = cell(&table, 4, &format!("speed_{}", unit.column()))
            .parse()
            .unwrap();
        let true_speed = Speed::metres_per_second(day.legs[4].speed_m_s.unwrap()).in_unit(unit);
        assert!((speed - true_speed).abs() < 1e-4, "{unit}");
        let (mile, metres) = unit.long_distance();
        let length: f64 = cell(&table, 4, &format!("length_{mile}")).parse().unwrap();
        assert!(
            (length - day.legs[4].length_m / metres).abs() < 1e-4,
            "{unit}"
        );
    }
}

#[test]
fn csv_times_are_local_with_their_offset() {
    let day = fixture::day();
    let table = csv(&legs_csv(&day).unwrap());
    assert_eq!(cell(&table, 0, "start"), "2031-06-04T09:12:00+03:00");
    let back: Timestamp = cell(&table, 0, "start").parse().unwrap();
    assert_eq!(back, day.legs[0].start);
    let utc = variants::empty();
    assert_eq!(csv(&legs_csv(&utc).unwrap()).1.len(), 0);
}

#[test]
fn csv_leaves_unknown_cells_empty() {
    let table = csv(&legs_csv(&variants::without_wind()).unwrap());
    assert_eq!(cell(&table, 0, "wind_label"), "");
    assert_eq!(cell(&table, 24, "double_run"), "");
    let broken = csv(&legs_csv(&variants::not_numbers()).unwrap());
    assert_eq!(cell(&broken, 0, "speed_kn"), "");
    let pooled = csv(&comparison_csv(&fixture::day()).unwrap());
    assert_eq!(cell(&pooled, 2, "setting"), "");
    assert_eq!(cell(&pooled, 2, "pooled"), "true");
    assert_eq!(cell(&pooled, 2, "baseline_kn"), "");
}

#[test]
fn no_csv_cell_of_text_begins_a_formula() {
    let day = variants::nasty();
    for bytes in [legs_csv(&day), double_runs_csv(&day), comparison_csv(&day)] {
        let (_, rows) = csv(&bytes.unwrap());
        for cell in rows.iter().flatten() {
            let number = cell.parse::<f64>().is_ok();
            assert!(
                number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{cell}"
            );
            assert!(!cell.contains('\u{1b}'));
        }
    }
    let table = csv(&double_runs_csv(&day).unwrap());
    assert_eq!(cell(&table, 0, "setting"), "'+1");
    assert_eq!(cell(&table, 3, "setting"), "'@half");
}

#[test]
fn double_runs_and_comparisons_agree_with_the_analysis() {
    let day = fixture::day();
    let runs = csv(&double_runs_csv(&day).unwrap());
    assert_eq!(runs.1.len(), 12);
    assert_eq!(cell(&runs, 2, "leg_2"), "6");
    assert_eq!(cell(&runs, 2, "configuration"), "three blades");
    let comparison = csv(&comparison_csv(&day).unwrap());
    let percent: f64 = cell(&comparison, 0, "percent").parse().unwrap();
    assert!((percent - day.comparisons[0].percent.value.unwrap()).abs() < 1e-3);
    assert_eq!(cell(&comparison, 0, "verdict"), "faster");
}

fn read(day: &Trial) -> gpx::Gpx {
    gpx::read(legs_gpx(day).as_slice()).unwrap()
}

#[test]
fn legs_gpx_is_read_back_with_every_fix() {
    let day = fixture::day();
    let file = read(&day);
    assert_eq!(file.version, gpx::GpxVersion::Gpx11);
    assert_eq!(file.creator.as_deref(), Some("thereback"));
    assert_eq!(file.tracks.len(), day.legs.len());
    assert_eq!(
        file.tracks[2].name.as_deref(),
        Some("leg 3 · three blades · setting half · 2.70 kn")
    );
    let plane = day.days[0].trail.plane.unwrap();
    for (track, leg) in file.tracks.iter().zip(&day.legs) {
        let points = &track.segments[0].points;
        assert_eq!(points.len(), leg.duration_s as usize + 1);
        let first = points[0].time.unwrap().format().unwrap();
        assert_eq!(first.parse::<Timestamp>().unwrap(), leg.start);
        let at = |point: &gpx::Waypoint| {
            plane.project(Position::new(point.point().y(), point.point().x()).unwrap())
        };
        let start = plane.project(leg.start_position);
        assert!(at(&points[0]).distance(start) < 0.02);
        let end = plane.project(leg.end_position);
        assert!(at(&points[points.len() - 1]).distance(end) < 0.02);
    }
}

/// GPX 1.1's schema, `longitudeType`: `-180.0 <= lon < 180.0`.
#[test]
fn legs_gpx_stays_inside_the_schema_at_the_antimeridian() {
    let mut day = fixture::day();
    let plane = Plane::at(Position::new(-17.0, 180.0).unwrap());
    day.days[0].trail.plane = Some(plane);
    day.days[0].trail.runs[0][0].east_m = 0.0;
    day.days[0].trail.runs[0][0].north_m = 0.0;
    for leg in &mut day.legs {
        leg.start_position = plane.position(PlanePoint::default()).unwrap();
        leg.end_position = Position::new(-17.0, 180.0).unwrap();
    }
    let text = String::from_utf8(legs_gpx(&day)).unwrap();
    assert!(text.contains("lon=\"-180\""));
    assert!(!text.contains("lon=\"180"));
    for track in read(&day).tracks {
        for point in track.segments.iter().flat_map(|s| &s.points) {
            assert!((-180.0..180.0).contains(&point.point().x()));
        }
    }
}

#[test]
fn legs_gpx_without_a_trail_keeps_the_ends() {
    let mut day = fixture::day();
    day.days[0].trail.runs.clear();
    for track in read(&day).tracks {
        assert_eq!(track.segments[0].points.len(), 3);
    }
    let broken = read(&variants::not_numbers());
    assert_eq!(broken.tracks.len(), 25);
}

#[test]
fn legs_gpx_carries_any_name() {
    let file = read(&variants::nasty());
    let name = file.tracks[24 - 1].name.clone().unwrap();
    assert!(
        name.contains("=cmd|' /C calc'!A0 \"q\" & [31m ]]> </style>"),
        "{name}"
    );
    assert_eq!(read(&variants::empty()).tracks.len(), 0);
}
