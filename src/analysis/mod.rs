//! From settings and recordings to one [`Analysis`]: a pure function.

mod result;
mod rules;
mod warning;

pub use result::*;
pub use rules::Rules;
pub use warning::Warning;
