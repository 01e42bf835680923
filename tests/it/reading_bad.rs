//! Bad input: what each file that is no track is refused with.

use std::error::Error;
use std::fs;
use std::path::Path;

use thereback::parser::{MOST_BYTES, read, read_file};

/// Checks that reading fails with a message that has all of `parts` and ends in a hint.
#[track_caller]
fn check(bytes: &[u8], parts: &[&str]) {
    let shown = String::from_utf8_lossy(bytes);
    let message = read(bytes, "evening.gpx").map_or_else(|e| e.to_string(), |_| String::new());
    assert!(!message.is_empty(), "read: {shown:?}");
    check_message(&message, parts);
}

#[track_caller]
fn check_message(message: &str, parts: &[&str]) {
    for part in parts {
        assert!(message.contains(part), "no `{part}` in: {message}");
    }
    let (first, hint) = message.split_once("\nhint: ").unwrap_or((message, ""));
    assert!(
        first.starts_with("cannot read `") && !first.ends_with('.'),
        "{message}"
    );
    assert!(!hint.is_empty() && !hint.ends_with('.'), "{message}");
}

#[test]
fn files_that_are_no_track_are_named_for_what_they_are() {
    let table: [(&[u8], &[&str]); 26] = [
        (b"", &["`evening.gpx`", "the file is empty"]),
        (b" \r\n\t", &["blanks alone"]),
        (b"\xEF\xBB\xBF", &["the file is empty"]),
        (&[0; 512], &["NUL bytes alone"]),
        (b"\x1F\x8B\x08\0\0\0\0\0", &["a gzip archive", "nothing can be unpacked"]),
        (b"PK\x03\x04\x14\0", &["a zip archive", "unpack it first"]),
        (b"\x89PNG\r\n\x1A\n\0\0", &["an image"]),
        (b"\xFF\xD8\xFF\xE0", &["an image"]),
        (b"%PDF-1.7", &["a PDF document"]),
        (b"\x0E\x10\xD9\x07\x01\x02\x03\x04\x05", &["binary data"]),
        (b"<!DOCTYPE html><html><p>404</html>", &["a web page (HTML)"]),
        (b"<html lang='en'><body/></html>", &["a web page (HTML)"]),
        (b"<?xml version='1.0'?><k:kml xmlns:k='x'/>", &["XML of another kind", "`kml`"]),
        (b"<!-- nothing else", &["broken XML without any element"]),
        (b"{\"type\": \"FeatureCollection\", \"features\": []}", &["GeoJSON"]),
        (b"[1, 2]", &["JSON"]),
        (b"$GPRMC,091230,A,5742.5,N,01156.4,E,5.1,235,040631,,*00\r\n", &["line 1: `GPRMC,", "wrong checksum", "(1 met)"]),
        (b"login:\r\n2031-06-04T09:12:30Z $GPGGA,091230,,,,,0\r\n", &["line 2: ", "the receiver had no position"]),
        (b"time;lat;lon\n09:12:30;57,7;11,9\n", &["line 2: `09:12:30`", "a time of day without a date"]),
        (b"Dear all,\nthe day was fine\n", &["plain text that begins `Dear all,`"]),
        (b"<gpx/>", &["no track points", "only an empty document"]),
        (b"<gpx><trk><trkseg/></trk></gpx>", &["no track points"]),
        (b"<gpx><wpt lat='57' lon='11'/><rte><rtept/></rte></gpx>", &["only 1 waypoint and 1 route"]),
        (b"<?xml version='1.0'?>\n<gpx><trk", &["breaks off at line 2"]),
        (
            b"<gpx><trk><trkseg>\n<trkpt lat='57' lon='11'/>\n<trkpt lat='57' lon='12'/></trkseg></trk></gpx>",
            &["line 2: ", "(2 met) has a time", "export the raw log"],
        ),
        (
            b"<gpx><trk><trkseg>\n\n<trkpt lat='91.3' lon='11'><time>2031-06-04T09:12:30Z</time></trkpt></trkseg></trk></gpx>",
            &["line 3: ", "`lat='91.3' lon='11'`", "latitude outside [-90, 90]"],
        ),
    ];
    for (bytes, parts) in table {
        check(bytes, parts);
    }
}

#[test]
fn an_unreadable_time_is_shown_with_its_line() {
    check(
        b"<gpx><trk><trkseg>\n<trkpt lat='57' lon='11'><time>half past nine</time></trkpt></trkseg></trk></gpx>",
        &["line 2: `half past nine`", "unreadable time"],
    );
}

#[test]
fn control_characters_of_a_file_do_not_reach_the_message() -> Result<(), Box<dyn Error>> {
    let text = "<gpx><trk><trkseg><trkpt lat='\u{1b}[2J\u{7}' lon='11'/></trkseg></trk></gpx>";
    let message = read(text.as_bytes(), "x").err().ok_or("read")?.to_string();
    assert!(
        message.chars().all(|c| c == '\n' || !c.is_control()),
        "{message:?}"
    );
    Ok(())
}

#[test]
fn paths_that_cannot_be_read_are_told_as_given() -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let message = |path: &Path| {
        read_file(path)
            .err()
            .map(|e| e.to_string())
            .unwrap_or_default()
    };
    let missing = folder.path().join("gone.gpx");
    check_message(
        &message(&missing),
        &["there is no such file", &missing.display().to_string()],
    );
    check_message(&message(folder.path()), &["it is a folder"]);
    let under_a_file = folder.path().join("file");
    fs::write(&under_a_file, "x")?;
    check_message(&message(&under_a_file.join("x.gpx")), &["cannot read"]);
    Ok(())
}

#[test]
fn a_file_beyond_the_bound_is_refused_unread() -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("disk.gpx");
    fs::File::create(&path)?.set_len(MOST_BYTES + 1)?;
    let error = read_file(&path).err().ok_or("read")?;
    check_message(
        &error.to_string(),
        &["more than 2147483648 bytes", "cut out the day"],
    );
    Ok(())
}
