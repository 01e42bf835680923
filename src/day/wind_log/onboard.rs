//! The wind log that the boat's own instruments wrote.

use super::{WindLog, WindRow};
use crate::parser::Moment;
use crate::track::Recording;

impl WindLog {
    /// The true wind that instruments on board wrote into the recordings; `None` where none did.
    ///
    /// Of several recordings the one with the most readings is taken: two devices on one boat
    /// repeat the same instrument.
    pub fn of_recordings(recordings: &[Recording]) -> Option<Self> {
        let fullest = recordings
            .iter()
            .filter(|recording| !recording.wind.is_empty())
            .max_by_key(|recording| recording.wind.len())?;
        let readings = fullest.wind.iter().map(|reading| WindRow {
            at: Moment::Instant(reading.time),
            from: reading.from,
            speed: reading.speed,
        });
        Some(Self {
            file: fullest.file.clone(),
            readings: readings.collect(),
            ..Self::default()
        })
    }
}
