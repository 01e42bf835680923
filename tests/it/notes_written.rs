//! The notes as written: reading them back gives the same understanding.

use jiff::Timestamp;
use thereback::day::{Leg, WindSource};
use thereback::notes::{self, Notes, Resolved, zone};
use thereback::notes::{Correction, LegName};
use thereback::track::{Position, Recording};
use thereback::trial::{
    GroupSource, Setting, Settings, TrackSummary, Trial, Zone, ZoneSource, analyse,
};
use thereback::units::{Bearing, ClockFace, Current, Speed, SpeedUnit};

use crate::notes::{FULL, recording};

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
fn day(from: &str, to: &str, legs: Vec<Leg>) -> (Trial, Recording) {
    let recording = recording(&[(from, to)], &[]);
    let mut analysis = analyse(&[], &Settings::default());
    analysis.timezone = Zone {
        name: "Europe/Stockholm".to_owned(),
        source: ZoneSource::Position,
    };
    analysis.tracks = vec![TrackSummary {
        file: "day.gpx".to_owned(),
        day: 1,
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

fn trial() -> (Trial, Recording) {
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

fn read(text: &str) -> Notes {
    notes::read(text, "notes.toml").unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn read_back(text: &str, recording: &Recording) -> Resolved {
    let notes = read(text);
    let zone = zone::named(notes.timezone.as_deref().unwrap()).unwrap();
    let back = notes::resolve(&notes, &zone, std::slice::from_ref(recording));
    assert_eq!(back.problems, Vec::<String>::new(), "{text}");
    back
}

/// Names and times of the parts.
fn fitted(back: &Resolved) -> Vec<(&str, Option<Timestamp>)> {
    let marks = &back.marks.configurations;
    marks.iter().map(|c| (c.name.as_str(), c.from)).collect()
}

#[test]
fn what_was_found_reads_back() {
    let (analysis, recording) = trial();
    let text = thereback::report::data::notes_toml(&analysis, &Notes::default());
    let back = read_back(&text, &recording);
    // The first was there from the start, the others were fitted between two legs.
    assert_eq!(
        fitted(&back),
        [
            ("A", None),
            ("B", Some(at("2026-06-12T08:04:12Z"))),
            ("A", Some(at("2026-06-12T08:34:00Z"))),
        ]
    );
    assert_eq!(back.marks.settings[0].name, "1");
    assert_eq!(back.marks.legs, []);
    assert_eq!(back.notes.wind.from, None);
    // Handed on, it says the same.
    let again = thereback::report::data::notes_toml(&analysis, &back.notes);
    assert_eq!(fitted(&read_back(&again, &recording)), fitted(&back));
}

#[test]
fn what_was_given_reads_back() {
    let (mut analysis, _) = trial();
    let given = read(&format!(
        "{FULL}{}",
        r#"
[power]
clock_offset = "90 s"
[battery]
amp_hours = 100
volts = 12.8
usable = "80 %"
[motor]
limit_watts = 600
[home]
lat = 59.412
lon = 18.204
reserve = "30 %"
[[reading]]
configuration = "three blades"
setting = "half"
amps = 23.5
rpm = 900
[[leg]]
at = "2026-10-25T02:30:12.5+01:00"
exclude = "\"odd\" \\ one\u0007"
"#
    ));
    analysis.title.clone_from(&given.title);
    analysis.units = SpeedUnit::KilometresPerHour;
    analysis.clock = ClockFace::Hours12;
    analysis.wind.from_deg = given.wind.from.map(Bearing::degrees);
    analysis.wind.speed_m_s = given.wind.speed.map(Speed::as_metres_per_second);
    analysis.wind.source = WindSource::Given;
    let text = thereback::report::data::notes_toml(&analysis, &given);
    let back = read(&text);
    assert_eq!(back.wind.from, given.wind.from);
    let kmh = |notes: &Notes| {
        notes
            .wind
            .speed
            .unwrap()
            .in_unit(SpeedUnit::KilometresPerHour)
    };
    assert!((kmh(&back) - kmh(&given)).abs() < 1e-3);
    assert_eq!(back.current, Some(Current::River));
    assert_eq!(back.clock, Some(ClockFace::Hours12));
    // The log and the photograph lay beside other notes.
    assert!(text.contains("# photo = \"boat.jpg\" # name it from this folder"));
    assert!(text.contains("# log = \"wind.csv\" # name it from this folder"));
    let lines_aside = |mut notes: Notes| {
        notes.configurations.iter_mut().for_each(|c| c.line = 0);
        notes.settings.iter_mut().for_each(|s| s.line = 0);
        notes.legs.iter_mut().for_each(|l| l.line = 0);
        notes.energy.readings.iter_mut().for_each(|r| r.line = 0);
        notes.story.photo = None;
        let (configurations, settings) = (notes.configurations, notes.settings);
        let story = (notes.title, notes.one_trial, notes.story);
        (configurations, settings, notes.legs, notes.energy, story)
    };
    assert_eq!(lines_aside(back), lines_aside(given), "{text}");
}

#[test]
fn names_without_times_get_the_times_found() {
    let (analysis, recording) = trial();
    let named = |names: &[&str]| {
        let parts = names
            .iter()
            .map(|name| format!("[[configuration]]\nname = \"{name}\"\n"));
        read(&parts.collect::<String>())
    };
    let text = thereback::report::data::notes_toml(&analysis, &named(&["A", "B", "A"]));
    assert!(fitted(&read_back(&text, &recording))[2].1.is_some());
    // Names that could not be used are handed on as they were.
    let text = thereback::report::data::notes_toml(&analysis, &named(&["three blades"]));
    assert_eq!(
        fitted(&read_back(&text, &recording)),
        [("three blades", None)]
    );
}

#[test]
fn a_finding_does_not_become_a_given() {
    let (mut analysis, recording) = trial();
    analysis.wind.from_deg = Some(231.26);
    for source in [WindSource::Drift, WindSource::Log] {
        analysis.wind.source = source;
        let text = thereback::report::data::notes_toml(&analysis, &Notes::default());
        assert!(text.contains("\n# from = 231.3\n"), "{text}");
        assert_eq!(read_back(&text, &recording).notes.wind.from, None);
    }
}

#[test]
fn a_night_and_a_clock_change_read_back() {
    let legs = vec![
        leg(1, "2026-10-24T21:00:00Z", Some("A"), None),
        leg(2, "2026-10-25T00:30:00Z", Some("B"), None),
        leg(3, "2026-10-25T01:30:00Z", Some("A"), None),
    ];
    let (analysis, recording) = day("2026-10-24T20:00:00Z", "2026-10-25T04:00:00Z", legs);
    let text = thereback::report::data::notes_toml(&analysis, &Notes::default());
    let back = read_back(&text, &recording);
    let expected = ["2026-10-24T22:47:00Z", "2026-10-25T01:02:00Z"].map(|t| Some(at(t)));
    assert_eq!([fitted(&back)[1].1, fitted(&back)[2].1], expected);
}

#[test]
fn the_examples_are_ones_that_read() {
    let (analysis, recording) = trial();
    let text = thereback::report::data::notes_toml(&analysis, &Notes::default());
    let used = text
        .replace("# [[leg]]", "[[leg]]")
        .replace("# leg = ", "leg = ")
        .replace("# include =", "include =")
        .replace("# exclude =", "exclude =")
        .replace("# current =", "current =");
    let back = read_back(&used, &recording);
    let legs: Vec<_> = back
        .marks
        .legs
        .iter()
        .map(|note| (note.leg, note.corrections.clone()))
        .collect();
    assert_eq!(
        legs,
        [
            (LegName::Number(2), vec![Correction::Include]),
            (
                LegName::Number(1),
                vec![Correction::Exclude("ferry wake".into())]
            ),
        ]
    );
}

#[test]
fn an_empty_day_still_writes_notes_that_read() {
    let analysis = analyse(&[], &Settings::default());
    read(&thereback::report::data::notes_toml(
        &analysis,
        &Notes::default(),
    ));
}

#[test]
fn looks_like_this() {
    let (mut analysis, _) = trial();
    analysis.title = Some("Three blades against four".to_owned());
    insta::assert_snapshot!(thereback::report::data::notes_toml(
        &analysis,
        &Notes::default()
    ));
}
