//! The wind off the bow and its eight labels.

use serde::Serialize;

use crate::units::{Bearing, Turn};

/// Where the true wind stands, seen from the helm; 45 degrees each, centred.
///
/// The sector edges lie at 22.5, 67.5, 112.5 and 157.5 degrees; the one at 112.5
/// is the arc of the sidelights (COLREG rule 21, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[allow(missing_docs, reason = "the names are the trade's own")]
pub enum WindLabel {
    #[serde(rename = "ahead")]
    Ahead,
    #[serde(rename = "starboard bow")]
    StarboardBow,
    #[serde(rename = "starboard beam")]
    StarboardBeam,
    #[serde(rename = "starboard quarter")]
    StarboardQuarter,
    #[serde(rename = "astern")]
    Astern,
    #[serde(rename = "port quarter")]
    PortQuarter,
    #[serde(rename = "port beam")]
    PortBeam,
    #[serde(rename = "port bow")]
    PortBow,
}

/// Where the wind comes from as seen over the bow: positive to starboard.
pub fn off_bow(wind_from: Bearing, course: Bearing) -> Turn {
    course.turn_to(wind_from)
}

/// The label of an angle off the bow; an edge belongs to the sector farther aft.
pub fn label(off_bow: Turn) -> WindLabel {
    let degrees = off_bow.degrees();
    let starboard = degrees >= 0.0;
    match degrees.abs() {
        a if a < 22.5 => WindLabel::Ahead,
        a if a < 67.5 && starboard => WindLabel::StarboardBow,
        a if a < 67.5 => WindLabel::PortBow,
        a if a < 112.5 && starboard => WindLabel::StarboardBeam,
        a if a < 112.5 => WindLabel::PortBeam,
        a if a < 157.5 && starboard => WindLabel::StarboardQuarter,
        a if a < 157.5 => WindLabel::PortQuarter,
        _ => WindLabel::Astern,
    }
}

impl WindLabel {
    /// The label in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ahead => "ahead",
            Self::StarboardBow => "starboard bow",
            Self::StarboardBeam => "starboard beam",
            Self::StarboardQuarter => "starboard quarter",
            Self::Astern => "astern",
            Self::PortQuarter => "port quarter",
            Self::PortBeam => "port beam",
            Self::PortBow => "port bow",
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may fail loudly")]
mod tests {
    use super::*;

    #[track_caller]
    fn check(off: f64, expected: WindLabel) {
        assert_eq!(label(Turn::new(off).unwrap()), expected, "{off}");
    }

    #[test]
    fn sectors_are_forty_five_degrees_and_centred() {
        check(0.0, WindLabel::Ahead);
        check(22.4, WindLabel::Ahead);
        check(22.5, WindLabel::StarboardBow);
        check(-22.4, WindLabel::Ahead);
        check(-22.5, WindLabel::PortBow);
        check(67.5, WindLabel::StarboardBeam);
        check(112.4, WindLabel::StarboardBeam);
        // The edge of the sidelights' arc, COLREG rule 21 (from memory).
        check(112.5, WindLabel::StarboardQuarter);
        check(-112.5, WindLabel::PortQuarter);
        check(157.5, WindLabel::Astern);
        check(-157.4, WindLabel::PortQuarter);
        check(180.0, WindLabel::Astern);
    }

    #[test]
    fn wind_off_the_bow_goes_round_north() {
        let off = off_bow(Bearing::new(10.0).unwrap(), Bearing::new(350.0).unwrap());
        assert!((off.degrees() - 20.0).abs() < 1e-9);
        let off = off_bow(Bearing::new(350.0).unwrap(), Bearing::new(10.0).unwrap());
        assert!((off.degrees() + 20.0).abs() < 1e-9);
    }
}
