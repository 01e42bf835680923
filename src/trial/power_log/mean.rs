//! The mean draw over a span of time.

use super::Point;
use crate::stats::series::mean_by_cosines;
use crate::stats::summary::mean;

/// The mean draw over a span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanDraw {
    /// Power, W.
    pub watts: f64,
    /// Its standard error, autocorrelation allowed for as for speed; `None` for too few readings.
    pub se: Option<f64>,
    /// Current, A, where logged.
    pub amps: Option<f64>,
    /// Readings it rests on.
    pub readings: usize,
}

/// Fewest readings whose scatter tells of slow change: two for each of the four slowest cosines, as for speed.
const FEWEST_FOR_SCATTER: usize = 8;

/// The mean of the points from `start` to `end`, seconds; `None` where fewer than two lie there.
///
/// Readings are taken as evenly spaced, which loggers keep to.
pub fn mean_draw(points: &[Point], start: f64, end: f64) -> Option<MeanDraw> {
    let from = points.partition_point(|p| p.t < start);
    let to = points.partition_point(|p| p.t <= end);
    let inside = points.get(from..to)?;
    if inside.len() < 2 {
        return None;
    }
    let watts: Vec<f64> = inside.iter().map(|p| p.value).collect();
    let amps: Vec<f64> = inside.iter().filter_map(|p| p.amps).collect();
    let se = (watts.len() >= FEWEST_FOR_SCATTER)
        .then(|| mean_by_cosines(&watts, 0.95))
        .flatten()
        .map(|e| e.se);
    Some(MeanDraw {
        watts: mean(&watts)?,
        se,
        amps: (amps.len() == inside.len()).then(|| mean(&amps)).flatten(),
        readings: inside.len(),
    })
}
