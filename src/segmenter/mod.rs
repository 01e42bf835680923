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
    let legs: Vec<Leg> = spans
        .iter()
        .enumerate()
        .filter_map(|(k, (track, s))| {
            Leg::new(k + 1, *track, records.get(*track)?, [s.start, s.end], settling, (&rules.approach, &rules.speed))
        })
        .collect();
    let readings = day::read_day(&legs, &velocities, rules, |_| Default::default());
    let scores = readings.iter().map(|r| r.score).collect();
    let best = readings.into_iter().next();
    let (runs, cells) = best.map_or((vec![], vec![]), |b| {
        (b.pairs.iter().filter_map(|p| Run::of(p, &legs)).collect(), b.cells)
    });
    Some(Found { legs, runs, cells, scores })
}
