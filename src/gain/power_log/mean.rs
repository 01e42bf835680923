//! The mean draw over a span of time, and the energy.

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
}

/// Fewest readings whose scatter tells of slow change: two for each of the four slowest cosines, as for speed.
const FEWEST_FOR_SCATTER: usize = 8;

/// The points from `start` to `end`, seconds; `None` where fewer than two lie there or a gap, those
/// at the ends counted, is longer than `longest_gap_s`.
fn covering(points: &[Point], [start, end]: [f64; 2], longest_gap_s: f64) -> Option<&[Point]> {
    let from = points.partition_point(|p| p.t < start);
    let to = points.partition_point(|p| p.t <= end);
    let inside = points.get(from..to).filter(|inside| inside.len() > 1)?;
    let times = || inside.iter().map(|p| p.t);
    let gaps = std::iter::once(start)
        .chain(times())
        .zip(times().chain([end]));
    let mut gaps = gaps.map(|(before, after)| after - before);
    gaps.all(|gap| gap <= longest_gap_s).then_some(inside)
}

/// The mean of the points over a span, seconds; `None` where they do not cover it.
///
/// Readings are taken as evenly spaced, which loggers keep to.
pub fn mean_draw(points: &[Point], span: [f64; 2], longest_gap_s: f64) -> Option<MeanDraw> {
    let inside = covering(points, span, longest_gap_s)?;
    let watts: Vec<f64> = inside.iter().map(|p| p.watts).collect();
    let amps: Vec<f64> = inside.iter().filter_map(|p| p.amps).collect();
    let se = (watts.len() >= FEWEST_FOR_SCATTER)
        .then(|| mean_by_cosines(&watts, 0.95))
        .flatten()
        .map(|e| e.se);
    Some(MeanDraw {
        watts: mean(&watts)?,
        se,
        amps: (amps.len() == inside.len()).then(|| mean(&amps)).flatten(),
    })
}

/// The energy over a span, J, by the trapezoidal rule; `None` where the points do not cover it.
pub fn energy(points: &[Point], span: [f64; 2], longest_gap_s: f64) -> Option<f64> {
    let inside = covering(points, span, longest_gap_s)?;
    let pair = |p: &[Point]| match p {
        [a, b] => (b.t - a.t) * f64::midpoint(a.watts, b.watts),
        _ => 0.0,
    };
    Some(inside.windows(2).map(pair).sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_with_a_long_gap_is_not_covered() {
        let at = |t: f64| Point {
            t,
            watts: 100.0,
            amps: None,
            volts: None,
            line: 2,
        };
        let points: Vec<Point> = (0..100).map(|t| at(f64::from(t))).collect();
        let joules = energy(&points, [0.0, 99.0], 60.0);
        assert!(joules.is_some_and(|j| (j - 9900.0).abs() < 1e-9));
        assert_eq!(mean_draw(&points, [0.0, 200.0], 60.0), None);
        assert!(mean_draw(&points, [0.0, 120.0], 60.0).is_some_and(|m| m.amps.is_none()));
    }
}
