//! What a GPX file has given so far.

use std::ops::Range;

use jiff::Timestamp;

use super::point::{Oddities, OpenPoint};
use crate::parser::fault::{Fault, Faults};
use crate::track::{Fix, RecordedTrack, Waypoint};

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
    /// Counts one place, of which these bytes were passed over.
    #[cold]
    pub(super) fn add(&mut self, bytes: Range<usize>) {
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
    /// What was not used, within the last window.
    pub(super) unread: Range<usize>,
    /// The innermost element still open; `None` where only a tag is broken.
    pub(super) inside: Option<String>,
}

/// Points and counts, in file order.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    /// Where the window begins in which the places given from outside are counted, bytes.
    pub(super) window_start: usize,
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

impl Gathered {
    /// Takes a track point that has ended.
    pub(super) fn add_point(&mut self, point: &OpenPoint<'_>) {
        self.oddities.add(point.oddities);
        match point.fix() {
            Ok(fix) => self.segment.push(fix),
            Err((fault, value)) => self.lose(fault, point.start, value),
        }
    }

    /// Counts a point set aside, which begins at byte `start` of the window.
    #[cold]
    pub(super) fn lose(&mut self, fault: Fault, start: usize, value: &str) {
        self.faults.add(fault, self.window_start + start, value);
    }

    /// Counts broken markup, these bytes of the window.
    pub(super) fn passed_over(&mut self, bytes: Range<usize>) {
        let start = self.window_start;
        self.broken.add(start + bytes.start..start + bytes.end);
    }

    /// Counts tags that do not match, at byte `at` of the window.
    pub(super) fn mismatch(&mut self, at: usize) {
        let at = self.window_start + at;
        self.mismatched.add(at..at);
    }

    /// The places whose lines will be told, bytes.
    pub(super) fn places(&self) -> impl Iterator<Item = usize> {
        let damages = [&self.broken, &self.mismatched].into_iter();
        let damaged = damages.filter(|d| d.places > 0).map(|d| d.first);
        self.faults.places().chain(damaged)
    }

    /// Takes a waypoint that has ended.
    pub(super) fn add_waypoint(&mut self, point: OpenPoint<'_>) {
        match point.position {
            Ok(position) => self.waypoints.push(Waypoint {
                name: point.name.unwrap_or_default(),
                time: point.time,
                position,
            }),
            Err(_) => self.lost_waypoints += 1,
        }
    }

    /// Names the track that is being read.
    pub(super) fn name_track(&mut self, name: Option<String>) {
        self.track.name = name;
    }

    /// Ends a segment; without any fix it leaves no trace.
    pub(super) fn end_segment(&mut self) {
        if !self.segment.is_empty() {
            self.track.segments.push(std::mem::take(&mut self.segment));
        }
    }

    /// Ends a track; without any fix it leaves no trace.
    pub(super) fn end_track(&mut self) {
        self.end_segment();
        let track = std::mem::take(&mut self.track);
        if !track.segments.is_empty() {
            self.tracks.push(track);
        }
    }
}
