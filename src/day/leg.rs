//! Legs, lines and double runs of a day in their own terms: times, positions, numbers and names.

use jiff::Timestamp;
use serde::Serialize;

use crate::geometry::{Motion, PlanePoint};
use crate::segmenter::{self, Assigned, Segmented, WindLabel, label, off_bow};
use crate::stats::circular::resultant;
use crate::stats::summary::mean;
use crate::track::{Fix, Position, Track};
use crate::units::{Bearing, Distance, Speed, Turn};

/// A stretch on one steady heading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leg {
    /// Number, from 1, in order of time.
    pub leg: usize,
    /// The day, from 1; 1 where there is one only.
    pub day: usize,
    /// Which track (index into the list of tracks) it lies in.
    pub track: usize,
    /// The turn before it is over.
    pub start: Timestamp,
    /// The approach is over; from here it is measured. `None` where it never settled.
    pub steady_from: Option<Timestamp>,
    /// The turn after it begins.
    pub end: Timestamp,
    /// From start to end.
    pub duration_s: f64,
    /// Made good along the course from start to end.
    pub length_m: f64,
    /// Fixes in the steady part.
    pub fixes: usize,
    /// Course made good, degrees true.
    pub course_deg: f64,
    /// Speed over the ground along the course in the steady part.
    pub speed_m_s: Option<f64>,
    /// Its standard error, autocorrelation allowed for.
    pub speed_se_m_s: Option<f64>,
    /// Lower end of the range it consistently held (10th percentile of 10 s means).
    pub low_m_s: Option<f64>,
    /// Upper end of that range (90th percentile).
    pub high_m_s: Option<f64>,
    /// How far it strayed from its straight line, root mean square.
    pub cross_track_rms_m: f64,
    /// Mean of the speeds the recorder wrote, for comparison only.
    pub recorded_speed_m_s: Option<f64>,
    /// Mean depth over the steady part, where recorded.
    pub depth_m: Option<f64>,
    /// Mean heading over the steady part (circular), degrees true, where a compass was recorded.
    pub heading_deg: Option<f64>,
    /// Mean speed through the water over the steady part, where a log was recorded.
    pub water_speed_m_s: Option<f64>,
    /// Direction the wind comes from, off the bow: positive to starboard, `(-180, 180]`.
    pub wind_off_bow_deg: Option<f64>,
    /// The same in words.
    pub wind_label: Option<WindLabel>,
    /// The course line it lies on.
    pub line: Option<usize>,
    /// The double run it belongs to.
    pub double_run: Option<usize>,
    /// Configuration; `None` outside any double run.
    pub configuration: Option<String>,
    /// Setting; `None` outside any double run.
    pub setting: Option<String>,
    /// Whether it counts in the comparison.
    pub included: bool,
    /// Why it does not.
    pub reason: Option<String>,
    /// Where it starts.
    pub start_position: Position,
    /// Where its steady part begins.
    pub steady_position: Option<Position>,
    /// Where it ends.
    pub end_position: Position,
}

/// A line on the water that several legs share.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseLine {
    /// Number, from 1.
    pub line: usize,
    /// Direction of the line, degrees true in `[0, 180)`.
    pub axis_deg: f64,
    /// One end of the stretch of it that was used.
    pub from: Position,
    /// The other end.
    pub to: Position,
    /// Its length.
    pub length_m: f64,
    /// The legs on it, in order of time.
    pub legs: Vec<usize>,
}

/// Two legs there and back on one line, in the same configuration and setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubleRun {
    /// Number, from 1, in order of time.
    pub double_run: usize,
    /// The day, from 1; 1 where there is one only.
    pub day: usize,
    /// Its two legs, in order of time.
    pub legs: [usize; 2],
    /// The course line.
    pub line: usize,
    /// Direction of the line, degrees true in `[0, 180)`.
    pub axis_deg: f64,
    /// Middle of the double run in time.
    pub at: Timestamp,
    /// Speed through the water: half of the vector by which the two velocities differ.
    pub mean_m_s: f64,
    /// Its standard error from the two legs alone (the scatter between runs is not in it).
    pub mean_se_m_s: Option<f64>,
    /// Root mean square of the two speeds: exact for a steady force rather than a steady current.
    pub root_mean_square_m_s: f64,
    /// Half of what the run along `axis_deg` was faster than the run back: drift along the line.
    pub half_difference_m_s: f64,
    /// Configuration.
    pub configuration: String,
    /// Setting.
    pub setting: String,
}

/// How many of each there are before a day, over all days before it.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Before {
    /// Days.
    pub(crate) days: usize,
    /// Files.
    pub(crate) tracks: usize,
    /// Course lines.
    pub(crate) lines: usize,
    /// Double runs.
    pub(crate) runs: usize,
}

/// All legs of a day.
pub(crate) fn legs(
    found: &Segmented,
    assigned: &Assigned,
    tracks: &[Track],
    wind_from: Option<Bearing>,
    before: Before,
) -> Vec<Leg> {
    found
        .legs
        .iter()
        .enumerate()
        .filter_map(|(index, leg)| one_leg(index, leg, found, assigned, tracks, wind_from, before))
        .collect()
}

fn one_leg(
    index: usize,
    leg: &segmenter::Leg,
    found: &Segmented,
    assigned: &Assigned,
    tracks: &[Track],
    wind_from: Option<Bearing>,
    before: Before,
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
        day: before.days + 1,
        track: track.recording() + before.tracks,
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
        line: leg.line.map(|line| before.lines + line + 1),
        double_run: run.map(|run| before.runs + run + 1),
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
    mean(&values)
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

/// All double runs of a day, with the groups of a reading.
pub(crate) fn double_runs(
    found: &Segmented,
    assigned: &Assigned,
    before: Before,
) -> Vec<DoubleRun> {
    found
        .runs
        .iter()
        .zip(&assigned.runs)
        .enumerate()
        // Another reading of the day may leave some of them out.
        .filter(|(_, (_, own))| !own.left_out)
        .map(|(index, (run, own))| DoubleRun {
            double_run: before.runs + index + 1,
            day: before.days + 1,
            legs: run.legs.map(|leg| number(leg, found)),
            line: before.lines + run.line + 1,
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
pub(crate) fn number(leg: usize, found: &Segmented) -> usize {
    found.legs.get(leg).map_or(leg + 1, |l| l.number)
}

pub(crate) fn name(names: &[String], index: usize) -> String {
    names.get(index).cloned().unwrap_or_default()
}

/// The lines of a day.
pub(crate) fn lines(found: &Segmented, before: Before) -> Vec<CourseLine> {
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
            let side = mean(&abeam)?;
            let end = |along: f64| {
                plane.position(PlanePoint {
                    east: along * east + side * north,
                    north: along * north - side * east,
                })
            };
            Some(CourseLine {
                line: before.lines + index + 1,
                axis_deg: line.axis.degrees(),
                from: end(low)?,
                to: end(high)?,
                length_m: high - low,
                legs: line.legs.iter().map(|leg| number(*leg, found)).collect(),
            })
        })
        .collect()
}
