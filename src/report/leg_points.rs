//! The fixes of a leg, for the formats that draw it.

use jiff::Timestamp;

use crate::day::Leg;
use crate::geometry::PlanePoint;
use crate::track::Position;
use crate::trial::Trial;

/// A place and when the boat was there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LegPoint {
    pub(super) position: Position,
    pub(super) time: Timestamp,
}

/// The fixes of the leg, a list for each unbroken run of them, two or more in each; its ends alone
/// where there is no trail.
pub(super) fn runs(analysis: &Trial, leg: &Leg) -> Vec<Vec<LegPoint>> {
    let mut runs: Vec<Vec<LegPoint>> = Vec::new();
    let own_day = analysis.days.iter().find(|day| day.day == leg.day);
    let trail = own_day.map_or(analysis.trail(), |day| &day.trail);
    if let Some(plane) = trail.plane {
        for run in &trail.runs {
            let first = run.partition_point(|point| point.time < leg.start);
            let after = run.partition_point(|point| point.time <= leg.end);
            let points: Vec<LegPoint> = run
                .get(first..after)
                .unwrap_or_default()
                .iter()
                .filter_map(|point| {
                    let position = plane.position(PlanePoint {
                        east: point.east_m,
                        north: point.north_m,
                    })?;
                    let time = point.time;
                    Some(LegPoint { position, time })
                })
                .collect();
            if points.len() >= 2 {
                runs.push(points);
            }
        }
    }
    if runs.is_empty() {
        let steady = leg.steady_position.zip(leg.steady_from);
        let points = [
            Some((leg.start_position, leg.start)),
            steady,
            Some((leg.end_position, leg.end)),
        ];
        let points = points.into_iter().flatten();
        runs.push(
            points
                .map(|(position, time)| LegPoint { position, time })
                .collect(),
        );
    }
    runs
}
