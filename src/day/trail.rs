//! The track for drawing.

use jiff::Timestamp;

use crate::geometry::{PathPoint, Plane, Sampled};
use crate::segmenter::Segmented;

/// The track for drawing, on a plane in metres.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trail {
    /// The plane the points lie on; `None` for an empty trail.
    pub plane: Option<Plane>,
    /// Unbroken runs of points, in order of time.
    pub runs: Vec<Vec<TrailPoint>>,
    /// Speed over the ground in 10 s means, in order of time; gaps in time are breaks.
    pub speeds: Vec<SpeedPoint>,
    /// Start and end of each time in which the boat made no way, and a part may have been swapped.
    pub stops: Vec<[Timestamp; 2]>,
}

/// One fix on the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrailPoint {
    /// When.
    pub time: Timestamp,
    /// Metres east of the plane's origin.
    pub east_m: f64,
    /// Metres north of the plane's origin.
    pub north_m: f64,
}

/// The speed over the ground at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedPoint {
    /// Middle of the mean.
    pub time: Timestamp,
    /// Speed over the ground.
    pub speed_m_s: f64,
}

/// The track for drawing.
pub(crate) fn trail(found: &Segmented) -> Trail {
    Trail {
        plane: found.plane,
        runs: found
            .paths
            .iter()
            .map(|path| {
                path.iter()
                    .map(|p| TrailPoint {
                        time: found.clock.time(p.t),
                        east_m: p.at.east,
                        north_m: p.at.north,
                    })
                    .collect()
            })
            .collect(),
        speeds: found
            .paths
            .iter()
            .flat_map(|path| speeds(path, found))
            .collect(),
        stops: (found.stops.iter())
            .map(|stop| [stop.from, stop.to].map(|t| found.clock.time(t)))
            .collect(),
    }
}

/// Length of the means in the speed-over-time chart, s: short enough to show a turn,
/// long enough to hide the position's noise.
const SPEED_MEAN_S: f64 = 10.0;

fn speeds(path: &[PathPoint], found: &Segmented) -> Vec<SpeedPoint> {
    let sampled = Sampled::new(path, SPEED_MEAN_S);
    sampled
        .points
        .windows(2)
        .enumerate()
        .map(|(index, pair)| SpeedPoint {
            time: found.clock.time(sampled.edge(index + 1)),
            speed_m_s: pair[0].distance(pair[1]) / SPEED_MEAN_S,
        })
        .collect()
}
