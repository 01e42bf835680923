//! The reading of the day: legs with approach and steady part, double runs, parts and settings,
//! the wind off the bow.
//!
//! [`segment`] reads a day in two rounds. The first knows nothing but the tracks: stretches become
//! legs, and one scored search decides which of them are the trial, how they pair, where the part
//! was changed and which setting each had. Where a person said something of the day, the legs are
//! corrected by it and the search runs once more with what is then known.

mod approach;
mod corrections;
mod day;
mod left_out;
mod leg;
mod marks;
mod parts;
mod run;
mod series;
mod speed;
mod stops;
mod swaps;
mod trial;
mod wind_label;

use serde::Serialize;

pub use approach::{ApproachRules, Settling, settling};
pub use left_out::LeftOut;
pub use leg::Leg;
pub use marks::*;
pub use parts::{Assigned, AssignedRun, Line, OtherReading};
pub use run::Run;
pub use series::SeriesRules;
pub use speed::{Measured, SpeedRules, measure};
pub use stops::Stop;
pub use trial::TrialRules;
pub use wind_label::{WindLabel, label, off_bow};

use crate::geometry::{Clock, Motions, PathPoint, Plane, Record, Stretch, StretchRules, stretches};
use crate::track::Track;
use corrections::{Corrected, corrected};
use day::{Day, DayReading, read_day};
use series::Known;
use trial::{Pair, Version};

/// The rules of geometry and segmenter.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct SegmentRules {
    /// Stretches on one heading.
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

/// What was found in the tracks of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Segmented {
    /// A plane that touches at the trial, for drawing.
    pub plane: Plane,
    /// The clock.
    pub clock: Clock,
    /// Each track on the plane.
    pub paths: Vec<Vec<PathPoint>>,
    /// Each track.
    pub records: Vec<Record>,
    /// Legs in order of time.
    pub legs: Vec<Leg>,
    /// Lines on which double runs were made.
    pub lines: Vec<Line>,
    /// Double runs in order of time.
    pub runs: Vec<Run>,
    /// Times at which the boat lay idle or was not recorded, in order.
    pub stops: Vec<Stop>,
    /// How the boat gathers speed.
    pub settling: Option<Settling>,
}

impl Segmented {
    /// The last number that a leg has.
    pub fn last_number(&self) -> usize {
        self.legs.iter().map(|leg| leg.number).max().unwrap_or(0)
    }
}

/// Finds legs, double runs, parts and settings in tracks that are in order of time.
///
/// `None` where there is no track at all.
pub fn segment(
    tracks: &[Track],
    marks: &Marks,
    rules: &SegmentRules,
) -> Option<(Segmented, Assigned)> {
    let clock = Clock::from(tracks.first()?.start());
    let records: Vec<Record> = tracks.iter().map(|t| Record::of(t, clock)).collect();
    let mut spans: Vec<(usize, Stretch)> = Vec::new();
    let mut velocities = Vec::new();
    for (track, record) in records.iter().enumerate() {
        let motions = Motions::of(&record.unrolled(), &rules.stretch);
        let found = stretches(&motions, &rules.stretch);
        spans.extend(found.into_iter().map(|s| (track, s)));
        velocities.extend(motions.velocities());
    }
    let paths: Vec<Vec<PathPoint>> = spans
        .iter()
        .filter_map(|(track, s)| {
            let record = records.get(*track)?;
            let plane = Plane::at(record.position(s.start)?);
            Some(record.on(&plane, s.start, s.end))
        })
        .collect();
    let settling = settling(&paths, &rules.approach);
    let measure = |number: usize, track: usize, span: [f64; 2]| {
        Leg::new(number, track, records.get(track)?, span, settling, rules)
    };
    let (whole, doubts): (Vec<Leg>, Vec<Vec<f64>>) = spans
        .iter()
        .filter_map(|(track, s)| Some((measure(0, *track, [s.start, s.end])?, s.doubts.clone())))
        .unzip();
    let versions = versions(&whole, &doubts, &measure, rules);
    let day = Day {
        versions: &versions,
        whole: &whole,
        velocities: &velocities,
        rules,
    };
    let readings = read_day(&day, |_| Known::default());
    let legs = legs_of(&whole, &versions, readings.first());
    let found = Found::new(legs, &versions, &readings);

    let (found, readings, mut assigned) = if marks.is_empty() {
        let assigned = parts::named(&found.runs, &readings);
        (found, readings, assigned)
    } else {
        let recordings: Vec<usize> = tracks.iter().map(Track::recording).collect();
        let edits = corrected(found.legs.clone(), marks, clock, &recordings, &measure);
        again(&found, edits, marks, clock, &velocities, rules)
    };
    let Found { mut legs, runs } = found;
    let lines = parts::lines(&mut legs, &runs);
    let stops = stops::stops(&velocities, &runs);
    parts::tell_readings(&mut assigned, &readings);
    let plane = Plane::at(match runs.first().and_then(|run| legs.get(run.legs[0])) {
        Some(leg) => leg.start_position,
        None => {
            let longest = tracks.iter().max_by_key(|t| t.fixes().len())?;
            longest.fixes().get(longest.fixes().len() / 2)?.position
        }
    });
    let paths = records
        .iter()
        .map(|record| record.on(&plane, f64::NEG_INFINITY, f64::INFINITY))
        .collect();
    let segmented = Segmented {
        plane,
        clock,
        paths,
        records,
        legs,
        lines,
        runs,
        stops,
        settling,
    };
    Some((segmented, assigned))
}

/// Legs, and the double runs that the best reading makes of them.
struct Found {
    legs: Vec<Leg>,
    runs: Vec<Run>,
}

impl Found {
    fn new(legs: Vec<Leg>, versions: &[Version], readings: &[DayReading]) -> Self {
        let pairs: &[Pair] = readings.first().map_or(&[], |r| &r.pairs);
        let runs = (pairs.iter())
            .filter_map(|pair| Run::of(pair, versions, &legs))
            .collect();
        Self { legs, runs }
    }
}

/// The second round: legs as corrected, and what the notes say of parts and settings.
fn again(
    before: &Found,
    edits: Corrected,
    marks: &Marks,
    clock: Clock,
    velocities: &[(f64, [f64; 2])],
    rules: &SegmentRules,
) -> (Found, Vec<DayReading>, Assigned) {
    let Corrected {
        legs,
        taken_in,
        paired,
        mut objections,
    } = edits;
    let versions: Vec<Version> = legs
        .iter()
        .enumerate()
        .map(|(index, leg)| Version {
            leg: leg.clone(),
            stretches: [index, index],
            recut: false,
            taken_in: taken_in.contains(&leg.number),
            only_with: (paired.iter())
                .find(|pair| pair.contains(&leg.number))
                .map(|pair| {
                    if pair[0] == leg.number {
                        pair[1]
                    } else {
                        pair[0]
                    }
                }),
        })
        .collect();
    let day = Day {
        versions: &versions,
        whole: &legs,
        velocities,
        rules,
    };
    let gaps = stops::stops(velocities, &before.runs);
    let swaps = swaps::resolve(marks, before, &gaps, clock, &mut objections);
    let known = |pairs: &[Pair], settings: bool| Known {
        parts: swaps.as_ref().map(|swaps| {
            let middle = |p: &Pair| f64::midpoint(p.start, p.end);
            pairs.iter().map(|p| swaps.part_at(middle(p))).collect()
        }),
        order: (swaps.is_none() && marks.configurations.len() > 1).then(|| marks.order()),
        settings: (settings && !marks.settings.is_empty()).then_some(marks.settings.len()),
    };
    // What the notes say counts for as long as some reading bears it out.
    let unordered = |known: Known| Known {
        order: None,
        ..known
    };
    let readings = [
        read_day(&day, |p| known(p, true)),
        read_day(&day, |p| known(p, false)),
        read_day(&day, |p| unordered(known(p, true))),
        read_day(&day, |p| unordered(known(p, false))),
    ]
    .into_iter()
    .find(|readings| !readings.is_empty())
    .unwrap_or_default();
    let found = Found::new(legs, &versions, &readings);
    let mut assigned = parts::named(&found.runs, &readings);
    parts::noted(&mut assigned, marks, swaps.as_ref(), &mut objections);
    corrections::cells(&mut assigned, &found, marks, clock, &mut objections);
    corrections::unpaired(before, &found, marks, clock, &mut objections);
    assigned.objections = objections;
    (found, readings, assigned)
}

/// The legs as a reading has them: those of its double runs, and what they leave of the others.
fn legs_of(whole: &[Leg], versions: &[Version], reading: Option<&DayReading>) -> Vec<Leg> {
    let pairs: &[Pair] = reading.map_or(&[], |r| &r.pairs);
    let used: Vec<&Version> = (pairs.iter())
        .flat_map(|pair| pair.legs)
        .filter_map(|i| versions.get(i))
        .collect();
    let mut covered = vec![false; whole.len()];
    for version in &used {
        let [first, last] = version.stretches;
        for slot in covered.get_mut(first..=last).unwrap_or_default() {
            *slot = true;
        }
    }
    let mut legs: Vec<Leg> = (whole.iter().zip(&covered))
        .filter(|(_, covered)| !**covered)
        .map(|(leg, _)| leg.clone())
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
    doubts: &[Vec<f64>],
    measure: &impl Fn(usize, usize, [f64; 2]) -> Option<Leg>,
    rules: &SegmentRules,
) -> Vec<Version> {
    let mut versions = Vec::new();
    let shortest = rules.stretch.shortest_s;
    for (index, (own, doubts)) in whole.iter().zip(doubts).enumerate() {
        let mut add = |leg: Option<Leg>, last: usize, recut: bool| {
            versions.extend(leg.map(|leg| Version {
                leg,
                stretches: [index, last],
                recut,
                taken_in: false,
                only_with: None,
            }));
        };
        add(Some(own.clone()), index, false);
        for doubt in doubts {
            for span in [[own.start, *doubt], [*doubt, own.end]] {
                if span[1] - span[0] >= shortest {
                    add(measure(0, own.track, span), index, true);
                }
            }
        }
        if let Some(next) = whole.get(index + 1)
            && next.track == own.track
            && next.start - own.end <= rules.trial.turn_s
            && same_way(own, next, rules)
        {
            add(
                measure(0, own.track, [own.start, next.end]),
                index + 1,
                true,
            );
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
