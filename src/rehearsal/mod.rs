//! A plan lived through many times, read by the same code that will read the real track.
//!
//! [`rehearse`] simulates days on which the change has a known size, from none to twice the change worth knowing,
//! and says how often each was shown, with notes of every swap and without any notes: pure, the same plan,
//! conditions and seed give the same figures whatever the number of threads. Every day has a seed of its own, and days
//! are counted, not summed, as they end.
//!
//! Boat, wind and recorder are models of our own ([`crate::rehearse`]): a rehearsal tells what a plan can do at
//! best, not what a crew will make of it.

mod conditions;

mod boat;

mod matched;

mod judge;

mod tally;

mod run;

mod words;

mod page;

mod chart;

pub use boat::planned_day;
pub use chart::power_chart;
pub use conditions::{Conditions, ConditionsError};
pub use judge::{Answer, Found, Judged, judge};
pub use matched::{groups_right, leg_overlap, named_right, read_right, series, true_double_runs};
pub use page::rehearsal_html;
pub use run::{STEP_S, change_sizes, kept_days, rehearse};
pub use tally::{Counts, Lost, Rehearsal, SCHEMA, Size};
pub use words::text;
