//! clean
use crate::analysis::TrackSummary;
use crate::track::{Recording, Track};
use serde::Serialize;
/// r
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct CleanRules {}
/// c
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cleaned {
    /// t
    pub tracks: Vec<Track>,
    /// s
    pub summaries: Vec<TrackSummary>,
}
/// c
pub fn clean_all(recordings: &[Recording], _r: &CleanRules) -> Cleaned {
    let mut out = Cleaned::default();
    for (i, r) in recordings.iter().enumerate() {
        for t in &r.tracks {
            for s in &t.segments {
                out.tracks.extend(Track::new(i, s.clone()));
            }
        }
    }
    out
}
