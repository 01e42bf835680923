//! Why it is faster: a better part, or a harder-working motor.

use serde::Serialize;

use crate::stats::interval::Interval;

/// What the draw says of a change; it follows from the two intervals alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum WhyVerdict {
    /// Less power at equal speed, and no more draw shown at equal setting.
    #[serde(rename = "more efficient")]
    MoreEfficient,
    /// More draw at equal setting, and no less power shown at equal speed.
    #[serde(rename = "works the motor harder")]
    WorksHarder,
    /// Less power at equal speed, and more draw at equal setting.
    #[serde(rename = "both")]
    Both,
    /// More power at equal speed, and no more draw shown at equal setting.
    #[serde(rename = "less efficient")]
    LessEfficient,
    /// Neither interval keeps clear of zero, or one is missing.
    #[serde(rename = "not shown")]
    NotShown,
}

/// The verdict from the change of power at equal setting and at equal speed, in percent or as logarithms.
pub fn why(at_setting: Option<Interval>, at_speed: Option<Interval>) -> WhyVerdict {
    let above = |i: Option<Interval>| i.is_some_and(|i| i.low > 0.0);
    let below = |i: Option<Interval>| i.is_some_and(|i| i.high < 0.0);
    match (below(at_speed), above(at_setting), above(at_speed)) {
        (true, true, _) => WhyVerdict::Both,
        (true, false, _) => WhyVerdict::MoreEfficient,
        (false, true, _) => WhyVerdict::WorksHarder,
        (false, false, true) => WhyVerdict::LessEfficient,
        (false, false, false) => WhyVerdict::NotShown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn follows_from_the_intervals() {
        let i = |low, high| Some(Interval { low, high });
        assert_eq!(why(i(-1.0, 1.0), i(-5.0, -2.0)), WhyVerdict::MoreEfficient);
        assert_eq!(why(i(2.0, 5.0), i(-1.0, 2.0)), WhyVerdict::WorksHarder);
        assert_eq!(why(i(2.0, 5.0), i(-5.0, -2.0)), WhyVerdict::Both);
        assert_eq!(why(i(-1.0, 1.0), i(2.0, 4.0)), WhyVerdict::LessEfficient);
        assert_eq!(why(i(-1.0, 1.0), i(-1.0, 1.0)), WhyVerdict::NotShown);
        assert_eq!(why(None, None), WhyVerdict::NotShown);
    }
}
