//! From elements to tracks: what is open, and what is done when it closes.

use std::borrow::Cow;
use std::ops::Range;

use jiff::Timestamp;

use super::capture::Capture;
use super::names::{Field, Kind, kind_of, local, recorded_field};
use super::plain::MOST_CONTAINERS;
use super::point::{Oddities, OpenPoint, name_of};
use crate::parser::fault::{Fault, Faults};
use crate::parser::text::clipped;
use crate::parser::time::TimeReader;
use crate::track::{Fix, RecordedTrack, Waypoint};

/// How deep elements are told apart; deeper ones are counted only.
///
/// GPX itself needs 5 levels, extensions a few more. The bound keeps a hostile
/// file from growing the stack with its own size.
const MOST_LEVELS: usize = 64;

/// Most characters kept of a reference that stands for nothing known.
const REFERENCE_CHARACTERS: usize = 40;

#[derive(Debug)]
struct OpenElement<'a> {
    kind: Kind,
    name: &'a str,
}

/// A point and its place among the elements.
#[derive(Debug)]
struct PlacedPoint<'a> {
    point: OpenPoint<'a>,
    is_waypoint: bool,
    /// How many elements are open around it.
    level: usize,
}

/// Markup that was passed over or mended.
#[derive(Debug, Default)]
pub(super) struct Damage {
    /// How many places.
    pub(super) places: usize,
    /// Where the first one begins, bytes.
    pub(super) first: usize,
    /// How many bytes were passed over in all.
    pub(super) bytes: usize,
}

impl Damage {
    #[cold]
    fn add(&mut self, at: usize, bytes: usize) {
        if self.places == 0 {
            self.first = at;
        }
        self.places += 1;
        self.bytes += bytes;
    }
}

/// Where and in what the file ends before its time.
#[derive(Debug)]
pub(super) struct CutOff<'a> {
    /// From where nothing was used, bytes.
    pub(super) from: usize,
    /// The innermost element still open; `None` where only a tag is broken.
    pub(super) inside: Option<&'a str>,
}

/// What is gathered, and the elements open at the moment.
#[derive(Debug, Default)]
pub(super) struct Builder<'a> {
    stack: Vec<OpenElement<'a>>,
    too_deep: usize,
    capture: Option<Capture<'a>>,
    point: Option<PlacedPoint<'a>>,
    segment: Vec<Fix>,
    track: RecordedTrack,
    times: TimeReader,
    broken_tail: Option<usize>,
    /// Tracks with at least one fix.
    pub(super) tracks: Vec<RecordedTrack>,
    /// Waypoints with a position.
    pub(super) waypoints: Vec<Waypoint>,
    /// Track points set aside.
    pub(super) faults: Faults,
    /// Waypoints without a usable position.
    pub(super) lost_waypoints: usize,
    /// Routes met.
    pub(super) routes: usize,
    /// Points of routes met.
    pub(super) route_points: usize,
    /// Root elements met.
    pub(super) documents: usize,
    /// What was odd about the points used.
    pub(super) oddities: Oddities,
    /// When the file says it was written.
    pub(super) written: Option<Timestamp>,
    /// Markup passed over.
    pub(super) broken: Damage,
    /// End tags that fit nothing, and elements closed for want of theirs.
    pub(super) mismatched: Damage,
}

impl<'a> Builder<'a> {
    /// A start tag at byte `start`.
    pub(super) fn open(&mut self, name: &'a str, attributes: &'a str, start: usize) {
        if self.stack.len() >= MOST_LEVELS {
            self.too_deep += 1;
            return;
        }
        let local = local(name);
        let kind = kind_of(local);
        match kind {
            Kind::TrackPoint | Kind::Waypoint => self.open_point(kind, attributes, start),
            Kind::Time | Kind::Name | Kind::Speed | Kind::Course | Kind::Depth => {
                self.begin_capture(kind, local, attributes);
            }
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            Kind::Route => self.routes += 1,
            Kind::RoutePoint => self.route_points += 1,
            Kind::Gpx if self.stack.is_empty() => self.documents += 1,
            Kind::Gpx | Kind::Metadata | Kind::Other => {}
        }
        self.stack.push(OpenElement { kind, name });
    }

    /// An end tag at byte `start`.
    pub(super) fn close(&mut self, name: &str, start: usize) {
        if self.too_deep > 0 {
            self.too_deep -= 1;
            return;
        }
        match self.stack.last() {
            Some(top) if top.name == name => self.pop(),
            _ => self.close_mismatched(name, start),
        }
    }

    /// Whether plain points may be read past the stack: none is open, and there is room for one.
    pub(super) fn takes_points(&self) -> bool {
        let room = MOST_LEVELS.saturating_sub(1 + MOST_CONTAINERS);
        self.point.is_none() && self.capture.is_none() && self.stack.len() < room
    }

    /// The reader of times, with the day it remembers.
    pub(super) fn times(&mut self) -> &mut TimeReader {
        &mut self.times
    }

    /// Whether text is of use at the moment.
    pub(super) fn wants_text(&self) -> bool {
        self.capture.is_some()
    }

    /// A piece of text.
    pub(super) fn text(&mut self, piece: Cow<'a, str>) {
        if let Some(capture) = &mut self.capture {
            capture.add(piece);
        }
    }

    /// A reference `&name;`; entities a file declares itself are never expanded.
    pub(super) fn reference(&mut self, name: &str, character: Option<char>) {
        let text = match (name, character) {
            (_, Some(character)) => character.to_string(),
            ("amp", _) => "&".to_owned(),
            ("lt", _) => "<".to_owned(),
            ("gt", _) => ">".to_owned(),
            ("quot", _) => "\"".to_owned(),
            ("apos", _) => "'".to_owned(),
            _ => format!("&{};", clipped(name, REFERENCE_CHARACTERS)),
        };
        self.text(Cow::Owned(text));
    }

    /// Broken markup was passed over.
    pub(super) fn passed_over(&mut self, bytes: Range<usize>) {
        self.broken.add(bytes.start, bytes.len());
    }

    /// Nothing can be read from byte `at` on.
    pub(super) fn breaks_off(&mut self, at: usize) {
        self.broken_tail = Some(at);
    }

    /// Ends everything still open; `end` is the text's length.
    pub(super) fn finish(&mut self, end: usize) -> Option<CutOff<'a>> {
        let open = self.point.take();
        if let Some(open) = &open
            && !open.is_waypoint
        {
            self.faults
                .add(Fault::CutOff, open.point.start, open.point.attributes);
        }
        self.end_track();
        let inside = self.stack.last().map(|element| element.name);
        if inside.is_none() && self.broken_tail.is_none() {
            return None;
        }
        let from = open.map(|open| open.point.start).or(self.broken_tail);
        Some(CutOff {
            from: from.unwrap_or(end),
            inside,
        })
    }

    fn open_point(&mut self, kind: Kind, attributes: &'a str, start: usize) {
        // A point inside a point: the end tag of the outer one is missing.
        while let Some(outer) = self.point.as_ref().map(|p| p.level) {
            self.mismatched.add(start, 0);
            while self.stack.len() > outer {
                self.pop();
            }
            self.point = None;
        }
        self.point = Some(PlacedPoint {
            point: OpenPoint::new(start, attributes),
            is_waypoint: kind == Kind::Waypoint,
            level: self.stack.len(),
        });
    }

    fn begin_capture(&mut self, kind: Kind, local: &str, attributes: &str) {
        if self.capture.is_some() {
            return;
        }
        let parent = self.stack.last().map(|element| element.kind);
        let in_track_point = self.point.as_ref().is_some_and(|open| !open.is_waypoint);
        let field = match (kind, parent) {
            (Kind::Time, Some(Kind::TrackPoint | Kind::Waypoint)) => Some(Field::Time),
            (Kind::Time, Some(Kind::Gpx | Kind::Metadata)) => Some(Field::Written),
            (Kind::Name, Some(Kind::Track)) => Some(Field::TrackName),
            (Kind::Name, Some(Kind::Waypoint)) => Some(Field::PointName),
            _ if in_track_point => recorded_field(kind, local, attributes),
            _ => None,
        };
        self.capture = field.map(|field| Capture::new(field, self.stack.len()));
    }

    /// Ends the innermost element.
    fn pop(&mut self) {
        let Some(element) = self.stack.pop() else {
            return;
        };
        let level = self.stack.len();
        match element.kind {
            Kind::TrackPoint | Kind::Waypoint => self.close_point(level),
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            _ => {
                if self.capture.as_ref().is_some_and(|c| c.level == level)
                    && let Some(capture) = self.capture.take()
                {
                    self.deliver(&capture);
                }
            }
        }
    }

    /// Closes what the name fits best, and everything inside it; else nothing.
    #[cold]
    fn close_mismatched(&mut self, name: &str, start: usize) {
        self.mismatched.add(start, 0);
        let fits = |element: &OpenElement| local(element.name) == local(name);
        if let Some(level) = self.stack.iter().rposition(fits) {
            while self.stack.len() > level {
                self.pop();
            }
        }
    }

    fn close_point(&mut self, level: usize) {
        let Some(open) = self.point.take_if(|open| open.level == level) else {
            return;
        };
        if open.is_waypoint {
            self.add_waypoint(open.point);
        } else {
            self.add_point(&open.point);
        }
    }

    /// Takes a whole track point.
    pub(super) fn add_point(&mut self, point: &OpenPoint<'a>) {
        self.oddities.add(point.oddities);
        match point.fix() {
            Ok(fix) => self.segment.push(fix),
            Err((fault, value)) => self.faults.add(fault, point.start, value),
        }
    }

    fn add_waypoint(&mut self, point: OpenPoint<'a>) {
        match point.position {
            Ok(position) => self.waypoints.push(Waypoint {
                name: point.name.unwrap_or_default(),
                time: point.time,
                position,
            }),
            Err(_) => self.lost_waypoints += 1,
        }
    }

    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.track.segments.push(std::mem::take(&mut self.segment));
        }
    }

    fn end_track(&mut self) {
        self.end_segment();
        let track = std::mem::take(&mut self.track);
        if !track.segments.is_empty() {
            self.tracks.push(track);
        }
    }

    fn deliver(&mut self, capture: &Capture<'a>) {
        let text = capture.text();
        match (capture.field, &mut self.point) {
            (Field::Written, _) => {
                let read = self.times.read(text).map(|read| read.timestamp);
                self.written = self.written.or(read);
            }
            (Field::TrackName, _) => self.track.name = name_of(text),
            (field, Some(placed)) => {
                let own = capture.level == placed.level + 1;
                placed.point.put(field, text, own, &mut self.times);
            }
            (_, None) => {}
        }
    }
}
