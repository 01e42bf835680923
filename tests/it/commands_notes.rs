//! Notes on their way round, on the sample days: written, passed back, corrected, passed back.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::commands::run;

fn samples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut samples: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "gpx"))
        .collect();
    samples.sort();
    assert!(!samples.is_empty());
    samples
}

/// Runs `report` into the folder `output`; gives the result.
fn report(folder: &Path, sample: &Path, output: &str, notes: Option<&str>) -> Value {
    let mut args = vec!["report", sample.to_str().unwrap(), "-o", output];
    args.extend(notes.into_iter().flat_map(|notes| ["--notes", notes]));
    let found = run(folder, &args);
    assert_eq!(found.code, 0, "{found:?}");
    let result = fs::read(folder.join(output).join("result.json")).unwrap();
    serde_json::from_slice(&result).unwrap()
}

#[test]
fn passed_back_unchanged_they_change_nothing() {
    for sample in samples() {
        let folder = tempfile::tempdir().unwrap();
        let first = report(folder.path(), &sample, "first", None);
        let second = report(folder.path(), &sample, "second", Some("first/notes.toml"));
        for part in [
            "legs",
            "lines",
            "double_runs",
            "cells",
            "comparisons",
            "wind",
            "units",
        ] {
            assert_eq!(first[part], second[part], "{part} of {}", sample.display());
        }
        // The same but for the checksum and the remarks on what was found.
        let notes = |output: &str| -> Vec<String> {
            let notes = fs::read_to_string(folder.path().join(output).join("notes.toml")).unwrap();
            let lines = notes.lines().skip(1);
            let bare = |line: &str| line.split(" # between").next().unwrap().to_owned();
            lines
                .map(|line| bare(line).replace(" # from the start", ""))
                .collect()
        };
        assert_eq!(notes("first"), notes("second"), "{}", sample.display());
    }
}

#[test]
fn corrections_are_taken_and_handed_on() {
    for sample in samples() {
        let folder = tempfile::tempdir().unwrap();
        let first = report(folder.path(), &sample, "first", None);
        let written = fs::read_to_string(folder.path().join("first/notes.toml")).unwrap();
        let corrected = written
            .replace("name = \"A\"", "name = \"the old one\"")
            .replace("# [[leg]]", "[[leg]]")
            .replace("# leg = ", "leg = ")
            .replace("# include = ", "setting = \"1\" # ")
            .replace("# exclude =", "exclude =");
        fs::write(folder.path().join("mine.toml"), corrected).unwrap();
        let second = report(folder.path(), &sample, "second", Some("mine.toml"));
        assert_eq!(second["comparisons"][0]["baseline"], "the old one");
        // A setting for a leg that is in no double run says nothing, and a counted leg left out
        // leaves its counterpart alone.
        let warned = second["warnings"].as_array().unwrap();
        let of_notes = warned.iter().filter(|w| w["code"] == "notes");
        let texts: Vec<&str> = of_notes.map(|w| w["text"].as_str().unwrap()).collect();
        assert!(
            texts
                .iter()
                .any(|t| t.starts_with("mine.toml, line ") && t.contains("no double run")),
            "{texts:?}"
        );
        let legs = |result: &Value, included: bool| {
            let legs = result["legs"].as_array().unwrap();
            legs.iter()
                .filter(|leg| leg["included"] == included)
                .count()
        };
        assert!(
            legs(&second, true) < legs(&first, true),
            "{}",
            sample.display()
        );
        let why = |leg: &Value| {
            leg["reason"]
                .as_str()
                .is_some_and(|why| why.contains("ferry wake"))
        };
        assert!(second["legs"].as_array().unwrap().iter().any(why));

        let third = report(folder.path(), &sample, "third", Some("second/notes.toml"));
        for part in ["legs", "double_runs", "comparisons"] {
            assert_eq!(second[part], third[part], "{part} of {}", sample.display());
        }
    }
}

/// A JPEG of one white dot, with a remark in it.
fn photograph() -> Vec<u8> {
    let mut file = vec![0xff, 0xd8, 0xff, 0xfe, 0, 9];
    file.extend(b"at home");
    file.extend([0xff, 0xc0, 0, 11, 8, 0, 1, 0, 1, 1, 1, 0x11, 0]);
    file.extend([0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x3f, 0xff, 0xd9]);
    file
}

#[test]
fn a_photograph_is_read_beside_the_notes_or_refused() {
    let sample = samples().remove(0);
    let folder = tempfile::tempdir().unwrap();
    let notes = folder.path().join("mine");
    fs::create_dir(&notes).unwrap();
    fs::write(notes.join("notes.toml"), "photo = \"boat.jpg\"\n").unwrap();
    let args = [
        "report",
        sample.to_str().unwrap(),
        "--notes",
        "mine/notes.toml",
    ];
    let found = run(folder.path(), &args);
    found.is_error(2, &["cannot read `mine/boat.jpg`: there is no such file"]);
    fs::write(notes.join("boat.jpg"), "none").unwrap();
    let found = run(folder.path(), &args);
    found.is_error(
        2,
        &["cannot read `mine/boat.jpg`: it is neither a JPEG nor a PNG"],
    );
    fs::write(notes.join("boat.jpg"), photograph()).unwrap();
    report(folder.path(), &sample, "output", Some("mine/notes.toml"));
    // The next notes lie elsewhere.
    let written = fs::read_to_string(folder.path().join("output/notes.toml")).unwrap();
    let line = "# photo = \"boat.jpg\" # name it from this folder";
    assert!(written.lines().any(|own| own == line), "{written}");
}

#[test]
fn what_people_write_is_taken() {
    let sample = samples().remove(0);
    let folder = tempfile::tempdir().unwrap();
    let own = [
        "--timezone",
        "Helsinki",
        "--wind-from",
        "west",
        "--resolve",
        "5",
    ];
    let args = [
        &["legs", sample.to_str().unwrap(), "--format", "json"],
        &own[..],
    ]
    .concat();
    let found = run(folder.path(), &args);
    assert_eq!(found.code, 0, "{found:?}");
}
