//! The reading of the day: legs with approach and steady part, double runs, parts and settings,
//! the wind off the bow.

mod approach;
mod day;
mod left_out;
mod leg;
mod marks;
mod run;
mod series;
mod speed;
mod trial;
mod wind_label;

use serde::Serialize;

pub use approach::{ApproachRules, Settling, settling};
pub use left_out::LeftOut;
pub use leg::Leg;
pub use marks::*;
pub use run::Run;
pub use series::SeriesRules;
pub use speed::{Measured, SpeedRules, measure};
pub use trial::TrialRules;
pub use wind_label::{WindLabel, label, off_bow};

use crate::geometry::{Clock, Motions, Record, StretchRules, stretches};
use crate::track::Track;

/// The rules of geometry and segmenter.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct SegmentRules {
    /// Straight stretches.
    pub stretch: StretchRules,
    /// Approach and steady part.
    pub approach: ApproachRules,
    /// Speed along a leg.
    pub speed: SpeedRules,
    /// Which legs are the trial.
    pub trial: TrialRules,
    /// Parts and settings.
    pub series: SeriesRules,
}

pub struct Found {
    pub legs: Vec<Leg>,
    pub runs: Vec<Run>,
    pub cells: Vec<(usize, usize)>,
    pub scores: Vec<f64>,
}

pub fn find(tracks: &[Track], rules: &SegmentRules) -> Option<Found> {
    let clock = Clock::from(tracks.first()?.start());
    let records: Vec<Record> = tracks.iter().map(|t| Record::of(t, clock)).collect();
    let mut spans = Vec::new();
    let mut velocities = Vec::new();
    for (track, record) in records.iter().enumerate() {
        let motions = Motions::of(&record.unrolled(), &rules.stretch);
        spans.extend(stretches(&motions, &rules.stretch).into_iter().map(|s| (track, s)));
        velocities.extend(motions.velocities());
    }
    let paths: Vec<_> = spans
        .iter()
        .filter_map(|(track, s)| {
            let record = records.get(*track)?;
            let plane = crate::geometry::Plane::at(record.position(s.start)?);
            Some(record.on(&plane, s.start, s.end))
        })
        .collect();
    let settling = settling(&paths, &rules.approach);
    let leg = |number: usize, track: usize, span: [f64; 2]| {
        Leg::new(number, track, records.get(track)?, span, settling, rules)
    };
    let whole: Vec<Leg> = spans
        .iter()
        .enumerate()
        .filter_map(|(k, (track, s))| leg(k + 1, *track, [s.start, s.end]))
        .collect();
    let doubts: Vec<&[f64]> = spans.iter().map(|s| s.1.doubts.as_slice()).collect();
    let versions = versions(&whole, &doubts, |track, span| leg(0, track, span), rules);
    let readings = day::read_day(&versions, &whole, &velocities, rules, |_| Default::default());
    let scores = readings.iter().map(|r| r.score).collect();
    let best = readings.into_iter().next();
    let (pairs, cells) = best.map_or((vec![], vec![]), |b| (b.pairs, b.cells));
    let legs = settled(&whole, &versions, &pairs);
    let runs = pairs.iter().filter_map(|p| Run::of(p, &versions, &legs)).collect();
    Some(Found { legs, runs, cells, scores })
}

/// The legs as the reading has them: those of its double runs, and what they leave of the others.
fn settled(whole: &[Leg], versions: &[trial::Version], pairs: &[trial::Pair]) -> Vec<Leg> {
    let used: Vec<&trial::Version> = (pairs.iter())
        .flat_map(|pair| pair.legs)
        .filter_map(|i| versions.get(i))
        .collect();
    let covered = |i: usize| used.iter().any(|v| (v.stretches[0]..=v.stretches[1]).contains(&i));
    let mut legs: Vec<Leg> = (whole.iter().enumerate())
        .filter(|(index, _)| !covered(*index))
        .map(|(_, leg)| leg.clone())
        .chain(used.iter().map(|v| v.leg.clone()))
        .collect();
    legs.sort_by(|a, b| a.start.total_cmp(&b.start));
    for (index, leg) in legs.iter_mut().enumerate() {
        leg.number = index + 1;
    }
    legs
}

/// Every leg as it was found, and as it may have been run besides: parted where there is a doubt,
/// joined with the next where that goes on the same way.
fn versions(
    whole: &[Leg],
    doubts: &[&[f64]],
    leg: impl Fn(usize, [f64; 2]) -> Option<Leg>,
    rules: &SegmentRules,
) -> Vec<trial::Version> {
    let mut versions = Vec::new();
    let shortest = rules.stretch.shortest_s;
    for (index, (own, doubts)) in whole.iter().zip(doubts).enumerate() {
        let mut add = |leg: Option<Leg>, last: usize, recut: bool| {
            versions.extend(leg.map(|leg| trial::Version { leg, stretches: [index, last], recut }));
        };
        add(Some(own.clone()), index, false);
        for doubt in *doubts {
            for span in [[own.start, *doubt], [*doubt, own.end]] {
                if span[1] - span[0] >= shortest {
                    add(leg(own.track, span), index, true);
                }
            }
        }
        if let Some(next) = whole.get(index + 1)
            && next.track == own.track
            && next.start - own.end <= rules.trial.turn_s
            && same_way(own, next, rules)
        {
            add(leg(own.track, [own.start, next.end]), index + 1, true);
        }
    }
    versions
}

/// Whether two legs lie within what a course held and a bend allow.
fn same_way(a: &Leg, b: &Leg, rules: &SegmentRules) -> bool {
    let course = |leg: &Leg| leg.measured.as_ref().and_then(|m| m.motion.course());
    match (course(a), course(b)) {
        (Some(a), Some(b)) => a.apart(b) <= 4.0 * rules.stretch.yaw_deg,
        _ => false,
    }
}
