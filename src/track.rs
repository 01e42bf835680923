//! What a recorder leaves: fixes, in recordings as read and in tracks as cleaned.
//!
//! A [`Recording`] is one file as it was read: nothing sorted, nothing dropped
//! but what could not be read at all. A [`Track`] is what the rest of the
//! program works on: fixes of one outing whose times strictly increase, with holes of minutes where
//! the recorder paused.

use jiff::Timestamp;
use serde::Serialize;

use crate::units::{Bearing, Distance, Speed};

/// Length of the 10-bit week count of GPS, seconds: 1024 weeks (IS-GPS-200, 3.3.4).
///
/// A receiver that has lost count of the rollovers is wrong by whole multiples of it.
pub(crate) const WEEK_ROLLOVER_S: i64 = 1024 * 7 * 86_400;

/// A place on the WGS84 ellipsoid.
///
/// Always finite, latitude in `[-90, 90]`, longitude in `[-180, 180]` (degrees).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Position {
    #[serde(rename = "lat")]
    latitude: f64,
    #[serde(rename = "lon")]
    longitude: f64,
}

impl Position {
    /// A position from degrees; `None` where either is not finite or out of range.
    pub fn new(latitude: f64, longitude: f64) -> Option<Self> {
        ((-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude)).then_some(
            Self {
                latitude,
                longitude,
            },
        )
    }

    /// Degrees north, `[-90, 90]`.
    pub fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees east, `[-180, 180]`.
    pub fn longitude(self) -> f64 {
        self.longitude
    }
}

/// One recorded position with its time, and what else the recorder wrote there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// When, UTC.
    pub time: Timestamp,
    /// Where.
    pub position: Position,
    /// Speed over the ground as recorded; secondary evidence only.
    pub speed: Option<Speed>,
    /// Course over the ground as recorded, true; secondary evidence only.
    pub course: Option<Bearing>,
    /// Depth of water below the transducer or surface, as recorded.
    pub depth: Option<Distance>,
    /// Where the bow pointed, degrees true, as a compass recorded it.
    pub heading: Option<Bearing>,
    /// Speed through the water as a log recorded it.
    pub water_speed: Option<Speed>,
}

impl Fix {
    /// A position with its time and nothing else.
    pub fn bare(time: Timestamp, position: Position) -> Self {
        Self {
            time,
            position,
            speed: None,
            course: None,
            depth: None,
            heading: None,
            water_speed: None,
        }
    }
}

/// The true wind at one time, from the wind instruments on board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindReading {
    /// When, UTC.
    pub time: Timestamp,
    /// Where it blew from, degrees true.
    pub from: Bearing,
    /// How fast.
    pub speed: Option<Speed>,
}

/// A named place a person marked, with its time where the recorder kept one.
#[derive(Debug, Clone, PartialEq)]
pub struct Waypoint {
    /// The name as in the file, untrusted text.
    pub name: String,
    /// When it was marked.
    pub time: Option<Timestamp>,
    /// Where it lies.
    pub position: Position,
}

/// A track as recorded: segments are spans the recorder itself called continuous.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RecordedTrack {
    /// The name in the file, untrusted text.
    pub name: Option<String>,
    /// Fixes per segment, in file order.
    pub segments: Vec<Vec<Fix>>,
}

/// One file as read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Recording {
    /// The file's name without its folders, for messages and results.
    pub file: String,
    /// Its tracks, in file order.
    pub tracks: Vec<RecordedTrack>,
    /// Its waypoints, in file order.
    pub waypoints: Vec<Waypoint>,
    /// True wind from instruments on board, in file order; empty where none was recorded.
    pub wind: Vec<WindReading>,
    /// Points met in the file, readable or not.
    pub points_met: usize,
    /// Points that could not be used, by reason.
    pub set_aside: Vec<SetAside>,
    /// What was odd about the file as a whole, one sentence each.
    pub remarks: Vec<String>,
}

/// How many points were left out for one reason, and where the first stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SetAside {
    /// The reason, in plain words.
    pub reason: String,
    /// How many.
    pub count: usize,
    /// The first one's line in the file, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub first_line: Option<u64>,
}

/// Fixes from one recording that follow one another: at least two, their times strictly increasing.
///
/// There may be holes where the recorder paused, the longest as cleaning allows
/// ([`CleanRules`](crate::clean::CleanRules)).
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    recording: usize,
    fixes: Vec<Fix>,
}

impl Track {
    /// A track from fixes of recording number `recording`.
    ///
    /// `None` where there are fewer than two fixes or their times do not strictly increase.
    pub fn new(recording: usize, fixes: Vec<Fix>) -> Option<Self> {
        let ordered = fixes.windows(2).all(|w| w[0].time < w[1].time);
        (fixes.len() >= 2 && ordered).then_some(Self { recording, fixes })
    }

    /// Which recording it comes from, counted from 0.
    pub fn recording(&self) -> usize {
        self.recording
    }

    /// The fixes; never fewer than two.
    pub fn fixes(&self) -> &[Fix] {
        &self.fixes
    }

    /// Time of the first fix.
    pub fn start(&self) -> Timestamp {
        self.fixes[0].time
    }

    /// Time of the last fix.
    pub fn end(&self) -> Timestamp {
        self.fixes[self.fixes.len() - 1].time
    }
}
