//! One point while it is being read.

use std::borrow::Cow;

use jiff::Timestamp;

use super::markup::{attributes, resolved};
use super::names::Field;
use crate::parser::fault::Fault;
use crate::parser::quantity::{DepthUnit, PositionRead, decimal, position_of};
use crate::parser::text::{clipped, text};
use crate::parser::time;
use crate::track::{Fix, Position};
use crate::units::{Bearing, Distance, Speed, SpeedUnit};

/// Most characters kept of a name.
const NAME_CHARACTERS: usize = 200;

/// Most bytes kept of a point's attributes, for a message.
const ATTRIBUTE_BYTES: usize = 80;

/// What was odd about points that were used all the same, counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Oddities {
    /// Longitudes beyond 180 that were wrapped.
    pub(super) wrapped: usize,
    /// Times without a zone.
    pub(super) zoneless: usize,
    /// Speeds and depths converted from other units than metres and seconds.
    pub(super) converted: usize,
    /// Speeds and depths left out because their unit is not known.
    pub(super) unknown_units: usize,
}

impl Oddities {
    pub(super) fn add(&mut self, other: Self) {
        self.wrapped += other.wrapped;
        self.zoneless += other.zoneless;
        self.converted += other.converted;
        self.unknown_units += other.unknown_units;
    }
}

/// A value that may be in the point itself or deeper, in its extensions.
///
/// The point's own child wins; among the deeper ones the first.
#[derive(Debug, Clone, Copy)]
struct Recorded<T> {
    value: Option<T>,
    own: bool,
}

impl<T> Default for Recorded<T> {
    fn default() -> Self {
        Self {
            value: None,
            own: false,
        }
    }
}

impl<T> Recorded<T> {
    fn put(&mut self, value: T, own: bool) {
        if self.value.is_none() || (own && !self.own) {
            self.value = Some(value);
            self.own = own;
        }
    }
}

/// A track point or waypoint between its start tag and its end.
#[derive(Debug)]
pub(super) struct OpenPoint {
    /// Where its start tag begins, bytes.
    pub(super) start: usize,
    /// Where it lies.
    pub(super) position: Result<Position, Fault>,
    /// When it was recorded.
    pub(super) time: Option<Timestamp>,
    /// What it is called.
    pub(super) name: Option<String>,
    /// What was odd about it.
    pub(super) oddities: Oddities,
    bad_time: Option<(Fault, String)>,
    attributes: [u8; ATTRIBUTE_BYTES],
    attributes_length: usize,
    speed: Recorded<Speed>,
    course: Recorded<Bearing>,
    depth: Recorded<Distance>,
}

impl OpenPoint {
    /// A point whose start tag, at byte `start`, has these attributes.
    pub(super) fn new(start: usize, written: &[u8]) -> Self {
        let mut oddities = Oddities::default();
        let position = read_position(&text(written)).map(|read| {
            oddities.wrapped = usize::from(read.wrapped);
            read.position
        });
        let shown = written.get(..ATTRIBUTE_BYTES).unwrap_or(written);
        let mut attributes = [0; ATTRIBUTE_BYTES];
        if let Some(place) = attributes.get_mut(..shown.len()) {
            place.copy_from_slice(shown);
        }
        Self {
            start,
            position,
            time: None,
            name: None,
            oddities,
            bad_time: None,
            attributes,
            attributes_length: shown.len(),
            speed: Recorded::default(),
            course: Recorded::default(),
            depth: Recorded::default(),
        }
    }

    /// Its attributes as written, as far as a message may show them.
    pub(super) fn attributes(&self) -> Cow<'_, str> {
        text(
            self.attributes
                .get(..self.attributes_length)
                .unwrap_or_default(),
        )
    }

    /// Takes the text of an element inside it; `own` tells its own child from a deeper one.
    pub(super) fn put(&mut self, field: Field, text: &str, own: bool) {
        match field {
            Field::Time => self.put_time(text),
            Field::PointName => self.name = name_of(text),
            Field::Speed(unit) => self.put_speed(text, unit, own),
            Field::Course => {
                // Recorders write -1 where they know none.
                let course = decimal(text).filter(|degrees| (0.0..=360.0).contains(degrees));
                if let Some(course) = course.and_then(Bearing::new) {
                    self.course.put(course, own);
                }
            }
            Field::Depth(unit) => self.put_depth(text, unit, own),
            Field::Written | Field::TrackName => {}
        }
    }

    /// The fix, or what is wrong with the point and the text that shows it.
    pub(super) fn fix(&self) -> Result<Fix, (Fault, Cow<'_, str>)> {
        let position = self.position.map_err(|fault| (fault, self.attributes()))?;
        let time = self.time.ok_or_else(|| match &self.bad_time {
            Some((fault, text)) => (*fault, Cow::Borrowed(text.as_str())),
            None => (Fault::NoTime, self.attributes()),
        })?;
        Ok(Fix {
            speed: self.speed.value,
            course: self.course.value,
            depth: self.depth.value,
            ..Fix::bare(time, position)
        })
    }

    fn put_time(&mut self, text: &str) {
        if self.time.is_some() {
            return;
        }
        match time::instant(text) {
            Ok(read) => {
                self.time = Some(read.timestamp);
                self.oddities.zoneless += usize::from(!read.zone_given);
            }
            Err(Fault::NoTime) => {}
            Err(fault) => self.bad_time = Some((fault, clipped(text, NAME_CHARACTERS))),
        }
    }

    fn put_speed(&mut self, text: &str, unit: Option<SpeedUnit>, own: bool) {
        let unit_in_text = || text.parse::<Speed>().ok();
        let speed = match (decimal(text), unit) {
            // Recorders write -1 where they know none.
            (Some(value), _) if value < 0.0 => return,
            (Some(value), Some(unit)) => Some(Speed::new(value, unit)),
            (Some(_), None) => {
                self.oddities.unknown_units += 1;
                return;
            }
            (None, _) => unit_in_text(),
        };
        if let Some(speed) = speed {
            self.oddities.converted += usize::from(unit != Some(SpeedUnit::MetresPerSecond));
            self.speed.put(speed, own);
        }
    }

    fn put_depth(&mut self, text: &str, unit: Option<DepthUnit>, own: bool) {
        let Some(value) = decimal(text).filter(|&value| value >= 0.0) else {
            return;
        };
        let Some(unit) = unit else {
            self.oddities.unknown_units += 1;
            return;
        };
        self.oddities.converted += usize::from(unit != DepthUnit::Metres);
        self.depth.put(unit.of(value), own);
    }
}

/// A name of untrusted text, short and in one line; `None` where it is blank.
pub(super) fn name_of(text: &str) -> Option<String> {
    let name = text.trim();
    (!name.is_empty()).then(|| clipped(name, NAME_CHARACTERS))
}

/// Reads `lat` and `lon`.
fn read_position(text: &str) -> Result<PositionRead, Fault> {
    let (mut latitude, mut longitude) = (None, None);
    for (name, value) in attributes(text) {
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
    decimal(value).or_else(|| decimal(&resolved(value)))
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

    #[test]
    fn a_points_own_value_wins() {
        let mut recorded = Recorded::default();
        for (value, own) in [(1, false), (2, false), (3, true), (4, true)] {
            recorded.put(value, own);
        }
        assert_eq!(recorded.value, Some(3));
    }

    #[test]
    fn units_are_obeyed_and_sentinels_are_unknown() {
        let speed = |text: &str, unit| {
            let mut point = OpenPoint::new(0, b"");
            point.put(Field::Speed(unit), text, true);
            point.speed.value.map(Speed::as_metres_per_second)
        };
        assert_eq!(speed("2.5", Some(SpeedUnit::MetresPerSecond)), Some(2.5));
        assert_eq!(
            speed("10", Some(SpeedUnit::Knots)),
            Some(10.0 * 1852.0 / 3600.0)
        );
        assert_eq!(speed("9 km/h", Some(SpeedUnit::MetresPerSecond)), Some(2.5));
        assert_eq!(speed("2.5", None), None);
        assert_eq!(speed("-1", Some(SpeedUnit::MetresPerSecond)), None);
        assert_eq!(speed("NaN", Some(SpeedUnit::MetresPerSecond)), None);
        let mut point = OpenPoint::new(0, b"");
        point.put(Field::Depth(Some(DepthUnit::Feet)), "10", false);
        point.put(Field::Course, "-1", false);
        assert_eq!(point.depth.value.map(Distance::as_metres), Some(3.048));
        assert_eq!(point.course.value, None);
        assert_eq!(point.oddities.converted, 1);
    }
}
