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
