//! The thresholds of cleaning.

use serde::{Deserialize, Serialize};

/// What counts as a jump, a hole, a false clock; written whole into the result.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CleanRules {
    /// Fastest credible speed over the ground, m/s.
    ///
    /// 25 m/s is 48.6 kn: beyond small boats at full power, so a faster step is
    /// a false position. Common practice, no source. A faster boat needs it
    /// raised.
    pub max_speed_m_s: f64,
    /// How far a fix may lie beyond what the speed allows, m.
    ///
    /// Coordinates rounded to 1e-4 degrees put 11 m between neighbours on a
    /// meridian, and times rounded to the second shift a fix by as much again
    /// at small-boat speeds; ordinary position error adds a few metres.
    pub position_slack_m: f64,
    /// After a hole this long a boat may be anywhere, s: it was towed on the road, or the
    /// recorder moved to another boat.
    ///
    /// One hour. Interference lasts minutes; nobody recovers, tows and launches
    /// a boat faster. Common practice, no source.
    pub anywhere_after_s: f64,
    /// Longest hole between two fixes of one track, s; a longer one breaks it.
    ///
    /// Recorders that save fixes leave up to 60 s between them on a straight,
    /// and recorders by distance (5 to 20 m) as much at 0.3 m/s; twice that is
    /// allowed. From public test files: median interval over 30 s in 17 of 151.
    pub max_gap_s: f64,
    /// Earliest credible year; an earlier one is told, not set aside.
    ///
    /// Selective availability, with its error of 100 m, was switched off on
    /// 2 May 2000 (statement of the White House, 1 May 2000): an older track is
    /// a false clock, or of no use here.
    pub earliest_year: i16,
    /// Latest credible year; a later one is told, not set aside.
    ///
    /// Two-digit years up to 68 belong to this century (POSIX `strptime`, `%y`);
    /// a converter that puts 20 before every year makes 2069 and on of rubbish.
    pub latest_year: i16,
    /// Fixes in one place, to the last digit, before a leap that tell of a frozen receiver.
    ///
    /// Ten: a boat lying still is seen at one rounded place as long, but then
    /// moves off without a leap. Our own judgement.
    pub min_frozen_fixes: usize,
}

impl Default for CleanRules {
    fn default() -> Self {
        Self {
            max_speed_m_s: 25.0,
            position_slack_m: 15.0,
            anywhere_after_s: 3600.0,
            max_gap_s: 120.0,
            earliest_year: 2000,
            latest_year: 2068,
            min_frozen_fixes: 10,
        }
    }
}
