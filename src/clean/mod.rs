//! From recordings to tracks: what cannot be true is left out, and counted.
//!
//! [`clean`] takes one recording, [`clean_all`] several. In turn: order within
//! each segment, order of the segments, overlaps in time, jumps, holes. The
//! recorder's own segments stay apart, as GPX 1.1 asks (a `trkseg` holds points
//! "logically connected in order"; another begins where reception was lost or
//! the receiver was off). Times and positions are never changed, only left out;
//! false clocks, frozen receivers and recorded speeds in a wrong unit are told.
//!
//! Counts add up: of every recording, the points met are the fixes used and
//! those set aside, by reason.

mod better;
mod clock;
mod days;
mod frozen;
mod jumps;
mod order;
mod overlap;
mod recorded;
mod rules;
mod step;
mod summary;

pub use self::days::by_day;
pub use self::rules::CleanRules;
pub use self::summary::{Cleaned, CleanedAll, RecordingSummary};

use std::collections::BTreeMap;

use self::better::Why;
use self::overlap::GaveWay;
use self::summary::Tally;
use crate::track::{Fix, RecordedTrack, Recording, Track};

const NO_POSITION: &str = "position 0, 0: the receiver had none yet";
const REPEATED: &str = "repeated time";
const BACKWARDS: &str = "time runs backwards";
const COVERED: &str = "recorded twice: another track stands at that time";
const ALONE: &str = "alone between breaks: no neighbour to measure from";

/// Share of fixes left out as jumps from which the rule itself is in doubt.
///
/// One in ten: interference hits runs of fixes, not a tenth of a day; a track
/// from a faster craft loses more. Our own judgement.
const MOST_JUMPS: f64 = 0.1;

/// Cleans one recording, which is number `recording_index` of those given.
///
/// The recording is taken by value and its fixes are sorted out where they lie: a long
/// track is most of the memory, and nothing needs it as it was read.
/// Never fails: a recording without any two fixes that agree gives no tracks.
pub fn clean(recording_index: usize, recording: Recording, rules: &CleanRules) -> Cleaned {
    let mut tally = Tally::of(&recording);
    let mut remarks = recording.remarks;

    let segments = ordered_segments(recording.tracks, &mut tally, &mut remarks);
    let pieces = settled(segments, &mut tally);
    remarks.extend(clock::remarks(&pieces.fixes, rules));
    remarks.extend(frozen::remark(&pieces.fixes, rules));
    let mut tracks = unbroken_tracks(pieces, rules, &mut tally, &mut remarks);
    remarks.extend(recorded::check_speeds(&mut tracks));

    let tracks: Vec<Track> = tracks
        .into_iter()
        .filter_map(|fixes| {
            let count = fixes.len();
            let track = Track::new(recording_index, fixes);
            tally.add(ALONE, if track.is_none() { count } else { 0 });
            track
        })
        .collect();
    let fixes_used = tracks.iter().map(|track| track.fixes().len()).sum();
    Cleaned {
        tracks,
        points_met: tally.points_met(),
        fixes_used,
        set_aside: tally.into_set_aside(),
        remarks,
    }
}

/// Cleans several recordings and puts their tracks in order of time.
///
/// Where tracks of two recordings overlap in time, the better one stands over
/// the stretch they share: the one with fewer gaps, else with less scatter, else
/// with clearly more fixes, else the one that began earlier. A remark says so.
pub fn clean_all(recordings: Vec<Recording>, rules: &CleanRules) -> CleanedAll {
    let mut tracks: Vec<Track> = Vec::new();
    let mut summaries: Vec<RecordingSummary> = Vec::with_capacity(recordings.len());
    for (index, mut recording) in recordings.into_iter().enumerate() {
        let file = std::mem::take(&mut recording.file);
        let mut cleaned = clean(index, recording, rules);
        tracks.append(&mut cleaned.tracks);
        summaries.push(cleaned.summary(file));
    }
    let fixes: Vec<&[Fix]> = tracks.iter().map(Track::fixes).collect();
    let settled = overlap::settle(&fixes);
    for (track, (covered, repeated)) in tracks
        .iter()
        .zip(settled.covered.iter().zip(&settled.repeated))
    {
        if let Some(summary) = summaries.get_mut(track.recording()) {
            summary.set_more_aside(COVERED, *covered);
            summary.set_more_aside(REPEATED, *repeated);
        }
    }
    for (recording, remark) in overlap_remarks(&settled.gave_way, &tracks, &summaries) {
        if let Some(summary) = summaries.get_mut(recording) {
            summary.remarks.push(remark);
        }
    }
    let mut standing = Vec::with_capacity(tracks.len());
    let mut tracks: Vec<Option<Track>> = tracks.into_iter().map(Some).collect();
    for stretch in settled.stretches {
        let Some(slot) = tracks.get_mut(stretch.track) else {
            continue;
        };
        // A track that nothing covers is moved; only parts of one are copied.
        if let Some(whole) = slot.take_if(|track| stretch.fixes == (0..track.fixes().len())) {
            standing.push(whole);
            continue;
        }
        let Some(track) = slot else {
            continue;
        };
        let fixes = track.fixes().get(stretch.fixes).unwrap_or_default();
        match Track::new(track.recording(), fixes.to_vec()) {
            Some(track) => standing.push(track),
            None => {
                if let Some(summary) = summaries.get_mut(track.recording()) {
                    summary.set_more_aside(ALONE, fixes.len());
                }
            }
        }
    }
    CleanedAll {
        tracks: standing,
        recordings: summaries,
    }
}

/// For each recording that gave way to another, over how long and why.
fn overlap_remarks(
    gave_way: &[GaveWay],
    tracks: &[Track],
    recordings: &[RecordingSummary],
) -> Vec<(usize, String)> {
    let of = |track: usize| tracks.get(track).map(Track::recording);
    let mut totals: BTreeMap<(usize, usize), BTreeMap<Why, f64>> = BTreeMap::new();
    for gave in gave_way {
        if let (Some(from), Some(to)) = (of(gave.track), of(gave.to))
            && from != to
        {
            let reasons = totals.entry((from, to)).or_default();
            *reasons.entry(gave.why).or_default() += gave.seconds;
        }
    }
    totals
        .into_iter()
        .filter_map(|((from, to), reasons)| {
            let minutes = reasons.values().sum::<f64>() / 60.0;
            let (why, _) = reasons.iter().max_by(|a, b| a.1.total_cmp(b.1))?;
            let other = &recordings.get(to)?.file;
            let why = why.clause();
            let remark = format!(
                "Over {minutes:.1} minutes `{other}` was recording too and was used in its place: {why}."
            );
            Some((from, remark))
        })
        .collect()
}

/// The recorder's segments, each in order, and in order of their first times.
fn ordered_segments(
    tracks: Vec<RecordedTrack>,
    tally: &mut Tally,
    remarks: &mut Vec<String>,
) -> Vec<Vec<Fix>> {
    let mut turned = 0;
    let mut segments: Vec<Vec<Fix>> = Vec::new();
    for mut segment in tracks.into_iter().flat_map(|track| track.segments) {
        let met = segment.len();
        segment.retain(has_position);
        tally.add(NO_POSITION, met - segment.len());
        let ordered = order::in_order(segment);
        tally.add(REPEATED, ordered.repeated);
        tally.add(BACKWARDS, ordered.backwards);
        turned += usize::from(ordered.turned);
        if !ordered.fixes.is_empty() {
            segments.push(ordered.fixes);
        }
    }
    if turned > 0 {
        remarks.push(format!(
            "{turned} of the segments ran backwards as a whole and were turned round."
        ));
    }
    let start = |segment: &Vec<Fix>| segment.first().map(|fix| fix.time);
    if !segments.is_sorted_by_key(start) {
        remarks
            .push("Segments stood out of order and were sorted by their first times.".to_owned());
        segments.sort_by_key(start);
    }
    segments
}

fn has_position(fix: &Fix) -> bool {
    fix.position.latitude() != 0.0 || fix.position.longitude() != 0.0
}

/// All fixes of a recording in order of time, and the pieces they stand in.
struct Pieces {
    fixes: Vec<Fix>,
    /// How many fixes each piece has, one behind the other.
    lengths: Vec<usize>,
}

/// The segments without overlaps in time.
fn settled(segments: Vec<Vec<Fix>>, tally: &mut Tally) -> Pieces {
    let slices: Vec<&[Fix]> = segments.iter().map(Vec::as_slice).collect();
    let settled = overlap::settle(&slices);
    tally.add(COVERED, settled.covered.iter().sum());
    tally.add(REPEATED, settled.repeated.iter().sum());
    let stretches = &settled.stretches;
    let lengths: Vec<usize> = stretches.iter().map(|s| s.fixes.len()).collect();
    let in_file_order = stretches.iter().map(|s| s.track).eq(0..slices.len());
    let whole = (lengths.iter().copied()).eq(slices.iter().map(|s| s.len()));
    let fixes = if in_file_order && whole {
        joined(segments)
    } else {
        let mut fixes = Vec::with_capacity(lengths.iter().sum());
        for stretch in settled.stretches {
            let segment = slices.get(stretch.track).copied().unwrap_or_default();
            fixes.extend_from_slice(segment.get(stretch.fixes).unwrap_or_default());
        }
        fixes
    };
    Pieces { fixes, lengths }
}

/// All segments one behind the other, in the place of the first.
fn joined(segments: Vec<Vec<Fix>>) -> Vec<Fix> {
    let all: usize = segments.iter().map(Vec::len).sum();
    let mut segments = segments.into_iter();
    let mut fixes = segments.next().unwrap_or_default();
    fixes.reserve_exact(all - fixes.len());
    for mut segment in segments {
        fixes.append(&mut segment);
    }
    fixes
}

/// The pieces without jumps, cut at holes; those of one fix are set aside.
fn unbroken_tracks(
    pieces: Pieces,
    rules: &CleanRules,
    tally: &mut Tally,
    remarks: &mut Vec<String>,
) -> Vec<Vec<Fix>> {
    let Pieces { mut fixes, lengths } = pieces;
    let met = fixes.len();
    let kept = jumps::largest_chain(&fixes, rules);
    let false_fixes = kept.iter().filter(|keep| !**keep).count();
    let limit = rules.max_speed_m_s;
    tally.add(
        &format!("a step faster than {limit} m/s: a false position"),
        false_fixes,
    );
    if false_fixes as f64 > MOST_JUMPS * met as f64 {
        remarks.push(format!(
            "{false_fixes} of {met} fixes are set aside for steps faster than {limit} m/s: if the boat was that fast, raise the limit.",
        ));
    }
    let mut marks = kept.iter();
    let true_lengths = lengths.iter().map(|&length| {
        let piece = marks.by_ref().take(length);
        piece.filter(|keep| **keep).count()
    });
    let true_lengths: Vec<usize> = true_lengths.collect();
    let mut marks = kept.iter();
    fixes.retain(|_| marks.next().is_some_and(|keep| *keep));

    let mut runs: Vec<usize> = Vec::new();
    let mut rest = fixes.as_slice();
    for length in true_lengths {
        let (piece, behind) = rest.split_at_checked(length).unwrap_or((rest, &[]));
        let unbroken = piece.chunk_by(|a, b| step::seconds(a, b) <= rules.max_gap_s);
        runs.extend(unbroken.map(<[Fix]>::len));
        rest = behind;
    }
    let mut tracks = split(fixes, &runs);
    tracks.retain(|run| {
        let alone = run.len() < 2;
        tally.add(ALONE, if alone { run.len() } else { 0 });
        !alone
    });
    tracks
}

/// Splits fixes into runs of these lengths. What is split off gives its room back on the way, so
/// that no more than half as much again is held at any time.
fn split(mut fixes: Vec<Fix>, lengths: &[usize]) -> Vec<Vec<Fix>> {
    let mut runs = Vec::with_capacity(lengths.len());
    for (index, length) in lengths.iter().enumerate().rev() {
        if index == 0 {
            runs.push(std::mem::take(&mut fixes));
            break;
        }
        runs.push(fixes.split_off(fixes.len().saturating_sub(*length)));
        if fixes.len() < fixes.capacity() / 2 {
            fixes.shrink_to_fit();
        }
    }
    runs.reverse();
    runs
}

#[cfg(test)]
pub(crate) mod tests {
    use jiff::Timestamp;

    use crate::track::{Fix, Position};

    /// A fix `second` after 1970, metres north and east of a place at sea.
    pub(crate) fn fix(second: i64, north_m: f64, east_m: f64) -> Fix {
        let degrees = |m: f64| (m / 6_371_008.8).to_degrees();
        let latitude = 57.0 + degrees(north_m);
        let longitude = 11.0 + degrees(east_m) / latitude.to_radians().cos();
        let fallback = || Position::new(57.0, 11.0);
        #[expect(clippy::unwrap_used, reason = "57 and 11 are in range")]
        let position = Position::new(latitude, longitude)
            .or_else(fallback)
            .unwrap();
        Fix::bare(
            Timestamp::from_second(second).unwrap_or(Timestamp::UNIX_EPOCH),
            position,
        )
    }

    /// Fixes in one place at these seconds.
    pub(crate) fn fixes_at(seconds: &[i64]) -> Vec<Fix> {
        seconds
            .iter()
            .map(|&second| fix(second, 0.0, 0.0))
            .collect()
    }
}
