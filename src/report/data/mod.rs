//! Files for other programs: the result as JSON, tables as CSV, legs as GPX and `GeoJSON`.

mod csv;
mod geojson;
mod gpx;
mod notes;

pub use self::csv::{comparison_csv, double_runs_csv, legs_csv, power_csv};
pub use self::geojson::legs_geojson;
pub use self::gpx::legs_gpx;
pub use self::notes::notes_toml;

use jiff::Timestamp;

use super::ReportError;
use crate::day::Leg;
use crate::geometry::PlanePoint;
use crate::track::Position;
use crate::trial::Trial;

/// Positions are written to a centimetre.
const DEGREE_DECIMALS: f64 = 1e7;

fn rounded(degrees: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (degrees * DEGREE_DECIMALS).round() / DEGREE_DECIMALS + 0.0
}

/// `result.json`: the whole result, SI units, indented, with a final line feed.
///
/// What is not a finite number becomes `null`, as JSON knows no other.
///
/// # Errors
/// [`ReportError::Json`] where a value cannot be serialised; the types of the result all can.
pub fn result_json(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    pretty(trial)
}

/// The legs alone, the array under `legs` in `result.json`.
///
/// # Errors
/// As [`result_json`].
pub fn legs_json(trial: &Trial) -> Result<Vec<u8>, ReportError> {
    pretty(&trial.legs)
}

fn pretty(value: &impl serde::Serialize) -> Result<Vec<u8>, ReportError> {
    let mut bytes = serde_json::to_vec_pretty(value).map_err(ReportError::Json)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// A place and when the boat was there.
#[derive(Debug, Clone, Copy, PartialEq)]
struct LegPoint {
    position: Position,
    time: Timestamp,
}

/// The fixes of the leg, a list for each unbroken run of them, two or more in each; its ends alone
/// where there is no trail.
fn runs(trial: &Trial, leg: &Leg) -> Vec<Vec<LegPoint>> {
    let trail = trial
        .days
        .iter()
        .find(|day| day.day == leg.day)
        .map(|day| &day.trail);
    let mut runs: Vec<Vec<LegPoint>> = Vec::new();
    if let Some((trail, plane)) = trail.and_then(|trail| Some((trail, trail.plane?))) {
        for run in &trail.runs {
            let first = run.partition_point(|point| point.time < leg.start);
            let after = run.partition_point(|point| point.time <= leg.end);
            let own = run.get(first..after).unwrap_or_default().iter();
            let points = own.filter_map(|point| {
                let at = PlanePoint {
                    east: point.east_m,
                    north: point.north_m,
                };
                Some(LegPoint {
                    position: plane.position(at)?,
                    time: point.time,
                })
            });
            runs.push(points.collect());
        }
        runs.retain(|run| run.len() >= 2);
    }
    if runs.is_empty() {
        let steady = leg.steady_position.zip(leg.steady_from);
        let ends = [
            Some((leg.start_position, leg.start)),
            steady,
            Some((leg.end_position, leg.end)),
        ];
        let ends = ends.into_iter().flatten();
        runs.push(
            ends.map(|(position, time)| LegPoint { position, time })
                .collect(),
        );
    }
    runs
}
