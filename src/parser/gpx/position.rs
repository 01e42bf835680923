//! Latitude and longitude from a point's attributes.

use super::attributes::Attributes;
use crate::parser::fault::Fault;
use crate::parser::number::decimal;
use crate::track::Position;
use crate::units::Turn;

/// Largest longitude that is wrapped rather than set aside, degrees: once round the Earth.
const MOST_LONGITUDE: f64 = 360.0;

/// A position as read from a point's attributes.
#[derive(Debug, Clone, Copy)]
pub(super) struct PositionRead {
    pub(super) position: Position,
    /// Whether the longitude lay beyond 180 and was wrapped.
    pub(super) wrapped: bool,
}

/// Reads `lat` and `lon`.
pub(super) fn read_position(attributes: &str) -> Result<PositionRead, Fault> {
    let (mut latitude, mut longitude) = (None, None);
    for (name, value) in Attributes::new(attributes) {
        match name {
            "lat" => latitude = Some(value),
            "lon" => longitude = Some(value),
            _ => {}
        }
    }
    let (Some(latitude), Some(longitude)) = (latitude, longitude) else {
        return Err(Fault::NoPosition);
    };
    let (Some(latitude), Some(longitude)) = (decimal(latitude), decimal(longitude)) else {
        return Err(Fault::UnreadablePosition);
    };
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

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(attributes: &str, expected: Result<(f64, f64, bool), Fault>) {
        let read = read_position(attributes)
            .map(|r| (r.position.latitude(), r.position.longitude(), r.wrapped));
        assert_eq!(read, expected, "{attributes}");
    }

    #[test]
    fn positions_at_and_beyond_the_limits() {
        check(r#" lat="57.7" lon="11.9""#, Ok((57.7, 11.9, false)));
        check(r#" lon="11.9" lat="57.7""#, Ok((57.7, 11.9, false)));
        check(r#" lat="90" lon="180""#, Ok((90.0, 180.0, false)));
        check(r#" lat="-90" lon="-180""#, Ok((-90.0, -180.0, false)));
        check(r#" lat="1" lon="190""#, Ok((1.0, -170.0, true)));
        check(r#" lat="1" lon="-200""#, Ok((1.0, 160.0, true)));
        check(r#" lat="1" lon="360.1""#, Err(Fault::LongitudeRange));
        check(r#" lat="90.001" lon="1""#, Err(Fault::LatitudeRange));
        check(r#" lat="91" lon="400""#, Err(Fault::LatitudeRange));
        check(r#" lat="0" lon="-0.000""#, Err(Fault::ZeroPosition));
        check(r#" lat="0" lon="9""#, Ok((0.0, 9.0, false)));
        check(
            r#" lat="undefined" lon="1""#,
            Err(Fault::UnreadablePosition),
        );
        check(r#" lat="NaN" lon="1""#, Err(Fault::UnreadablePosition));
        check(r#" lat="" lon="1""#, Err(Fault::UnreadablePosition));
        check(r#" lon="1""#, Err(Fault::NoPosition));
        check("", Err(Fault::NoPosition));
    }
}
