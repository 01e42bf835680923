//! The thresholds of cleaning.

use serde::{Deserialize, Serialize};

/// What counts as a false position, a hole, a false clock; written whole into the result.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CleanRules {
    /// Fastest credible speed over the ground, m/s.
    ///
    /// 25 m/s is 48.6 kn, beyond small boats at full power: a faster step is a false position.
    /// Common practice, no source. A faster boat needs it raised.
    pub max_speed_m_s: f64,
    /// How far a fix may lie beyond what the speed allows, m.
    ///
    /// Coordinates rounded to 1e-4 degrees put 11 m between neighbours on a meridian, and times
    /// rounded to the second shift a fix by as much again at small-boat speeds. Common practice,
    /// no source.
    pub position_slack_m: f64,
    /// Longest hole in a record, s, that another recorder's fixes do not fill.
    ///
    /// Recorders that leave out what adds nothing save a fix every 60 s on a straight, and those
    /// that record by distance (5 to 20 m) need as much at 0.3 m/s; twice that is allowed. From
    /// public test files: the median interval is over 30 s in 17 of 151.
    pub hole_s: f64,
    /// Longest hole within a track, s, over which the boat moves. After a longer one another track
    /// begins; a boat that lay still (within `position_slack_m`) may do so up to `night_s`.
    ///
    /// A recorder that records by distance leaves minutes while the boat lies idle, and one that
    /// lost power is back within ten minutes; longer than that the boat had left the water or the
    /// trial. Leaving out fixes at an impossible place makes a hole too: a stretch that lasts
    /// longer than this there is kept, as a track of its own. Common practice, no source.
    pub break_after_s: f64,
    /// How much better one recorder must be to be used in place of another, as a ratio.
    ///
    /// Each change from one recorder to another cuts a leg in two, and the phase of two clocks
    /// alone makes a few percent. A quarter is our own judgement.
    pub clearly_better: f64,
    /// Earliest and latest credible year; fixes of other years are used, with a remark.
    ///
    /// Selective availability, an error of 100 m, was switched off on 2 May 2000 (statement of the
    /// White House, 1 May 2000): an older track is a false clock, or of no use here. Two-digit
    /// years up to 68 belong to this century (POSIX `strptime`, `%y`); later ones are rubbish.
    pub credible_years: [i16; 2],
    /// Longest break between recordings of one day on the water, s.
    ///
    /// Six hours: a meal, a swap ashore or a change of cards is over sooner, a night lasts longer.
    /// The calendar does not decide: days on the water pass midnight and time zones. Common
    /// practice, no source. Days are made before any rule can be set, so always by the default.
    pub night_s: f64,
    /// Share of a recording's fixes that may be false and leave the rest in no doubt.
    ///
    /// One in twenty: interference and false times hit single runs of fixes. So few at either end
    /// of a recording do not decide on which day it was made; more set aside for their speed come
    /// from a faster craft. Our own judgement.
    pub stray_share: f64,
}

impl Default for CleanRules {
    fn default() -> Self {
        Self {
            max_speed_m_s: 25.0,
            position_slack_m: 15.0,
            hole_s: 120.0,
            break_after_s: 600.0,
            clearly_better: 1.25,
            credible_years: [2000, 2068],
            night_s: 6.0 * 3600.0,
            stray_share: 0.05,
        }
    }
}
