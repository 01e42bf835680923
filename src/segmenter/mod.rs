//! The reading of the day: legs with approach and steady part, double runs, parts and settings,
//! the wind off the bow.
//!
//! [`DayRead::of`] reads a day from nothing but its tracks: stretches become legs, and one scored
//! search decides which of them are the trial, how they pair, where the part was changed and which
//! setting each had. Where a person said something of the day, [`DayRead::again`] runs the search
//! once more over the legs as corrected, with what is then known. This module knows no notes.

mod approach;
mod leg;
mod reading;
mod rules;
mod run;
mod series;
mod stops;
mod trial;
mod wind_label;

use std::f64::consts::SQRT_2;

use serde::Serialize;

pub use approach::{ApproachRules, Settling, settling};
pub use leg::{LeftOut, Leg, Measured, SpeedRules};
pub use reading::{Assigned, AssignedRun, Line, OtherReading};
pub use rules::TrialRules;
pub use run::Run;
pub use series::Known;
pub use stops::Stop;
pub use wind_label::{WindLabel, label, off_bow};

use crate::geometry::{Clock, Motions, PathPoint, Plane, Record, Stretch, StretchRules, stretches};
use crate::track::Track;
use reading::{DayReading, read_day};
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
    /// Which legs are the trial, and how parts and settings were run.
    pub trial: TrialRules,
}

/// What was found in the tracks of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Segmented {
    /// A plane that touches at the trial, for drawing; `None` where nothing was recorded.
    pub plane: Option<Plane>,
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

/// A day as it was read so far.
#[derive(Debug, Clone)]
pub struct DayRead {
    clock: Clock,
    records: Vec<Record>,
    recordings: Vec<usize>,
    velocities: Vec<(f64, [f64; 2])>,
    settling: Option<Settling>,
    rules: SegmentRules,
    /// Legs in order of time.
    pub legs: Vec<Leg>,
    /// Double runs in order of time.
    pub runs: Vec<Run>,
    readings: Vec<DayReading>,
    free: usize,
}

/// Legs that a person corrected, and what is known of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Corrected {
    /// In order of time.
    pub legs: Vec<Leg>,
    /// Numbers of those that belong to the trial.
    pub taken_in: Vec<usize>,
    /// Numbers of those that make a double run.
    pub paired: Vec<[usize; 2]>,
}

impl DayRead {
    /// Finds legs, double runs, parts and settings in tracks that are in order of time.
    ///
    /// `None` where there is no track at all.
    pub fn of(tracks: &[Track], rules: &SegmentRules) -> Option<Self> {
        let clock = Clock::from(tracks.first()?.start());
        let records: Vec<Record> = tracks.iter().map(|t| Record::of(t, clock)).collect();
        let mut spans: Vec<(usize, Stretch)> = Vec::new();
        let mut velocities = Vec::new();
        for (track, record) in records.iter().enumerate() {
            let motions = Motions::of(&record.unrolled(), &rules.stretch);
            let found = stretches(&motions, &rules.stretch);
            let long = found
                .into_iter()
                .filter(|s| s.duration() >= rules.approach.shortest_leg_s());
            spans.extend(long.map(|s| (track, s)));
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
        let mut day = Self {
            clock,
            settling: settling(&paths, &rules.approach),
            records,
            recordings: tracks.iter().map(Track::recording).collect(),
            velocities,
            rules: rules.clone(),
            legs: Vec::new(),
            runs: Vec::new(),
            readings: Vec::new(),
            free: 0,
        };
        let (whole, doubts): (Vec<Leg>, Vec<Vec<(f64, f64)>>) = spans
            .iter()
            .filter_map(|(track, s)| {
                Some((day.measure(0, *track, [s.start, s.end])?, s.doubts.clone()))
            })
            .unzip();
        let versions = day.versions(&whole, &doubts);
        let known = |_: &[Pair]| Known::default();
        day.readings = read_day(&versions, &whole, &day.velocities, &rules.trial, known);
        day.legs = legs_of(&whole, &versions, day.readings.first());
        day.runs = day.runs_of(&versions);
        day.free = day.legs.len() + 1;
        Some(day)
    }

    /// Reads the day once more, with legs as corrected and what is known of the double runs.
    ///
    /// `known` is asked of the middles in time of the double runs that a reading chooses, s. Whatever
    /// it says counts for as long as some reading agrees with it: first all, then without the number
    /// of settings, then without the order of the parts.
    #[must_use]
    pub fn again(mut self, corrected: Corrected, known: impl Fn(&[f64]) -> Known) -> Self {
        let partner = |number: usize| {
            let pair = corrected
                .paired
                .iter()
                .find(|pair| pair.contains(&number))?;
            pair.iter().copied().find(|n| *n != number)
        };
        self.legs = corrected.legs;
        let versions: Vec<Version> = (self.legs.iter().enumerate())
            .map(|(index, leg)| Version {
                taken_in: corrected.taken_in.contains(&leg.number),
                only_with: partner(leg.number),
                ..Version::of(leg.clone(), [index, index], 0.0)
            })
            .collect();
        let read = |(settings, order): (bool, bool)| {
            let known = |pairs: &[Pair]| {
                let middles = pairs.iter().map(|p| f64::midpoint(p.start, p.end));
                let known = known(&middles.collect::<Vec<f64>>());
                Known {
                    settings: known.settings.filter(|_| settings),
                    order: known.order.filter(|_| order),
                    ..known
                }
            };
            read_day(
                &versions,
                &self.legs,
                &self.velocities,
                &self.rules.trial,
                known,
            )
        };
        let readings = [(true, true), (false, true), (true, false), (false, false)]
            .into_iter()
            .map(read)
            .find(|readings| !readings.is_empty());
        self.readings = readings.unwrap_or_default();
        self.runs = self.runs_of(&versions);
        self
    }

    /// Numbers the legs from `first` on; `free` is the first number that no leg of the trial has.
    pub fn number_legs(&mut self, first: usize, free: usize) {
        for (number, leg) in (first..).zip(&mut self.legs) {
            leg.number = number;
        }
        self.free = free;
    }

    /// A number that no leg of the trial has, for the second half of a leg that is cut.
    pub fn free_number(&self) -> usize {
        self.free
    }

    /// The clock.
    pub fn clock(&self) -> Clock {
        self.clock
    }

    /// The recording of a track.
    pub fn recording(&self, track: usize) -> Option<usize> {
        self.recordings.get(track).copied()
    }

    /// A leg of this number between two times of a track, measured; `None` where there is no
    /// record of it.
    pub fn measure(&self, number: usize, track: usize, span: [f64; 2]) -> Option<Leg> {
        let record = self.records.get(track)?;
        Leg::new(number, track, record, span, self.settling, &self.rules)
    }

    /// Times at which the boat lay idle or was not recorded, in order.
    pub fn stops(&self) -> Vec<Stop> {
        stops::stops(
            &self.velocities,
            self.runs.iter().map(|run| (run.speed, run.drift())),
            &self.rules.trial,
        )
    }

    /// What the double runs are called where nobody named them.
    pub fn assigned(&self) -> Assigned {
        reading::named(&self.readings)
    }

    /// All that was found.
    pub fn finish(mut self) -> Segmented {
        let lines = reading::lines(&mut self.legs, &self.runs);
        let stops = self.stops();
        let first = self.runs.first().and_then(|run| self.legs.get(run.legs[0]));
        let longest = (self.records.iter()).max_by_key(|record| record.times().len());
        let middle = longest
            .and_then(|record| record.position(*record.times().get(record.times().len() / 2)?));
        let plane = first
            .map(|leg| leg.start_position)
            .or(middle)
            .map(Plane::at);
        let paths = plane.map_or_else(Vec::new, |plane| {
            (self.records.iter())
                .map(|record| record.on(&plane, f64::NEG_INFINITY, f64::INFINITY))
                .collect()
        });
        Segmented {
            plane,
            clock: self.clock,
            paths,
            records: self.records,
            legs: self.legs,
            lines,
            runs: self.runs,
            stops,
            settling: self.settling,
        }
    }

    fn runs_of(&self, versions: &[Version]) -> Vec<Run> {
        let pairs: &[Pair] = self.readings.first().map_or(&[], |r| &r.pairs);
        (pairs.iter())
            .filter_map(|pair| Run::of(pair, versions, &self.legs))
            .collect()
    }

    /// Every leg as it was found, and as it may have been run besides: parted where there is a
    /// doubt, joined with the next where that goes on the same way.
    fn versions(&self, whole: &[Leg], doubts: &[Vec<(f64, f64)>]) -> Vec<Version> {
        let mut versions = Vec::new();
        let shortest = self.rules.approach.shortest_leg_s();
        for (index, (own, doubts)) in whole.iter().zip(doubts).enumerate() {
            versions.push(Version::of(own.clone(), [index, index], 0.0));
            let mut add = |span: [f64; 2], last: usize, cost: f64| {
                let leg = self.measure(0, own.track, span);
                versions.extend(leg.map(|leg| Version::of(leg, [index, last], cost)));
            };
            let parts = doubts
                .iter()
                .flat_map(|(at, short)| [([own.start, *at], *short), ([*at, own.end], *short)]);
            for (span, short) in parts.filter(|([from, to], _)| to - from >= shortest) {
                add(span, index, short);
            }
            if let Some(next) = whole.get(index + 1)
                && next.track == own.track
                && next.start - own.end <= self.rules.trial.turn_s
                && goes_on(own, next, &self.rules.stretch)
            {
                add(
                    [own.start, next.end],
                    index + 1,
                    self.rules.trial.odd() / 2.0,
                );
            }
        }
        versions
    }
}

/// The legs as a reading has them: those of its double runs, and what they leave of the others.
fn legs_of(whole: &[Leg], versions: &[Version], reading: Option<&DayReading>) -> Vec<Leg> {
    let pairs: &[Pair] = reading.map_or(&[], |r| &r.pairs);
    let used: Vec<&Version> = (pairs.iter())
        .flat_map(|pair| pair.legs)
        .filter_map(|i| versions.get(i))
        .collect();
    let covered =
        |index: usize| (used.iter()).any(|v| (v.stretches[0]..=v.stretches[1]).contains(&index));
    let left = whole
        .iter()
        .enumerate()
        .filter(|(index, _)| !covered(*index));
    let mut legs: Vec<Leg> = (left.map(|(_, leg)| leg))
        .chain(used.iter().map(|v| &v.leg))
        .cloned()
        .collect();
    legs.sort_by(|a, b| a.start.total_cmp(&b.start));
    for (index, leg) in legs.iter_mut().enumerate() {
        leg.number = index + 1;
    }
    legs
}

/// Whether the second of two legs goes on like the first, within what a bend and a gust allow: of a
/// difference that is `√2` times what one of them may be off by.
fn goes_on(a: &Leg, b: &Leg, rules: &StretchRules) -> bool {
    let motion = |leg: &Leg| leg.measured.as_ref().map(|m| m.motion);
    let of = motion(a).zip(motion(b)).and_then(|(a, b)| {
        let apart = a.course()?.apart(b.course()?) / rules.yaw_deg;
        let faster = rules.scaled(a.speed()) - rules.scaled(b.speed());
        Some(apart.max(faster.abs()))
    });
    of.is_some_and(|off| off <= rules.off * SQRT_2)
}
