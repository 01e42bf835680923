//! `legs.gpx`: each leg as a track, for any program that draws tracks.
//!
//! GPX 1.1. Its schema bounds longitude to `-180 <= lon < 180`, so the
//! antimeridian is always written as -180.

use std::borrow::Cow;

use geo::Point;
use gpx::{Gpx, GpxVersion, Metadata, Track, TrackSegment, Waypoint};
use jiff::Timestamp;
use time::OffsetDateTime;

use super::ReportError;
use super::leg_points::runs;
use super::rounding::{clock_span, degrees, speed_with_unit};
use super::tables::wind_label;
use super::words::{self, name};
use crate::day::Leg;
use crate::track::Position;
use crate::trial::Trial;

/// Positions are written to a centimetre.
const DEGREE_DECIMALS: f64 = 1e7;

/// The legs as GPX 1.1, a track each.
///
/// # Errors
/// [`ReportError::Gpx`] where the writer fails.
pub fn legs_gpx(analysis: &Trial) -> Result<Vec<u8>, ReportError> {
    let metadata = Metadata {
        name: Some(words::title(analysis)),
        description: Some(words::found(analysis)),
        time: super::clock::span(analysis).and_then(|(from, _)| gpx_time(from)),
        ..Metadata::default()
    };
    let legs = analysis.legs.iter();
    written(metadata, legs.map(|leg| track(analysis, leg)))
}

/// The same for several days: the day stands first in each track's name.
pub(super) fn legs_gpx_of_days(days: &[Trial]) -> Result<Vec<u8>, ReportError> {
    let spans = days.iter().filter_map(super::clock::span);
    let metadata = Metadata {
        name: Some(format!("Legs of {} days", days.len())),
        time: spans.map(|(from, _)| from).min().and_then(gpx_time),
        ..Metadata::default()
    };
    let numbered = (1_usize..).zip(days);
    let tracks = numbered.flat_map(|(day, analysis)| {
        analysis.legs.iter().map(move |leg| Track {
            name: Some(format!("day {day} · {}", track_name(analysis, leg))),
            ..track(analysis, leg)
        })
    });
    written(metadata, tracks)
}

/// The document, its tracks written one at a time: the writer's points take several times the room of
/// a fix, which a record of many days would multiply.
fn written(
    metadata: Metadata,
    tracks: impl Iterator<Item = Track>,
) -> Result<Vec<u8>, ReportError> {
    let mut text = document(Some(metadata), None)?;
    let end = text.split_off(text.rfind(DOCUMENT_END).unwrap_or(text.len()));
    text.truncate(text.trim_end().len());
    for track in tracks {
        let own = document(None, Some(track))?;
        let start = own.find(TRACK).unwrap_or(own.len());
        let indented = own.get(..start).map_or(0, |before| before.trim_end().len());
        let close = own.rfind(DOCUMENT_END).unwrap_or(own.len());
        text.push_str(own.get(indented..close).unwrap_or_default().trim_end());
    }
    text.push('\n');
    text.push_str(&end);
    text.push('\n');
    Ok(text.into_bytes())
}

/// How a track begins.
const TRACK: &str = "<trk>";

/// How a document ends.
const DOCUMENT_END: &str = "</gpx>";

fn document(metadata: Option<Metadata>, track: Option<Track>) -> Result<String, ReportError> {
    let file = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some("thereback".to_owned()),
        metadata,
        tracks: track.into_iter().collect(),
        ..Gpx::default()
    };
    let mut bytes = Vec::new();
    gpx::write(&file, &mut bytes).map_err(|error| ReportError::Gpx(Box::new(error)))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn track(analysis: &Trial, leg: &Leg) -> Track {
    Track {
        name: Some(track_name(analysis, leg)),
        description: Some(description(leg)),
        segments: segments(analysis, leg),
        ..Track::new()
    }
}

/// `leg 3 · four blades · setting 1 · 2.95 kn`.
fn track_name(analysis: &Trial, leg: &Leg) -> String {
    let mut parts = vec![format!("leg {}", leg.leg)];
    parts.extend(leg.configuration.as_deref().map(name));
    parts.extend(
        leg.setting
            .as_deref()
            .map(|setting| format!("setting {}", name(setting))),
    );
    parts.extend(
        leg.speed_m_s
            .map(|speed| speed_with_unit(speed, leg.speed_se_m_s, analysis.units)),
    );
    plain_spaces(&parts.join(" · "))
}

fn description(leg: &Leg) -> String {
    let mut parts = vec![format!(
        "course {}, {} long",
        degrees(leg.course_deg),
        clock_span(leg.duration_s)
    )];
    parts.extend(
        leg.wind_label
            .map(|label| format!("wind {}", wind_label(label))),
    );
    parts.extend(leg.double_run.map(|run| format!("double run {run}")));
    if !leg.included {
        let why = leg
            .reason
            .as_deref()
            .map_or(Cow::Borrowed("no reason given"), |reason| {
                Cow::Owned(name(reason))
            });
        parts.push(format!("not counted: {why}"));
    }
    plain_spaces(&parts.join("; "))
}

/// The fixes of the leg, a segment for each unbroken run of them.
fn segments(analysis: &Trial, leg: &Leg) -> Vec<TrackSegment> {
    runs(analysis, leg)
        .iter()
        .map(|run| TrackSegment {
            points: run
                .iter()
                .map(|at| waypoint(at.position, at.time))
                .collect(),
        })
        .collect()
}

fn waypoint(position: Position, at: Timestamp) -> Waypoint {
    let mut waypoint = Waypoint::new(Point::new(
        within_schema(rounded(position.longitude())),
        rounded(position.latitude()),
    ));
    waypoint.time = gpx_time(at);
    waypoint
}

fn rounded(degrees: f64) -> f64 {
    // Adding zero turns -0 into 0.
    (degrees * DEGREE_DECIMALS).round() / DEGREE_DECIMALS + 0.0
}

fn within_schema(longitude: f64) -> f64 {
    if longitude >= 180.0 {
        longitude - 360.0
    } else {
        longitude
    }
}

/// `None` for times before the year 0 or after 9999, which the format cannot hold.
fn gpx_time(at: Timestamp) -> Option<gpx::Time> {
    OffsetDateTime::from_unix_timestamp_nanos(at.as_nanosecond())
        .ok()
        .filter(|time| (0..=9999).contains(&time.year()))
        .map(Into::into)
}

fn plain_spaces(text: &str) -> String {
    text.replace(super::rounding::NO_BREAK_SPACE, " ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longitude_stays_within_the_schema() {
        assert_eq!(within_schema(rounded(179.999_999_99)).to_string(), "-180");
        assert_eq!(within_schema(rounded(180.0)).to_string(), "-180");
        assert_eq!(
            within_schema(rounded(179.999_999_9)).to_string(),
            "179.9999999"
        );
        assert_eq!(within_schema(rounded(-180.0)).to_string(), "-180");
        assert_eq!(rounded(-1e-9).to_string(), "0");
    }
}
