//! The command line as a person meets it. Each case is a file in `tests/cmd`; a new one needs no
//! code.
//!
//! ```toml
//! about = "what it shows"
//! args = ["report", "day.gpx"]
//! code = 2
//! stderr = "the whole of it"            # or stderr_has = ["a part"]; the same for stdout
//! absent = ["output"]                   # not there afterwards
//! present = ["output/notes.toml"]       # there afterwards
//! folders = ["here"]                    # made before
//! files = { "day.gpx" = "<gpx/>" }      # written before
//! ```

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde::Deserialize;

/// The program, in a folder.
pub(crate) fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_thereback"));
    command.current_dir(folder);
    command
}

/// Runs the program in a folder; fails where it panicked.
#[track_caller]
pub(crate) fn run(folder: &Path, args: &[&str]) -> Finished {
    Finished::of(&program(folder).args(args).output().unwrap())
}

/// What the program left.
#[derive(Debug)]
pub(crate) struct Finished {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Finished {
    #[track_caller]
    pub(crate) fn of(output: &Output) -> Self {
        let finished = Self {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
            stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
        };
        assert!(!finished.stderr.contains("panicked"), "{finished:?}");
        finished
    }

    /// It failed with one error that names the culprit and has a hint on a line of its own.
    #[track_caller]
    pub(crate) fn is_error(&self, code: i32, parts: &[&str]) {
        assert_eq!(self.code, code, "{self:?}");
        assert_eq!(self.stdout, "", "{self:?}");
        assert_eq!(self.stderr.matches("error: ").count(), 1, "{self:?}");
        assert!(self.stderr.contains("\nhint: "), "{self:?}");
        for part in parts {
            assert!(self.stderr.contains(part), "no `{part}` in {self:?}");
        }
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    about: String,
    args: Vec<String>,
    code: i32,
    stdout: Option<String>,
    stderr: Option<String>,
    #[serde(default)]
    stdout_has: Vec<String>,
    #[serde(default)]
    stderr_has: Vec<String>,
    #[serde(default)]
    absent: Vec<String>,
    #[serde(default)]
    present: Vec<String>,
    #[serde(default)]
    folders: Vec<String>,
    #[serde(default)]
    files: BTreeMap<String, String>,
}

fn failures(case: &Case) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    for name in &case.folders {
        fs::create_dir_all(folder.path().join(name)).unwrap();
    }
    for (name, content) in &case.files {
        fs::write(folder.path().join(name), content).unwrap();
    }
    let args: Vec<&str> = case.args.iter().map(String::as_str).collect();
    let found = run(folder.path(), &args);
    let mut failures = Vec::new();
    let mut check = |holds: bool, what: String| {
        if !holds {
            failures.push(format!("{}: {what}\n{found:#?}", case.about));
        }
    };
    check(found.code == case.code, format!("exit code {}", found.code));
    for (name, met, whole, parts) in [
        ("stdout", &found.stdout, &case.stdout, &case.stdout_has),
        ("stderr", &found.stderr, &case.stderr, &case.stderr_has),
    ] {
        let whole_fits = whole.as_ref().is_none_or(|whole| whole == met);
        check(whole_fits, format!("{name} differs"));
        for part in parts {
            check(met.contains(part), format!("{name} has no `{part}`"));
        }
    }
    for (names, wanted) in [(&case.absent, false), (&case.present, true)] {
        for name in names {
            let there = folder.path().join(name).exists();
            check(there == wanted, format!("`{name}` is there: {there}"));
        }
    }
    failures
}

#[test]
fn every_case_holds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cmd");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    paths.sort();
    assert!(!paths.is_empty());
    let failures: Vec<String> = paths
        .iter()
        .flat_map(|path| {
            let text = fs::read_to_string(path).unwrap();
            let case = toml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            failures(&case)
        })
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
