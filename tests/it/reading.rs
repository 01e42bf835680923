//! Reading GPX: every dialect in `tests/data/gpx`, against kept outputs and an independent reader.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use thereback::parser::{ReadError, read, read_file};
use thereback::track::{Fix, Recording};

pub(crate) type Outcome = Result<(), Box<dyn Error>>;

/// A case's name and its bytes.
pub(crate) type Case = (String, Vec<u8>);

fn data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/gpx")
}

/// All the cases, by name.
fn cases() -> Result<Vec<Case>, Box<dyn Error>> {
    cases_in("tests/data/gpx", "gpx")
}

/// All the files with this ending in a folder of the project, by name.
pub(crate) fn cases_in(folder: &str, ending: &str) -> Result<Vec<Case>, Box<dyn Error>> {
    let mut cases = Vec::new();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder))? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == ending) {
            let name = path
                .file_stem()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            cases.push((name, fs::read(&path)?));
        }
    }
    cases.sort();
    Ok(cases)
}

pub(crate) fn fixes(recording: &Recording) -> impl Iterator<Item = &Fix> {
    recording.tracks.iter().flat_map(|t| &t.segments).flatten()
}

/// A recording as text: what a person checks a case by.
pub(crate) fn shown(result: &Result<Recording, ReadError>) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    let recording = match result {
        Ok(recording) => recording,
        Err(error) => return Ok(error.to_string()),
    };
    writeln!(out, "points met: {}", recording.points_met)?;
    for track in &recording.tracks {
        writeln!(out, "track {}", track.name.as_deref().unwrap_or("-"))?;
        for segment in &track.segments {
            writeln!(out, "  segment")?;
            for fix in segment {
                let position = fix.position;
                write!(
                    out,
                    "    {} {} {}",
                    fix.time,
                    position.latitude(),
                    position.longitude()
                )?;
                if let Some(speed) = fix.speed {
                    write!(out, ", {:.3} m/s", speed.as_metres_per_second())?;
                }
                if let Some(course) = fix.course {
                    write!(out, ", {:.1} deg", course.degrees())?;
                }
                if let Some(depth) = fix.depth {
                    write!(out, ", {:.3} m deep", depth.as_metres())?;
                }
                if let Some(heading) = fix.heading {
                    write!(out, ", heading {:.1} deg", heading.degrees())?;
                }
                if let Some(speed) = fix.water_speed {
                    let speed = speed.as_metres_per_second();
                    write!(out, ", {speed:.3} m/s through the water")?;
                }
                writeln!(out)?;
            }
        }
    }
    for waypoint in &recording.waypoints {
        let time = waypoint.time.map(|t| t.to_string()).unwrap_or_default();
        writeln!(out, "waypoint `{}` {time}", waypoint.name)?;
    }
    for aside in &recording.set_aside {
        let line = aside.first_line.unwrap_or_default();
        writeln!(
            out,
            "set aside {}: {}, first at line {line}",
            aside.count, aside.reason
        )?;
    }
    for remark in &recording.remarks {
        writeln!(out, "remark: {remark}")?;
    }
    Ok(out)
}

#[test]
fn every_dialect_is_read_as_kept() -> Outcome {
    let cases = cases()?;
    assert!(cases.len() >= 28, "the cases are gone");
    for (name, bytes) in cases {
        let shown = shown(&read(&bytes, &format!("{name}.gpx")))?;
        insta::with_settings!({
            snapshot_path => "../data/gpx",
            prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!(name, shown);
        });
    }
    Ok(())
}

#[test]
fn points_met_are_used_or_set_aside() -> Outcome {
    for (name, bytes) in cases()? {
        if let Ok(recording) = read(&bytes, &name) {
            let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
            assert_eq!(
                fixes(&recording).count() + aside,
                recording.points_met,
                "{name}"
            );
        }
    }
    Ok(())
}

/// Points and times as the `gpx` crate reads them, where it accepts the file.
fn independent(bytes: &[u8]) -> Option<Vec<(f64, f64, i128)>> {
    let gpx = gpx::read(bytes).ok()?;
    let points = gpx
        .tracks
        .iter()
        .flat_map(|t| &t.segments)
        .flat_map(|s| &s.points);
    let timed = points.filter_map(|point| {
        let time = time::OffsetDateTime::from(point.time?);
        let place = point.point();
        Some((place.y(), place.x(), time.unix_timestamp_nanos()))
    });
    // A receiver without a position writes 0, 0, which only this project sets aside.
    Some(
        timed
            .filter(|&(lat, lon, _)| (lat, lon) != (0.0, 0.0))
            .collect(),
    )
}

fn own(bytes: &[u8]) -> Vec<(f64, f64, i128)> {
    let Ok(recording) = read(bytes, "x.gpx") else {
        return Vec::new();
    };
    fixes(&recording)
        .map(|f| {
            (
                f.position.latitude(),
                f.position.longitude(),
                f.time.as_nanosecond(),
            )
        })
        .collect()
}

#[test]
fn an_independent_reader_finds_the_same_points_wherever_it_accepts_the_file() -> Outcome {
    let mut compared = Vec::new();
    for (name, bytes) in [cases()?, cases_in("samples", "gpx")?].concat() {
        // Of documents joined end to end the crate reads the first alone.
        if let Some(expected) = independent(&bytes).filter(|_| name != "joined") {
            assert_eq!(own(&bytes), expected, "{name}");
            compared.extend((!expected.is_empty()).then_some(name));
        }
    }
    assert!(compared.len() >= 11, "only {compared:?} were compared");
    Ok(())
}

#[test]
fn a_file_cut_anywhere_keeps_its_whole_points() -> Outcome {
    let text = fs::read_to_string(data().join("extensions.gpx"))?;
    let marked = fs::read_to_string(data().join("marks_and_plans.gpx"))?;
    for text in [text, marked] {
        for end in 0..=text.len() {
            let Some(cut) = text.get(..end) else { continue };
            let whole = cut.matches("</trkpt>").count();
            match read(cut.as_bytes(), "cut.gpx") {
                Ok(recording) => {
                    assert_eq!(fixes(&recording).count(), whole, "cut at {end}");
                    let told = recording.remarks.iter().any(|r| r.contains("line"));
                    assert!(told || cut.trim_end().ends_with("</gpx>"), "cut at {end}");
                }
                Err(error) => assert_eq!(whole, 0, "cut at {end}: {error}"),
            }
        }
    }
    Ok(())
}

#[test]
fn the_bytes_left_at_a_cut_are_told() -> Outcome {
    let whole = fs::read_to_string(data().join("plain.gpx"))?;
    let last = whole.rfind("<trkpt").ok_or("no point")?;
    let cut = whole.get(..last + 40).ok_or("too short")?;
    let recording = read(cut.as_bytes(), "cut.gpx")?;
    let line = cut.lines().count();
    let remark = recording.remarks.first().ok_or("no remark")?;
    assert!(remark.contains(&format!("line {line},")), "{remark}");
    assert!(remark.contains("the last 40 bytes"), "{remark}");
    Ok(())
}

#[test]
fn the_file_name_is_kept_without_its_folders() -> Outcome {
    assert_eq!(read_file(&data().join("plain.gpx"))?.file, "plain.gpx");
    Ok(())
}

#[test]
fn deep_nesting_and_giant_text_are_passed_over() -> Outcome {
    let point = r#"<trkpt lat="57" lon="11"><time>2031-06-04T09:12:30Z</time></trkpt>"#;
    let depth = 1_000_000;
    let deep = format!(
        "<gpx><trk>{}{}<trkseg>{point}</trkseg></trk></gpx>",
        "<a>".repeat(depth),
        "</a>".repeat(depth)
    );
    let giant = "y".repeat(60_000_000);
    let giant = format!(
        "<gpx><trk><name>{giant}<!-- -->{giant}</name><trkseg>{point}<trkpt lat=\"{giant}\" lon=\"1\"/>\
         <trkpt lat=\"57\" lon=\"11\"><time>{giant}</time></trkpt></trkseg></trk></gpx>"
    );
    assert_eq!(fixes(&read(deep.as_bytes(), "deep.gpx")?).count(), 1);
    let never_closed = format!("<gpx><trk><trkseg>{point}{}", "<a>".repeat(depth));
    assert_eq!(
        fixes(&read(never_closed.as_bytes(), "deep.gpx")?).count(),
        1
    );
    let recording = read(giant.as_bytes(), "giant.gpx")?;
    assert_eq!(fixes(&recording).count(), 1);
    let name = recording
        .tracks
        .first()
        .and_then(|t| t.name.as_deref())
        .unwrap_or_default();
    assert!(name.chars().count() <= 201);
    Ok(())
}

#[test]
fn broken_markup_all_over_takes_no_quadratic_time() {
    for piece in [
        "<!--",
        "<![CDATA[",
        "<\"",
        "<?",
        "<trkpt ",
        "<trkpt><",
        "<a></b>",
        "&",
        "<trkpt lat='",
        "]]<",
        "<!x",
        "<![x",
        "<![x]",
    ] {
        let text = format!("<gpx><trk><trkseg>{}", piece.repeat(200_000));
        let start = std::time::Instant::now();
        let _ = read(text.as_bytes(), "broken.gpx");
        let seconds = start.elapsed().as_secs();
        assert!(seconds < 10, "{piece:?} took {seconds} s");
    }
}

proptest! {
    #[test]
    fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = read(&bytes, "x");
    }

    #[test]
    fn no_bytes_behind_a_good_head_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let mut text = b"<gpx><trk><trkseg><trkpt lat='57' lon='11'>".to_vec();
        text.extend(bytes);
        let _ = read(&text, "x");
    }

    #[test]
    fn mutated_cases_never_panic_and_always_add_up(
        case in any::<prop::sample::Index>(),
        mutations in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
        cut in any::<prop::sample::Index>(),
    ) {
        let cases = cases().map_err(|e| TestCaseError::fail(e.to_string()))?;
        let (_, bytes) = case.get(&cases);
        let mut bytes = bytes.clone();
        for (place, byte) in mutations {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        bytes.truncate(cut.index(bytes.len()) + 1);
        if let Ok(recording) = read(&bytes, "x") {
            let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
            prop_assert_eq!(fixes(&recording).count() + aside, recording.points_met);
            prop_assert!(fixes(&recording).count() > 0);
        }
    }

    #[test]
    fn what_the_gpx_crate_writes_is_read_back(
        points in prop::collection::vec((-89.9_f64..89.9, -179.9_f64..179.9, 0_i64..4_000_000_000), 1..30),
    ) {
        let mut segment = gpx::TrackSegment::new();
        for &(lat, lon, second) in &points {
            let mut point = gpx::Waypoint::new(geo::Point::new(lon, lat));
            let time = time::OffsetDateTime::from_unix_timestamp(second)
                .map_err(|e| TestCaseError::fail(e.to_string()))?;
            point.time = Some(time.into());
            segment.points.push(point);
        }
        let mut track = gpx::Track::new();
        track.segments.push(segment);
        let mut document = gpx::Gpx { version: gpx::GpxVersion::Gpx11, ..gpx::Gpx::default() };
        document.tracks.push(track);
        let mut bytes = Vec::new();
        gpx::write(&document, &mut bytes).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let expected: Vec<_> = points
            .iter()
            .map(|&(lat, lon, second)| (lat, lon, i128::from(second) * 1_000_000_000))
            .collect();
        prop_assert_eq!(own(&bytes), expected);
    }
}
