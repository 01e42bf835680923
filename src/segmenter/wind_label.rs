//! The wind off the bow and its eight labels.

use serde::Serialize;

use crate::units::{Bearing, Turn};

/// Where the true wind stands, seen from the helm; 45 degrees each, centred.
///
/// The sector edges lie at 22.5, 67.5, 112.5 and 157.5 degrees; the one at 112.5
/// is the arc of the sidelights (COLREG rule 21, from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "the names are the trade's own")]
pub enum WindLabel {
    Ahead,
    StarboardBow,
    StarboardBeam,
    StarboardQuarter,
    Astern,
    PortQuarter,
    PortBeam,
    PortBow,
}

impl Serialize for WindLabel {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.words())
    }
}

/// Where the wind comes from as seen over the bow: positive to starboard.
pub fn off_bow(wind_from: Bearing, course: Bearing) -> Turn {
    course.turn_to(wind_from)
}

/// The label of an angle off the bow; an edge belongs to the sector farther aft.
pub fn label(off_bow: Turn) -> WindLabel {
    use WindLabel::{
        Ahead, Astern, PortBeam, PortBow, PortQuarter, StarboardBeam, StarboardBow,
        StarboardQuarter,
    };
    let degrees = off_bow.degrees();
    let sectors = if degrees >= 0.0 {
        [Ahead, StarboardBow, StarboardBeam, StarboardQuarter, Astern]
    } else {
        [Ahead, PortBow, PortBeam, PortQuarter, Astern]
    };
    let sector = ((degrees.abs() + 22.5) / 45.0) as usize;
    sectors.get(sector).copied().unwrap_or(Astern)
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

    #[test]
    fn sectors_are_forty_five_degrees_and_centred() {
        // 112.5 is the edge of the sidelights' arc, COLREG rule 21 (from memory).
        for (off, expected) in [
            (0.0, WindLabel::Ahead),
            (-22.4, WindLabel::Ahead),
            (22.5, WindLabel::StarboardBow),
            (-22.5, WindLabel::PortBow),
            (67.5, WindLabel::StarboardBeam),
            (112.4, WindLabel::StarboardBeam),
            (112.5, WindLabel::StarboardQuarter),
            (-112.5, WindLabel::PortQuarter),
            (-157.4, WindLabel::PortQuarter),
            (157.5, WindLabel::Astern),
            (180.0, WindLabel::Astern),
        ] {
            assert_eq!(label(Turn::new(off).unwrap()), expected, "{off}");
        }
    }

    #[test]
    fn wind_off_the_bow_goes_round_north() {
        let off = off_bow(Bearing::new(10.0).unwrap(), Bearing::new(350.0).unwrap());
        assert!((off.degrees() - 20.0).abs() < 1e-9);
        let off = off_bow(Bearing::new(350.0).unwrap(), Bearing::new(10.0).unwrap());
        assert!((off.degrees() + 20.0).abs() < 1e-9);
    }
}
