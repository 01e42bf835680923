//! Legs as `GeoJSON` (RFC 7946): each leg a line with its figures.
//!
//! Positions are longitude, latitude on WGS84 in decimal degrees (RFC 7946, 3.1.1
//! and 4). A leg that crosses the antimeridian is cut there (3.1.9), and a
//! bounding box across it has its western side at the greater number (5.2).

use serde_json::{Value, json};

use super::{LegPoint, rounded, runs};
use crate::day::Leg;
use crate::report::ReportError;
use crate::track::Position;
use crate::trial::Trial;
use crate::units::Turn;

/// A line's coordinates: longitude and latitude, two or more of them.
type Line = Vec<[f64; 2]>;

/// The legs as a `GeoJSON` feature collection; the properties are those of `legs` in `result.json`.
///
/// A leg is a `LineString`, or a `MultiLineString` where its record has gaps or it crosses the
/// antimeridian.
///
/// # Errors
/// [`ReportError::Json`] as [`result_json`](super::result_json).
pub fn legs_geojson(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    let mut bounds = Bounds::default();
    let feature = |leg: &Leg| {
        let runs = runs(trial, leg);
        for run in &runs {
            bounds.add(run);
        }
        let lines: Vec<Line> = runs
            .iter()
            .flat_map(|run| cut_at_antimeridian(run))
            .collect();
        let geometry = match lines.as_slice() {
            [] => Value::Null,
            [line] => json!({"type": "LineString", "coordinates": line}),
            lines => json!({"type": "MultiLineString", "coordinates": lines}),
        };
        let properties = serde_json::to_value(leg)?;
        let id = leg.leg;
        Ok(json!({"type": "Feature", "id": id, "geometry": geometry, "properties": properties}))
    };
    let features: Result<Vec<Value>, serde_json::Error> = trial.legs.iter().map(feature).collect();
    let mut collection =
        json!({"type": "FeatureCollection", "features": features.map_err(ReportError::Json)?});
    if let (Some(bbox), Some(members)) = (bounds.bbox(), collection.as_object_mut()) {
        members.insert("bbox".to_owned(), json!(bbox));
    }
    let mut bytes = serde_json::to_vec(&collection).map_err(ReportError::Json)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The run in pieces none of which crosses the antimeridian (RFC 7946, 3.1.9).
fn cut_at_antimeridian(run: &[LegPoint]) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut line: Line = Vec::new();
    let mut before: Option<Position> = None;
    for point in run {
        let here = point.position;
        if let Some(crossing) = before.and_then(|before| crossing(before, here)) {
            line.push([crossing.longitude, crossing.latitude]);
            lines.push(std::mem::take(&mut line));
            line.push([-crossing.longitude, crossing.latitude]);
        }
        line.push([rounded(here.longitude()), rounded(here.latitude())]);
        before = Some(here);
    }
    lines.push(line);
    // A point on the very meridian would make a line of one place twice.
    lines.retain(|line| line.len() >= 2 && line.iter().any(|at| Some(at) != line.first()));
    if lines.is_empty() {
        let still = run.iter().map(|point| {
            let at = point.position;
            [rounded(at.longitude()), rounded(at.latitude())]
        });
        lines.push(still.collect());
    }
    lines
}

struct Crossing {
    /// 180 or -180, on the side come from.
    longitude: f64,
    latitude: f64,
}

fn crossing(from: Position, to: Position) -> Option<Crossing> {
    let (west, east) = (from.longitude(), to.longitude());
    if (east - west).abs() <= 180.0 {
        return None;
    }
    let longitude = if west > 0.0 { 180.0 } else { -180.0 };
    let way = Turn::new(east - west)?.degrees();
    let part = if way == 0.0 {
        0.0
    } else {
        (longitude - west) / way
    };
    let latitude = from.latitude() + part * (to.latitude() - from.latitude());
    Some(Crossing {
        longitude,
        latitude: rounded(latitude),
    })
}

/// How far all points reach, longitudes counted on from the first one.
#[derive(Debug, Default)]
struct Bounds {
    first: Option<f64>,
    east: Option<(f64, f64)>,
    north: Option<(f64, f64)>,
}

impl Bounds {
    fn add(&mut self, run: &[LegPoint]) {
        for point in run {
            let (latitude, longitude) = (point.position.latitude(), point.position.longitude());
            let first = *self.first.get_or_insert(longitude);
            let east = Turn::new(longitude - first).map_or(0.0, Turn::degrees);
            widen(&mut self.east, east);
            widen(&mut self.north, latitude);
        }
    }

    fn bbox(&self) -> Option<[f64; 4]> {
        let ((first, (from, to)), (south, north)) = self.first.zip(self.east).zip(self.north)?;
        let [west, east] = if to - from >= 360.0 {
            [-180.0, 180.0]
        } else if (-180.0..=180.0).contains(&(first + from))
            && (-180.0..=180.0).contains(&(first + to))
        {
            [first + from, first + to]
        } else {
            [first + from, first + to].map(|at| Turn::new(at).map_or(at, Turn::degrees))
        };
        Some([west, south, east, north].map(rounded))
    }
}

fn widen(span: &mut Option<(f64, f64)>, value: f64) {
    let (low, high) = span.unwrap_or((value, value));
    *span = Some((low.min(value), high.max(value)));
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;

    use super::*;

    fn run(places: &[(f64, f64)]) -> Vec<LegPoint> {
        places
            .iter()
            .filter_map(|&(longitude, latitude)| {
                Some(LegPoint {
                    position: Position::new(latitude, longitude)?,
                    time: Timestamp::UNIX_EPOCH,
                })
            })
            .collect()
    }

    #[test]
    fn the_line_of_the_rfc_is_cut_as_there() {
        // RFC 7946, 3.1.9: from 45 N, 170 E to 45 N, 170 W.
        assert_eq!(
            cut_at_antimeridian(&run(&[(170.0, 45.0), (-170.0, 45.0)])),
            [
                vec![[170.0, 45.0], [180.0, 45.0]],
                vec![[-180.0, 45.0], [-170.0, 45.0]]
            ]
        );
    }

    #[test]
    fn a_line_is_cut_at_each_crossing_and_at_the_right_latitude() {
        assert_eq!(
            cut_at_antimeridian(&run(&[(-179.0, 10.0), (179.0, 12.0), (-178.0, 15.0)])),
            [
                vec![[-179.0, 10.0], [-180.0, 11.0]],
                vec![[180.0, 11.0], [179.0, 12.0], [180.0, 13.0]],
                vec![[-180.0, 13.0], [-178.0, 15.0]]
            ]
        );
        let meridian = cut_at_antimeridian(&run(&[(179.0, 10.0), (180.0, 10.0), (-179.0, 10.0)]));
        assert_eq!(
            meridian,
            [
                vec![[179.0, 10.0], [180.0, 10.0], [180.0, 10.0]],
                vec![[-180.0, 10.0], [-179.0, 10.0]]
            ]
        );
        let plain = run(&[(11.0, 57.0), (11.1, 57.1)]);
        assert_eq!(
            cut_at_antimeridian(&plain),
            [vec![[11.0, 57.0], [11.1, 57.1]]]
        );
        let still = run(&[(11.0, 57.0), (11.0, 57.0)]);
        assert_eq!(
            cut_at_antimeridian(&still),
            [vec![[11.0, 57.0], [11.0, 57.0]]]
        );
    }

    #[test]
    fn the_box_of_the_rfc_has_its_west_at_the_greater_number() {
        // RFC 7946, 5.2: the Fiji archipelago, from 177 E to 178 W and 20 S to 16 S.
        let mut bounds = Bounds::default();
        bounds.add(&run(&[(-179.0, -18.0), (177.0, -20.0), (-178.0, -16.0)]));
        assert_eq!(bounds.bbox(), Some([177.0, -20.0, -178.0, -16.0]));
        let mut bounds = Bounds::default();
        bounds.add(&run(&[(179.0, 1.0), (180.0, 2.0)]));
        assert_eq!(bounds.bbox(), Some([179.0, 1.0, 180.0, 2.0]));
        assert_eq!(Bounds::default().bbox(), None);
    }
}
