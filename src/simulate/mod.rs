//! Simulated trial days with known truth, from a seed.
//!
//! A [`Scenario`] says where, with what boat, how it is steered and recorded, and what is done on
//! the day; [`simulate`] lives through it and gives the track as the recorder kept it, together
//! with what really happened. The same scenario and seed give the same day, to the bit.
//!
//! # Example: a day and its answer
//! ```
//! use thereback::simulate::{lake, simulate};
//! let day = simulate(&lake(), 1);
//! assert!(!day.truth.double_runs.is_empty());
//! assert!(day.segments.iter().map(Vec::len).sum::<usize>() > 100);
//! ```

mod scenario;

mod physics;

mod weather;

mod voyage;

mod outing;

mod recorder;

mod truth;

mod day;

mod motor;

mod samples;

#[cfg(test)]
mod tests;

pub use day::{GpxStyle, SimulatedDay, simulate, simulate_in_steps};
pub use motor::{Drawing, Motor, TrueCellDraw, TrueDraw, simulate_drawing};
pub use samples::{Sample, firth, lake, samples};
pub use scenario::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Sampling, Scenario, Steering,
    Water, Wind,
};
pub use truth::{TrueChange, TrueConfiguration, TrueDoubleRun, TrueFlow, TrueLeg, TrueWind, Truth};
