//! Element names: which of them matter, whatever their prefix.

use super::markup::attributes;
use crate::parser::quantity::{DepthUnit, speed_unit};
use crate::parser::text::text;
use crate::units::SpeedUnit;

/// What an element is, by its local name alone.
///
/// Namespaces are not resolved: recorders leave them out, declare them wrongly,
/// or use a prefix they never declare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Gpx,
    Metadata,
    Track,
    Segment,
    TrackPoint,
    Waypoint,
    Route,
    RoutePoint,
    Time,
    Name,
    Speed,
    Course,
    Depth,
    Extensions,
    Other,
}

impl Kind {
    /// Whether elements of this kind hold points, or are points.
    pub(super) fn is_structural(self) -> bool {
        !matches!(
            self,
            Self::Time
                | Self::Name
                | Self::Speed
                | Self::Course
                | Self::Depth
                | Self::Extensions
                | Self::Other
        )
    }
}

/// The name without its prefix.
pub(super) fn local(name: &[u8]) -> &[u8] {
    let colon = name.iter().position(|&byte| byte == b':');
    name.get(colon.map_or(0, |colon| colon + 1)..)
        .unwrap_or(name)
}

/// Sorts a local name.
pub(super) fn kind_of(local: &[u8]) -> Kind {
    match local {
        b"trkpt" => Kind::TrackPoint,
        b"time" => Kind::Time,
        b"extensions" => Kind::Extensions,
        b"ele" | b"desc" | b"sat" | b"hdop" | b"fix" => Kind::Other,
        b"speed" => Kind::Speed,
        b"course" => Kind::Course,
        b"depth" => Kind::Depth,
        b"name" => Kind::Name,
        b"trkseg" => Kind::Segment,
        b"trk" => Kind::Track,
        b"wpt" => Kind::Waypoint,
        b"rte" => Kind::Route,
        b"rtept" => Kind::RoutePoint,
        b"gpx" => Kind::Gpx,
        b"metadata" => Kind::Metadata,
        _ => std::str::from_utf8(local).map_or(Kind::Other, kind_in_extensions),
    }
}

/// Names that recorders made up for their extensions: `SOG`, `Depth`, `speed_kn`.
fn kind_in_extensions(local: &str) -> Kind {
    let (base, unit) = split_unit(local);
    let is = |name: &str| base.eq_ignore_ascii_case(name);
    if is("speed") || is("sog") {
        Kind::Speed
    } else if unit.is_some() {
        Kind::Other
    } else if is("course") || is("cog") {
        Kind::Course
    } else if is("depth") || is("waterdepth") {
        Kind::Depth
    } else {
        Kind::Other
    }
}

/// What an element's text is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Field {
    /// When the point was recorded.
    Time,
    /// When the file was written.
    Written,
    /// The track's name.
    TrackName,
    /// The waypoint's name.
    PointName,
    /// Speed over the ground in a unit; `None` where the unit is not known.
    Speed(Option<SpeedUnit>),
    /// Course over the ground, degrees true.
    Course,
    /// Depth of water in a unit; `None` where the unit is not known.
    Depth(Option<DepthUnit>),
}

/// What an element with this name and these attributes records, at any depth inside a point.
pub(super) fn recorded_field(kind: Kind, local: &[u8], attributes: &[u8]) -> Option<Field> {
    let (local, attributes) = (&text(local), &text(attributes));
    match kind {
        Kind::Speed => Some(Field::Speed(unit_of_speed(local, attributes))),
        Kind::Course => Some(Field::Course),
        Kind::Depth => Some(Field::Depth(unit_of_depth(attributes))),
        _ => None,
    }
}

/// The unit an attribute or the name itself says; metres per second where neither does.
fn unit_of_speed(local: &str, attributes: &str) -> Option<SpeedUnit> {
    match unit_attribute(attributes).or_else(|| split_unit(local).1) {
        Some(unit) => speed_unit(unit),
        None => Some(SpeedUnit::MetresPerSecond),
    }
}

/// The unit an attribute says; metres where it says none.
fn unit_of_depth(attributes: &str) -> Option<DepthUnit> {
    unit_attribute(attributes).map_or(Some(DepthUnit::Metres), DepthUnit::named)
}

fn unit_attribute(attributes: &str) -> Option<&str> {
    self::attributes(attributes)
        .find(|(name, _)| ["unit", "units", "uom"].contains(name))
        .map(|(_, value)| value)
}

fn split_unit(local: &str) -> (&str, Option<&str>) {
    match local.split_once(['_', '-']) {
        Some((base, unit)) => (base, Some(unit)),
        None => (local, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prefixes_do_not_matter() {
        for (name, kind) in [
            ("trkpt", Kind::TrackPoint),
            ("ns3:trkpt", Kind::TrackPoint),
            (":trkpt", Kind::TrackPoint),
            ("trkpt2", Kind::Other),
            ("", Kind::Other),
        ] {
            assert_eq!(kind_of(local(name.as_bytes())), kind, "{name}");
        }
    }

    #[test]
    fn recorders_names_are_known() {
        for (name, kind) in [
            ("Speed", Kind::Speed),
            ("SOG", Kind::Speed),
            ("speed_kn", Kind::Speed),
            ("Cog", Kind::Course),
            ("WaterDepth", Kind::Depth),
            ("course_type", Kind::Other),
            ("maxspeed", Kind::Other),
        ] {
            assert_eq!(kind_of(name.as_bytes()), kind, "{name}");
        }
    }

    #[test]
    fn units_stand_in_attributes_or_names() {
        for (name, attributes, unit) in [
            ("speed", "", Some(SpeedUnit::MetresPerSecond)),
            ("speed", " unit='kn'", Some(SpeedUnit::Knots)),
            (
                "speed",
                " a='b' uom=\"km/h\"",
                Some(SpeedUnit::KilometresPerHour),
            ),
            ("speed_kmh", "", Some(SpeedUnit::KilometresPerHour)),
            ("sog-mps", "", Some(SpeedUnit::MetresPerSecond)),
            ("speed", " unit='warp'", None),
        ] {
            assert_eq!(unit_of_speed(name, attributes), unit, "{name}{attributes}");
        }
        assert_eq!(unit_of_depth(" unit='ft'"), Some(DepthUnit::Feet));
        assert_eq!(unit_of_depth(" unit='fathoms'"), None);
    }
}
