//! The notes as written: reading them back gives the same understanding.

use jiff::Timestamp;
use thereback::analysis::{
    Analysis, GroupSource, Leg, Setting, Settings, TrackSummary, WindSource, Zone, ZoneSource,
    analyse,
};
use thereback::track::{Position, Recording};
use thereback::trial::notes::{self, ConfigurationMark, LegMark, Resolved, SettingMark};
use thereback::trial::zone;
use thereback::units::{Bearing, Speed, SpeedUnit};

use crate::notes::recording;

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// A leg of four minutes.
fn leg(number: usize, start: &str, configuration: Option<&str>, reason: Option<&str>) -> Leg {
    let position = Position::new(58.9, 14.9).unwrap();
    let start = at(start);
    Leg {
        leg: number,
        day: 1,
        track: 0,
        start,
        steady_from: None,
        end: Timestamp::from_second(start.as_second() + 240).unwrap(),
        duration_s: 240.0,
        length_m: 480.0,
        fixes: 240,
        course_deg: 235.0,
        speed_m_s: Some(2.0),
        speed_se_m_s: None,
        low_m_s: None,
        high_m_s: None,
        cross_track_rms_m: 1.0,
        recorded_speed_m_s: None,
        depth_m: None,
        heading_deg: None,
        water_speed_m_s: None,
        wind_off_bow_deg: None,
        wind_label: None,
        line: None,
        double_run: None,
        configuration: configuration.map(str::to_owned),
        setting: configuration.map(|_| "1".to_owned()),
        included: reason.is_none(),
        reason: reason.map(str::to_owned),
        start_position: position,
        steady_position: None,
        end_position: position,
    }
}

/// A day in Stockholm's summer time with A, B and A again, and its recording.
fn day(from: &str, to: &str, legs: Vec<Leg>) -> (Analysis, Recording) {
    let recording = recording(&[(from, to)], &[]);
    let mut analysis = analyse(&[], &Settings::default());
    analysis.timezone = Zone {
        name: "Europe/Stockholm".to_owned(),
        source: ZoneSource::Position,
    };
    analysis.tracks = vec![TrackSummary {
        file: "day.gpx".to_owned(),
        fixes_read: 2,
        fixes_used: 2,
        set_aside: Vec::new(),
        remarks: Vec::new(),
        from: Some(at(from)),
        to: Some(at(to)),
        interval_s: Some(60.0),
    }];
    analysis.legs = legs;
    analysis.settings = vec![Setting {
        name: "1".to_owned(),
        percent: None,
        source: GroupSource::Track,
        confidence: None,
    }];
    (analysis, recording)
}

fn trial() -> (Analysis, Recording) {
    day(
        "2026-06-12T07:00:00Z",
        "2026-06-12T11:00:00Z",
        vec![
            leg(1, "2026-06-12T07:12:40.5Z", Some("A"), None),
            leg(
                2,
                "2026-06-12T07:20:00Z",
                None,
                Some("not part of a double run\n"),
            ),
            leg(3, "2026-06-12T08:00:05Z", Some("A"), None),
            // Straight after the one before: its full minute lies inside that one.
            leg(4, "2026-06-12T08:04:20Z", Some("B"), None),
            leg(5, "2026-06-12T09:00:00Z", Some("A"), None),
        ],
    )
}

fn read_back(text: &str, recording: &Recording) -> Resolved {
    let notes = notes::read(text, "notes.toml").unwrap();
    let zone = zone::named(notes.timezone.as_deref().unwrap()).unwrap();
    notes::resolve(&notes, &zone, std::slice::from_ref(recording))
}

fn mark(name: &str, from: &str) -> ConfigurationMark {
    ConfigurationMark {
        name: name.to_owned(),
        from: Some(at(from)),
    }
}

#[test]
fn what_was_found_reads_back() {
    let (analysis, recording) = trial();
    let text = notes::write(&analysis, &Resolved::default());
    let back = read_back(&text, &recording);
    assert_eq!(back.problems, Vec::<String>::new(), "{text}");
    assert_eq!(
        back.configurations,
        [
            mark("A", "2026-06-12T07:12:00Z"),
            mark("B", "2026-06-12T08:04:20Z"),
            mark("A", "2026-06-12T09:00:00Z"),
        ]
    );
    assert_eq!(
        back.settings,
        [SettingMark {
            name: "1".to_owned(),
            percent: None
        }]
    );
    assert_eq!(back.legs, []);
    assert_eq!(back.wind_from, None);
    // Handed on, it stays the same to the byte.
    assert_eq!(notes::write(&analysis, &back), text);
}

#[test]
fn what_was_given_reads_back() {
    let (mut analysis, recording) = trial();
    analysis.title = Some("\"Three\" blades \\ four\u{7}".to_owned());
    analysis.units = SpeedUnit::MilesPerHour;
    analysis.wind.from_deg = Some(235.0);
    analysis.wind.speed_m_s = Some(Speed::new(11.0, SpeedUnit::Knots).as_metres_per_second());
    analysis.wind.source = WindSource::Given;
    let given = Resolved {
        configurations: vec![
            mark("the old one", "2026-06-12T05:30:00Z"),
            mark("B \"new\"", "2026-06-12T08:04:20.25Z"),
        ],
        settings: vec![SettingMark {
            name: "half".to_owned(),
            percent: Some(47.5),
        }],
        legs: vec![
            LegMark {
                at: at("2026-06-12T07:13:00Z"),
                exclude: Some("ferry wake".to_owned()),
                configuration: None,
                setting: None,
            },
            LegMark {
                at: at("2026-06-12T09:01:02.5Z"),
                exclude: None,
                configuration: Some("the old one".to_owned()),
                setting: Some("half".to_owned()),
            },
        ],
        ..Resolved::default()
    };
    let text = notes::write(&analysis, &given);
    let back = read_back(&text, &recording);
    assert_eq!(back.problems, Vec::<String>::new(), "{text}");
    assert_eq!(back.title, analysis.title);
    assert_eq!(back.units, Some(SpeedUnit::MilesPerHour));
    assert_eq!(back.wind_from, Bearing::new(235.0));
    let speed = back.wind_speed.unwrap().in_unit(SpeedUnit::Knots);
    assert!((speed - 11.0).abs() < 1e-3, "{speed}");
    assert_eq!(back.configurations, given.configurations);
    assert_eq!(back.settings, given.settings);
    assert_eq!(back.legs, given.legs);
}

#[test]
fn names_without_times_get_the_times_found() {
    let (analysis, recording) = trial();
    let name = |name: &str| ConfigurationMark {
        name: name.to_owned(),
        from: None,
    };
    let given = Resolved {
        configurations: vec![name("A"), name("B"), name("A")],
        ..Resolved::default()
    };
    let back = read_back(&notes::write(&analysis, &given), &recording);
    assert!(back.configurations.iter().all(|mark| mark.from.is_some()));
    // Names that could not be used are handed on as they were.
    let given = Resolved {
        configurations: vec![name("three blades")],
        ..Resolved::default()
    };
    let back = read_back(&notes::write(&analysis, &given), &recording);
    assert_eq!(back.configurations, given.configurations);
}

#[test]
fn a_finding_does_not_become_a_given() {
    let (mut analysis, recording) = trial();
    analysis.wind.from_deg = Some(231.26);
    analysis.wind.source = WindSource::Drift;
    let text = notes::write(&analysis, &Resolved::default());
    assert!(text.contains("\n# from = 231.3\n"), "{text}");
    assert_eq!(read_back(&text, &recording).wind_from, None);
}

#[test]
fn a_night_and_a_clock_change_read_back() {
    let legs = || {
        vec![
            leg(1, "2026-10-24T21:00:00Z", Some("A"), None),
            leg(2, "2026-10-25T00:30:00Z", Some("B"), None),
            leg(3, "2026-10-25T01:30:00Z", Some("A"), None),
        ]
    };
    let (analysis, recording) = day("2026-10-24T20:00:00Z", "2026-10-25T04:00:00Z", legs());
    let text = notes::write(&analysis, &Resolved::default());
    let back = read_back(&text, &recording);
    assert_eq!(back.problems, Vec::<String>::new(), "{text}");
    let from: Vec<_> = back
        .configurations
        .iter()
        .filter_map(|mark| mark.from)
        .collect();
    assert_eq!(from, legs().iter().map(|leg| leg.start).collect::<Vec<_>>());
}

#[test]
fn the_example_is_one_that_reads() {
    let (analysis, recording) = trial();
    let text = notes::write(&analysis, &Resolved::default());
    let used = text
        .replace("# [[leg]]", "[[leg]]")
        .replace("# at =", "at =")
        .replace("# exclude =", "exclude =");
    let back = read_back(&used, &recording);
    assert_eq!(back.problems, Vec::<String>::new(), "{used}");
    let first = &analysis.legs[0];
    assert!((first.start..=first.end).contains(&back.legs[0].at));
}

#[test]
fn an_empty_day_still_writes_notes_that_read() {
    let analysis = analyse(&[], &Settings::default());
    let text = notes::write(&analysis, &Resolved::default());
    assert!(notes::read(&text, "notes.toml").is_ok(), "{text}");
}

#[test]
fn looks_like_this() {
    let (mut analysis, _) = trial();
    analysis.title = Some("Three blades against four".to_owned());
    insta::assert_snapshot!(notes::write(&analysis, &Resolved::default()));
}
