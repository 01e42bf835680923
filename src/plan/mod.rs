//! Before the day: how many double runs, how long, on which heading, in what order, and what they can tell.
//!
//! [`draw_up`] makes a [`Plan`] of what is [`Asked`]: pure, the same request gives the same plan. The card to
//! print and the notes to fill in are made of the plan alone.
//!
//! Every plan rests on the scatter between double runs of the same thing. It comes from an earlier trial's
//! result where there is one ([`Earlier`]), else from wind and speed by a rule fitted to our own simulated days
//! ([`assume`]); the plan lists what it assumed.
//!
//! # Example: two settings on a small lake
//! ```
//! use thereback::plan::{Asked, draw_up};
//! let asked = Asked { resolve: 0.05, speeds_m_s: vec![1.2, 2.3], ..Asked::default() };
//! let plan = draw_up(&asked).unwrap();
//! assert!(plan.suffices && plan.double_runs >= 2);
//! ```

mod asked;
mod error;

pub mod assume;

mod earlier;

mod layout;

mod draw;

mod drawn;

mod tell;

mod remedy;

mod terms;

pub(crate) mod words;

mod assumed;

mod card;

mod card_text;

mod notes;

pub mod rehearsal;

pub use asked::Asked;
pub use card::card_html;
pub use card_text::card_md;
pub use draw::draw_up;
pub use drawn::{
    Assumed, Block, Energy, Leg, LegTime, Line, Plan, SCHEMA, Scatter, ScatterSource, Step,
    StepKind,
};
pub use earlier::Earlier;
pub use error::PlanError;
pub use notes::notes_toml;
pub use remedy::{Remedies, Remedy};
pub use tell::{Design, Tell, tell};
pub use words::{cautions, span, text};
