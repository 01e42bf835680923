//! Bad input that is made, not kept: each a clear message and an exit code, never a panic.

use std::fmt::Write;
use std::fs;
use std::path::Path;

use crate::commands::run;

/// Set `THEREBACK_BIG=1` to run [`very_many_points`] on 100 MB instead of 3 MB.
const BIG: &str = "THEREBACK_BIG";

/// A GPX file of points at one-second steps; each point's place comes from `place`.
pub(crate) fn gpx(points: usize, mut place: impl FnMut(usize) -> (f64, f64)) -> String {
    let mut out = String::from(HEAD);
    for (second, at) in (0..points).zip(1_781_250_000..) {
        let (latitude, longitude) = place(second);
        let time = jiff::Timestamp::from_second(at).unwrap();
        let _ = writeln!(
            out,
            "<trkpt lat=\"{latitude:.7}\" lon=\"{longitude:.7}\"><time>{time}</time></trkpt>"
        );
    }
    out.push_str(TAIL);
    out
}

const HEAD: &str = "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"test\" \
    xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n";
const TAIL: &str = "</trkseg></trk></gpx>\n";

/// Runs `report` and `legs` on a file of this content; both must end with `code`.
#[track_caller]
fn check(content: &str, code: i32, parts: &[&str]) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("day.gpx"), content).unwrap();
    for command in ["report", "legs"] {
        let found = run(folder.path(), &[command, "day.gpx"]);
        if code == 2 {
            found.is_error(2, &["cannot read `day.gpx`"]);
            assert!(!folder.path().join("output").exists());
        } else {
            assert_eq!(found.code, code, "{found:?}");
            assert!(!found.stderr.contains("error:"), "{found:?}");
        }
        for part in parts {
            let told = found.stdout.contains(part) || found.stderr.contains(part);
            assert!(told, "no `{part}` in {found:?}");
        }
    }
}

fn trkpt(latitude: &str, longitude: &str, time: &str) -> String {
    format!("<trkpt lat=\"{latitude}\" lon=\"{longitude}\"><time>{time}</time></trkpt>")
}

fn track(points: &[String]) -> String {
    format!("{HEAD}{}{TAIL}", points.concat())
}

#[test]
fn one_fix() {
    check(&gpx(1, |_| (58.9, 14.9)), 1, &["no leg"]);
}

#[test]
fn all_fixes_in_one_place() {
    check(&gpx(600, |_| (58.9, 14.9)), 1, &["no leg"]);
}

#[test]
fn times_running_backwards() {
    let forward = gpx(600, |second| (58.9 + 1e-5 * second as f64, 14.9));
    let mut points: Vec<&str> = forward
        .lines()
        .filter(|l| l.starts_with("<trkpt"))
        .collect();
    points.reverse();
    let found = format!("{HEAD}{}{TAIL}", points.join("\n"));
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("day.gpx"), found).unwrap();
    let found = run(folder.path(), &["report", "day.gpx"]);
    assert_eq!(found.code, 1, "{found:?}");
}

#[test]
fn places_out_of_range_and_not_a_number() {
    let time = "2026-06-12T09:00:00Z";
    for (latitude, longitude) in [
        ("91.3", "14.9"),
        ("58.9", "361"),
        ("NaN", "NaN"),
        ("inf", "0"),
        ("", ""),
    ] {
        check(&track(&[trkpt(latitude, longitude, time)]), 2, &[]);
    }
}

#[test]
fn bad_points_among_good_ones_are_left_out() {
    let good = gpx(600, |second| (58.9 + 2e-5 * second as f64, 14.9));
    let bad =
        trkpt("91.3", "14.9", "2026-06-12T09:00:00Z") + &trkpt("NaN", "1", "2026-06-12T09:00:01Z");
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("good.gpx"), &good).unwrap();
    let mixed = good.replace(TAIL, &format!("{bad}{TAIL}"));
    fs::write(folder.path().join("mixed.gpx"), mixed).unwrap();
    let legs = |file: &str| run(folder.path(), &["legs", file]);
    assert_eq!(legs("mixed.gpx").stdout, legs("good.gpx").stdout);
    assert_eq!(legs("mixed.gpx").code, 0);
}

#[test]
fn no_times() {
    let points: Vec<String> = (0..100)
        .map(|_| "<trkpt lat=\"58.9\" lon=\"14.9\"/>".to_owned())
        .collect();
    check(&track(&points), 2, &["time"]);
}

#[test]
fn very_many_points() {
    let points = if std::env::var_os(BIG).is_some() {
        1_200_000
    } else {
        36_000
    };
    let folder = tempfile::tempdir().unwrap();
    // A wide circle: no straight stretch in it.
    let track = gpx(points, |second| {
        let angle = second as f64 / 300.0;
        (58.9 + 0.005 * angle.sin(), 14.9 + 0.01 * angle.cos())
    });
    fs::write(folder.path().join("day.gpx"), track).unwrap();
    let found = run(folder.path(), &["report", "day.gpx"]);
    assert!((0..=1).contains(&found.code), "{found:?}");
    assert!(folder.path().join("output/report.html").exists());
}

#[test]
fn one_bad_file_among_good_ones() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("day.gpx"), gpx(600, |_| (58.9, 14.9))).unwrap();
    fs::write(folder.path().join("empty.gpx"), "").unwrap();
    let found = run(
        folder.path(),
        &["report", "missing.gpx", "day.gpx", "empty.gpx"],
    );
    assert_eq!(found.code, 1, "{found:?}");
    assert!(
        found.stderr.contains("error: cannot read `missing.gpx`"),
        "{found:?}"
    );
    assert!(
        found.stderr.contains("error: cannot read `empty.gpx`"),
        "{found:?}"
    );
    assert!(folder.path().join("output/report.html").exists());
    let found = run(
        folder.path(),
        &["report", "missing.gpx", "empty.gpx", "-o", "other"],
    );
    assert_eq!(found.code, 2, "{found:?}");
    assert!(!folder.path().join("other").exists());
}

#[test]
fn messages_hold_no_control_sequences() {
    let found = run(Path::new("."), &["legs", "\u{1b}[31mred.gpx"]);
    found.is_error(2, &["\\u{1b}[31mred.gpx"]);
    assert!(!found.stderr.contains('\u{1b}'));
}
