//! Compressed tracks.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use flate2::Compression;
use flate2::write::GzEncoder;
use thereback::parser::{read, read_file, read_from};

use crate::reading::{Outcome, fixes};

fn packed(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes)?;
    encoder.finish()
}

fn sample() -> std::io::Result<Vec<u8>> {
    fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/lake_trim.gpx"))
}

#[test]
fn a_compressed_track_is_the_same_track() -> Outcome {
    let plain = sample()?;
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("day.gpx.gz");
    fs::write(&path, packed(&plain)?)?;
    let mut expected = read(&plain, "day.gpx.gz")?;
    assert_eq!(read_file(&path)?, expected);
    "a stream".clone_into(&mut expected.file);
    let joined = [packed(&plain[..1000])?, packed(&plain[1000..])?].concat();
    assert_eq!(
        read_from(
            joined.as_slice(),
            "a stream",
            &thereback::parser::Options::default()
        )?,
        expected
    );
    Ok(())
}

#[test]
fn a_compressed_table_is_read_too() -> Outcome {
    let table = b"time,lat,lon\n2031-06-04T09:12:30Z,57.1,11.9\n";
    assert_eq!(fixes(&read(&packed(table)?, "day.csv.gz")?).count(), 1);
    Ok(())
}

#[test]
fn a_cut_archive_keeps_the_points_before_the_cut() -> Outcome {
    let plain = sample()?;
    let whole = packed(&plain)?;
    let cut = read(&whole[..whole.len() / 2], "day.gpx.gz")?;
    let all = read(&plain, "day.gpx.gz")?;
    let share = fixes(&cut).count() as f64 / fixes(&all).count() as f64;
    assert!((0.3..0.7).contains(&share), "{share}");
    assert!(
        cut.remarks[0].contains("gzip archive is cut off"),
        "{:?}",
        cut.remarks
    );
    assert!(fixes(&cut).zip(fixes(&all)).all(|(a, b)| a == b));
    Ok(())
}

#[test]
fn archives_of_nothing_bombs_and_nests_are_refused() -> Outcome {
    let message = |bytes: &[u8]| {
        read(bytes, "x.gz")
            .err()
            .map(|e| e.to_string())
            .unwrap_or_default()
    };
    assert!(message(&packed(b"")?).contains("nothing can be unpacked"));
    assert!(message(&packed(&packed(b"<gpx/>")?)?).contains("a gzip archive in another"));
    let bomb = packed(&vec![b' '; 200 << 20])?;
    let told = message(&bomb);
    assert!(
        told.contains("unpack to more than") && told.contains("\nhint: "),
        "{told}"
    );
    Ok(())
}
