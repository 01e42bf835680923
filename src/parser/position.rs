//! Latitude and longitude as numbers, to a position or a fault; shared by all readers.

use super::fault::Fault;
use crate::track::Position;
use crate::units::Turn;

/// Largest longitude that is wrapped rather than set aside, degrees: once round the Earth.
const MOST_LONGITUDE: f64 = 360.0;

/// A position as read.
#[derive(Debug, Clone, Copy)]
pub(super) struct PositionRead {
    pub(super) position: Position,
    /// Whether the longitude lay beyond 180 and was wrapped.
    pub(super) wrapped: bool,
}

/// A position from degrees north and east.
pub(super) fn position_of(latitude: f64, longitude: f64) -> Result<PositionRead, Fault> {
    if latitude == 0.0 && longitude == 0.0 {
        return Err(Fault::ZeroPosition);
    }
    if let Some(position) = Position::new(latitude, longitude) {
        return Ok(PositionRead {
            position,
            wrapped: false,
        });
    }
    if !(-90.0..=90.0).contains(&latitude) {
        return Err(Fault::LatitudeRange);
    }
    Turn::new(longitude)
        .filter(|_| longitude.abs() <= MOST_LONGITUDE)
        .and_then(|wrapped| Position::new(latitude, wrapped.degrees()))
        .map(|position| PositionRead {
            position,
            wrapped: true,
        })
        .ok_or(Fault::LongitudeRange)
}
