//! From tokens to points: which elements are open, and what their ends mean.

use std::ops::Range;

use jiff::Timestamp;

use super::markup::{Token, Tokens, resolved};
use super::names::{Field, Kind, kind_of, local, recorded_field};
use super::point::{Oddities, OpenPoint, name_of};
use crate::parser::fault::{Fault, Faults};
use crate::parser::text::text;
use crate::parser::time;
use crate::track::{Fix, RecordedTrack, Waypoint};

/// How deep elements are told apart; deeper ones are counted only.
///
/// GPX itself needs 5 levels, extensions a few more. The bound keeps a hostile
/// file from growing the stack with its own size.
const MOST_LEVELS: usize = 64;

/// Most bytes kept of an element's text. No name or number needs more.
const MOST_TEXT_BYTES: usize = 1024;

/// Most bytes kept of an element's name.
const MOST_NAME_BYTES: usize = 256;

#[derive(Debug)]
struct OpenElement {
    kind: Kind,
    name: Vec<u8>,
}

/// The text of one element while it is read.
#[derive(Debug)]
struct Capture {
    field: Field,
    /// How many elements are open around it.
    level: usize,
}

/// A point and its place among the elements.
#[derive(Debug)]
struct PlacedPoint {
    point: OpenPoint,
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
    fn add(&mut self, bytes: Range<usize>) {
        if self.places == 0 {
            self.first = bytes.start;
        }
        self.places += 1;
        self.bytes += bytes.len();
    }
}

/// Where and in what the file ends before its time.
#[derive(Debug)]
pub(super) struct CutOff {
    /// From where nothing was used, bytes.
    pub(super) from: usize,
    /// How many bytes were not used.
    pub(super) unread: usize,
    /// The innermost element still open; `None` where only a tag is broken.
    pub(super) inside: Option<String>,
}

/// The elements open at the moment, and what has been gathered, in file order.
#[derive(Debug, Default)]
pub(super) struct Builder {
    tokens: Tokens,
    stack: Vec<OpenElement>,
    /// The elements that have ended, so that their places in memory serve again.
    spare: Vec<OpenElement>,
    too_deep: usize,
    capture: Option<Capture>,
    /// What the capture holds.
    captured: Vec<u8>,
    point: Option<PlacedPoint>,
    broken_tail: Option<usize>,
    segment: Vec<Fix>,
    track: RecordedTrack,
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

impl Builder {
    /// Reads a piece, which begins at byte `place`, as far as its tokens are whole; returns how
    /// far that is. The `last` one is read to its end.
    pub(super) fn read(&mut self, piece: &[u8], place: usize, last: bool) -> usize {
        let mut at = 0;
        while let Some((token, end)) = self.tokens.next(piece, at, place, last) {
            match token {
                Token::Start {
                    name,
                    attributes,
                    is_empty,
                } => {
                    self.open(name, attributes, place + at);
                    if is_empty {
                        self.close(name, place + at);
                    }
                }
                Token::End(name) => self.close(name, place + at),
                Token::Text(piece) if self.capture.is_some() => {
                    self.capture_text(resolved(&text(piece)).as_bytes());
                }
                Token::Literal(piece) if self.capture.is_some() => self.capture_text(piece),
                Token::Broken if last && end == piece.len() => {
                    self.broken_tail = Some(place + at);
                }
                Token::Broken => self.broken.add(place + at..place + end),
                Token::Text(_) | Token::Literal(_) | Token::Beside => {}
            }
            at = end;
        }
        at
    }

    /// The places whose lines messages may name, bytes; that of a point still open too.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        let damages = [&self.broken, &self.mismatched].into_iter();
        let damaged = damages.filter(|d| d.places > 0).map(|d| d.first);
        let open = self.point.as_ref().map(|open| open.point.start);
        self.faults
            .places()
            .chain(damaged)
            .chain(open)
            .chain(self.broken_tail)
    }

    /// Ends everything still open; `length` is that of the text.
    pub(super) fn finish(&mut self, length: usize) -> Option<CutOff> {
        let open = self.point.take().map(|open| {
            if !open.is_waypoint {
                let point = &open.point;
                self.faults
                    .add(Fault::CutOff, point.start, || point.attributes().into());
            }
            open.point.start
        });
        self.end_track();
        let inside = self.stack.pop().map(|element| text(&element.name).into());
        if inside.is_none() && self.broken_tail.is_none() {
            return None;
        }
        let from = open.or(self.broken_tail).unwrap_or(length);
        Some(CutOff {
            from,
            unread: length - from.min(length),
            inside,
        })
    }

    fn open(&mut self, name: &[u8], attributes: &[u8], start: usize) {
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
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            Kind::Route => self.routes += 1,
            Kind::RoutePoint => self.route_points += 1,
            Kind::Gpx => self.documents += 1,
            Kind::Metadata | Kind::Extensions | Kind::Other => {}
        }
        let mut element = self.spare.pop().unwrap_or(OpenElement {
            kind,
            name: Vec::new(),
        });
        element.kind = kind;
        element.name.clear();
        element
            .name
            .extend_from_slice(name.get(..MOST_NAME_BYTES).unwrap_or(name));
        self.stack.push(element);
    }

    fn close(&mut self, name: &[u8], start: usize) {
        if self.too_deep > 0 {
            self.too_deep -= 1;
            return;
        }
        let name = name.get(..MOST_NAME_BYTES).unwrap_or(name);
        match self.stack.last() {
            Some(top) if top.name == name => self.pop(),
            _ => self.close_mismatched(name, start),
        }
    }

    fn in_extensions(&self) -> bool {
        self.point.as_ref().is_some_and(|open| {
            let inside = self.stack.get(open.level + 1..).unwrap_or_default();
            inside.iter().any(|e| e.kind == Kind::Extensions)
        })
    }

    /// Ends what cannot hold the element that begins: its end tag is missing.
    fn make_way_for(&mut self, kind: Kind, start: usize) {
        let leaf = self.capture.as_ref().map(|capture| capture.level);
        let point = self.point.as_ref().map(|open| open.level);
        let document = (kind == Kind::Gpx && !self.stack.is_empty()).then_some(0);
        if let Some(level) = document.or(point).or(leaf) {
            self.mismatched.add(start..start);
            self.pop_to(level);
        }
    }

    /// Closes what the name fits best, and everything inside it.
    ///
    /// A name that fits nothing is a misspelt end of the innermost element,
    /// unless that one holds points.
    #[cold]
    fn close_mismatched(&mut self, name: &[u8], start: usize) {
        self.mismatched.add(start..start);
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
            Kind::TrackPoint | Kind::Waypoint => {
                if let Some(open) = self.point.take_if(|open| open.level == level) {
                    self.take_point(open);
                }
            }
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            _ => {
                if let Some(capture) = self.capture.take_if(|c| c.level == level) {
                    self.deliver(&capture);
                }
            }
        }
        self.spare.push(element);
    }

    fn take_point(&mut self, placed: PlacedPoint) {
        let point = placed.point;
        if !placed.is_waypoint {
            self.oddities.add(point.oddities);
            match point.fix() {
                Ok(fix) => self.segment.push(fix),
                Err((fault, value)) => {
                    self.faults.add(fault, point.start, || value.into());
                }
            }
            return;
        }
        match point.position {
            Ok(position) => self.waypoints.push(Waypoint {
                name: point.name.unwrap_or_default(),
                time: point.time,
                position,
            }),
            Err(_) => self.lost_waypoints += 1,
        }
    }

    /// Ends a segment; without any fix it leaves no trace.
    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.track.segments.push(std::mem::take(&mut self.segment));
        }
    }

    /// Ends a track; without any fix it leaves no trace.
    fn end_track(&mut self) {
        self.end_segment();
        let track = std::mem::take(&mut self.track);
        if !track.segments.is_empty() {
            self.tracks.push(track);
        }
    }

    fn begin_capture(&mut self, kind: Kind, local: &[u8], attributes: &[u8]) {
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
        self.captured.clear();
        self.capture = field.map(|field| Capture {
            field,
            level: self.stack.len(),
        });
    }

    fn capture_text(&mut self, piece: &[u8]) {
        let piece = if self.captured.is_empty() {
            piece.trim_ascii_start()
        } else {
            piece
        };
        let room = MOST_TEXT_BYTES.saturating_sub(self.captured.len());
        self.captured
            .extend_from_slice(piece.get(..room).unwrap_or(piece));
    }

    fn deliver(&mut self, capture: &Capture) {
        let text = text(&self.captured);
        match (capture.field, &mut self.point) {
            (Field::Written, _) => {
                let read = time::instant(&text).ok().map(|read| read.timestamp);
                self.written = self.written.or(read);
            }
            (Field::TrackName, _) => self.track.name = name_of(&text),
            (field, Some(placed)) => {
                let own = capture.level == placed.level + 1;
                placed.point.put(field, &text, own);
            }
            (_, None) => {}
        }
    }
}
