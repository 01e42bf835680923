//! Tracks longer than what is read at a time: the same by way of a file as from memory.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;

use flate2::Compression;
use flate2::write::GzEncoder;
use thereback::parser::{read, read_file};

use crate::reading::{Outcome, fixes};

/// So many points a second apart; one and a half megabytes and more of GPX or NMEA 0183.
const FIXES: usize = 20_000;

fn clock(second: usize) -> (usize, usize, usize) {
    (9 + second / 3600, second / 60 % 60, second % 60)
}

fn gpx(name: &str) -> String {
    let mut text = format!("<?xml version='1.0'?>\n<gpx>\n<trk><name>{name}</name><trkseg>\n");
    for second in 0..FIXES {
        let (h, m, s) = clock(second);
        let _ = write!(
            text,
            "<trkpt lat='{:.6}' lon='11.9'>\n<time>2031-06-04T{h:02}:{m:02}:{s:02}Z</time>\n\
             <extensions><x:speed>2.5</x:speed><x:depth>4.2</x:depth></extensions></trkpt>\n",
            57.1 + second as f64 * 1e-5
        );
    }
    text + "</trkseg></trk></gpx>\n"
}

fn nmea() -> String {
    let mut text = String::new();
    for second in 0..FIXES {
        let (h, m, s) = clock(second);
        let minutes = 6.0 + second as f64 * 1e-4;
        let _ = write!(
            text,
            "$GPRMC,{h:02}{m:02}{s:02},A,57{minutes:07.4},N,01154.0,E,5,0,040631,,\r\n\
             $GPVTG,0,T,,M,5,N,,K\r\n$SDDPT,4.2,0.3\r\n"
        );
    }
    text
}

/// Reads the bytes from memory and from files, plain and packed.
#[track_caller]
fn check(bytes: &[u8], kept: usize) -> Outcome {
    assert!(bytes.len() > 3 << 19, "{} bytes", bytes.len());
    let folder = tempfile::tempdir()?;
    let expected = read(bytes, "day")?;
    assert_eq!(fixes(&expected).count(), kept);
    let path = folder.path().join("day");
    fs::write(&path, bytes)?;
    assert_eq!(read_file(&path)?, expected);
    let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
    packed.write_all(bytes)?;
    let packed = packed.finish()?;
    fs::write(&path, &packed)?;
    assert_eq!(read_file(&path)?, expected);
    // Cut off, both ways tell the same of what is left.
    let cut = &packed[..packed.len() * 2 / 3];
    fs::write(&path, cut)?;
    assert_eq!(read_file(&path)?, read(cut, "day")?);
    Ok(())
}

#[test]
fn a_long_document_is_the_same_from_a_file() -> Outcome {
    check(gpx("Östra bron").as_bytes(), FIXES)
}

#[test]
fn a_long_log_is_the_same_from_a_file() -> Outcome {
    check(nmea().as_bytes(), FIXES)
}

#[test]
fn faults_far_on_have_their_lines() -> Outcome {
    let mut text = gpx("a");
    let at = text.find("T13:00:00Z").ok_or("no such time")?;
    text.replace_range(at..at + 10, "T13:61:00Z");
    text.truncate(text.len() - 100);
    check(text.as_bytes(), FIXES - 2)
}

#[test]
fn an_encoding_that_shows_late_is_found_all_the_same() -> Outcome {
    let text = gpx("a");
    let (before, after) = text.split_at(text.len() - 40);
    let latin = [before.as_bytes(), b"<!-- \xF6 -->", after.as_bytes()].concat();
    check(&latin, FIXES)?;
    let recording = read(&latin, "day")?;
    assert!(recording.remarks[0].contains("Windows-1252"));
    Ok(())
}

#[test]
fn broken_markup_far_on_costs_its_own_point() -> Outcome {
    let mut text = gpx("a");
    let at = text.find("T13:00:00Z").ok_or("no such time")?;
    text.insert_str(at, "<x y='<");
    check(text.as_bytes(), FIXES - 1)
}

#[test]
fn what_is_no_text_is_refused_however_long() -> Outcome {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("day.gpx");
    for start in ["PK\x03\x04", "\u{89}PNG", "{", "<html>", "\0"] {
        let bytes = [start.as_bytes(), &vec![0; 3 << 20]].concat();
        fs::write(&path, &bytes)?;
        let from_file = read_file(&path).err().ok_or("read")?.to_string();
        let in_memory = read(&bytes, "day.gpx").err().ok_or("read")?.to_string();
        assert_eq!(from_file, in_memory);
    }
    assert!(read_file(Path::new("no/such/file")).is_err());
    Ok(())
}
