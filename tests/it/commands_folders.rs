//! Folders, several days, standard input.

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::Stdio;

use serde_json::Value;

use crate::commands::{Finished, program, run};

fn sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("samples")
        .join(name);
    fs::read_to_string(path).unwrap()
}

/// Runs the program with this on its standard input.
fn fed(folder: &Path, args: &[&str], input: &[u8]) -> Finished {
    let mut child = program(folder)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    // A program that reads nothing closes the pipe.
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    Finished::of(&output)
}

#[test]
fn standard_input_is_a_track() {
    let folder = tempfile::tempdir().unwrap();
    let text = sample("lake_trim.gpx");
    fs::write(folder.path().join("day.gpx"), &text).unwrap();
    let from_file = run(folder.path(), &["legs", "day.gpx"]);
    let from_input = fed(folder.path(), &["legs", "-"], text.as_bytes());
    assert_eq!(from_input.code, 0, "{from_input:?}");
    assert_eq!(from_input.stdout, from_file.stdout);
    let csv = fed(
        folder.path(),
        &["legs", "-", "--format", "csv"],
        text.as_bytes(),
    );
    assert!(csv.stdout.contains(",standard input,"), "{csv:?}");
    let report = fed(folder.path(), &["report", "-"], text.as_bytes());
    assert_eq!(report.code, 0, "{report:?}");
    fed(folder.path(), &["legs", "-"], b"").is_error(2, &["cannot read `standard input`", "empty"]);
    fed(folder.path(), &["legs", "-", "-"], b"").is_error(2, &["`-` is given 2 times"]);
}

#[test]
fn a_folder_is_read_day_by_day() {
    let folder = tempfile::tempdir().unwrap();
    let tracks = folder.path().join("season");
    fs::create_dir(&tracks).unwrap();
    let lake = sample("lake_trim.gpx");
    // The same day a year earlier: an anniversary is another day.
    let year = &lake[lake.find("<time>").unwrap() + 6..][..4];
    let before = (year.parse::<i32>().unwrap() - 1).to_string();
    let earlier = lake.replace(&format!("<time>{year}-"), &format!("<time>{before}-"));
    fs::write(tracks.join("a.gpx"), &lake).unwrap();
    fs::write(tracks.join("b.gpx"), &earlier).unwrap();
    fs::write(tracks.join("c.txt"), "Dear diary, it rained.\n").unwrap();
    fs::write(tracks.join("d.gpx"), "").unwrap();
    fs::write(tracks.join(".hidden"), "x").unwrap();
    fs::create_dir(tracks.join("deeper")).unwrap();

    let one = run(folder.path(), &["legs", "season/a.gpx", "--format", "json"]);
    let all = run(folder.path(), &["legs", "season", "--format", "json"]);
    assert_eq!(all.code, 0, "{all:?}");
    for name in ["c.txt", "d.gpx"] {
        assert_eq!(all.stderr.matches(name).count(), 1, "{all:?}");
    }
    assert!(
        !all.stderr.contains("hidden") && !all.stderr.contains("deeper"),
        "{all:?}"
    );
    let legs = |found: &Finished| -> Vec<Value> { serde_json::from_str(&found.stdout).unwrap() };
    let (one, all) = (legs(&one), legs(&all));
    assert_eq!(all.len(), 2 * one.len());
    let (first, second) = all.split_at(one.len());
    assert!(first.iter().all(|leg| leg["day"] == 1));
    for (leg, alone) in second.iter().zip(&one) {
        assert_eq!(leg["day"], 2);
        assert_eq!(leg["speed_m_s"], alone["speed_m_s"]);
        // Legs are numbered through all days.
        let number = |leg: &Value| leg["leg"].as_u64().unwrap();
        assert_eq!(number(leg), number(alone) + one.len() as u64);
    }
    for format in ["table", "csv", "gpx", "geojson"] {
        let found = run(folder.path(), &["legs", "season", "--format", format]);
        assert_eq!(found.code, 0, "{format}: {found:?}");
        let again = run(folder.path(), &["legs", "season", "--format", format]);
        assert_eq!(found.stdout, again.stdout, "{format}");
    }
}

#[test]
fn the_report_spares_the_tracks_of_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let tracks = folder.path().join("tracks");
    fs::create_dir(&tracks).unwrap();
    let text = sample("lake_trim.gpx");
    fs::write(tracks.join("legs.gpx"), &text).unwrap();
    let found = run(folder.path(), &["report", "tracks", "-o", "tracks"]);
    found.is_error(2, &["legs.gpx", "is one of the tracks"]);
    assert_eq!(fs::read_to_string(tracks.join("legs.gpx")).unwrap(), text);
    let found = run(folder.path(), &["report", "tracks"]);
    assert_eq!(found.code, 0, "{found:?}");
}

#[test]
fn a_folder_without_any_track_is_bad_input() {
    let folder = tempfile::tempdir().unwrap();
    let tracks = folder.path().join("papers");
    fs::create_dir(&tracks).unwrap();
    fs::write(tracks.join("c.txt"), "Dear diary, it rained.\n").unwrap();
    let found = run(folder.path(), &["legs", "papers"]);
    assert_eq!(found.code, 2, "{found:?}");
    assert!(found.stderr.contains("cannot read `c.txt`"), "{found:?}");
}

#[test]
fn of_two_recorders_of_a_day_the_better_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let plotter = sample("lake_trim.gpx");
    // Another recorder, of which every fifth point is there.
    let mut phone = String::new();
    for (count, part) in plotter.split_inclusive("</trkpt>").enumerate() {
        let keep = count % 5 == 0 || !part.contains("</trkpt>");
        let start = part.find("<trkpt").unwrap_or(part.len());
        phone.push_str(if keep { part } else { &part[..start] });
    }
    fs::write(folder.path().join("plotter.gpx"), &plotter).unwrap();
    fs::write(folder.path().join("phone.gpx"), &phone).unwrap();
    let alone = run(folder.path(), &["legs", "plotter.gpx"]);
    let both = run(folder.path(), &["legs", "phone.gpx", "plotter.gpx"]);
    assert_eq!(both.stdout, alone.stdout);
    let told = both.stderr.contains("phone.gpx: Over ") && both.stderr.contains("`plotter.gpx`");
    assert!(told, "{both:?}");
}
