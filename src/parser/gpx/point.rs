//! One point while it is being read.

use jiff::Timestamp;
use quick_xml::escape::unescape;
use quick_xml::events::BytesStart;

use super::{Capture, Kind};
use crate::parser::position::{PositionRead, position_of};
use crate::parser::quantity::decimal;
use crate::parser::source::clipped;
use crate::parser::tally::{Fault, Oddity, Tally};
use crate::parser::time::{Moment, moment};
use crate::track::{Fix, Position};
use crate::units::{Bearing, Distance, Speed};

/// Most characters kept of a name.
const NAME_CHARACTERS: usize = 200;

/// A value, and whether a child of the point itself has it. The point's own counts, and among
/// those deeper in its extensions the first.
type Recorded<T> = Option<(T, bool)>;

fn put<T>(recorded: &mut Recorded<T>, value: T, is_own: bool) {
    if recorded.as_ref().is_none_or(|(_, there)| is_own && !there) {
        *recorded = Some((value, is_own));
    }
}

/// A track point or waypoint between its start tag and its end.
#[derive(Debug)]
pub(super) struct OpenPoint {
    /// Where its start tag begins, bytes.
    pub(super) start: usize,
    /// Whether it is a mark, and no point of a track.
    pub(super) is_waypoint: bool,
    /// How many elements are open around it.
    pub(super) level: usize,
    /// Where it lies.
    pub(super) position: Result<Position, Fault>,
    /// Whether its longitude lay beyond 180.
    pub(super) is_wrapped: bool,
    /// When it was recorded.
    pub(super) time: Option<Timestamp>,
    /// What it is called.
    pub(super) name: Option<String>,
    bad_time: Option<(Fault, String)>,
    speed: Recorded<Speed>,
    course: Recorded<Bearing>,
    depth: Recorded<Distance>,
}

impl OpenPoint {
    /// A point with this start tag, which is at byte `start`.
    pub(super) fn new(start: usize, tag: &BytesStart<'_>, is_waypoint: bool, level: usize) -> Self {
        let read = read_position(tag);
        Self {
            start,
            is_waypoint,
            level,
            position: read.map(|read| read.position),
            is_wrapped: read.is_ok_and(|read| read.wrapped),
            time: None,
            name: None,
            bad_time: None,
            speed: None,
            course: None,
            depth: None,
        }
    }

    /// Takes the text of an element inside it.
    pub(super) fn put(&mut self, capture: Capture, text: &str, tally: &mut Tally) {
        let is_own = capture.level == self.level + 1;
        // Recorders write -1 where they know none.
        let value = decimal(text);
        let size = value.filter(|value| *value >= 0.0);
        match (capture.kind, capture.unit) {
            (Kind::Time, _) => self.put_time(text, tally),
            (Kind::Name, _) => self.name = name_of(text),
            (Kind::Course, _) => {
                let course = size.filter(|degrees| *degrees <= 360.0);
                if let Some(course) = course.and_then(Bearing::new) {
                    put(&mut self.course, course, is_own);
                }
            }
            (_, None) => tally.note_if(size.is_some(), Oddity::UnknownUnit),
            (Kind::Speed, Some(unit)) => {
                let with_unit = || text.parse::<Speed>().ok();
                let speed = size.map(|size| Speed::metres_per_second(size * unit));
                if let Some(speed) = speed.or_else(with_unit) {
                    tally.note_if(!is_si(unit) || size.is_none(), Oddity::Converted);
                    put(&mut self.speed, speed, is_own);
                }
            }
            (_, Some(unit)) => {
                if let Some(size) = size {
                    tally.note_if(!is_si(unit), Oddity::Converted);
                    put(&mut self.depth, Distance::metres(size * unit), is_own);
                }
            }
        }
    }

    fn put_time(&mut self, text: &str, tally: &mut Tally) {
        if self.time.is_some() {
            return;
        }
        let moment = moment(text, None);
        match moment.and_then(Moment::in_utc) {
            Ok(time) => {
                self.time = Some(time);
                tally.note_if(matches!(moment, Ok(Moment::Local(_))), Oddity::Zoneless);
            }
            Err(Fault::NoTime) => {}
            Err(fault) => self.bad_time = Some((fault, clipped(text, NAME_CHARACTERS))),
        }
    }

    /// The fix, or what is wrong with the point and the text that shows it; `None` where that is
    /// its start tag.
    pub(super) fn fix(self) -> Result<Fix, (Fault, Option<String>)> {
        let position = self.position.map_err(|fault| (fault, None))?;
        let bad_time = self.bad_time.map(|(fault, text)| (fault, Some(text)));
        let time = self.time.ok_or(bad_time.unwrap_or((Fault::NoTime, None)))?;
        Ok(Fix {
            speed: self.speed.map(|(speed, _)| speed),
            course: self.course.map(|(course, _)| course),
            depth: self.depth.map(|(depth, _)| depth),
            ..Fix::bare(time, position)
        })
    }
}

/// A name of untrusted text, short and in one line; `None` where it is blank.
pub(super) fn name_of(text: &str) -> Option<String> {
    let name = text.trim();
    (!name.is_empty()).then(|| clipped(name, NAME_CHARACTERS))
}

/// Reads `lat` and `lon`, also without quotes and with references in them.
fn read_position(tag: &BytesStart<'_>) -> Result<PositionRead, Fault> {
    let (mut latitude, mut longitude) = (None, None);
    for attribute in tag.html_attributes().with_checks(false).flatten() {
        match attribute.key.as_ref() {
            "lat" => latitude = Some(attribute.value),
            "lon" => longitude = Some(attribute.value),
            _ => {}
        }
    }
    let (Some(latitude), Some(longitude)) = (latitude, longitude) else {
        return Err(Fault::NoPosition);
    };
    let number = |value: &str| decimal(value).or_else(|| decimal(&unescape(value).ok()?));
    let (Some(latitude), Some(longitude)) = (number(&latitude), number(&longitude)) else {
        return Err(Fault::UnreadablePosition);
    };
    position_of(latitude, longitude)
}

/// Whether a unit is the one that figures are kept in.
fn is_si(unit: f64) -> bool {
    (unit - 1.0).abs() < f64::EPSILON
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tag(attributes: &str) -> BytesStart<'static> {
        BytesStart::from_content(format!("trkpt{attributes}"), 5)
    }

    #[track_caller]
    fn check(attributes: &str, expected: Result<(f64, f64, bool), Fault>) {
        let read = read_position(&tag(attributes))
            .map(|r| (r.position.latitude(), r.position.longitude(), r.wrapped));
        assert_eq!(read, expected, "{attributes}");
    }

    #[test]
    fn positions_at_and_beyond_the_limits() {
        check(r#" lat="57.7" lon="11.9""#, Ok((57.7, 11.9, false)));
        check(r#" lon="11.9" lat="57.7""#, Ok((57.7, 11.9, false)));
        check("\r\n\tlat = '57.7'lon='11.9' ", Ok((57.7, 11.9, false)));
        check(" lat=57.7 lon=11.9", Ok((57.7, 11.9, false)));
        check(r#" lat="90" lon="180""#, Ok((90.0, 180.0, false)));
        check(r#" lat="-90" lon="-180""#, Ok((-90.0, -180.0, false)));
        check(r#" lat="1" lon="190""#, Ok((1.0, -170.0, true)));
        check(r#" lat="1" lon="-200""#, Ok((1.0, 160.0, true)));
        check(r#" lat="1" lon="360.1""#, Err(Fault::LongitudeRange));
        check(r#" lat="90.001" lon="1""#, Err(Fault::LatitudeRange));
        check(r#" lat="91" lon="400""#, Err(Fault::LatitudeRange));
        check(r#" lat="0" lon="-0.000""#, Err(Fault::ZeroPosition));
        check(r#" lat="0" lon="9""#, Ok((0.0, 9.0, false)));
        let unreadable = Err(Fault::UnreadablePosition);
        check(r#" lat="undefined" lon="1""#, unreadable);
        check(r#" lat="NaN" lon="1""#, unreadable);
        check(r#" lat="" lon="1""#, unreadable);
        check(r#" lat="57&what;7" lon="1""#, unreadable);
        check(r#" lon="1""#, Err(Fault::NoPosition));
        check("", Err(Fault::NoPosition));
        check(
            r#" lat="57&#46;7" lon="&#x31;1.9""#,
            Ok((57.7, 11.9, false)),
        );
    }

    #[test]
    fn a_points_own_value_wins() {
        let mut recorded = None;
        for (value, is_own) in [(1, false), (2, false), (3, true), (4, true)] {
            put(&mut recorded, value, is_own);
        }
        assert_eq!(recorded, Some((3, true)));
    }

    #[test]
    fn units_are_obeyed_and_sentinels_are_unknown() {
        let capture = |kind, unit| Capture {
            kind,
            unit,
            level: 1,
        };
        let speed = |text: &str, unit| {
            let mut point = OpenPoint::new(0, &tag(""), false, 0);
            point.put(capture(Kind::Speed, unit), text, &mut Tally::default());
            point.speed.map(|(speed, _)| speed.as_metres_per_second())
        };
        assert_eq!(speed("2.5", Some(1.0)), Some(2.5));
        assert_eq!(speed("10", Some(0.5)), Some(5.0));
        assert_eq!(speed("9 km/h", Some(1.0)), Some(2.5));
        assert_eq!(speed("2.5", None), None);
        assert_eq!(speed("-1", Some(1.0)), None);
        assert_eq!(speed("NaN", Some(1.0)), None);
        let mut point = OpenPoint::new(0, &tag(""), false, 0);
        let mut tally = Tally::default();
        point.put(capture(Kind::Depth, Some(0.3048)), "10", &mut tally);
        point.put(capture(Kind::Course, Some(1.0)), "-1", &mut tally);
        let depth = point.depth.map(|(depth, _)| depth.as_metres());
        assert_eq!((depth, point.course), (Some(3.048), None));
        assert_eq!(tally.remarks().count(), 1);
    }
}
