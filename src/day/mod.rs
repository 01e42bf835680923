//! A day on the water in its own terms: its legs, lines and double runs, its wind and drifts.
//!
//! The segmenter counts seconds and metres on planes; here they become times, positions, numbers
//! and names, and what surrounds the runs is read: the wind (given, logged, or read off the drift
//! of the idle boat), speed against heading, full circles.

mod leg;
pub(crate) use leg::{Before, double_runs, legs, lines};
pub use leg::{CourseLine, DoubleRun, Leg};

mod trail;
pub(crate) use trail::trail;
pub use trail::{SpeedPoint, Trail, TrailPoint};

mod headings;
pub use headings::HeadingFit;
pub(crate) use headings::heading_fits;

mod circles;
pub use circles::TurningCircle;
pub(crate) use circles::{against_legs, circles};

mod wind;
pub use wind::{DayRules, IdleDrift, Wind, WindRules, WindSource};
pub(crate) use wind::{Stops, WindKnown, idle_drifts, wind};

mod covariate;
pub(crate) use covariate::logged;
pub use covariate::{LoggedRun, WindCovariate};

pub mod idle;

pub mod wind_log;

pub mod beaufort;
