//! Before the day: how many double runs, how long, on which heading, in what order, and what they
//! can show; and the plan lived through many times.
//!
//! [`draw_up`] makes a [`Plan`] of a [`Request`]: pure, the same request gives the same plan. The
//! card to print, the notes to fill in and the rehearsal are made of the plan alone.
//!
//! Every plan rests on the scatter between double runs of the same thing. It comes from an earlier
//! trial's result where there is one ([`Earlier`]), else from wind and speed by a rule fitted to
//! our own simulated days ([`assumptions`]). What such runs can show is asked of the model that
//! compares the real ones ([`Power`]).
//!
//! # Example: two settings on a small lake
//! ```
//! use thereback::plan::{Request, draw_up};
//! let request = Request { resolve: 0.05, speeds_m_s: vec![1.2, 2.3], ..Request::default() };
//! let plan = draw_up(&request).unwrap();
//! assert!(plan.suffices && plan.double_runs >= 2);
//! ```

pub mod assumptions;

mod request;

mod earlier;

mod layout;

mod power;

mod draw_up;

mod words;

mod card;

mod notes;

mod conditions;

mod read_right;

mod rehearsal;

mod rehearsal_page;

pub use card::{card_html, card_md, text};
pub use conditions::{Conditions, planned_day};
pub use draw_up::{Plan, Remedy, SCHEMA, draw_up};
pub use earlier::{Earlier, EarlierError};
pub use layout::{Block, Leg, Line, Step, StepKind};
pub use notes::notes_toml;
pub use power::Power;
pub use read_right::{groups_right, leg_overlap, read_right, series, true_double_runs};
pub use rehearsal::{
    Counts, Lost, REHEARSAL_SCHEMA, Rehearsal, STEP_S, Size, change_sizes, kept_days, rehearse,
};
pub use rehearsal_page::{rehearsal_chart, rehearsal_html, rehearsal_text};
pub use request::{PlanError, Request};
pub use words::span;
