//! The days of a trial on their way: read from their tracks, then with what the notes say.

use jiff::Timestamp;

use super::result::TrackSummary;
use super::rules::Rules;
use crate::clean::{CleanedAll, clean_all};
use crate::day::wind_log::WindLog;
use crate::notes::{self, Clock, Objection};
use crate::segmenter::{Assigned, AssignedRun, DayRead, Run, Segmented};
use crate::stats::quantile::median;
use crate::track::{Recording, Track};

/// A day as read from its tracks alone.
#[derive(Debug, Clone)]
pub(super) struct ReadDay {
    pub(super) summaries: Vec<TrackSummary>,
    pub(super) tracks: Vec<Track>,
    pub(super) onboard: Option<WindLog>,
    pub(super) read: Option<DayRead>,
}

/// A day with its legs found and its double runs in groups.
pub(super) struct FoundDay {
    pub(super) summaries: Vec<TrackSummary>,
    pub(super) tracks: Vec<Track>,
    pub(super) onboard: Option<WindLog>,
    pub(super) found: Option<Segmented>,
    pub(super) assigned: Assigned,
    pub(super) objections: Vec<Objection>,
}

impl ReadDay {
    pub(super) fn of(recordings: Vec<Recording>, rules: &Rules) -> Self {
        let onboard = WindLog::of_recordings(&recordings);
        let cleaned = clean_all(recordings, &rules.clean);
        let summaries = summaries(&cleaned);
        let tracks = cleaned.tracks;
        let read = DayRead::of(&tracks, &rules.segment);
        Self {
            summaries,
            tracks,
            onboard,
            read,
        }
    }

    pub(super) fn legs(&self) -> usize {
        self.read.as_ref().map_or(0, |read| read.legs.len())
    }

    pub(super) fn span(&self) -> Option<[Timestamp; 2]> {
        span(&self.summaries)
    }

    pub(super) fn with(self, marks: &notes::Marks, clock: &Clock) -> FoundDay {
        let (found, assigned, objections) = match self.read {
            Some(read) => {
                let (read, assigned, objections) = notes::apply(read, marks, clock);
                (Some(read.finish()), assigned, objections)
            }
            None => (None, Assigned::default(), Vec::new()),
        };
        FoundDay {
            summaries: self.summaries,
            tracks: self.tracks,
            onboard: self.onboard,
            found,
            assigned,
            objections,
        }
    }
}

impl FoundDay {
    /// Its files, with the number of the day.
    pub(super) fn tracks_of(&self, day: usize) -> impl Iterator<Item = TrackSummary> {
        let numbered = move |own: &TrackSummary| TrackSummary { day, ..own.clone() };
        self.summaries.iter().map(numbered)
    }

    /// The double runs that count, with their groups.
    pub(super) fn counted(&self) -> impl Iterator<Item = (&Run, &AssignedRun)> {
        let runs = self.found.iter().flat_map(|found| &found.runs);
        let runs = runs.zip(&self.assigned.runs);
        runs.filter(|(_, own)| !own.left_out)
    }
}

/// From the first fix used to the last.
pub(super) fn span(tracks: &[TrackSummary]) -> Option<[Timestamp; 2]> {
    let from = tracks.iter().filter_map(|track| track.from).min()?;
    let to = tracks.iter().filter_map(|track| track.to).max()?;
    Some([from, to])
}

fn summaries(cleaned: &CleanedAll) -> Vec<TrackSummary> {
    cleaned
        .recordings
        .iter()
        .enumerate()
        .map(|(index, recording)| {
            let own: Vec<&Track> = cleaned
                .tracks
                .iter()
                .filter(|t| t.recording() == index)
                .collect();
            let steps: Vec<f64> = own
                .iter()
                .flat_map(|t| t.fixes().windows(2))
                .map(|pair| pair[1].time.duration_since(pair[0].time).as_secs_f64())
                .collect();
            TrackSummary {
                file: recording.file.clone(),
                day: 1,
                fixes_read: recording.points_met,
                fixes_used: recording.fixes_used,
                set_aside: recording.set_aside.clone(),
                remarks: recording.remarks.clone(),
                from: own.iter().map(|t| t.start()).min(),
                to: own.iter().map(|t| t.end()).max(),
                interval_s: median(&steps),
            }
        })
        .collect()
}
