//! Speed and course over the ground without a position: VTG.

use super::fields::Fields;
use super::position::{direction, knots};
use crate::units::{Bearing, Speed, SpeedUnit};

/// Speed and course over the ground.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Motion {
    pub(super) speed: Option<Speed>,
    pub(super) course: Option<Bearing>,
}

impl Motion {
    /// `VTG,course,T,course,M,knots,N,km/h,K,mode`, or before NMEA 0183 2.0 the four numbers alone.
    pub(super) fn vtg(fields: &Fields<'_>) -> Self {
        if fields.letter(9) == Some(b'N') {
            return Self::default();
        }
        if fields.count() == 4 && fields.letter(2) != Some(b'T') {
            return Self {
                speed: fields.positive(3).map(knots),
                course: direction(fields.number(1)),
            };
        }
        let in_knots = fields.marked(5, b'N').map(knots);
        let in_km_h = || {
            let value = fields.marked(7, b'K')?;
            Some(Speed::new(value, SpeedUnit::KilometresPerHour))
        };
        let speed = in_knots.or_else(in_km_h);
        Self {
            speed: speed.filter(|speed| speed.as_metres_per_second() >= 0.0),
            course: direction(fields.marked(1, b'T')),
        }
    }
}
