//! Ground and paper: the track on its plane, and true-aspect scales over parts of it.

use geo::Coord;

use crate::day::{CourseLine, Leg};
use crate::geometry::{Plane, PlanePoint};
use crate::plotter::PlotError;
use crate::plotter::axis;
use crate::plotter::day::Day;
use crate::plotter::layout::Layout;
use crate::plotter::place::{Area, Pt};
use crate::plotter::sheet::{Scale, Sheet};
use crate::plotter::thin;
use crate::trial::Trial;
use crate::units::SpeedUnit;

/// What there is to draw, metres on one plane.
pub(crate) struct Ground<'a> {
    /// The track as recorded.
    pub(crate) runs: Vec<Vec<PlanePoint>>,
    /// The legs.
    pub(crate) legs: Vec<GroundLeg<'a>>,
    /// The course lines: number, one end, the other.
    pub(crate) lines: Vec<GroundLine>,
}

/// A leg on the plane.
pub(crate) struct GroundLeg<'a> {
    /// The leg.
    pub(crate) leg: &'a Leg,
    /// Where it starts.
    pub(crate) start: PlanePoint,
    /// Where its steady part begins.
    pub(crate) steady: Option<PlanePoint>,
    /// Where it ends.
    pub(crate) end: PlanePoint,
}

/// A course line on the plane.
pub(crate) struct GroundLine {
    /// Direction, degrees true in `[0, 180)`.
    pub(crate) axis_deg: f64,
    /// One end.
    pub(crate) from: PlanePoint,
    /// The other.
    pub(crate) to: PlanePoint,
}

/// The course lines of double runs; all where there is none.
pub(crate) fn run_lines(analysis: &Trial) -> impl Iterator<Item = &CourseLine> {
    analysis.lines.iter().filter(|line| {
        let mut runs = analysis.double_runs.iter();
        analysis.double_runs.is_empty() || runs.any(|run| run.line == line.line)
    })
}

impl<'a> Ground<'a> {
    /// Everything of the day on one plane; none where there is neither track nor leg.
    pub(crate) fn of(day: &Day<'a>) -> Option<Self> {
        let analysis = day.analysis;
        let plane = analysis
            .trail()
            .plane
            .or_else(|| Some(Plane::at(analysis.legs.first()?.start_position)))?;
        let legs: Vec<_> = analysis
            .legs
            .iter()
            .map(|leg| GroundLeg {
                leg,
                start: plane.project(leg.start_position),
                steady: leg.steady_position.map(|p| plane.project(p)),
                end: plane.project(leg.end_position),
            })
            .filter(|leg| on_earth(leg.start) && on_earth(leg.end))
            .collect();
        let runs: Vec<Vec<PlanePoint>> = analysis
            .trail()
            .runs
            .iter()
            .map(|run| {
                run.iter()
                    .map(|p| PlanePoint {
                        east: p.east_m,
                        north: p.north_m,
                    })
                    .filter(|p| on_earth(*p))
                    .collect()
            })
            .collect();
        let lines = run_lines(analysis)
            .map(|line| GroundLine {
                axis_deg: line.axis_deg,
                from: plane.project(line.from),
                to: plane.project(line.to),
            })
            .filter(|line| line.from.distance(line.to) > 0.0 && line.axis_deg.is_finite())
            .collect();
        let empty = legs.is_empty() && runs.iter().all(|run| run.len() < 2);
        (!empty).then_some(Self { runs, legs, lines })
    }

    /// The box round all of it.
    pub(crate) fn whole(&self) -> Extent {
        let ends = self.legs.iter().flat_map(|leg| [leg.start, leg.end]);
        Extent::round(self.runs.iter().flatten().copied().chain(ends))
    }

    /// The box round what the trial used: the legs of double runs, else all legs, else everything.
    pub(crate) fn trial(&self) -> Extent {
        let used = self.legs.iter().filter(|leg| leg.leg.double_run.is_some());
        let ends = |leg: &GroundLeg| [leg.start, leg.end];
        if self.legs.iter().any(|leg| leg.leg.double_run.is_some()) {
            Extent::round(used.flat_map(ends))
        } else if self.legs.is_empty() {
            self.whole()
        } else {
            Extent::round(self.legs.iter().flat_map(ends))
        }
    }
}

/// No point of the earth lies farther than its diameter from another, metres.
const FARTHEST_M: f64 = 1.3e7;

fn on_earth(point: PlanePoint) -> bool {
    point.east.abs() <= FARTHEST_M && point.north.abs() <= FARTHEST_M
}

/// A box on the plane, metres.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    east: [f64; 2],
    north: [f64; 2],
}

/// The least a map shows, metres: a boat that lay still all day still gets a map.
const LEAST_EXTENT_M: f64 = 60.0;

impl Extent {
    fn round(points: impl Iterator<Item = PlanePoint>) -> Self {
        let points: Vec<PlanePoint> = points.collect();
        Self {
            east: axis::padded(points.iter().map(|p| p.east), 0.0, LEAST_EXTENT_M),
            north: axis::padded(points.iter().map(|p| p.north), 0.0, LEAST_EXTENT_M),
        }
    }

    /// Longest way across, metres.
    pub(crate) fn diagonal(self) -> f64 {
        (self.east[1] - self.east[0]).hypot(self.north[1] - self.north[0])
    }

    /// The same with this share of the diagonal added on every side.
    pub(crate) fn padded(self, share: f64) -> Self {
        let pad = self.diagonal() * share;
        Self {
            east: [self.east[0] - pad, self.east[1] + pad],
            north: [self.north[0] - pad, self.north[1] + pad],
        }
    }

    /// Height for one of width.
    pub(crate) fn aspect(self) -> f64 {
        (self.north[1] - self.north[0]) / (self.east[1] - self.east[0])
    }
}

/// A part of the ground on paper: a unit east is as long as a unit north.
pub(crate) struct Map<'a> {
    scale: Scale<'a>,
    thinning: f64,
}

impl<'a> Map<'a> {
    /// Fits an extent into an area, adding ground on the sides where it is the wrong shape.
    pub(crate) fn new(
        sheet: &Sheet<'a>,
        layout: Layout,
        area: Area,
        extent: Extent,
    ) -> Result<Self, PlotError> {
        let across = extent.east[1] - extent.east[0];
        let up = extent.north[1] - extent.north[0];
        let per_unit = (across / area.width()).max(up / area.height());
        let grown = |[low, high]: [f64; 2], length: f64| {
            let middle = f64::midpoint(low, high);
            middle - length / 2.0..middle + length / 2.0
        };
        Ok(Self {
            scale: sheet.scale(
                area,
                grown(extent.east, per_unit * area.width()),
                grown(extent.north, per_unit * area.height()),
            )?,
            thinning: layout.pick(THINNING[0], THINNING[1]),
        })
    }

    /// Where it lies on the sheet.
    pub(crate) fn area(&self) -> Area {
        self.scale.area
    }

    /// Where a point of the ground lies on the sheet.
    pub(crate) fn at(&self, point: PlanePoint) -> Pt {
        self.scale.at(point.east, point.north)
    }

    /// Metres for each unit of the sheet.
    pub(crate) fn metres_per_unit(&self) -> f64 {
        1.0 / self.scale.per_x()
    }

    /// A run of points thinned to what can be seen here, on the sheet.
    pub(crate) fn thinned(&self, run: &[PlanePoint]) -> Vec<Pt> {
        let ground: Vec<Coord<f64>> = run
            .iter()
            .map(|p| Coord {
                x: p.east,
                y: p.north,
            })
            .collect();
        thin::thinned(&ground, self.thinning * self.metres_per_unit())
            .into_iter()
            .map(|p| self.scale.at(p.x, p.y))
            .collect()
    }

    /// The corners of another extent as it lies here.
    pub(crate) fn outline(&self, extent: Extent) -> Area {
        let corner = |east: usize, north: usize| {
            self.at(PlanePoint {
                east: extent.east[east],
                north: extent.north[north],
            })
        };
        let (upper, lower) = (corner(0, 1), corner(1, 0));
        Area::new(upper.x, upper.y, lower.x, lower.y)
    }

    /// The ground shown.
    pub(crate) fn extent(&self) -> Extent {
        let (east, north) = self.scale.ranges();
        Extent {
            east: [east.start, east.end],
            north: [north.start, north.end],
        }
    }
}

/// How far a thinned line may lie from the track, units of the chart: half a pixel at 720, and the width
/// of its line on a phone, where two maps in one page would else make it twice as large.
const THINNING: [f64; 2] = [0.4, 0.9];

/// A round length for a scale bar.
pub(crate) struct Bar {
    /// Its length, metres.
    pub(crate) metres: f64,
    /// How it is written.
    pub(crate) label: String,
}

/// The longest round length not above `limit_m`, in the distance that goes with the unit of speed.
pub(crate) fn scale_bar(limit_m: f64, unit: SpeedUnit) -> Bar {
    let (long, long_m) = unit.long_distance();
    let (short, short_m) = unit.short_distance();
    // The long distance from a tenth of it up: `0.2 nmi` reads, `0.05 nmi` does not.
    let (symbol, length) = if limit_m >= SHORTEST_LONG * long_m {
        (long, long_m)
    } else {
        (short, short_m)
    };
    let count = axis::round_down(limit_m / length);
    Bar {
        metres: count * length,
        label: format!("{count}\u{a0}{symbol}"),
    }
}

/// The least of a long distance that is still written in it.
const SHORTEST_LONG: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn bar(limit_m: f64, unit: SpeedUnit, label: &str) {
        assert_eq!(scale_bar(limit_m, unit).label.replace('\u{a0}', " "), label);
    }

    #[test]
    fn scale_bars_are_round_in_the_right_distance() {
        bar(300.0, SpeedUnit::Knots, "200 m");
        bar(1000.0, SpeedUnit::Knots, "0.5 nmi");
        bar(4000.0, SpeedUnit::Knots, "2 nmi");
        bar(300.0, SpeedUnit::MilesPerHour, "500 ft");
        bar(1700.0, SpeedUnit::MilesPerHour, "1 mi");
        bar(5200.0, SpeedUnit::KilometresPerHour, "5 km");
        bar(0.7, SpeedUnit::MetresPerSecond, "0.5 m");
    }
}
