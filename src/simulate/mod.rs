//! Simulated trial days with known truth, from a seed.
//!
//! A [`Scenario`] says where, with what boat, how it is steered and recorded, and what is done on
//! the day; [`simulate`] lives through it and gives the track as the recorder kept it, together
//! with what really happened. The same scenario and seed give the same day, to the bit.
//!
//! # Example: a day and its answer
//! ```
//! use thereback::simulate::{simulate, varied_scenario};
//! let day = simulate(&varied_scenario(1), 1);
//! assert!(!day.truth.double_runs.is_empty());
//! assert!(day.segments.iter().map(Vec::len).sum::<usize>() > 100);
//! ```

mod answer;
mod balance;
mod draw;
mod fishing;
mod gpx;
mod helm;
mod noise;
mod outing;
mod physics;
mod plane;
mod presets;
mod record;
mod samples;
mod scenario;
mod truth;
mod varied;
mod voyage;
mod weather;

#[cfg(test)]
mod tests;

pub use draw::{Drawing, Motor, TrueCellDraw, TrueDraw, simulate_drawing};
pub use gpx::GpxStyle;
pub use presets::{firth, lake};
pub use samples::{Sample, samples};
pub use scenario::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Sampling, Scenario, Steering,
    Water, Wind,
};
pub use truth::{TrueChange, TrueConfiguration, TrueDoubleRun, TrueFlow, TrueLeg, TrueWind, Truth};
pub use varied::{days, varied_order, varied_scenario};

use rand::SeedableRng;
use rand_pcg::Pcg64;

use crate::track::{Fix, RecordedTrack, Recording, Waypoint};

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
    simulate_in_steps(scenario, seed, voyage::STEP_S)
}

/// The same with another step of the equations of motion, s, from 0.1 to 1.
///
/// Coarser steps are quicker and give other days, as if from another seed; steady speeds do not depend on the step.
pub fn simulate_in_steps(scenario: &Scenario, seed: u64, step_s: f64) -> SimulatedDay {
    live(scenario, seed, step_s, |_, _| ()).0
}

/// Lives through a scenario, and looks at the voyage and what came of it before they are forgotten.
fn live<T>(
    scenario: &Scenario,
    seed: u64,
    step_s: f64,
    look: impl FnOnce(&voyage::Voyage, &Truth) -> T,
) -> (SimulatedDay, T) {
    let step_s = step_s.clamp(0.1, 1.0);
    // Two streams, so that another recorder sees the same day.
    let sea = Pcg64::seed_from_u64(seed);
    let mut receiver = Pcg64::seed_from_u64(seed ^ RECEIVER_STREAM);
    let plane = plane::Plane::around(scenario.latitude_deg, scenario.longitude_deg);

    let first = scenario.boat.configurations.first().cloned();
    let first = first.unwrap_or(Configuration {
        name: String::new(),
        thrust_factor: 1.0,
        drag_factor: 1.0,
        mass_factor: 1.0,
    });
    let hull = physics::Craft::new(&scenario.boat, &first);
    let mut voyage = voyage::Voyage::new(scenario, hull, step_s, sea);
    let diary = outing::spend_day(&mut voyage);

    let waypoints = diary
        .marks
        .iter()
        .filter_map(|mark| {
            let moment = voyage.moments.get(mark.moment)?;
            let place = plane.position(moment.place.east, moment.place.north)?;
            Some(Waypoint {
                name: mark.name.clone(),
                time: Some(answer::at(scenario, moment.t)),
                position: record::rounded(place, scenario.recorder.decimals)?,
            })
        })
        .collect();
    let truth = answer::truth(&voyage, &diary, seed);
    let seen = look(&voyage, &truth);
    let day = SimulatedDay {
        segments: record::record(scenario, &voyage.moments, &plane, &mut receiver),
        waypoints,
        truth,
        decimals: scenario.recorder.decimals,
    };
    (day, seen)
}
