//! Hostile input at the command line: bounded memory, names disarmed in every output.

use std::fs;
use std::path::Path;

use crate::commands::run;

#[cfg(target_os = "linux")]
mod memory {
    use std::fs::{self, File};
    use std::io::{Seek, SeekFrom, Write};
    use std::path::Path;
    use std::process::Command;

    use flate2::Compression;
    use flate2::write::GzEncoder;

    use crate::commands::Finished;

    /// What the program may take beside the file itself, KiB of address space.
    const ROOM_KIB: u64 = 500 << 10;

    /// Runs `legs` on a file with the file's size and [`ROOM_KIB`] to live in.
    fn confined(path: &Path, size_kib: u64) -> Finished {
        let script = format!(
            "ulimit -v {} && exec \"$0\" legs \"$1\"",
            ROOM_KIB + size_kib
        );
        let output = Command::new("sh")
            .args(["-c", &script, env!("CARGO_BIN_EXE_thereback")])
            .arg(path)
            .env("RAYON_NUM_THREADS", "2")
            .output()
            .unwrap();
        Finished::of(&output)
    }

    #[test]
    fn one_text_of_a_gigabyte_takes_little_more() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("giant.gpx");
        let mut file = File::create(&path).unwrap();
        file.write_all(b"<gpx><trk><name>").unwrap();
        // A hole in the file: a gigabyte of NULs that takes no room on the disk.
        file.seek(SeekFrom::Start(1 << 30)).unwrap();
        file.write_all(b"</name><trkseg><trkpt lat='57' lon='11'/></trkseg></trk></gpx>")
            .unwrap();
        drop(file);
        confined(&path, 1 << 20).is_error(2, &["none of the track points", "has a time"]);
    }

    #[test]
    fn a_million_points_within_points_take_little_more() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep.gpx");
        let point = "<trkpt lat='57' lon='11'><extensions>";
        fs::write(
            &path,
            format!("<gpx><trk><trkseg>{}", point.repeat(1_000_000)),
        )
        .unwrap();
        confined(&path, 40 << 10).is_error(2, &["cannot read `deep.gpx`"]);
    }

    #[test]
    fn a_bomb_of_a_gigabyte_is_stopped_early() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bomb.gpx.gz");
        let mut file = GzEncoder::new(File::create(&path).unwrap(), Compression::fast());
        for _ in 0..1024 {
            file.write_all(&vec![b' '; 1 << 20]).unwrap();
        }
        file.finish().unwrap();
        confined(&path, 1 << 20).is_error(2, &["unpack to more than"]);
    }
}

/// A name that is a formula, a tag and an entity at once.
const NASTY: &str = "=1+1 <b onload='x'>&amp;";

#[test]
fn names_from_files_and_of_files_are_disarmed_everywhere() {
    let folder = tempfile::tempdir().unwrap();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/lake_trim.gpx");
    let text = fs::read_to_string(sample).unwrap();
    let escaped = NASTY.replace('&', "&amp;").replace('<', "&lt;");
    let at = text.find("<trkseg>").unwrap();
    let (head, tail) = text.split_at(at);
    let head = head.replace(
        "<trk>",
        &format!("<wpt lat='58' lon='14'><name>{escaped}</name></wpt><trk>"),
    );
    let file = "=1+1 <b>.gpx";
    fs::write(
        folder.path().join(file),
        format!("{head}<name>{escaped}</name>{tail}"),
    )
    .unwrap();
    let notes =
        format!("title = \"{NASTY}\"\n[[configuration]]\nname = \"{NASTY}\"\nfrom = \"00:00\"\n");
    fs::write(folder.path().join("notes.toml"), notes).unwrap();
    let found = run(folder.path(), &["report", file, "--notes", "notes.toml"]);
    assert_eq!(found.code, 0, "{found:?}");
    let output = folder.path().join("output");
    let read = |name: &str| fs::read_to_string(output.join(name)).unwrap();

    let page = read("report.html");
    assert!(!page.contains("<b onload") && !page.contains("<b>.gpx"));
    assert!(
        page.contains("&lt;b onload"),
        "the title is not there at all"
    );
    let legs = read("legs.csv");
    assert!(legs.contains("'=1+1 <b>.gpx"), "{legs:.300}");
    for table in ["legs.csv", "double_runs.csv", "comparison.csv"] {
        let text = read(table);
        let mut rows = csv::Reader::from_reader(text.as_bytes());
        for row in rows.records().map(Result::unwrap) {
            for cell in &row {
                let formula = cell.starts_with(['=', '+', '@', '\t', '\r'])
                    || (cell.starts_with('-') && cell.parse::<f64>().is_err());
                assert!(!formula, "{table}: {cell}");
            }
        }
    }
    assert!(gpx::read(read("legs.gpx").as_bytes()).is_ok());
    for entry in fs::read_dir(output.join("charts")).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        assert!(
            name.bytes()
                .all(|b| b.is_ascii_alphanumeric() || b".-_".contains(&b)),
            "{name}"
        );
        assert!(
            !fs::read_to_string(entry.path())
                .unwrap()
                .contains("<b onload"),
            "{name}"
        );
    }
}
