//! The readers: whatever the bytes, counts add up, positions are places, and a refusal is a whole
//! message.

use jiff::civil::date;
use thereback::parser::{Options, ReadError, read_with};
use thereback::track::Recording;
use thereback::units::Speed;

/// GPX, as it comes and behind a head that makes sure of the reader.
pub(crate) fn gpx(bytes: &[u8]) {
    read_checked(bytes);
    read_checked(&[b"<gpx><trk><trkseg>", bytes].concat());
}

/// NMEA 0183, with a day given for those without a date.
pub(crate) fn nmea(bytes: &[u8]) {
    read_checked(bytes);
    let head = b"$GPZDA,235959,31,12,2031,,\r\n$GPGLL,5742,N,01156,E,235959,A\r\n";
    read_checked(&[head, bytes].concat());
}

/// Tables, as they come and below a header that makes sure of the reader.
pub(crate) fn table(bytes: &[u8]) {
    read_checked(bytes);
    let head = b"time,lat,lon,speed (kn),course,depth,heading,stw\n";
    read_checked(&[head, bytes].concat());
}

/// Reads, and checks what must hold of anything read or refused.
pub(crate) fn read_checked(bytes: &[u8]) -> Option<Recording> {
    let options = Options {
        date: Some(date(2031, 6, 4)),
    };
    let first = read_with(bytes, "evening", &options);
    match first {
        Ok(recording) => {
            check_recording(&recording);
            Some(recording)
        }
        Err(error) => {
            check_error(&error);
            None
        }
    }
}

fn check_recording(recording: &Recording) {
    let segments = recording.tracks.iter().flat_map(|track| &track.segments);
    let fixes = || segments.clone().flatten();
    let aside: usize = recording.set_aside.iter().map(|aside| aside.count).sum();
    assert_eq!(fixes().count() + aside, recording.points_met, "counts");
    assert!(fixes().next().is_some(), "a recording without a fix");
    for fix in fixes() {
        let (latitude, longitude) = (fix.position.latitude(), fix.position.longitude());
        assert!((-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude));
        for speed in [fix.speed, fix.water_speed].into_iter().flatten() {
            assert!(
                speed.as_metres_per_second().is_finite() && speed.as_metres_per_second() >= 0.0
            );
        }
        for bearing in [fix.course, fix.heading].into_iter().flatten() {
            assert!((0.0..360.0).contains(&bearing.degrees()));
        }
        if let Some(depth) = fix.depth {
            assert!(depth.as_metres().is_finite(), "{depth:?}");
        }
    }
    for reading in &recording.wind {
        let speed = reading.speed.map(Speed::as_metres_per_second);
        assert!(speed.is_none_or(|speed| speed.is_finite() && speed >= 0.0));
    }
    for text in recording
        .remarks
        .iter()
        .chain(recording.set_aside.iter().map(|s| &s.reason))
    {
        assert!(!text.is_empty() && text.chars().count() < 1000, "{text}");
        assert!(!text.chars().any(char::is_control), "{text:?}");
    }
}

fn check_error(error: &ReadError) {
    let text = error.to_string();
    let hint = text.split_once("\nhint: ").map(|(_, hint)| hint);
    assert!(text.starts_with("cannot read `evening`"), "{text}");
    assert!(hint.is_some_and(|hint| !hint.is_empty()), "no hint: {text}");
    assert!(text.chars().count() < 1500, "{text}");
    assert!(
        text.chars().all(|c| c == '\n' || !c.is_control()),
        "{text:?}"
    );
}
