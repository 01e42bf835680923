//! Reading tables (CSV): every dialect in `tests/data/csv`, against kept outputs.

use std::fmt::Write as _;

use proptest::prelude::*;
use thereback::parser::read;

use crate::reading::{Outcome, cases_in, fixes, shown};

#[test]
fn every_table_is_read_as_kept() -> Outcome {
    let cases = cases_in("tests/data/csv", "csv")?;
    assert!(cases.len() >= 15, "the cases are gone");
    for (name, bytes) in cases {
        let result = read(&bytes, &format!("{name}.csv"));
        if let Ok(recording) = &result {
            let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
            assert_eq!(
                fixes(recording).count() + aside,
                recording.points_met,
                "{name}"
            );
        }
        let shown = shown(&result)?;
        insta::with_settings!({
            snapshot_path => "../data/csv",
            prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!(name, shown);
        });
    }
    Ok(())
}

#[test]
fn one_track_is_the_same_from_a_table_and_from_gpx() -> Outcome {
    let mut gpx = String::from("<gpx><trk><trkseg>");
    let mut table = String::from("lat;lon;utc\n");
    for second in 10..60 {
        let (lat, lon) = (57.7 + f64::from(second) * 1e-5, 11.9);
        let time = format!("2031-06-04T09:12:{second}Z");
        write!(
            gpx,
            "<trkpt lat=\"{lat:.6}\" lon=\"{lon:.6}\"><time>{time}</time></trkpt>"
        )?;
        writeln!(
            table,
            "{};{lon:.6};{time}",
            format!("{lat:.6}").replace('.', ",")
        )?;
    }
    let from_gpx = read(gpx.as_bytes(), "a")?;
    let from_table = read(table.as_bytes(), "a")?;
    assert_eq!(from_gpx.tracks, from_table.tracks);
    assert!(from_table.remarks.is_empty());
    Ok(())
}

#[test]
fn a_table_in_another_encoding_is_the_same_table() -> Outcome {
    let text = "time;lat;lon;marché\n2031-06-04T09:12:30Z;57,1;11,9;é\n";
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let marked = [b"\xFE\xFF".as_slice(), &big].concat();
    let latin = text.chars().map(|c| c as u8).collect();
    let expected = read(text.as_bytes(), "x")?.tracks;
    for bytes in [little, big, marked, latin] {
        assert_eq!(read(&bytes, "x")?.tracks, expected);
    }
    Ok(())
}

#[test]
fn a_table_cut_anywhere_keeps_its_whole_rows() -> Outcome {
    for (name, bytes) in cases_in("tests/data/csv", "csv")? {
        for end in 0..bytes.len() {
            // Whatever comes of it, it adds up and does not panic.
            if let Ok(recording) = read(bytes.get(..end).unwrap_or_default(), "cut") {
                let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
                assert_eq!(
                    fixes(&recording).count() + aside,
                    recording.points_met,
                    "{name} {end}"
                );
            }
        }
    }
    Ok(())
}

#[test]
fn hostile_tables_come_to_an_end() {
    let cell = "9".repeat(1_000_000);
    for text in [
        format!("time,lat,lon\n{cell},{cell},{cell}\n"),
        format!("time,lat,lon\n{}", "\"".repeat(1_000_000)),
        format!("time,lat,lon\n{}", ",".repeat(1_000_000)),
        format!("time,lat,lon{}\n", ",lat".repeat(300_000)),
        "time,lat,lon\n".repeat(100_000),
        format!("time,lat,lon\n{}", "a,b,c\n".repeat(200_000)),
    ] {
        let start = std::time::Instant::now();
        assert!(read(text.as_bytes(), "hostile.csv").is_err());
        assert!(start.elapsed().as_secs() < 10, "{text:.60}");
    }
}

proptest! {
    #[test]
    fn mutated_tables_never_panic(
        case in any::<prop::sample::Index>(),
        mutations in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
    ) {
        let cases = cases_in("tests/data/csv", "csv").map_err(|e| TestCaseError::fail(e.to_string()))?;
        let (_, bytes) = case.get(&cases);
        let mut bytes = bytes.clone();
        for (place, byte) in mutations {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        if let Ok(recording) = read(&bytes, "x") {
            let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
            prop_assert_eq!(fixes(&recording).count() + aside, recording.points_met);
        }
    }

    #[test]
    fn rows_of_anything_never_panic(rows in "(([-0-9.,:;/ NSEWT°'\"a-z]{0,12}[,;\n]){0,40})") {
        let _ = read(format!("date,time,lat,lon,speed,n/s\n{rows}").as_bytes(), "x");
        let _ = read(format!("x;y;epoch\n{rows}").as_bytes(), "x");
    }
}
