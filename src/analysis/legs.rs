//! Puts what the segmenter found into the result's own terms: seconds become
//! times, plane points become positions, indices become numbers and names.

use super::result::{CourseLine, DoubleRun, Leg, SpeedPoint, Trail, TrailPoint};
use crate::geometry::{PathPoint, PlanePoint, Sampled, between};
use crate::segmenter::{Assigned, FoundDoubleRun, FoundLeg, Segmented, label, off_bow};
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
    leg: &FoundLeg,
    found: &Segmented,
    assigned: &Assigned,
    tracks: &[Track],
    wind_from: Option<Bearing>,
) -> Option<Leg> {
    let stretch = &leg.stretch;
    let track = tracks.get(leg.track)?;
    let measured = leg.measured.as_ref();
    let motion = measured.map_or(stretch.motion, |m| m.motion);
    let course = found
        .plane
        .true_course(motion.course().unwrap_or(stretch.course), motion.middle);
    let run = found
        .double_runs
        .iter()
        .position(|run| run.legs.contains(&index));
    let own = run.and_then(|run| assigned.runs.get(run));
    let reason = leg
        .left_out
        .as_ref()
        .map(ToString::to_string)
        .or_else(|| match own {
            Some(run) => run.left_out.clone(),
            None => Some("not part of a double run".to_owned()),
        });
    let off = wind_from.map(|from| off_bow(from, course));
    let steady_from = leg.steady_from;
    let fixes = steady_from.map_or(&[][..], |from| {
        fixes_between(track, found, from, leg.steady_to)
    });
    let path = found.paths.get(leg.track)?;
    let place = |t: f64| found.plane.position(place_at(path, t)?);
    Some(Leg {
        leg: index + 1,
        day: 1,
        track: track.recording(),
        start: found.clock.time(stretch.start),
        steady_from: steady_from.map(|t| found.clock.time(t)),
        end: found.clock.time(stretch.end),
        duration_s: stretch.duration(),
        length_m: stretch.motion.speed() * stretch.duration(),
        fixes: measured.map_or(0, |m| m.fixes),
        course_deg: course.degrees(),
        speed_m_s: measured.map(|m| m.speed),
        speed_se_m_s: measured.and_then(|m| m.se),
        low_m_s: measured.and_then(|m| m.held).map(|held| held[0]),
        high_m_s: measured.and_then(|m| m.held).map(|held| held[1]),
        cross_track_rms_m: measured.map_or_else(
            || motion.cross_track_rms(between(path, stretch.start, stretch.end)),
            |m| m.cross_track_rms,
        ),
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
        start_position: place(stretch.start)?,
        steady_position: steady_from.and_then(place),
        end_position: place(stretch.end)?,
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

/// Where the path is at a time, on the straight line between fixes.
fn place_at(path: &[PathPoint], t: f64) -> Option<PlanePoint> {
    let after = path.partition_point(|p| p.t < t);
    let (Some(before), Some(next)) = (path.get(after.saturating_sub(1)), path.get(after)) else {
        return path.last().map(|p| p.at);
    };
    let span = next.t - before.t;
    let share = if span > 0.0 {
        ((t - before.t) / span).clamp(0.0, 1.0)
    } else {
        0.0
    };
    Some(PlanePoint {
        east: before.at.east + share * (next.at.east - before.at.east),
        north: before.at.north + share * (next.at.north - before.at.north),
    })
}

/// All double runs of the result.
pub(super) fn double_runs(found: &Segmented, assigned: &Assigned) -> Vec<DoubleRun> {
    found
        .double_runs
        .iter()
        .zip(&assigned.runs)
        .enumerate()
        .map(|(index, (run, own))| DoubleRun {
            double_run: index + 1,
            day: 1,
            legs: run.legs.map(|leg| leg + 1),
            line: run.line + 1,
            axis_deg: axis_deg(run.axis, run, found),
            at: found.clock.time(run.middle()),
            mean_m_s: run.mean(),
            mean_se_m_s: mean_se(run, found),
            root_mean_square_m_s: run.root_mean_square(),
            half_difference_m_s: run.half_difference(),
            configuration: name(&assigned.configurations, own.configuration),
            setting: name(&assigned.settings, own.setting),
            included: own.left_out.is_none(),
            reason: own.left_out.clone(),
        })
        .collect()
}

/// Standard error of the mean of the two speeds, from the legs' own.
pub(super) fn mean_se(run: &FoundDoubleRun, found: &Segmented) -> Option<f64> {
    let [a, b] = run
        .legs
        .map(|leg| found.legs.get(leg).and_then(|l| l.measured?.se));
    Some(a?.hypot(b?) / 2.0)
}

pub(super) fn name(names: &[String], index: usize) -> String {
    names.get(index).cloned().unwrap_or_default()
}

/// The axis as a true direction in `[0, 180)`, at the place of the run.
fn axis_deg(axis: Bearing, run: &FoundDoubleRun, found: &Segmented) -> f64 {
    let at = found
        .legs
        .get(run.legs[0])
        .map_or_else(PlanePoint::default, |l| l.stretch.motion.middle);
    found.plane.true_course(axis, at).degrees() % 180.0
}

/// The lines of the result.
pub(super) fn lines(found: &Segmented) -> Vec<CourseLine> {
    found
        .lines
        .iter()
        .enumerate()
        .filter_map(|(index, line)| {
            let (from, to) = (
                found.plane.position(line.from)?,
                found.plane.position(line.to)?,
            );
            Some(CourseLine {
                line: index + 1,
                axis_deg: found.plane.true_course(line.axis, line.from).degrees() % 180.0,
                from,
                to,
                length_m: line.from.distance(line.to),
                legs: line.members.iter().map(|leg| leg + 1).collect(),
            })
        })
        .collect()
}

/// The track for drawing.
pub(super) fn trail(found: &Segmented) -> Trail {
    Trail {
        plane: Some(found.plane),
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
