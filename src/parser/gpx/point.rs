//! One point while it is being read.

use jiff::Timestamp;

use super::names::Field;
use super::position::read_position;
use crate::parser::fault::Fault;
use crate::parser::number::decimal;
use crate::parser::text::clipped;
use crate::parser::time::{TimeReader, is_date_alone};
use crate::parser::unit::DepthUnit;
use crate::track::{Fix, Position};
use crate::units::{Bearing, Distance, METRES_PER_FOOT, Speed, SpeedUnit};

/// Most characters kept of a name.
const NAME_CHARACTERS: usize = 200;

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

/// A value that may stand in the point itself or deeper, in its extensions.
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
pub(super) struct OpenPoint<'a> {
    /// Where its start tag begins, bytes.
    pub(super) start: usize,
    /// Its attributes as written.
    pub(super) attributes: &'a str,
    /// Where it lies.
    pub(super) position: Result<Position, Fault>,
    /// When it was recorded.
    pub(super) time: Option<Timestamp>,
    /// What it is called.
    pub(super) name: Option<String>,
    /// What was odd about it.
    pub(super) oddities: Oddities,
    bad_time: Option<String>,
    speed: Recorded<Speed>,
    course: Recorded<Bearing>,
    depth: Recorded<Distance>,
}

impl<'a> OpenPoint<'a> {
    /// A point whose start tag, at byte `start`, has these attributes.
    pub(super) fn new(start: usize, attributes: &'a str) -> Self {
        let mut oddities = Oddities::default();
        let position = read_position(attributes).map(|read| {
            oddities.wrapped = usize::from(read.wrapped);
            read.position
        });
        Self {
            start,
            attributes,
            position,
            time: None,
            name: None,
            oddities,
            bad_time: None,
            speed: Recorded::default(),
            course: Recorded::default(),
            depth: Recorded::default(),
        }
    }

    /// Takes the text of an element inside it; `own` tells its own child from a deeper one.
    pub(super) fn put(&mut self, field: Field, text: &str, own: bool, times: &mut TimeReader) {
        match field {
            Field::Time => self.put_time(text, times),
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
    pub(super) fn fix(&self) -> Result<Fix, (Fault, &str)> {
        let position = self.position.map_err(|fault| (fault, self.attributes))?;
        let time = self.time.ok_or(match &self.bad_time {
            Some(text) if is_date_alone(text) => (Fault::DateAlone, text.as_str()),
            Some(text) => (Fault::UnreadableTime, text.as_str()),
            None => (Fault::NoTime, self.attributes),
        })?;
        Ok(Fix {
            speed: self.speed.value,
            course: self.course.value,
            depth: self.depth.value,
            ..Fix::bare(time, position)
        })
    }

    fn put_time(&mut self, text: &str, times: &mut TimeReader) {
        if self.time.is_some() {
            return;
        }
        match times.read(text) {
            Some(read) => {
                self.time = Some(read.timestamp);
                self.oddities.zoneless += usize::from(!read.zone_given);
            }
            None if text.trim().is_empty() => {}
            None => self.bad_time = Some(clipped(text, NAME_CHARACTERS)),
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
        let metres = match unit {
            Some(DepthUnit::Metres) => value,
            Some(DepthUnit::Feet) => value * METRES_PER_FOOT,
            None => {
                self.oddities.unknown_units += 1;
                return;
            }
        };
        self.oddities.converted += usize::from(unit != Some(DepthUnit::Metres));
        self.depth.put(Distance::metres(metres), own);
    }
}

/// A name of untrusted text, short and in one line; `None` where it is blank.
pub(super) fn name_of(text: &str) -> Option<String> {
    let name = text.trim();
    (!name.is_empty()).then(|| clipped(name, NAME_CHARACTERS))
}

#[cfg(test)]
mod tests {
    use super::*;

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
            let mut point = OpenPoint::new(0, "");
            point.put(Field::Speed(unit), text, true, &mut TimeReader::default());
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
        let mut point = OpenPoint::new(0, "");
        let mut times = TimeReader::default();
        point.put(Field::Depth(Some(DepthUnit::Feet)), "10", false, &mut times);
        point.put(Field::Course, "-1", false, &mut times);
        assert_eq!(point.depth.value.map(Distance::as_metres), Some(3.048));
        assert_eq!(point.course.value, None);
        assert_eq!(point.oddities.converted, 1);
    }
}
