//! Legs as `GeoJSON`, against the rules of RFC 7946.

use serde_json::Value;
use thereback::geometry::{Plane, PlanePoint};
use thereback::report::data::{legs_geojson, legs_json};
use thereback::track::Position;
use thereback::trial::Trial;

use crate::{report_fixture as fixture, report_variants as variants};

fn numbers(value: &Value) -> Vec<f64> {
    let items = value.as_array().unwrap();
    items.iter().map(|v| v.as_f64().unwrap()).collect()
}

/// The lines of a geometry, each its positions; checks RFC 7946, 3.1.4 and 3.1.5.
fn lines(geometry: &Value) -> Vec<Vec<Vec<f64>>> {
    let coordinates = geometry["coordinates"].as_array().unwrap();
    let line = |line: &Value| -> Vec<Vec<f64>> {
        let positions = line.as_array().unwrap();
        assert!(positions.len() >= 2, "3.1.4: two or more positions");
        positions.iter().map(numbers).collect()
    };
    match geometry["type"].as_str().unwrap() {
        "LineString" => vec![line(&geometry["coordinates"])],
        "MultiLineString" => coordinates.iter().map(line).collect(),
        other => panic!("{other}"),
    }
}

/// Checks a document against the rules, and gives its features.
#[track_caller]
fn valid(bytes: &[u8]) -> Vec<Value> {
    assert!(
        std::str::from_utf8(bytes).is_ok(),
        "1.4 with RFC 8259: UTF-8"
    );
    let document: Value = serde_json::from_slice(bytes).unwrap();
    assert_eq!(document["type"], "FeatureCollection", "3.3");
    for forbidden in ["crs", "coordinates", "geometry", "properties"] {
        assert!(
            document.get(forbidden).is_none(),
            "4 and 7.1: `{forbidden}`"
        );
    }
    let features = document["features"].as_array().unwrap();
    let bbox = document.get("bbox").map(numbers);
    assert_eq!(bbox.is_some(), !features.is_empty());
    for feature in features {
        assert_eq!(feature["type"], "Feature", "3.2");
        assert!(feature["properties"].is_object(), "3.2");
        let id = &feature["id"];
        assert!(id.is_string() || id.is_number(), "3.2");
        assert_eq!(features.iter().filter(|f| f["id"] == *id).count(), 1);
        let bbox = bbox.as_ref().unwrap();
        let &[west, south, east, north] = bbox.as_slice() else {
            panic!("5: {bbox:?}");
        };
        assert!(south <= north);
        for line in lines(&feature["geometry"]) {
            for at in &line {
                let &[lon, lat] = at.as_slice() else {
                    panic!("3.1.1: {at:?}");
                };
                assert!(
                    (-180.0..=180.0).contains(&lon) && (-90.0..=90.0).contains(&lat),
                    "4"
                );
                assert!((south..=north).contains(&lat), "5");
                let inside = if west <= east {
                    (west..=east).contains(&lon)
                } else {
                    lon >= west || lon <= east
                };
                assert!(inside, "5.2: {lon} in {bbox:?}");
            }
            for pair in line.windows(2) {
                assert!((pair[1][0] - pair[0][0]).abs() <= 180.0, "3.1.9");
            }
        }
    }
    features.clone()
}

fn of(day: &Trial) -> Vec<Value> {
    valid(&legs_geojson(day).unwrap())
}

#[test]
fn each_leg_is_a_feature_with_the_figures_of_the_result() {
    let day = fixture::day();
    let features = of(&day);
    assert_eq!(features.len(), day.legs.len());
    let legs: Vec<Value> = serde_json::from_slice(&legs_json(&day).unwrap()).unwrap();
    for ((feature, leg), found) in features.iter().zip(&legs).zip(&day.legs) {
        assert_eq!(feature["properties"], *leg);
        let line = &lines(&feature["geometry"])[0];
        assert_eq!(line.len(), found.duration_s as usize + 1);
        // Longitude first: 3.1.1.
        let start = found.start_position;
        assert!((line[0][0] - start.longitude()).abs() < 1e-6);
        assert!((line[0][1] - start.latitude()).abs() < 1e-6);
    }
}

#[test]
fn every_kind_of_day_is_valid() {
    assert_eq!(of(&variants::empty()).len(), 0);
    of(&variants::not_numbers());
    of(&variants::nasty());
    let mut day = fixture::day();
    day.days[0].trail.runs.clear();
    of(&day);
}

#[test]
fn legs_are_cut_at_the_antimeridian() {
    let mut day = fixture::day();
    let middle = day.days[0].trail.runs[0].len() / 4;
    let east = day.days[0].trail.runs[0][middle].east_m;
    let plane = Plane::at(Position::new(-17.0, 180.0).unwrap());
    day.days[0].trail.plane = Some(plane);
    for point in day.days[0].trail.runs.iter_mut().flatten() {
        point.east_m -= east;
    }
    for leg in &mut day.legs {
        leg.start_position = plane.position(PlanePoint::default()).unwrap();
        leg.end_position = leg.start_position;
    }
    let features = of(&day);
    let cut = features
        .iter()
        .filter(|f| f["geometry"]["type"] == "MultiLineString")
        .count();
    assert!(cut > 0, "no leg crosses");
}
