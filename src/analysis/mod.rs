//! From settings and recordings to one [`Analysis`]: a pure function.

mod analyse;
mod compared;
mod comparisons;
mod gauge;
mod legs;
mod outcome;
mod result;
mod rules;
mod settings;
mod warn;
mod warning;
mod wind;

pub use analyse::analyse;
pub use result::*;
pub use rules::{ComparisonRules, Rules};
pub use settings::Settings;
pub use warning::Warning;
