//! The whole way: recordings to every rendering.

use thereback::notes;
use thereback::report::{self, ChartForm, data};
use thereback::track::Recording;
use thereback::trial;
use thereback::trial::{Settings, Trial};
use thereback::{parser, plotter};

use super::readers::read_checked;
use super::scene::{Scene, scene};

/// From the first byte on a scene; where that is not below 0x80 the rest is a file.
pub(crate) fn analyse(bytes: &[u8]) {
    let Some((kind, rest)) = bytes.split_first() else {
        return;
    };
    if *kind < 0x80 {
        let Scene {
            recordings,
            settings,
        } = scene(bytes);
        whole_way(&recordings, &settings);
    } else if let Some(recording) = read_checked(rest) {
        whole_way(&[recording], &Settings::default());
    }
}

/// Analyses and renders in every form, and checks that what is written can be read.
pub(crate) fn whole_way(recordings: &[Recording], settings: &Settings) {
    let found = trial::analyse(recordings, settings);
    check(&found);
    let charts = plotter::charts(&found);
    let files = report::files(&found, &charts, ChartForm::Svg).unwrap();
    for file in &files {
        let text = std::str::from_utf8(&file.bytes).unwrap();
        if file.path == "result.json" {
            let _: serde_json::Value = serde_json::from_str(text).unwrap();
        } else if file.path != "legs.gpx" {
            assert!(!text.contains("NaN"), "{} holds NaN", file.path);
        }
    }
    let _ = report::summary(&found);
    let legs = data::legs_gpx(&found);
    if !found.legs.is_empty() {
        assert!(parser::read(&legs, "legs.gpx").is_ok(), "legs.gpx is lost");
    }
    let given = settings.notes.clone().unwrap_or_default();
    let written = thereback::report::data::notes_toml(&found, &given);
    assert!(notes::read(&written, "notes.toml").is_ok(), "{written}");

    let _ = report::legs_text(&found);
    for bytes in [
        data::legs_csv(&found).unwrap(),
        data::legs_gpx(&found),
        data::legs_json(&found).unwrap(),
        data::legs_geojson(&found).unwrap(),
    ] {
        assert!(std::str::from_utf8(&bytes).is_ok());
    }
}

fn check(found: &Trial) {
    for track in &found.tracks {
        let aside: usize = track.set_aside.iter().map(|aside| aside.count).sum();
        assert_eq!(track.fixes_used + aside, track.fixes_read, "{}", track.file);
    }
    for leg in &found.legs {
        assert!(
            leg.duration_s > 0.0
                && leg.speed_m_s.is_none_or(f64::is_finite)
                && leg.length_m.is_finite()
        );
        assert!((0.0..360.0).contains(&leg.course_deg), "{}", leg.course_deg);
    }
    for run in &found.double_runs {
        assert!(run.mean_m_s.is_finite() && run.half_difference_m_s.is_finite());
    }
}
