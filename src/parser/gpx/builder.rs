//! From tags and text to points: which elements are open, and what their ends mean.

use std::borrow::Cow;
use std::ops::Range;

use super::capture::Capture;
use super::gathered::{CutOff, Gathered};
use super::names::{Field, Kind, kind_of, local, recorded_field};
use super::plain::MOST_CONTAINERS;
use super::point::{OpenPoint, name_of};
use crate::parser::fault::Fault;
use crate::parser::text::clipped;
use crate::parser::time::TimeReader;

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
    /// Owned where it was opened in an earlier window.
    name: Cow<'a, str>,
}

/// A point and its place among the elements.
#[derive(Debug)]
struct PlacedPoint<'a> {
    point: OpenPoint<'a>,
    is_waypoint: bool,
    /// How many elements are open around it.
    level: usize,
}

/// The elements open at the moment, and what has been gathered.
#[derive(Debug, Default)]
pub(super) struct Builder<'a> {
    stack: Vec<OpenElement<'a>>,
    too_deep: usize,
    capture: Option<Capture<'a>>,
    point: Option<PlacedPoint<'a>>,
    times: TimeReader,
    broken_tail: Option<usize>,
    /// What the file has given.
    pub(super) gathered: Gathered,
}

impl<'a> Builder<'a> {
    /// A start tag at byte `start` of the window.
    pub(super) fn open(&mut self, name: &'a str, attributes: &'a str, start: usize) {
        if self.stack.len() >= MOST_LEVELS {
            self.too_deep += 1;
            return;
        }
        let local = local(name);
        let mut kind = kind_of(local);
        if kind.is_structural() {
            if self.in_extensions() {
                // What looks like a track inside a point's extensions is none.
                kind = Kind::Other;
            } else {
                self.make_way_for(kind, start);
            }
        }
        match kind {
            Kind::TrackPoint | Kind::Waypoint => {
                self.point = Some(PlacedPoint {
                    point: OpenPoint::new(start, attributes),
                    is_waypoint: kind == Kind::Waypoint,
                    level: self.stack.len(),
                });
            }
            Kind::Time | Kind::Name | Kind::Speed | Kind::Course | Kind::Depth => {
                self.begin_capture(kind, local, attributes);
            }
            Kind::Segment => self.gathered.end_segment(),
            Kind::Track => self.gathered.end_track(),
            Kind::Route => self.gathered.routes += 1,
            Kind::RoutePoint => self.gathered.route_points += 1,
            Kind::Gpx => self.gathered.documents += 1,
            Kind::Metadata | Kind::Other => {}
        }
        self.stack.push(OpenElement {
            kind,
            name: Cow::Borrowed(name),
        });
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

    /// A reference `&name;`.
    pub(super) fn reference(&mut self, name: &str, character: Option<char>) {
        self.text(referred(name, character));
    }

    /// Broken markup was passed over.
    pub(super) fn passed_over(&mut self, bytes: Range<usize>) {
        self.gathered.passed_over(bytes);
    }

    /// Nothing can be read from byte `at` on.
    pub(super) fn breaks_off(&mut self, at: usize) {
        self.broken_tail = Some(at);
    }

    /// Goes on with the window that follows the `length` bytes read; `None` where a point or a text
    /// is still open, which cannot be carried over.
    pub(super) fn into_next_window<'b>(mut self, length: usize) -> Option<Builder<'b>> {
        if self.point.is_some() || self.capture.is_some() || self.broken_tail.is_some() {
            return None;
        }
        let owned = |element: OpenElement<'a>| OpenElement {
            kind: element.kind,
            name: Cow::Owned(element.name.into_owned()),
        };
        self.gathered.window_start += length;
        Some(Builder {
            stack: self.stack.into_iter().map(owned).collect(),
            too_deep: self.too_deep,
            capture: None,
            point: None,
            times: self.times,
            broken_tail: None,
            gathered: self.gathered,
        })
    }

    /// Ends everything still open; `length` is that of the last window.
    pub(super) fn finish(&mut self, length: usize) -> Option<CutOff> {
        let open = self.point.take().map(|open| {
            if !open.is_waypoint {
                let point = &open.point;
                self.gathered
                    .lose(Fault::CutOff, point.start, point.attributes);
            }
            open.point.start
        });
        self.gathered.end_track();
        let inside = self.stack.pop().map(|element| element.name.into_owned());
        if inside.is_none() && self.broken_tail.is_none() {
            return None;
        }
        let from = open.or(self.broken_tail).unwrap_or(length);
        Some(CutOff {
            from: self.gathered.window_start + from,
            unread: from..length,
            inside,
        })
    }

    fn in_extensions(&self) -> bool {
        self.point.as_ref().is_some_and(|open| {
            let inside = self.stack.get(open.level + 1..).unwrap_or_default();
            inside.iter().any(|e| local(&e.name) == "extensions")
        })
    }

    /// Ends what cannot hold the element that begins: its end tag is missing.
    fn make_way_for(&mut self, kind: Kind, start: usize) {
        let leaf = self.capture.as_ref().map(|capture| capture.level);
        let point = self.point.as_ref().map(|open| open.level);
        let document = (kind == Kind::Gpx && !self.stack.is_empty()).then_some(0);
        if let Some(level) = document.or(point).or(leaf) {
            self.gathered.mismatch(start);
            self.pop_to(level);
        }
    }

    /// Closes what the name fits best, and everything inside it.
    ///
    /// A name that fits nothing is a misspelt end of the innermost element,
    /// unless that one holds points.
    #[cold]
    fn close_mismatched(&mut self, name: &str, start: usize) {
        self.gathered.mismatch(start);
        let fits = |element: &OpenElement| local(&element.name) == local(name);
        let innermost_leaf = |stack: &[OpenElement]| {
            let last = stack.len().checked_sub(1)?;
            stack
                .last()
                .filter(|e| !e.kind.is_structural())
                .map(|_| last)
        };
        let level = self.stack.iter().rposition(fits);
        if let Some(level) = level.or_else(|| innermost_leaf(&self.stack)) {
            self.pop_to(level);
        }
    }

    fn pop_to(&mut self, level: usize) {
        while self.stack.len() > level {
            self.pop();
        }
    }

    /// Ends the innermost element.
    fn pop(&mut self) {
        let Some(element) = self.stack.pop() else {
            return;
        };
        let level = self.stack.len();
        match element.kind {
            Kind::TrackPoint | Kind::Waypoint => self.close_point(level),
            Kind::Segment => self.gathered.end_segment(),
            Kind::Track => self.gathered.end_track(),
            _ => {
                if let Some(capture) = self.capture.take_if(|c| c.level == level) {
                    self.deliver(&capture);
                }
            }
        }
    }

    fn close_point(&mut self, level: usize) {
        match self.point.take_if(|open| open.level == level) {
            Some(open) if open.is_waypoint => self.gathered.add_waypoint(open.point),
            Some(open) => self.gathered.add_point(&open.point),
            None => {}
        }
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

    fn deliver(&mut self, capture: &Capture<'_>) {
        let text = capture.text();
        match (capture.field, &mut self.point) {
            (Field::Written, _) => {
                let read = self.times.read(text).map(|read| read.timestamp);
                self.gathered.written = self.gathered.written.or(read);
            }
            (Field::TrackName, _) => self.gathered.name_track(name_of(text)),
            (field, Some(placed)) => {
                let own = capture.level == placed.level + 1;
                placed.point.put(field, text, own, &mut self.times);
            }
            (_, None) => {}
        }
    }
}

/// What a reference stands for; entities a file declares itself are never expanded.
pub(super) fn referred(name: &str, character: Option<char>) -> Cow<'static, str> {
    match (name, character) {
        (_, Some(character)) => Cow::Owned(character.to_string()),
        ("amp", _) => Cow::Borrowed("&"),
        ("lt", _) => Cow::Borrowed("<"),
        ("gt", _) => Cow::Borrowed(">"),
        ("quot", _) => Cow::Borrowed("\""),
        ("apos", _) => Cow::Borrowed("'"),
        _ => Cow::Owned(format!("&{};", clipped(name, REFERENCE_CHARACTERS))),
    }
}
