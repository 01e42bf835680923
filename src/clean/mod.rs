//! From recordings to tracks: what cannot be true is left out, and counted.
//!
//! [`clean_all`] is one pass:
//! 1. The tracks of a recording that follow one another are one *source*, the work of one
//!    recorder; tracks at the same time are several. The fixes of a source are sorted by time,
//!    which puts right all disorder at once: points, segments and tracks out of order, or
//!    running backwards. Only a time that another fix has is set aside.
//! 2. Fixes that no boat could have reached are left out ([`CleanRules::max_speed_m_s`]).
//! 3. Where two sources overlap in time, the better one is used.
//! 4. What is left makes tracks. A track ends where the record pauses for long while the boat
//!    moves ([`CleanRules::break_after_s`]), where it goes on at a place that no boat could have
//!    come to, and where another recording takes over. The recorder's segments end nothing.
//!
//! Times and positions are never changed. Of every recording, the points met are the fixes used
//! and those set aside, by reason.

mod clock;
mod days;
mod jumps;
mod overlap;
mod rules;

pub use self::days::by_day;
pub use self::rules::CleanRules;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use jiff::Timestamp;
use serde::Serialize;

use self::jumps::{distance_m, is_possible, seconds};
use self::overlap::Stretch;
use crate::track::{Fix, RecordedTrack, Recording, SetAside, Track};

const REPEATED: &str = "repeated time";
const ALONE: &str = "alone between breaks: no neighbour to measure from";

/// Several recordings, cleaned.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanedAll {
    /// All tracks, in order of time, no two at one time.
    pub tracks: Vec<Track>,
    /// What became of each recording, in the order given.
    pub recordings: Vec<RecordingSummary>,
}

/// What became of one recording.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct RecordingSummary {
    /// The file's name.
    pub file: String,
    /// Points met in the file: the sum of the fixes used and those set aside.
    pub points_met: usize,
    /// Fixes used in tracks.
    pub fixes_used: usize,
    /// Points left out by the reader and here, by reason.
    pub set_aside: Vec<SetAside>,
    /// What was odd about the recording, by the reader and here, one sentence each.
    pub remarks: Vec<String>,
}

impl RecordingSummary {
    /// Moves fixes from those used to those set aside.
    fn leave_out(&mut self, reason: &str, count: usize) {
        self.fixes_used = self.fixes_used.saturating_sub(count);
        let mut known = self.set_aside.iter_mut();
        match known.find(|aside| aside.reason == reason) {
            Some(aside) => aside.count += count,
            None if count == 0 => {}
            None => self.set_aside.push(SetAside {
                reason: reason.to_owned(),
                count,
                first_line: None,
            }),
        }
    }
}

/// What one recorder wrote, in order of time.
#[derive(Debug)]
struct Source {
    recording: usize,
    fixes: Vec<Fix>,
}

/// Cleans the recordings of one day and puts their tracks in order of time.
///
/// Never fails: a recording without any two fixes that agree gives no tracks. The fixes are
/// moved, not copied, for a long track is most of the memory.
pub fn clean_all(recordings: Vec<Recording>, rules: &CleanRules) -> CleanedAll {
    let mut summaries = Vec::with_capacity(recordings.len());
    let mut sources = Vec::new();
    for (index, recording) in recordings.into_iter().enumerate() {
        let fixes = recording.tracks.iter().flat_map(|t| &t.segments).flatten();
        let fixes_met = fixes.clone().count();
        let clock = clock::remark(fixes, rules);
        let mut summary = RecordingSummary {
            file: recording.file,
            points_met: fixes_met + recording.set_aside.iter().map(|s| s.count).sum::<usize>(),
            fixes_used: fixes_met,
            set_aside: recording.set_aside,
            remarks: recording.remarks,
        };
        let mut unordered = 0;
        let mut false_fixes = 0;
        for mut fixes in in_succession(recording.tracks) {
            unordered += sort(&mut fixes);
            let met = fixes.len();
            fixes.dedup_by_key(|fix| fix.time);
            summary.leave_out(REPEATED, met - fixes.len());
            false_fixes += jumps::leave_out(&mut fixes, rules);
            sources.push(Source {
                recording: index,
                fixes,
            });
        }
        let limit = rules.max_speed_m_s;
        let reason = format!("a step faster than {limit} m/s: a false position");
        summary.leave_out(&reason, false_fixes);
        if unordered > 0 {
            summary.remarks.push(format!(
                "{unordered} of {fixes_met} fixes were out of order in time and were sorted."
            ));
        }
        summary.remarks.extend(clock);
        if false_fixes as f64 > rules.stray_share * fixes_met as f64 {
            summary.remarks.push(format!(
                "{false_fixes} of {fixes_met} fixes are set aside for steps faster than {limit} \
                 m/s: if the boat was that fast, raise `max_speed_m_s`."
            ));
        }
        summaries.push(summary);
    }
    let used = overlap::settle(&sources, rules, &mut summaries);
    let tracks = join(sources, &used, rules, &mut summaries);
    CleanedAll {
        tracks,
        recordings: summaries,
    }
}

/// The fixes of a recording, those of tracks that follow one another put together.
fn in_succession(tracks: Vec<RecordedTrack>) -> Vec<Vec<Fix>> {
    let mut spans: Vec<(Timestamp, Timestamp, RecordedTrack)> = tracks
        .into_iter()
        .filter_map(|track| {
            let times = track.segments.iter().flatten().map(|fix| fix.time);
            Some((times.clone().min()?, times.max()?, track))
        })
        .collect();
    spans.sort_by_key(|(start, ..)| *start);
    let mut lines: Vec<Vec<Vec<Fix>>> = Vec::new();
    let mut free: BinaryHeap<Reverse<(Timestamp, usize)>> = BinaryHeap::new();
    for (start, end, mut track) in spans {
        let is_free = free
            .peek()
            .is_some_and(|Reverse((until, _))| *until <= start);
        let next = if is_free { free.pop() } else { None };
        let line = next.map_or(lines.len(), |Reverse((_, line))| line);
        match lines.get_mut(line) {
            Some(segments) => segments.append(&mut track.segments),
            None => lines.push(track.segments),
        }
        free.push(Reverse((end, line)));
    }
    lines.into_iter().map(joined).collect()
}

/// Lists one behind the other, in the place of the first.
fn joined(lists: Vec<Vec<Fix>>) -> Vec<Fix> {
    let all: usize = lists.iter().map(Vec::len).sum();
    let mut lists = lists.into_iter();
    let mut fixes = lists.next().unwrap_or_default();
    fixes.reserve_exact(all - fixes.len());
    for mut list in lists {
        fixes.append(&mut list);
    }
    fixes
}

/// Sorts fixes by time, those of one time as they were; returns how many came too late.
fn sort(fixes: &mut [Fix]) -> usize {
    let mut latest = Timestamp::MIN;
    let came_late = |fix: &&Fix| {
        latest = latest.max(fix.time);
        fix.time < latest
    };
    let late = fixes.iter().filter(came_late).count();
    if late > 0 {
        fixes.sort_by_key(|fix| fix.time);
    }
    late
}

/// Makes tracks of the stretches used, in order of time.
fn join(
    mut sources: Vec<Source>,
    used: &[Stretch],
    rules: &CleanRules,
    summaries: &mut [RecordingSummary],
) -> Vec<Track> {
    let goes_on = |a: &Stretch, b: &Stretch| {
        let ends = a.of(&sources).last().zip(b.of(&sources).first());
        a.recording == b.recording && ends.is_some_and(|(a, b)| is_one_track(a, b, rules))
    };
    let whole: Vec<Vec<Stretch>> = used.chunk_by(goes_on).map(in_few_parts).collect();
    // From the back, where fixes are split off without moving those before them.
    let mut tracks = Vec::with_capacity(whole.len());
    for parts in whole.into_iter().rev() {
        let recording = parts.first().map_or(0, |part| part.recording);
        let parts = parts.into_iter().rev().filter_map(|part| {
            let source = sources.get_mut(part.source)?;
            Some(split_off(&mut source.fixes, part))
        });
        let mut parts: Vec<Vec<Fix>> = parts.collect();
        parts.reverse();
        let fixes = joined(parts);
        let count = fixes.len();
        match (Track::new(recording, fixes), summaries.get_mut(recording)) {
            (Some(track), _) => tracks.push(track),
            (None, Some(summary)) => summary.leave_out(ALONE, count),
            (None, None) => {}
        }
    }
    tracks.reverse();
    tracks
}

/// Whether two fixes, neighbours in time, belong to one track.
///
/// A boat that comes out of a hole where it went in lay still, and a recorder that records by
/// distance had nothing to write: that is a break only where a night may lie between.
fn is_one_track(a: &Fix, b: &Fix, rules: &CleanRules) -> bool {
    let lay_still = distance_m(a, b) <= rules.position_slack_m;
    let longest_s = if lay_still {
        rules.night_s
    } else {
        rules.break_after_s
    };
    seconds(a, b) <= longest_s && is_possible(a, b, rules)
}

/// The stretches of one track, neighbours in one source put together.
fn in_few_parts(stretches: &[Stretch]) -> Vec<Stretch> {
    let neighbours = |a: &Stretch, b: &Stretch| a.source == b.source && a.end == b.start;
    let parts = stretches.chunk_by(neighbours).filter_map(|part| {
        let (first, last) = part.first().zip(part.last())?;
        Some(Stretch {
            end: last.end,
            ..*first
        })
    });
    parts.collect()
}

/// Takes a stretch and what is behind it off the fixes, and gives their room back on the way, so
/// that no more than half as much again is held at any time.
fn split_off(fixes: &mut Vec<Fix>, part: Stretch) -> Vec<Fix> {
    fixes.truncate(part.end);
    if part.start == 0 {
        return std::mem::take(fixes);
    }
    let taken = fixes.split_off(part.start.min(fixes.len()));
    if fixes.len() < fixes.capacity() / 2 {
        fixes.shrink_to_fit();
    }
    taken
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;

    use crate::track::{Fix, Position};

    /// A fix `second` after 1970, metres north and east of a place at sea.
    pub(super) fn fix(second: i64, north_m: f64, east_m: f64) -> Fix {
        let degrees = |m: f64| (m / 6_371_008.8).to_degrees();
        let latitude = 57.0 + degrees(north_m);
        let longitude = 11.0 + degrees(east_m) / latitude.to_radians().cos();
        #[expect(clippy::unwrap_used, reason = "a test may fail loudly")]
        let position = Position::new(latitude, longitude).unwrap();
        Fix::bare(
            Timestamp::from_second(second).unwrap_or(Timestamp::UNIX_EPOCH),
            position,
        )
    }

    /// Fixes in one place at these seconds.
    pub(super) fn fixes_at(seconds: &[i64]) -> Vec<Fix> {
        seconds
            .iter()
            .map(|&second| fix(second, 0.0, 0.0))
            .collect()
    }
}
