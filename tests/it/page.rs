//! Whether the page that lies in `output/page/` is made of the sources as they are now.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::browser::skipped;

/// What the page is made of; `page/sources` names the same.
const SOURCES: [&str; 5] = ["Cargo.toml", "Cargo.lock", "src", "page", "samples"];
const NOT: [&str; 4] = [
    "page/node_modules",
    "page/target",
    "page/test",
    "page/maths/target",
];

/// A page older than its sources is said, not refused: it is made anew at releases, not with each change.
/// With `RELEASE` set it is refused.
#[test]
fn the_page_is_made_of_these_sources() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let Ok(page) = fs::read_to_string(root.join("output/page/thereback.html")) else {
        skipped("the page: `page/build` makes output/page/thereback.html");
        return;
    };
    let found = page
        .split_once("name=\"thereback-sources\" content=\"")
        .and_then(|(_, rest)| rest.split_once('"'))
        .map_or("", |(number, _)| number);
    let now = number_of(root);
    if found == now {
        return;
    }
    let said = "output/page/thereback.html is older than its sources; `page/build` makes it anew";
    assert!(std::env::var_os("RELEASE").is_none(), "{said}");
    skipped(said);
}

/// As `page/sources` works it out.
fn number_of(root: &Path) -> String {
    let mut files = Vec::new();
    for source in SOURCES {
        gather(root, Path::new(source), &mut files);
    }
    files.sort_by(|a, b| a.as_os_str().cmp(b.as_os_str()));
    let mut list = String::new();
    for file in files {
        let sum = Sha256::digest(fs::read(root.join(&file)).unwrap());
        writeln!(list, "{}  {}", hex(&sum), file.display()).unwrap();
    }
    hex(&Sha256::digest(list)).chars().take(16).collect()
}

fn gather(root: &Path, path: &Path, files: &mut Vec<PathBuf>) {
    if NOT.iter().any(|not| path == Path::new(not)) {
        return;
    }
    let Ok(entries) = fs::read_dir(root.join(path)) else {
        files.push(path.to_owned());
        return;
    };
    for entry in entries {
        gather(root, &path.join(entry.unwrap().file_name()), files);
    }
}

fn hex(bytes: &[u8]) -> String {
    let mut text = String::new();
    for byte in bytes {
        write!(text, "{byte:02x}").unwrap();
    }
    text
}
