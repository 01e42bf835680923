//! A simulated day: lived through from a scenario and a seed, and as a GPX file.

use std::fmt::Write as _;

use rand::SeedableRng;
use rand_pcg::Pcg64;

use super::outing;
use super::recorder;
use super::scenario::Scenario;
use super::truth::{Truth, truth};
use super::voyage::{STEP_S, Voyage};
use crate::track::{Fix, Position, RecordedTrack, Recording, Waypoint};

/// A simulated day: what the recorder kept, and the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct SimulatedDay {
    /// Fixes per segment, as the recorder kept them.
    pub segments: Vec<Vec<Fix>>,
    /// Places marked on the plotter.
    pub waypoints: Vec<Waypoint>,
    /// What really happened.
    pub truth: Truth,
    /// Decimals of a degree the recorder stores.
    pub decimals: u8,
}

impl SimulatedDay {
    /// All fixes in order of time, over all segments.
    pub fn fixes(&self) -> impl Iterator<Item = &Fix> {
        self.segments.iter().flatten()
    }

    /// The day as if read from a file of this name.
    pub fn recording(&self, file: &str) -> Recording {
        Recording {
            file: file.to_owned(),
            tracks: vec![RecordedTrack {
                name: Some(self.truth.name.clone()),
                segments: self.segments.clone(),
            }],
            waypoints: self.waypoints.clone(),
            points_met: self.segments.iter().map(Vec::len).sum(),
            ..Recording::default()
        }
    }
}

/// Sets the receiver's random numbers apart from the sea's; any number would do.
const RECEIVER_STREAM: u64 = 0x7ec0;

/// Lives through a scenario.
///
/// The same scenario and seed give the same day. A scenario without configurations, lines or
/// blocks gives a day without a trial; a day is cut off after 24 hours.
pub fn simulate(scenario: &Scenario, seed: u64) -> SimulatedDay {
    simulate_in_steps(scenario, seed, STEP_S)
}

/// The same with another step of the equations of motion, s, from 0.1 to 1.
///
/// Coarser steps are quicker and give other days, as if from another seed; steady speeds do not
/// depend on the step.
pub fn simulate_in_steps(scenario: &Scenario, seed: u64, step_s: f64) -> SimulatedDay {
    live(scenario, seed, step_s, |_, _| ()).0
}

/// Lives through a scenario, and looks at the voyage and what came of it before they are forgotten.
pub(super) fn live<T>(
    scenario: &Scenario,
    seed: u64,
    step_s: f64,
    look: impl FnOnce(&Voyage, &Truth) -> T,
) -> (SimulatedDay, T) {
    let step_s = step_s.clamp(0.1, 1.0);
    // Two streams, so that another recorder sees the same day.
    let sea = Pcg64::seed_from_u64(seed);
    let mut receiver = Pcg64::seed_from_u64(seed ^ RECEIVER_STREAM);
    let mut voyage = Voyage::new(scenario, step_s, sea);
    let diary = outing::spend_day(&mut voyage);

    let waypoints = diary
        .marks
        .iter()
        .filter_map(|mark| {
            let moment = voyage.moments.get(mark.moment)?;
            Some(Waypoint {
                name: mark.name.clone(),
                time: Some(scenario.at(moment.t)),
                position: recorder::stored_position(scenario, moment.place)?,
            })
        })
        .collect();
    let truth = truth(&voyage, &diary, seed);
    let seen = look(&voyage, &truth);
    let day = SimulatedDay {
        segments: recorder::record(scenario, &voyage.moments, &mut receiver),
        waypoints,
        truth,
        decimals: scenario.recorder.decimals,
    };
    (day, seen)
}

/// Which GPX is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GpxStyle {
    /// GPX 1.1: position and time only.
    V1_1,
    /// GPX 1.0: with `<course>` and `<speed>` (m/s) where the recorder stored them.
    V1_0,
}

/// Who wrote the file.
const CREATOR: &str = "thereback rehearse";

impl SimulatedDay {
    /// The day as a GPX file, positions with as many decimals as the recorder stores.
    ///
    /// The same day gives the same bytes. Element order and attributes follow the GPX 1.1 schema
    /// (topografix.com/GPX/1/1/gpx.xsd) and the GPX 1.0 schema.
    pub fn to_gpx(&self, style: GpxStyle) -> Vec<u8> {
        let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        let (version, space) = match style {
            GpxStyle::V1_1 => ("1.1", "http://www.topografix.com/GPX/1/1"),
            GpxStyle::V1_0 => ("1.0", "http://www.topografix.com/GPX/1/0"),
        };
        // Writing to a string cannot fail.
        let _ = writeln!(
            out,
            "<gpx version=\"{version}\" creator=\"{CREATOR}\" xmlns=\"{space}\">"
        );
        for waypoint in &self.waypoints {
            self.write_waypoint(&mut out, waypoint);
        }
        let _ = writeln!(out, "<trk><name>{}</name>", escaped(&self.truth.name));
        for segment in &self.segments {
            out.push_str("<trkseg>\n");
            for fix in segment {
                self.write_fix(&mut out, fix, style);
            }
            out.push_str("</trkseg>\n");
        }
        out.push_str("</trk>\n</gpx>\n");
        out.into_bytes()
    }

    fn write_waypoint(&self, out: &mut String, waypoint: &Waypoint) {
        self.write_place(out, "wpt", waypoint.position);
        if let Some(time) = waypoint.time {
            let _ = write!(out, "<time>{time}</time>");
        }
        let _ = writeln!(out, "<name>{}</name></wpt>", escaped(&waypoint.name));
    }

    fn write_fix(&self, out: &mut String, fix: &Fix, style: GpxStyle) {
        self.write_place(out, "trkpt", fix.position);
        let _ = write!(out, "<time>{}</time>", fix.time);
        if style == GpxStyle::V1_0 {
            if let Some(course) = fix.course {
                let _ = write!(out, "<course>{}</course>", course.degrees());
            }
            if let Some(speed) = fix.speed {
                let _ = write!(out, "<speed>{:.3}</speed>", speed.as_metres_per_second());
            }
        }
        out.push_str("</trkpt>\n");
    }

    fn write_place(&self, out: &mut String, element: &str, position: Position) {
        let decimals = usize::from(self.decimals);
        let _ = write!(
            out,
            "<{element} lat=\"{:.decimals$}\" lon=\"{:.decimals$}\">",
            position.latitude(),
            position.longitude()
        );
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}
