//! From settings and recordings to one [`Analysis`]: a pure function.

mod across;
mod analyse;
mod answer;
mod buys;
mod circles;
mod compared;
mod covariate;
mod headings;
mod legs;
mod merge;
mod names;
mod outcome;
mod reading;
mod result;
mod rows;
mod rules;
mod settings;
mod several;
mod warn;
mod warning;
mod wind;

pub use analyse::{analyse, analyse_owned, analyse_with_and_without_notes};
pub use buys::{
    Buys, BuysRules, Calm, CalmSpeed, CellPower, CellReach, CellSlip, CubeLaw, Curve, CurvePoint,
    EqualSetting, EqualSpeed, EqualSpeedDraw, HomeAnswer, HomeAt, InWind, LegPower, LogClock,
    Power, PowerComparison, PowerSource, Propeller, Ranged, Reach, RunPower, WayHome, Why,
    WhyVerdict,
};
pub use covariate::{LoggedRun, WindCovariate};
pub use result::*;
pub use rules::Rules;
pub use settings::Settings;
pub use several::analyse_days;
pub use warning::Warning;
pub use wind::WindRules;
