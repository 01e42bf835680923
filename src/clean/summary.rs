//! What cleaning gives, and the counts that go with it.

use serde::Serialize;

use crate::track::{Recording, SetAside, Track};

/// One recording, cleaned.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleaned {
    /// Its tracks, in order of time, no two at one time.
    pub tracks: Vec<Track>,
    /// Points met in the file: the sum of the fixes used and those set aside.
    pub points_met: usize,
    /// Fixes in the tracks.
    pub fixes_used: usize,
    /// Points left out by the reader and here, by reason.
    pub set_aside: Vec<SetAside>,
    /// What was odd about the recording, by the reader and here, one sentence each.
    pub remarks: Vec<String>,
}

/// Several recordings, cleaned.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanedAll {
    /// All tracks, in order of time, no two at one time.
    pub tracks: Vec<Track>,
    /// What became of each recording, in the order given.
    pub recordings: Vec<RecordingSummary>,
}

/// What became of one recording.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecordingSummary {
    /// The file's name.
    pub file: String,
    /// Points met in the file: the sum of the fixes used and those set aside.
    pub points_met: usize,
    /// Fixes used in tracks.
    pub fixes_used: usize,
    /// Points left out, by reason.
    pub set_aside: Vec<SetAside>,
    /// What was odd, one sentence each.
    pub remarks: Vec<String>,
}

impl Cleaned {
    pub(super) fn summary(self, file: String) -> RecordingSummary {
        RecordingSummary {
            file,
            points_met: self.points_met,
            fixes_used: self.fixes_used,
            set_aside: self.set_aside,
            remarks: self.remarks,
        }
    }
}

impl RecordingSummary {
    /// Moves fixes from those used to those set aside.
    pub(super) fn set_more_aside(&mut self, reason: &str, count: usize) {
        self.fixes_used = self.fixes_used.saturating_sub(count);
        add_to(&mut self.set_aside, reason, count);
    }
}

/// Counts by reason, the reader's first.
#[derive(Debug)]
pub(super) struct Tally {
    fixes: usize,
    lost_in_reading: usize,
    set_aside: Vec<SetAside>,
}

impl Tally {
    pub(super) fn of(recording: &Recording) -> Self {
        let segments = recording.tracks.iter().flat_map(|track| &track.segments);
        Self {
            fixes: segments.map(Vec::len).sum(),
            lost_in_reading: recording.set_aside.iter().map(|aside| aside.count).sum(),
            set_aside: recording.set_aside.clone(),
        }
    }

    pub(super) fn add(&mut self, reason: &str, count: usize) {
        add_to(&mut self.set_aside, reason, count);
    }

    /// Counted, not taken from the recording: one made by hand may leave it at 0.
    pub(super) fn points_met(&self) -> usize {
        self.fixes + self.lost_in_reading
    }

    pub(super) fn into_set_aside(self) -> Vec<SetAside> {
        self.set_aside
    }
}

fn add_to(set_aside: &mut Vec<SetAside>, reason: &str, count: usize) {
    if count == 0 {
        return;
    }
    match set_aside.iter_mut().find(|aside| aside.reason == reason) {
        Some(aside) => aside.count += count,
        None => set_aside.push(SetAside {
            reason: reason.to_owned(),
            count,
            first_line: None,
        }),
    }
}
