//! GPX, every version and dialect: one streaming pass over the text.
//!
//! Elements are known by their local names. Nothing is asked of version,
//! creator, namespace or schema order; what is not known is passed over. Rules
//! of the format: GPX 1.1 schema documentation, topografix.com/GPX/1/1.
//!
//! `quick-xml` reads each tag. Where the markup is broken this reader goes on: tags need not
//! match, and one that is not closed before the next `<` costs itself alone. Entities that a
//! document declares are never expanded.

mod point;

use std::borrow::Cow;

use jiff::Timestamp;
use memchr::{memchr, memmem};
use quick_xml::Reader;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesStart, Event};

use self::point::{OpenPoint, name_of};
use super::quantity::{LENGTH, speed_unit};
use super::source::{STEP_BYTES, Source, clipped, text};
use super::tally::{Fault, Oddity, Tally, count};
use super::time::{Moment, moment};
use super::{ReadError, recording};
use crate::track::{Fix, RecordedTrack, Recording, WEEK_ROLLOVER_S, Waypoint};

/// Longest tag, comment or CDATA section, bytes; one that is not closed by then is broken.
const MOST_MARKUP_BYTES: usize = 4 * STEP_BYTES;

/// Longest beginning of markup, bytes: `<![CDATA[`.
const MOST_MARK_BYTES: usize = 9;

/// Longest document type with its declarations, bytes: those of GPX have none.
const MOST_DECLARATION_BYTES: usize = 65_536;

/// How deep elements are told apart; deeper ones are counted only.
///
/// GPX itself needs 5 levels, extensions a few more. The bound keeps a hostile
/// file from growing the stack with its own size.
const MOST_LEVELS: usize = 64;

/// Most bytes kept of an element's text or name. No name or number needs more.
const MOST_TEXT_BYTES: usize = 1024;

/// Most waypoints kept: no day has as many marks. Keeps a file full of them out of the memory.
const MOST_WAYPOINTS: usize = 100_000;

/// Most bytes kept of a point's attributes, for a message.
const SHOWN_BYTES: usize = 80;

/// How long after its last fix a file may be written and the rollover still be named, seconds.
///
/// A day's track is saved within days; two months leave room for a card read
/// after the season. An invented but ample figure.
const SAVED_WITHIN_S: i64 = 60 * 86_400;

/// How long before its last fix a file may say it was written, seconds: zones and clocks differ.
const SAVED_BEFORE_S: i64 = 2 * 86_400;

/// Longest element name repeated.
const NAME_CHARACTERS: usize = 40;

/// Reads a GPX document, or several joined end to end.
pub(super) fn read(mut source: Source<'_>) -> Result<Recording, ReadError> {
    let mut builder = Builder::default();
    loop {
        let used = builder.read(source.piece(), source.place(), source.ended);
        if source.ended {
            break;
        }
        source.advance(used, builder.places());
        source.fill()?;
    }
    let length = source.place() + source.piece().len();
    let cut_off = builder.finish(length);
    let cut_at = cut_off.as_ref().map(|cut| cut.from);
    source.advance(source.piece().len(), builder.places().chain(cut_at));
    let remarks = builder.remarks(cut_off.as_ref(), &source);
    let found = builder.found_instead(cut_off.as_ref(), &source);
    let line_of = |place| source.line_of(place);
    let empty = |file| ReadError::NoTrack { file, found };
    let read = recording(
        &source,
        &builder.tally,
        line_of,
        builder.tracks,
        remarks,
        empty,
    )?;
    Ok(Recording {
        waypoints: builder.waypoints,
        ..read
    })
}

/// What an element is, by its local name alone.
///
/// Namespaces are not resolved: recorders leave them out, declare them wrongly,
/// or use a prefix they never declare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
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
    /// Sorts a local name.
    fn of(local: &str) -> Self {
        match local {
            "gpx" => Self::Gpx,
            "metadata" => Self::Metadata,
            "trk" => Self::Track,
            "trkseg" => Self::Segment,
            "trkpt" => Self::TrackPoint,
            "wpt" => Self::Waypoint,
            "rte" => Self::Route,
            "rtept" => Self::RoutePoint,
            "time" => Self::Time,
            "name" => Self::Name,
            "extensions" => Self::Extensions,
            _ => Self::recorded(local),
        }
    }

    /// Names of GPX 1.0, and those that recorders made up for extensions: `SOG`, `speed_kn`.
    fn recorded(local: &str) -> Self {
        let (base, unit) = split_unit(local);
        match base.to_ascii_lowercase().as_str() {
            "speed" | "sog" => Self::Speed,
            "course" | "cog" if unit.is_none() => Self::Course,
            "depth" | "waterdepth" if unit.is_none() => Self::Depth,
            _ => Self::Other,
        }
    }

    /// Whether elements of this kind hold points, or are points.
    fn is_structural(self) -> bool {
        matches!(
            self,
            Self::Gpx
                | Self::Metadata
                | Self::Track
                | Self::Segment
                | Self::TrackPoint
                | Self::Waypoint
                | Self::Route
                | Self::RoutePoint
        )
    }
}

/// `speed_kn` to `speed` and `kn`.
fn split_unit(local: &str) -> (&str, Option<&str>) {
    match local.split_once(['_', '-']) {
        Some((base, unit)) => (base, Some(unit)),
        None => (local, None),
    }
}

/// The name without its prefix.
fn local(name: &str) -> &str {
    name.split_once(':').map_or(name, |(_, local)| local)
}

/// The size, in metres per second or metres, of the unit that an attribute or the name of the
/// element says, SI where neither does; `None` where it is not known.
fn unit_of(kind: Kind, local: &str, tag: &BytesStart<'_>) -> Option<f64> {
    let mut attributes = tag.html_attributes();
    let mut attributes = attributes.with_checks(false).flatten();
    let attribute = attributes.find(|a| ["unit", "units", "uom"].contains(&a.key.as_ref()));
    let unit = attribute.as_ref().map(|attribute| attribute.value.as_ref());
    match (unit.or(split_unit(local).1), kind) {
        (None, _) => Some(1.0),
        (Some(unit), Kind::Speed) => Some(speed_unit(unit)?.metres_per_second()),
        (Some(unit), _) => LENGTH.unit(unit),
    }
}

/// An element whose text is read.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Capture {
    kind: Kind,
    /// The size of its unit in SI; `None` where it is not known.
    unit: Option<f64>,
    /// How many elements are open around it.
    level: usize,
}

/// Places where markup was passed over or mended.
#[derive(Debug, Default)]
struct Damage {
    /// How many places.
    places: usize,
    /// Where the first one begins, bytes.
    first: usize,
    /// How many bytes were passed over in all.
    bytes: usize,
}

impl Damage {
    #[cold]
    fn add(&mut self, place: usize, bytes: usize) {
        if self.places == 0 {
            self.first = place;
        }
        self.places += 1;
        self.bytes += bytes;
    }
}

/// Where and in what the file ends before its time.
struct CutOff {
    /// From where nothing was used, bytes.
    from: usize,
    /// How many bytes were not used.
    unread: usize,
    /// The innermost element still open; `None` where only a tag is broken.
    inside: Option<String>,
}

/// The elements open at the moment, and what has been gathered, in file order.
#[derive(Debug, Default)]
struct Builder {
    /// The elements open, and where the name of each begins in `names`.
    stack: Vec<(Kind, usize)>,
    names: String,
    too_deep: usize,
    capture: Option<Capture>,
    captured: String,
    point: Option<OpenPoint>,
    /// The attributes of the last point, as far as a message may show them.
    shown: String,
    /// Up to where comments and the like are known not to end, bytes.
    endless: usize,
    broken_tail: Option<usize>,
    segment: Vec<Fix>,
    track: RecordedTrack,
    tracks: Vec<RecordedTrack>,
    waypoints: Vec<Waypoint>,
    tally: Tally,
    routes: usize,
    route_points: usize,
    documents: usize,
    /// When the file says it was written.
    written: Option<Timestamp>,
    /// Markup passed over.
    broken: Damage,
    /// End tags that fit nothing, and elements closed for want of theirs.
    mismatched: Damage,
}

impl Builder {
    /// Reads a piece, which begins at byte `place`, as far as its tokens are whole; returns how
    /// far that is. The `last` one is read to its end.
    fn read(&mut self, piece: &[u8], place: usize, last: bool) -> usize {
        let mut at = 0;
        while let Some(rest) = piece.get(at..).filter(|rest| !rest.is_empty()) {
            let Some(length) = self.read_token(rest, place + at, last) else {
                break;
            };
            at += length;
        }
        at
    }

    /// Reads the tag or text that `rest` begins with, and gives its length; `None` where its end
    /// is not yet there.
    fn read_token(&mut self, rest: &[u8], place: usize, last: bool) -> Option<usize> {
        let is_tag = rest.starts_with(b"<");
        // A tag ends before the next one begins; in comments and the like anything may be.
        let next = memchr(b'<', rest.get(usize::from(is_tag)..)?);
        let next = next.map(|next| next + usize::from(is_tag));
        if !is_tag && self.capture.is_none() {
            return Some(next.unwrap_or(rest.len()));
        }
        let is_special = is_tag && matches!(rest.get(1), Some(b'!' | b'?'));
        let end = match next {
            _ if is_special && place < self.endless => Some(2),
            _ if is_special => end_of_special(rest),
            next => next,
        };
        // The beginning of a comment and the like may itself be cut off by the end of the piece.
        let is_seen = end.is_some() && !(is_special && rest.len() < MOST_MARK_BYTES);
        let is_whole = last || is_seen || rest.len() >= MOST_MARKUP_BYTES;
        if !is_tag && !is_whole && rest.len() < STEP_BYTES {
            return None;
        }
        let within = rest.get(..end.unwrap_or(rest.len())).unwrap_or(rest);
        let text = text(within);
        let mut reader = Reader::from_str(&text);
        let config = reader.config_mut();
        config.check_end_names = false;
        config.allow_unmatched_ends = true;
        config.allow_dangling_amp = true;
        let Ok(event) = reader.read_event() else {
            if !is_whole {
                return None;
            }
            let length = next.unwrap_or(rest.len());
            if end.is_none() && is_special {
                self.endless = self.endless.max(place + rest.len());
            }
            if last && length == rest.len() {
                self.broken_tail = Some(place);
            } else {
                self.broken.add(place, length);
            }
            return Some(length);
        };
        let length = usize::try_from(reader.buffer_position()).unwrap_or(text.len());
        self.take(event, place);
        // What was not UTF-8 had a character in each byte.
        Some(match &text {
            Cow::Borrowed(_) => length.max(1),
            Cow::Owned(text) => text.get(..length).map_or(1, |read| read.chars().count()),
        })
    }

    fn take(&mut self, event: Event<'_>, place: usize) {
        match event {
            Event::Start(tag) => self.open(&tag, place),
            Event::Empty(tag) => {
                self.open(&tag, place);
                self.close(tag.name().as_ref(), place);
            }
            Event::End(tag) => self.close(tag.name().as_ref(), place),
            Event::Text(piece) if self.capture.is_some() => self.capture_text(&piece),
            Event::CData(piece) if self.capture.is_some() => self.capture_text(&piece),
            Event::GeneralRef(name) if self.capture.is_some() => {
                // A reference to a character or one of XML's own; any other stays as it is.
                let character = name.resolve_char_ref().ok().flatten().map(String::from);
                let known = resolve_xml_entity(&name).map(str::to_owned);
                let resolved = character.or(known);
                let resolved = resolved.unwrap_or_else(|| format!("&{};", &*name));
                self.capture_text(&resolved);
            }
            _ => {}
        }
    }

    /// The places whose lines messages may name, bytes; that of a point still open too.
    fn places(&self) -> impl Iterator<Item = usize> {
        let damages = [&self.broken, &self.mismatched].into_iter();
        let damaged = damages.filter(|d| d.places > 0).map(|d| d.first);
        let open = self.point.as_ref().map(|open| open.start);
        let tally = self.tally.places();
        tally.chain(damaged).chain(open).chain(self.broken_tail)
    }

    /// Ends everything still open; `length` is that of the text.
    fn finish(&mut self, length: usize) -> Option<CutOff> {
        let open = self.point.take().map(|open| {
            let start = open.start;
            if !open.is_waypoint {
                self.tally.lose(Fault::CutOff, start, || self.shown.clone());
            }
            start
        });
        self.end_track();
        let inside = self
            .stack
            .last()
            .and_then(|(_, from)| self.names.get(*from..));
        if inside.is_none() && self.broken_tail.is_none() {
            return None;
        }
        let from = open.or(self.broken_tail).unwrap_or(length);
        Some(CutOff {
            from,
            unread: length - from.min(length),
            inside: inside.map(str::to_owned),
        })
    }

    fn open(&mut self, tag: &BytesStart<'_>, place: usize) {
        if self.stack.len() >= MOST_LEVELS {
            self.too_deep += 1;
            return;
        }
        let name = tag.name();
        let name = shortened(name.as_ref());
        let local = local(name);
        let mut kind = Kind::of(local);
        if kind.is_structural() {
            if self.in_extensions() {
                // What looks like a track inside a point's extensions is none.
                kind = Kind::Other;
            } else {
                self.make_way_for(kind, place);
            }
        }
        let level = self.stack.len();
        match kind {
            Kind::TrackPoint | Kind::Waypoint => {
                self.shown.clear();
                let attributes = tag.attributes_raw();
                self.shown.push_str(start_of(attributes, SHOWN_BYTES));
                let is_waypoint = kind == Kind::Waypoint;
                self.point = Some(OpenPoint::new(place, tag, is_waypoint, level));
            }
            Kind::Time | Kind::Name | Kind::Speed | Kind::Course | Kind::Depth
                if self.capture.is_none() =>
            {
                self.captured.clear();
                let unit = unit_of(kind, local, tag);
                let capture = Capture { kind, unit, level };
                self.capture = Some(capture).filter(|_| self.is_read(kind));
            }
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            Kind::Route => self.routes += 1,
            Kind::RoutePoint => self.route_points += 1,
            Kind::Gpx => self.documents += 1,
            _ => {}
        }
        self.stack.push((kind, self.names.len()));
        self.names.push_str(name);
    }

    /// Whether the text of an element of this kind is for anything here.
    fn is_read(&self, kind: Kind) -> bool {
        let parent = self.stack.last().map(|(kind, _)| *kind);
        match kind {
            Kind::Time => matches!(
                parent,
                Some(Kind::TrackPoint | Kind::Waypoint | Kind::Gpx | Kind::Metadata)
            ),
            Kind::Name => matches!(parent, Some(Kind::Track | Kind::Waypoint)),
            _ => self.point.as_ref().is_some_and(|open| !open.is_waypoint),
        }
    }

    fn close(&mut self, name: &str, place: usize) {
        if self.too_deep > 0 {
            self.too_deep -= 1;
            return;
        }
        let opened = self
            .stack
            .last()
            .and_then(|(_, from)| self.names.get(*from..));
        if opened == Some(shortened(name)) {
            self.pop();
        } else {
            self.close_mismatched(name, place);
        }
    }

    fn in_extensions(&self) -> bool {
        self.point.as_ref().is_some_and(|open| {
            let inside = self.stack.get(open.level + 1..).unwrap_or_default();
            inside.iter().any(|(kind, _)| *kind == Kind::Extensions)
        })
    }

    /// Ends what cannot hold the element that begins: its end tag is missing.
    fn make_way_for(&mut self, kind: Kind, place: usize) {
        let leaf = self.capture.map(|capture| capture.level);
        let point = self.point.as_ref().map(|open| open.level);
        let document = (kind == Kind::Gpx && !self.stack.is_empty()).then_some(0);
        if let Some(level) = document.or(point).or(leaf) {
            self.mismatched.add(place, 0);
            self.pop_to(level);
        }
    }

    /// Closes what the name fits best, and everything inside it.
    ///
    /// A name that fits nothing is a misspelt end of the innermost element,
    /// unless that one holds points.
    #[cold]
    fn close_mismatched(&mut self, name: &str, place: usize) {
        self.mismatched.add(place, 0);
        let mut end = self.names.len();
        for level in (0..self.stack.len()).rev() {
            let from = self.stack.get(level).map_or(0, |(_, from)| *from);
            if self.names.get(from..end).map(local) == Some(local(shortened(name))) {
                return self.pop_to(level);
            }
            end = from;
        }
        if self
            .stack
            .last()
            .is_some_and(|(kind, _)| !kind.is_structural())
        {
            self.pop();
        }
    }

    fn pop_to(&mut self, level: usize) {
        while self.stack.len() > level {
            self.pop();
        }
    }

    /// Ends the innermost element.
    fn pop(&mut self) {
        let Some((kind, name)) = self.stack.pop() else {
            return;
        };
        self.names.truncate(name);
        let level = self.stack.len();
        match kind {
            Kind::TrackPoint | Kind::Waypoint => {
                if let Some(open) = self.point.take_if(|open| open.level == level) {
                    self.take_point(open);
                }
            }
            Kind::Segment => self.end_segment(),
            Kind::Track => self.end_track(),
            _ => {
                if let Some(capture) = self.capture.take_if(|capture| capture.level == level) {
                    self.deliver(capture);
                }
            }
        }
    }

    fn take_point(&mut self, point: OpenPoint) {
        if !point.is_waypoint {
            self.tally.note_if(point.is_wrapped, Oddity::Wrapped);
            let start = point.start;
            match point.fix() {
                Ok(fix) => self.segment.push(fix),
                Err((fault, value)) => self
                    .tally
                    .lose(fault, start, || value.unwrap_or_else(|| self.shown.clone())),
            }
            return;
        }
        match point.position {
            Ok(position) if self.waypoints.len() < MOST_WAYPOINTS => {
                self.waypoints.push(Waypoint {
                    name: point.name.unwrap_or_default(),
                    time: point.time,
                    position,
                });
            }
            _ => self.tally.note(Oddity::LostWaypoint),
        }
    }

    /// Ends a segment; without any fix it leaves no trace.
    fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            let mut segment = std::mem::take(&mut self.segment);
            segment.shrink_to_fit();
            self.track.segments.push(segment);
        }
    }

    /// Ends a track; without any fix it leaves no trace.
    fn end_track(&mut self) {
        self.end_segment();
        let mut track = std::mem::take(&mut self.track);
        if !track.segments.is_empty() {
            track.segments.shrink_to_fit();
            self.tracks.push(track);
        }
    }

    fn capture_text(&mut self, piece: &str) {
        let piece = if self.captured.is_empty() {
            piece.trim_start()
        } else {
            piece
        };
        let room = MOST_TEXT_BYTES.saturating_sub(self.captured.len());
        self.captured.push_str(start_of(piece, room));
    }

    fn deliver(&mut self, capture: Capture) {
        let text = &self.captured;
        match (&mut self.point, capture.kind) {
            (Some(point), _) => point.put(capture, text, &mut self.tally),
            (None, Kind::Time) => {
                let read = moment(text, None).and_then(Moment::in_utc);
                self.written = self.written.or(read.ok());
            }
            (None, _) => self.track.name = name_of(text),
        }
    }

    /// What was odd about the file as a whole, one sentence each.
    fn remarks(&self, cut_off: Option<&CutOff>, source: &Source<'_>) -> Vec<String> {
        let mut remarks = Vec::new();
        if self.documents > 1 {
            let number = self.documents;
            remarks.push(format!(
                "Holds {number} documents joined end to end; all were read."
            ));
        }
        if self.routes > 0 {
            remarks.push(format!(
                "{} with {} passed over: a route is a plan, not a record.",
                count(self.routes, "route"),
                count(self.route_points, "point"),
            ));
        }
        if self.broken.places > 0 {
            remarks.push(format!(
                "Broken markup at {}, first at line {}: {} passed over.",
                count(self.broken.places, "place"),
                source.line_of(self.broken.first),
                count(self.broken.bytes, "byte"),
            ));
        }
        if self.mismatched.places > 0 {
            remarks.push(format!(
                "Start and end tags do not match at {}, first at line {}; points were read as far as they go.",
                count(self.mismatched.places, "place"),
                source.line_of(self.mismatched.first),
            ));
        }
        remarks.extend(cut_off.map(|cut| cut_off_remark(cut, source)));
        remarks.extend(self.rollover_remark());
        remarks
    }

    /// What a file without track points holds, for the error.
    fn found_instead(&self, cut_off: Option<&CutOff>, source: &Source<'_>) -> String {
        let mut found = Vec::new();
        if !self.waypoints.is_empty() {
            found.push(count(self.waypoints.len(), "waypoint"));
        }
        if self.routes > 0 {
            found.push(count(self.routes, "route"));
        }
        if let Some(cut) = cut_off {
            let line = source.line_of(cut.from);
            found.push(format!("a beginning that breaks off at line {line}"));
        }
        if found.is_empty() {
            return "an empty document".to_owned();
        }
        found.join(" and ")
    }

    /// A receiver's clock 1024 weeks behind shows where the file itself has another date.
    fn rollover_remark(&self) -> Option<String> {
        let last = self.tracks.last()?.segments.last()?.last()?.time;
        let written = self.written?;
        let behind_s = written.as_second() - last.as_second();
        let rounds = (behind_s + SAVED_BEFORE_S).div_euclid(WEEK_ROLLOVER_S);
        let is_saved = behind_s - rounds * WEEK_ROLLOVER_S <= SAVED_WITHIN_S;
        let day = |time: Timestamp| time.strftime("%Y-%m-%d").to_string();
        (rounds != 0 && is_saved).then(|| {
            format!(
                "The fixes are dated {}, the file {}: the receiver's clock is {} weeks {} (its week count of 1024 rolled over); only differences of time are used.",
                day(last),
                day(written),
                1024 * rounds.abs(),
                if rounds > 0 { "behind" } else { "ahead" },
            )
        })
    }
}

/// Where a comment, CDATA section, instruction or declaration ends; `None` where it does not.
fn end_of_special(rest: &[u8]) -> Option<usize> {
    let mark: &[u8] = match rest {
        [_, b'!', b'-', ..] => b"-->",
        [_, b'!', b'[', ..] => b"]]>",
        [_, b'?', ..] => b"?>",
        _ => return Some(rest.len().min(MOST_DECLARATION_BYTES)),
    };
    memmem::find(rest, mark).map(|at| at + mark.len())
}

/// As much of a name as is kept.
fn shortened(name: &str) -> &str {
    start_of(name, MOST_TEXT_BYTES)
}

/// At most so many bytes of a text, whole characters.
fn start_of(text: &str, bytes: usize) -> &str {
    let mut ends = (0..=bytes.min(text.len())).rev();
    ends.find_map(|end| text.get(..end)).unwrap_or_default()
}

fn cut_off_remark(cut: &CutOff, source: &Source<'_>) -> String {
    let line = source.line_of(cut.from);
    let inside = match &cut.inside {
        Some(name) => format!(", before `{}` is closed", clipped(name, NAME_CHARACTERS)),
        None => String::new(),
    };
    match cut.unread * source.bytes_a_character() {
        0 => format!("Ends at line {line}{inside}; every whole point was kept."),
        unread => format!(
            "Breaks off at line {line}{inside}: the last {} not read, every whole point before them kept.",
            count(unread, "byte"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elements_are_known_by_their_local_names() {
        for (name, kind) in [
            ("trkpt", Kind::TrackPoint),
            ("ns3:trkpt", Kind::TrackPoint),
            (":trkpt", Kind::TrackPoint),
            ("trkpt2", Kind::Other),
            ("", Kind::Other),
            ("Speed", Kind::Speed),
            ("SOG", Kind::Speed),
            ("speed_kn", Kind::Speed),
            ("Cog", Kind::Course),
            ("WaterDepth", Kind::Depth),
            ("course_type", Kind::Other),
            ("maxspeed", Kind::Other),
        ] {
            assert_eq!(Kind::of(local(name)), kind, "{name}");
        }
    }

    #[test]
    fn units_stand_in_attributes_or_names() {
        for (tag, size) in [
            ("speed", Some(1.0)),
            ("speed unit='kn'", Some(1852.0 / 3600.0)),
            ("speed a='b' uom=\"km/h\"", Some(1.0 / 3.6)),
            ("speed_kmh", Some(1.0 / 3.6)),
            ("sog-mps", Some(1.0)),
            ("speed unit='warp'", None),
            ("depth unit='ft'", Some(0.3048)),
            ("depth unit='cubits'", None),
        ] {
            let end = tag.find(' ').unwrap_or(tag.len());
            let tag = BytesStart::from_content(tag, end);
            let name = tag.name();
            let kind = Kind::of(name.as_ref());
            assert_eq!(unit_of(kind, name.as_ref(), &tag), size, "{tag:?}");
        }
    }
}
