//! Labels what geometry found: legs with approach and steady part, course lines,
//! double runs, configurations and settings, the wind off the bow.

mod approach;
mod assign;
mod bridge;
mod clear;
mod double_runs;
mod groups;
mod idle;
mod left_out;
mod marks;
mod no_runs;
mod speed;
mod stops;
mod wind_label;

use serde::Serialize;

pub use approach::{ApproachRules, Settling, settling};
pub use assign::{Assigned, AssignedRun, assign};
pub use bridge::{BridgeRules, bridge};
pub use double_runs::{DoubleRunRules, FoundDoubleRun, find_double_runs};
pub(crate) use groups::injections;
pub use groups::{Confidence, GroupRules, Groups, Run, group};
pub use idle::{Drift, Idle, IdleKind, IdleRules, common_drift, idle};
pub use left_out::LeftOut;
pub use marks::{ConfigurationMark, LegMark, Marks, SettingMark};
pub use speed::{Measured, SpeedRules, measure};
pub use stops::{StopRules, stops};
pub use wind_label::{WindLabel, label, off_bow};

use crate::geometry::{
    Clock, Line, Motion, PathPoint, Plane, ReversalRules, Stretch, StretchRules, between,
    find_lines, find_stretches, path_of,
};
use crate::stats::circular::weighted_resultant;
use crate::track::Track;
use crate::units::Bearing;

/// The rules of geometry and segmenter.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct SegmentRules {
    /// Holes within a leg.
    pub bridge: BridgeRules,
    /// Straight stretches.
    pub stretch: StretchRules,
    /// Reversals along a line.
    pub reversal: ReversalRules,
    /// Approach and steady part.
    pub approach: ApproachRules,
    /// Speed along a leg.
    pub speed: SpeedRules,
    /// Double runs.
    pub double_run: DoubleRunRules,
    /// Stops.
    pub stop: StopRules,
    /// What the boat did at them.
    pub idle: IdleRules,
    /// Configurations and settings.
    pub group: GroupRules,
}

/// A stretch on one steady heading, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundLeg {
    /// Index of its track.
    pub track: usize,
    /// Where it lies in time and on the plane.
    pub stretch: Stretch,
    /// End of the approach, s; `None` where the boat never settled.
    pub steady_from: Option<f64>,
    /// End of the steady part, s.
    pub steady_to: f64,
    /// What was measured over the steady part.
    pub measured: Option<Measured>,
    /// Whether the recording breaks off at one of its ends, so that more of it may have been run.
    pub cut: bool,
    /// Index of its line.
    pub line: Option<usize>,
    /// Why it is left out; `None` where it is not.
    pub left_out: Option<LeftOut>,
}

impl FoundLeg {
    /// Whether it may enter a double run.
    pub fn is_usable(&self) -> bool {
        self.measured.is_some() && self.left_out.is_none()
    }
}

/// What was found in the tracks of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Segmented {
    /// The plane.
    pub plane: Plane,
    /// The clock.
    pub clock: Clock,
    /// Each track on the plane.
    pub paths: Vec<Vec<PathPoint>>,
    /// Legs in order of time.
    pub legs: Vec<FoundLeg>,
    /// Lines that two or more legs share.
    pub lines: Vec<Line>,
    /// Double runs in order of time.
    pub double_runs: Vec<FoundDoubleRun>,
    /// Times at which the boat lay idle or was not recorded, s, in order.
    pub stops: Vec<(f64, f64)>,
    /// What it did at each of them.
    pub idles: Vec<Idle>,
    /// How the boat gathers speed.
    pub settling: Option<Settling>,
}

/// Finds legs, lines and double runs in tracks that are in order of time.
///
/// `None` where there is no track at all.
pub fn segment(tracks: &[Track], marks: &Marks, rules: &SegmentRules) -> Option<Segmented> {
    let first = tracks.first()?;
    let clock = Clock::from(first.start());
    let longest = tracks.iter().max_by_key(|t| t.fixes().len())?;
    let plane = Plane::at(longest.fixes().get(longest.fixes().len() / 2)?.position);
    let paths: Vec<Vec<PathPoint>> = tracks.iter().map(|t| path_of(t, &plane, clock)).collect();

    let mut stretches: Vec<(usize, Stretch)> = Vec::new();
    let mut drifts: Vec<Stretch> = Vec::new();
    for (track, path) in paths.iter().enumerate() {
        let found = find_stretches(path, &rules.stretch);
        stretches.extend(found.running.into_iter().map(|s| (track, s)));
        drifts.extend(found.drifting);
    }
    if let Some(common) = common_course(&drifts) {
        stretches.retain(|(_, stretch)| {
            stretch.motion.speed() > rules.stretch.idle_fastest_m_s
                || stretch.course.apart(common) > DRIFTING_WITHIN_DEG
        });
    }
    let telling: Vec<(&[PathPoint], Stretch)> = stretches
        .iter()
        .filter_map(|(track, stretch)| Some((paths.get(*track)?.as_slice(), *stretch)))
        .collect();
    let settling = settling(&telling, &rules.approach);
    let mut legs: Vec<FoundLeg> = stretches
        .iter()
        .filter_map(|(track, stretch)| {
            Some(leg(*track, *stretch, paths.get(*track)?, settling, rules))
        })
        .collect();
    leave_out(&mut legs, marks, clock);

    let bare: Vec<Stretch> = legs.iter().map(|l| l.stretch).collect();
    let lines = find_lines(&bare, &rules.reversal);
    for (index, line) in lines.iter().enumerate() {
        for member in &line.members {
            if let Some(leg) = legs.get_mut(*member) {
                leg.line = Some(index);
            }
        }
    }
    let double_runs = find_double_runs(&mut legs, &lines, &rules.double_run, &rules.reversal);
    let slowest = double_runs
        .iter()
        .map(FoundDoubleRun::mean)
        .min_by(f64::total_cmp);
    let stops = stops(&paths, slowest, &rules.stop);
    let idles = idles(&paths, &stops, rules);
    Some(Segmented {
        plane,
        clock,
        paths,
        legs,
        lines,
        double_runs,
        stops,
        idles,
        settling,
    })
}

/// What the boat did at each stop; one that no recording covers stays unclear.
fn idles(paths: &[Vec<PathPoint>], stops: &[(f64, f64)], rules: &SegmentRules) -> Vec<Idle> {
    let covers = |path: &[PathPoint], from: f64| {
        let ends = path.first().zip(path.last());
        ends.is_some_and(|(first, last)| first.t <= from && from < last.t)
    };
    let judged = |&(from, to): &(f64, f64)| {
        let own = paths.iter().find(|path| covers(path, from));
        let path = own.map(Vec::as_slice).unwrap_or_default();
        let before = Motion::fit(between(path, from - rules.stop.sample_s, from));
        let way = before.map(|motion| [motion.east_m_s, motion.north_m_s]);
        idle(path, from, to, way, &rules.idle)
    };
    stops.iter().map(judged).collect()
}

/// A slow stretch this near the direction of the day's drift is drift, degrees: gusts swing it so far.
const DRIFTING_WITHIN_DEG: f64 = 45.0;

/// Length of the mean vector of drift directions from which on they have one in common.
/// Slow runs there and back cancel and stay below it.
const COMMON_DRIFT: f64 = 0.7;

/// The direction in which the boat drifts all day, where there is one.
fn common_course(drifts: &[Stretch]) -> Option<Bearing> {
    let courses: Vec<Bearing> = drifts.iter().map(|d| d.course).collect();
    let durations: Vec<f64> = drifts.iter().map(Stretch::duration).collect();
    let common = weighted_resultant(&courses, &durations)?;
    (drifts.len() >= 3 && common.length >= COMMON_DRIFT)
        .then_some(common.mean)
        .flatten()
}

fn leg(
    track: usize,
    stretch: Stretch,
    path: &[PathPoint],
    settling: Option<Settling>,
    rules: &SegmentRules,
) -> FoundLeg {
    let approach = &rules.approach;
    let seconds = settling.map_or(approach.default_s, |s| {
        s.seconds_until(approach.settled_within, stretch.motion.speed())
            .clamp(approach.shortest_s, approach.longest_s)
    });
    let steady_from = stretch.start + seconds;
    let steady_to = stretch.end - approach.end_margin_s;
    let settled = steady_to - steady_from >= approach.shortest_steady_s;
    let measured = settled
        .then(|| measure(between(path, steady_from, steady_to), &rules.speed))
        .flatten();
    FoundLeg {
        track,
        stretch,
        steady_from: settled.then_some(steady_from),
        steady_to,
        measured,
        cut: is_cut(&stretch, path),
        line: None,
        left_out: (!settled).then(|| LeftOut::TooShort {
            lasted_s: stretch.duration(),
            needed_s: seconds,
        }),
    }
}

/// A recording that says nothing for this long next to a leg hides the rest of it, s: in less the
/// boat does not turn about (common practice, no source).
const HIDDEN_S: f64 = 20.0;

/// Whether a hole of the recording, or one of its ends, touches a stretch.
fn is_cut(stretch: &Stretch, path: &[PathPoint]) -> bool {
    let next = path.partition_point(|p| p.t <= stretch.end);
    let first = path.partition_point(|p| p.t < stretch.start);
    let hole = |before: Option<&PathPoint>, after: Option<&PathPoint>| match (before, after) {
        (Some(a), Some(b)) => b.t - a.t > HIDDEN_S,
        _ => true,
    };
    hole(
        next.checked_sub(1).and_then(|i| path.get(i)),
        path.get(next),
    ) || hole(
        first.checked_sub(1).and_then(|i| path.get(i)),
        path.get(first),
    )
}

/// Leaves out the legs that the notes leave out.
fn leave_out(legs: &mut [FoundLeg], marks: &Marks, clock: Clock) {
    for mark in &marks.legs {
        let Some(reason) = &mark.exclude else {
            continue;
        };
        let at = clock.seconds(mark.at);
        if let Some(leg) = legs
            .iter_mut()
            .find(|l| (l.stretch.start..=l.stretch.end).contains(&at))
        {
            leg.left_out = Some(LeftOut::Noted(reason.clone()));
        }
    }
}
