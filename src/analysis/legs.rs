//! Puts what the segmenter found into the result's own terms: seconds become
//! times, plane points become positions, indices become numbers and names.

use super::result::{CourseLine, DoubleRun, Leg, SpeedPoint, Trail, TrailPoint};
use crate::geometry::{Motion, PathPoint, PlanePoint, Sampled};
use crate::segmenter;
use crate::segmenter::{Assigned, Segmented, label, off_bow};
use crate::stats::circular::resultant;
use crate::track::{Fix, Track};
use crate::units::{Bearing, Distance, Speed, Turn};

/// All legs of the result.
pub(super) fn legs(
    found: &Segmented,
    assigned: &Assigned,
    tracks: &[Track],
    wind_from: Option<Bearing>,
) -> Vec<Leg> {
    found
        .legs
        .iter()
        .enumerate()
        .filter_map(|(index, leg)| one_leg(index, leg, found, assigned, tracks, wind_from))
        .collect()
}

fn one_leg(
    index: usize,
    leg: &segmenter::Leg,
    found: &Segmented,
    assigned: &Assigned,
    tracks: &[Track],
    wind_from: Option<Bearing>,
) -> Option<Leg> {
    let track = tracks.get(leg.track)?;
    let measured = leg.measured.as_ref();
    let path = found
        .records
        .get(leg.track)?
        .on(&leg.plane, leg.start, leg.end);
    let motion = measured.map_or_else(|| Motion::fit(&path), |m| Some(m.motion))?;
    let course = leg.plane.true_course(motion.course()?, motion.middle);
    let run = found.runs.iter().position(|run| run.legs.contains(&index));
    let own = run.and_then(|run| assigned.runs.get(run));
    let reason = leg
        .left_out
        .as_ref()
        .map(ToString::to_string)
        .or_else(|| own.is_none().then(|| "not part of a double run".to_owned()));
    let off = wind_from.map(|from| off_bow(from, course));
    let steady_from = leg.steady_from;
    let fixes = steady_from.map_or(&[][..], |from| {
        fixes_between(track, found, from, leg.steady_to)
    });
    let record = found.records.get(leg.track)?;
    Some(Leg {
        leg: leg.number,
        day: 1,
        track: track.recording(),
        start: found.clock.time(leg.start),
        steady_from: steady_from.map(|t| found.clock.time(t)),
        end: found.clock.time(leg.end),
        duration_s: leg.duration(),
        length_m: motion.speed() * leg.duration(),
        fixes: measured.map_or(0, |m| m.fixes),
        course_deg: course.degrees(),
        speed_m_s: measured.map(|m| m.speed),
        speed_se_m_s: measured.and_then(|m| m.se),
        low_m_s: measured.and_then(|m| m.held).map(|held| held[0]),
        high_m_s: measured.and_then(|m| m.held).map(|held| held[1]),
        cross_track_rms_m: measured
            .map_or_else(|| motion.cross_track_rms(&path), |m| m.cross_track_rms),
        recorded_speed_m_s: mean_of(fixes, |f| f.speed.map(Speed::as_metres_per_second)),
        depth_m: mean_of(fixes, |f| f.depth.map(Distance::as_metres)),
        heading_deg: mean_heading(fixes).map(Bearing::degrees),
        water_speed_m_s: mean_of(fixes, |f| f.water_speed.map(Speed::as_metres_per_second)),
        wind_off_bow_deg: off.map(Turn::degrees),
        wind_label: off.map(label),
        line: leg.line.map(|line| line + 1),
        double_run: run.map(|run| run + 1),
        configuration: own.and_then(|o| assigned.configurations.get(o.configuration).cloned()),
        setting: own.and_then(|o| assigned.settings.get(o.setting).cloned()),
        included: reason.is_none(),
        reason,
        start_position: leg.start_position,
        steady_position: steady_from.and_then(|t| record.position(t)),
        end_position: leg.end_position,
    })
}

fn fixes_between<'t>(track: &'t Track, found: &Segmented, from: f64, to: f64) -> &'t [Fix] {
    let (from, to) = (found.clock.time(from), found.clock.time(to));
    let fixes = track.fixes();
    let start = fixes.partition_point(|f| f.time < from);
    let end = fixes.partition_point(|f| f.time <= to).max(start);
    fixes.get(start..end).unwrap_or_default()
}

/// Mean of what most fixes carry; `None` where fewer than half do.
fn mean_of(fixes: &[Fix], value: impl Fn(&Fix) -> Option<f64>) -> Option<f64> {
    let values: Vec<f64> = fixes.iter().filter_map(value).collect();
    if values.is_empty() || values.len() * 2 < fixes.len() {
        return None;
    }
    crate::stats::summary::mean(&values)
}

/// Circular mean of the headings that most fixes carry; `None` where fewer than half do, or where
/// they cancel.
fn mean_heading(fixes: &[Fix]) -> Option<Bearing> {
    let headings: Vec<Bearing> = fixes.iter().filter_map(|f| f.heading).collect();
    if headings.len() * 2 < fixes.len() {
        return None;
    }
    resultant(&headings)?.mean
}

/// All double runs of the result.
pub(super) fn double_runs(found: &Segmented, assigned: &Assigned) -> Vec<DoubleRun> {
    found
        .runs
        .iter()
        .zip(&assigned.runs)
        .enumerate()
        // Another reading of the day may leave some of them out.
        .filter(|(_, (_, own))| !own.left_out)
        .map(|(index, (run, own))| DoubleRun {
            double_run: index + 1,
            day: 1,
            legs: run.legs.map(|leg| number(leg, found)),
            line: run.line + 1,
            axis_deg: run.axis.degrees(),
            at: found.clock.time(run.middle()),
            mean_m_s: run.speed,
            mean_se_m_s: run.se,
            root_mean_square_m_s: run.root_mean_square(),
            half_difference_m_s: run.drift_along,
            configuration: name(&assigned.configurations, own.configuration),
            setting: name(&assigned.settings, own.setting),
        })
        .collect()
}

/// The number of the leg at an index.
pub(super) fn number(leg: usize, found: &Segmented) -> usize {
    found.legs.get(leg).map_or(leg + 1, |l| l.number)
}

pub(super) fn name(names: &[String], index: usize) -> String {
    names.get(index).cloned().unwrap_or_default()
}

/// The lines of the result.
pub(super) fn lines(found: &Segmented) -> Vec<CourseLine> {
    found
        .lines
        .iter()
        .enumerate()
        .filter_map(|(index, line)| {
            let plane = found.plane?;
            let (east, north) = line.axis.unit();
            let ends: Vec<PlanePoint> = (line.legs.iter())
                .filter_map(|leg| found.legs.get(*leg))
                .flat_map(|leg| [leg.start_position, leg.end_position])
                .map(|position| plane.project(position))
                .collect();
            let along: Vec<f64> = ends
                .iter()
                .map(|p| p.east * east + p.north * north)
                .collect();
            let abeam: Vec<f64> = ends
                .iter()
                .map(|p| p.east * north - p.north * east)
                .collect();
            let (low, high) = (along.iter().copied())
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                    (a.min(v), b.max(v))
                });
            let side = crate::stats::summary::mean(&abeam)?;
            let end = |along: f64| {
                plane.position(PlanePoint {
                    east: along * east + side * north,
                    north: along * north - side * east,
                })
            };
            Some(CourseLine {
                line: index + 1,
                axis_deg: line.axis.degrees(),
                from: end(low)?,
                to: end(high)?,
                length_m: high - low,
                legs: line.legs.iter().map(|leg| number(*leg, found)).collect(),
            })
        })
        .collect()
}

/// The track for drawing.
pub(super) fn trail(found: &Segmented) -> Trail {
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
