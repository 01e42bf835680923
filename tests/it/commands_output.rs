//! What the program leaves behind: whole files or none, and never a person's own notes.

use std::fs::{self, File};
use std::path::Path;
use std::process::Stdio;

use crate::commands::{Finished, program, run};
use crate::commands_input::gpx;

/// A folder with a track of ten minutes on one heading.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let track = gpx(600, |second| (58.9 + 2e-5 * second as f64, 14.9));
    fs::write(folder.path().join("day.gpx"), track).unwrap();
    folder
}

fn files_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn writes_the_whole_set_even_with_nothing_to_measure() {
    let folder = folder();
    let found = run(folder.path(), &["report", "day.gpx"]);
    assert_eq!(found.code, 1, "{found:?}");
    assert!(found.stdout.contains("output/report.html"), "{found:?}");
    let expected = [
        "charts",
        "comparison.csv",
        "double_runs.csv",
        "legs.csv",
        "legs.gpx",
        "notes.toml",
        "report.html",
        "report.md",
        "result.json",
    ];
    let names = files_in(&folder.path().join("output"));
    let missing: Vec<_> = expected
        .iter()
        .filter(|e| **e != "charts" && !names.contains(&(**e).to_owned()))
        .collect();
    assert!(missing.is_empty(), "{names:?}");
    assert!(
        names.iter().all(|name| expected.contains(&name.as_str())),
        "{names:?}"
    );
}

#[test]
fn makes_folders_and_writes_the_same_bytes_again() {
    let folder = folder();
    let output = folder.path().join("a/b/c");
    let args = ["report", "day.gpx", "-o", "a/b/c"];
    run(folder.path(), &args);
    let read = || -> Vec<_> {
        files_in(&output)
            .iter()
            .map(|name| (name.clone(), fs::read(output.join(name)).ok()))
            .collect()
    };
    let first = read();
    assert!(first.len() > 3, "{first:?}");
    run(folder.path(), &args);
    assert_eq!(first, read());
}

#[test]
fn edited_notes_stay() {
    let folder = folder();
    let output = folder.path().join("output");
    run(folder.path(), &["report", "day.gpx"]);
    let written = fs::read_to_string(output.join("notes.toml")).unwrap();

    // Unedited, they are replaced.
    run(folder.path(), &["report", "day.gpx", "--units", "mph"]);
    let replaced = fs::read_to_string(output.join("notes.toml")).unwrap();
    assert_ne!(written, replaced);
    assert!(!output.join("notes.found.toml").exists());

    let edited = replaced.replace("# title = \"What was compared\"", "title = \"Mine\"");
    assert_ne!(edited, replaced);
    fs::write(output.join("notes.toml"), &edited).unwrap();
    let found = run(
        folder.path(),
        &["report", "day.gpx", "--notes", "output/notes.toml"],
    );
    assert_eq!(
        fs::read_to_string(output.join("notes.toml")).unwrap(),
        edited
    );
    let understood = fs::read_to_string(output.join("notes.found.toml")).unwrap();
    assert!(understood.contains("title = \"Mine\""), "{understood}");
    assert!(
        found.stderr.contains(
            "note: `output/notes.toml` was edited and stays as it is; the notes as understood now are in `output/notes.found.toml`"
        ),
        "{found:?}"
    );

    // Edited in their turn, those stay too.
    fs::write(output.join("notes.found.toml"), "title = \"Mine too\"\n").unwrap();
    let found = run(folder.path(), &["report", "day.gpx"]);
    let unused = "warning: `output/notes.toml` was edited, but nothing in it is used\nhint: add \
                  `--notes output/notes.toml` to use it";
    assert!(found.stderr.starts_with(unused), "{found:?}");
    assert_eq!(
        fs::read_to_string(output.join("notes.found.toml")).unwrap(),
        "title = \"Mine too\"\n"
    );
    assert!(output.join("notes.found-2.toml").exists());
}

#[test]
fn a_file_in_the_folders_place() {
    let folder = folder();
    fs::write(folder.path().join("taken"), "mine").unwrap();
    for output in ["taken", "taken/deeper"] {
        let found = run(folder.path(), &["report", "day.gpx", "-o", output]);
        found.is_error(
            2,
            &["`taken", "hint: there is a file where a folder should be"],
        );
    }
    assert_eq!(
        fs::read_to_string(folder.path().join("taken")).unwrap(),
        "mine"
    );
}

#[test]
fn a_folder_in_a_files_place() {
    let folder = folder();
    fs::create_dir_all(folder.path().join("output/notes.toml")).unwrap();
    fs::create_dir_all(folder.path().join("output/legs.csv")).unwrap();
    let found = run(folder.path(), &["report", "day.gpx"]);
    found.is_error(
        2,
        &[
            "cannot write `output/legs.csv`",
            "hint: there is a folder where a file should be",
        ],
    );
    let left: Vec<_> = files_in(&folder.path().join("output"));
    assert_eq!(left, ["legs.csv", "notes.toml"]);
}

#[test]
fn a_track_is_not_replaced() {
    let folder = folder();
    let track = folder.path().join("legs.gpx");
    fs::rename(folder.path().join("day.gpx"), &track).unwrap();
    let before = fs::read(&track).unwrap();
    let found = run(folder.path(), &["report", "legs.gpx", "-o", "."]);
    found.is_error(
        2,
        &["is one of the tracks and would be replaced", "--output"],
    );
    assert_eq!(fs::read(&track).unwrap(), before);
    assert_eq!(files_in(folder.path()), ["legs.gpx"]);
}

#[test]
fn killed_runs_leave_nothing_for_ever() {
    let folder = folder();
    let output = folder.path().join("output");
    fs::create_dir(&output).unwrap();
    let (old, new) = (
        output.join(".thereback-old.part"),
        output.join(".thereback-new.part"),
    );
    let long_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(2 * 3600);
    File::create(&old).unwrap().set_modified(long_ago).unwrap();
    File::create(&new).unwrap();
    run(folder.path(), &["report", "day.gpx"]);
    assert!(!old.exists());
    // It may belong to a run that is still going.
    assert!(new.exists());
}

#[test]
fn a_closed_pipe_is_a_success() {
    let folder = folder();
    for args in [&["man"][..], &["completions", "bash"], &["--help"]] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = program(folder.path())
            .args(args)
            .stdout(writer)
            .output()
            .unwrap();
        let found = Finished::of(&output);
        assert_eq!(
            (found.code, found.stderr.as_str()),
            (0, ""),
            "{args:?}: {found:?}"
        );
    }
    // Nothing to measure here, which the exit code may say; the pipe is no error.
    for args in [&["legs", "day.gpx"][..], &["report", "day.gpx"]] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = program(folder.path())
            .args(args)
            .stdout(writer)
            .output()
            .unwrap();
        let found = Finished::of(&output);
        assert!((0..=1).contains(&found.code), "{args:?}: {found:?}");
        assert!(!found.stderr.contains("error:"), "{args:?}: {found:?}");
    }
}

#[cfg(target_os = "linux")]
mod linux {
    use super::*;

    #[test]
    fn a_full_disk_under_standard_output() {
        let Ok(full) = File::options().write(true).open("/dev/full") else {
            return;
        };
        let output = program(Path::new("."))
            .arg("man")
            .stdout(full)
            .output()
            .unwrap();
        Finished::of(&output).is_error(2, &["cannot write to standard output"]);
    }

    /// A limit on the size of files stands in for a full disk: the write fails midway.
    #[test]
    fn a_full_folder_keeps_what_was_there() {
        let folder = folder();
        let limited = |output: &str| {
            let script = "trap '' XFSZ; ulimit -f 1; exec \"$0\" report day.gpx -o \"$1\"";
            let mut command = std::process::Command::new("sh");
            command.current_dir(folder.path()).stdin(Stdio::null());
            command.args(["-c", script, env!("CARGO_BIN_EXE_thereback"), output]);
            Finished::of(&command.output().unwrap())
        };
        let found = limited("new");
        found.is_error(2, &["cannot write `new/", "hint: free some space"]);
        assert!(!folder.path().join("new").exists(), "{found:?}");

        run(folder.path(), &["report", "day.gpx", "-o", "old"]);
        let before = files_in(&folder.path().join("old"));
        limited("old").is_error(2, &["cannot write `old/"]);
        assert_eq!(files_in(&folder.path().join("old")), before);
    }

    #[test]
    fn a_read_only_folder() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder();
        let locked = folder.path().join("locked");
        fs::create_dir(&locked).unwrap();
        fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
        if File::create(locked.join("probe")).is_ok() {
            // The superuser may write anywhere; `/proc` refuses even them.
            let found = run(
                folder.path(),
                &["report", "day.gpx", "-o", "/proc/thereback"],
            );
            found.is_error(2, &["cannot make the folder `/proc/thereback`"]);
            return;
        }
        let found = run(folder.path(), &["report", "day.gpx", "-o", "locked"]);
        found.is_error(
            2,
            &[
                "cannot write `locked/",
                "hint: choose a folder you may write to",
            ],
        );
        let found = run(folder.path(), &["report", "day.gpx", "-o", "locked/new"]);
        found.is_error(2, &["cannot make the folder `locked/new`"]);
        assert!(files_in(&locked).is_empty());
    }

    /// Files are as open as the user's mask lets new files be.
    #[test]
    fn permissions_follow_the_mask() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder();
        let script = "umask 027; exec \"$0\" report day.gpx";
        let status = std::process::Command::new("sh")
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .args(["-c", script, env!("CARGO_BIN_EXE_thereback")])
            .status()
            .unwrap();
        assert!(status.code().is_some());
        let mode = fs::metadata(folder.path().join("output/notes.toml"))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o640);
    }
}
