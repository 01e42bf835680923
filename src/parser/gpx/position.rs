//! Latitude and longitude from a point's attributes.

use std::borrow::Cow;

use super::attributes::Attributes;
use crate::parser::fault::Fault;
use crate::parser::number::decimal;
use crate::parser::position::{PositionRead, position_of};

/// Longest value in which references are resolved, bytes; no number needs more.
const MOST_REFERENCE_BYTES: usize = 256;

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
    let (Some(latitude), Some(longitude)) = (number(latitude), number(longitude)) else {
        return Err(Fault::UnreadablePosition);
    };
    position_of(latitude, longitude)
}

fn number(value: &str) -> Option<f64> {
    decimal(value).or_else(|| decimal(&resolved(value)?))
}

/// The value with its character references, `&#46;`, resolved; `None` where it has none.
#[cold]
fn resolved(value: &str) -> Option<Cow<'_, str>> {
    if value.len() > MOST_REFERENCE_BYTES || !value.contains('&') {
        return None;
    }
    quick_xml::escape::unescape(value).ok()
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
        check(
            r#" lat="57&#46;7" lon="&#x31;1.9""#,
            Ok((57.7, 11.9, false)),
        );
        check(
            r#" lat="57&what;7" lon="1""#,
            Err(Fault::UnreadablePosition),
        );
    }
}
