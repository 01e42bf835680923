//! `notes.toml`: what is understood, and what is said of what is not.

use jiff::Timestamp;
use thereback::notes::{self, Clock, LegName, Resolved, When, zone};
use thereback::notes::{Correction, LegRef, NoPair, Objection, ObjectionKind};
use thereback::track::{Fix, Position, RecordedTrack, Recording, Waypoint};
use thereback::units::{Bearing, ClockFace, Current, SpeedUnit};

pub(crate) const FULL: &str = r#"
title = "Three blades against four"
timezone = "europe/stockholm"
units = "km/h"

[wind]
from = "SW"
speed = "11 kn"
log = "wind.csv"

[water]
current = "river"

[[configuration]]
name = "three blades"
pitch = "10 in"

[[configuration]]
name = "four blades"
from = "swap"

[[setting]]
name = "half"
percent = 50

[[setting]]
name = "full"
percent = 100.0

[[leg]]
at = 09:47:00
exclude = "ferry wake"

[[leg]]
at = 2026-06-12T11:02:00
configuration = "four blades"
setting = "half"

[[leg]]
leg = 12
include = true
start = "11:38:10"
end = "11:41:40"
pair = 13
watts = 290

[[leg]]
leg = 14
join = 'next'
pair = "11:52"

[[leg]]
leg = 16
cut = "12:01:30"
"#;

#[test]
fn reads_every_key() {
    let notes = notes::read(FULL, "notes.toml").unwrap();
    assert_eq!(notes.title.as_deref(), Some("Three blades against four"));
    assert_eq!(notes.timezone.as_deref(), Some("Europe/Stockholm"));
    assert_eq!(notes.units, Some(SpeedUnit::KilometresPerHour));
    assert_eq!(notes.wind.from, Bearing::new(225.0));
    let speed = notes.wind.speed.unwrap().in_unit(SpeedUnit::Knots);
    assert!((speed - 11.0).abs() < 1e-9);
    assert_eq!(notes.wind.log.as_deref(), Some("wind.csv"));
    assert_eq!(notes.current, Some(Current::River));
    assert_eq!(notes.configurations[0].pitch_m, Some(0.254));
    assert_eq!(notes.configurations[1].line, 18);
    assert_eq!(
        notes.configurations[1].from,
        Some(When::Mark("swap".into()))
    );
    assert_eq!(notes.settings[1].percent, Some(100.0));
    let legs = &notes.legs;
    assert_eq!(legs[0].leg, LegName::At(When::read("9:47 am").unwrap()));
    assert_eq!(
        legs[1].leg,
        LegName::At(When::read("2026-06-12 11:02").unwrap())
    );
    assert_eq!(legs[1].setting.as_deref(), Some("half"));
    assert_eq!(legs[2].leg, LegName::Number(12));
    assert!(legs[2].include && legs[3].join_next);
    assert_eq!(legs[2].pair, Some(LegName::Number(13)));
    assert_eq!(legs[2].draw.watts, Some(290.0));
    assert_eq!(
        legs[3].pair,
        Some(LegName::At(When::read("11:52").unwrap()))
    );
    assert_eq!(legs[4].cut, Some(When::read("12:01:30").unwrap()));
}

#[test]
fn nothing_is_required() {
    let notes = notes::read("", "notes.toml").unwrap();
    assert!(notes.configurations.is_empty() && notes.title.is_none());
    assert!(notes::read("\u{feff}title = \"x\"\r\n", "notes.toml").is_ok());
    assert!(notes::read("[configuration]\nname = \"A\"\n", "notes.toml").is_ok());
    // The same part may be fitted twice.
    let again = ["A", "B", "A"].map(|name| format!("[[configuration]]\nname = \"{name}\"\n"));
    assert!(notes::read(&again.concat(), "notes.toml").is_ok());
    // Without a list the name is one that the track suggests.
    assert!(notes::read("[[leg]]\nleg = 3\nsetting = \"2\"\n", "notes.toml").is_ok());
}

/// Each text with what is said of it.
#[test]
fn what_is_refused() {
    let leg = |lines: &str| format!("[[leg]]\n{lines}");
    let refused = [
        "\n\ntitel = 'x'".into(),
        "[[settings]]\nname = 'half'".into(),
        "[wind]\nfrom = 235\ngust = 3".into(),
        "[[setting]]\nname = 'half'\npercent = 130".into(),
        "[[setting]]\nname = 'half'\npercent = nan".into(),
        "[[configuration]]\nname = 'A'\nfrom = '25:99'".into(),
        "timezone = 'Europe/Stokholm'".into(),
        "units = 'leagues'".into(),
        "[wind]\nfrom = 400".into(),
        "[water]\ncurrent = 'lake'".into(),
        "title = 3".into(),
        "wind = 235".into(),
        "setting = ['half', 'full']".into(),
        "title = 'x'\n\n[[configuration]]\nfrom = '09:12'".into(),
        "[[setting]]\nname = ' '".into(),
        "[[setting]]\nname = 'full'\npercent = 100\n[[setting]]\nname = 'half'\npercent = 50"
            .into(),
        "[[setting]]\nname = 'half'\n[[setting]]\nname = 'half'".into(),
        leg("exclude = 'wake'"),
        leg("leg = 12"),
        leg("leg = 0\ninclude = true"),
        leg("leg = '12'\ninclude = true"),
        leg("leg = 12\nexclude = true"),
        leg("leg = 12\ninclude = false"),
        leg("leg = 12\njoin = 'last'"),
        leg("leg = 12\npair = 1.5"),
        leg("leg = 12\ninclude = true\nexclude = 'wake'"),
        leg("leg = 12\nat = '09:47'\ninclude = true"),
        leg("leg = 12\nsetting = 'hafl'\n[[setting]]\nname = 'half'"),
        leg("leg = 12\nconfiguration = 'spare'\n[[configuration]]\nname = 'old'"),
    ]
    .map(|text: String| {
        let error = notes::read(&text, "notes.toml").unwrap_err();
        format!("{}\n-> {error}\n", text.trim_start())
    });
    insta::assert_snapshot!(refused.join("\n"));
}

#[test]
fn bad_toml_keeps_its_line() {
    for (text, line) in [
        ("title = \"x\"\nname = three blades\n", 2),
        ("[[setting]\n", 1),
        ("a = 1\n\na = 2\n", 3),
        ("title = \"x", 1),
    ] {
        let error = notes::read(text, "notes.toml").unwrap_err();
        assert_eq!(error.line, line, "{error}");
        let message = error.to_string();
        assert!(
            message.contains("\nhint: a line goes `key = value`"),
            "{message}"
        );
        assert_eq!(message.lines().count(), 2, "{message}");
    }
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// A recording with a fix a minute over each span.
pub(crate) fn recording(spans: &[(&str, &str)], waypoints: &[(&str, Option<&str>)]) -> Recording {
    let position = Position::new(58.9, 14.9).unwrap();
    let segment = |(from, to): &(&str, &str)| {
        let minutes = (at(to).as_second() - at(from).as_second()) / 60;
        (0..=minutes)
            .map(|minute| {
                let second = at(from).as_second() + 60 * minute;
                Fix::bare(Timestamp::from_second(second).unwrap(), position)
            })
            .collect()
    };
    Recording {
        tracks: vec![RecordedTrack {
            name: None,
            segments: spans.iter().map(segment).collect(),
        }],
        waypoints: waypoints
            .iter()
            .map(|(name, time)| Waypoint {
                name: (*name).to_owned(),
                time: time.map(at),
                position,
            })
            .collect(),
        ..Recording::default()
    }
}

fn resolved(text: &str, zone_name: &str, recordings: &[Recording]) -> Resolved {
    let notes = notes::read(text, "notes.toml").unwrap();
    notes::resolve(&notes, &zone::named(zone_name).unwrap(), recordings)
}

/// One leg's time against one track; gives the instant or the problem.
#[track_caller]
fn leg(when: &str, spans: &[(&str, &str)], expected: Result<&str, &str>) {
    let text = format!("[[leg]]\nat = \"{when}\"\nexclude = \"x\"\n");
    let marks = [("swap", Some("2026-06-12T08:30:00Z")), ("Buoy", None)];
    let found = resolved(&text, "Europe/Stockholm", &[recording(spans, &marks)]);
    match expected {
        Ok(time) => {
            assert_eq!(found.problems, Vec::<String>::new());
            assert_eq!(found.marks.legs[0].leg, LegRef::At(at(time)));
        }
        Err(problem) => {
            assert!(found.marks.legs.is_empty());
            let problem = format!("notes.toml, line 1: leg: {problem}");
            assert_eq!(found.problems.last(), Some(&problem));
        }
    }
}

/// Stockholm is two hours ahead of UTC in June (IANA time zone database).
const MORNING: &[(&str, &str)] = &[("2026-06-12T07:00:00Z", "2026-06-12T11:00:00Z")];

#[test]
fn local_times_become_instants() {
    leg("09:12", MORNING, Ok("2026-06-12T07:12:00Z"));
    leg("9:12:30 am", MORNING, Ok("2026-06-12T07:12:30Z"));
    leg("2026-06-12 12:00", MORNING, Ok("2026-06-12T10:00:00Z"));
    leg("2026-06-12T10:00Z", MORNING, Ok("2026-06-12T10:00:00Z"));
    leg("swap", MORNING, Ok("2026-06-12T08:30:00Z"));
    leg("SWAP", MORNING, Ok("2026-06-12T08:30:00Z"));
    // To the minute: the track began within it.
    leg("08:59", MORNING, Ok("2026-06-12T06:59:00Z"));
}

#[test]
fn what_does_not_fit_is_a_problem() {
    let span = "which runs from 2026-06-12 09:00 to 2026-06-12 13:00 (Europe/Stockholm)";
    for (when, expected) in [
        ("08:30", format!("08:30 lies outside the track, {span}")),
        (
            "00:47",
            format!("00:47 lies outside the track, {span}; for the afternoon write `12:47`"),
        ),
        (
            "2026-06-11 11:02",
            format!("2026-06-11 11:02 lies outside the track, {span}; was `2026-06-12` meant?"),
        ),
        (
            "Buoy",
            "the waypoint `Buoy` has no time, so write the time itself".to_owned(),
        ),
        (
            "shop",
            "`shop` is neither a time nor a waypoint; the waypoints there are `Buoy` and `swap`"
                .to_owned(),
        ),
    ] {
        leg(when, MORNING, Err(&expected));
    }
    leg(
        "09:12",
        &[],
        Err("09:12 lies outside the track, which has no times"),
    );
}

#[test]
fn the_day_is_the_one_inside_the_track() {
    let night = &[("2026-06-12T20:00:00Z", "2026-06-13T01:00:00Z")];
    leg("23:30", night, Ok("2026-06-12T21:30:00Z"));
    leg("00:30", night, Ok("2026-06-12T22:30:00Z"));
    let two_days = &[
        ("2026-06-12T07:00:00Z", "2026-06-12T11:00:00Z"),
        ("2026-06-13T09:00:00Z", "2026-06-13T15:00:00Z"),
    ];
    leg("09:12", two_days, Ok("2026-06-12T07:12:00Z"));
    leg("16:00", two_days, Ok("2026-06-13T14:00:00Z"));
    leg(
        "12:00",
        two_days,
        Err(
            "12:00 can mean `2026-06-12T12:00:00+02:00` and `2026-06-13T12:00:00+02:00`; \
             write it out as one of these",
        ),
    );
    // A lone fix with a false date does not make the day unclear.
    let false_date = &[("1980-01-06T00:00:00Z", "1980-01-06T00:00:00Z"), MORNING[0]];
    leg("09:12", false_date, Ok("2026-06-12T07:12:00Z"));
}

/// In Stockholm the clocks went forward over 02:00 to 03:00 on 29 March 2026 and back over it on
/// 25 October 2026, at 01:00 UTC (IANA time zone database; EU Directive 2000/84/EC).
#[test]
fn clock_changes() {
    let spring = &[("2026-03-29T00:00:00Z", "2026-03-29T04:00:00Z")];
    leg("03:30", spring, Ok("2026-03-29T01:30:00Z"));
    leg(
        "02:30",
        spring,
        Err("02:30 does not exist in Europe/Stockholm: the clocks went forward over it"),
    );
    let autumn = &[("2026-10-24T23:00:00Z", "2026-10-25T00:45:00Z")];
    leg("02:30", autumn, Ok("2026-10-25T00:30:00Z"));
    let both = &[("2026-10-24T23:00:00Z", "2026-10-25T04:00:00Z")];
    leg(
        "02:30",
        both,
        Err(
            "02:30 can mean `2026-10-25T02:30:00+02:00` and `2026-10-25T02:30:00+01:00`; \
             write it out as one of these",
        ),
    );
    leg("2026-10-25T02:30+01:00", both, Ok("2026-10-25T01:30:00Z"));
}

/// Notes of parts fitted at these times.
fn fitted(times: &[&str]) -> String {
    let parts = ["A", "B", "C"].iter().zip(times);
    let parts = parts
        .map(|(name, from)| format!("[[configuration]]\nname = \"{name}\"\nfrom = \"{from}\"\n"));
    parts.collect()
}

#[test]
fn only_the_first_part_may_precede_the_track() {
    let spans = [MORNING[0], ("2026-06-12T16:00:00Z", "2026-06-12T18:00:00Z")];
    let day = [recording(&spans, &[])];
    let from = |text: &str| {
        let found = resolved(text, "Europe/Stockholm", &day);
        let from: Vec<_> = found.marks.configurations.iter().map(|c| c.from).collect();
        (from, found.problems)
    };
    // The second in a pause of the recording.
    let (found, problems) = from(&fitted(&["07:30", "14:00"]));
    assert_eq!(problems, Vec::<String>::new());
    let expected = ["2026-06-12T05:30:00Z", "2026-06-12T12:00:00Z"];
    assert_eq!(found, expected.map(|time| Some(at(time))));
    let (found, problems) = from(&fitted(&["09:10", "10:00", "09:30"]));
    assert_eq!(found.len(), 3);
    assert_eq!(
        problems,
        [
            "notes.toml, line 7: configuration `C` does not begin after `B`, which is listed before it"
        ]
    );
}

/// What is asked where the times are of another zone; the place is one in Sweden.
#[track_caller]
fn asks(zone_name: &str, times: &[&str], expected: Option<&str>) {
    let found = resolved(&fitted(times), zone_name, &[recording(MORNING, &[])]);
    let asked = found
        .problems
        .first()
        .filter(|what| what.ends_with("meant?"));
    let expected = expected.map(|what| format!("notes.toml: {what}"));
    assert_eq!(asked, expected.as_ref(), "{:?}", found.problems);
}

#[test]
fn times_of_another_zone_are_questioned() {
    let utc = "the times fit if they were written in UTC: was `timezone = \"UTC\"` meant?";
    asks("Europe/Stockholm", &["07:10", "07:50", "08:40"], Some(utc));
    // On the other side of the earth it is another day.
    asks("Pacific/Auckland", &["07:10", "08:10"], Some(utc));
    let there =
        "the times fit in the time zone of the place: was `timezone = \"Europe/Stockholm\"` meant?";
    asks(
        "America/New_York",
        &["09:10", "12:10", "12:40"],
        Some(there),
    );
    let later = "the times fit if they were 4 hours later: was another `timezone` meant?";
    asks(
        "Europe/Stockholm",
        &["05:10", "05:10", "06:40"],
        Some(later),
    );
    // Those that fit are not questioned, nor is one stray time among several.
    asks("Europe/Stockholm", &["09:10", "10:10"], None);
    asks("Europe/Stockholm", &["09:10", "10:10", "05:10"], None);
    asks("Europe/Stockholm", &["09:10", "03:10"], None);
}

#[test]
fn corrections_become_marks() {
    let marks = [("swap", Some("2026-06-12T08:30:00Z"))];
    let found = resolved(FULL, "Europe/Stockholm", &[recording(MORNING, &marks)]);
    assert_eq!(found.problems, Vec::<String>::new());
    let of = |leg: LegRef| -> Vec<Correction> {
        let own = found.marks.legs.iter().filter(|mark| mark.leg == leg);
        own.map(|mark| mark.correction.clone()).collect()
    };
    assert_eq!(
        of(LegRef::Number(12)),
        [
            Correction::Include,
            Correction::Start(at("2026-06-12T09:38:10Z")),
            Correction::End(at("2026-06-12T09:41:40Z")),
            Correction::PairWith(LegRef::Number(13)),
        ]
    );
    let pair = LegRef::At(at("2026-06-12T09:52:00Z"));
    assert_eq!(
        of(LegRef::Number(14)),
        [Correction::JoinNext, Correction::PairWith(pair)]
    );
    assert_eq!(
        of(LegRef::At(at("2026-06-12T07:47:00Z"))),
        [Correction::Exclude("ferry wake".into())]
    );
    assert_eq!(found.readings.len(), 1);
    assert_eq!(found.readings[0].leg, LegRef::Number(12));
    // What of a leg cannot be used leaves the rest.
    let text =
        "[[leg]]\nleg = 3\nexclude = \"x\"\n[[leg]]\nleg = 4\ncut = \"17:00\"\nsetting = \"1\"\n";
    let found = resolved(text, "Europe/Stockholm", &[recording(MORNING, &[])]);
    assert_eq!(found.marks.legs.len(), 2);
    assert!(found.problems[0].starts_with("notes.toml, line 4: cut: 17:00 lies outside"));
}

#[test]
fn objections_in_words() {
    let zone = zone::named("Europe/Stockholm").unwrap();
    let clock = Clock::new(
        zone.clone(),
        ClockFace::Hours24,
        Some([MORNING[0].0, MORNING[0].1].map(at)),
    );
    let time = |text: &str| at(&format!("2026-06-12T{text}Z"));
    let name = || "new".to_owned();
    let idle = [time("08:38:50"), time("08:54:10")];
    let stop = Some(idle);
    let (leg, span, at) = (14, [time("08:58:00"), time("09:03:20")], time("09:02:00"));
    let swap = |used, nearest| ObjectionKind::SwapUnderWay {
        name: name(),
        at,
        leg,
        span,
        used,
        nearest,
    };
    let pair = |why| ObjectionKind::CannotPair {
        legs: [14, 16],
        why,
    };
    let join = |next, other_file| ObjectionKind::CannotJoin {
        leg,
        next,
        other_file,
    };
    let names = |configurations, named| ObjectionKind::NamesDoNotFit {
        configurations,
        named,
        found: 2,
    };
    let kinds = vec![
        swap(None, stop),
        swap(stop, stop),
        swap(None, None),
        ObjectionKind::NoRunWith {
            name: name(),
            at,
            nearest: stop,
        },
        ObjectionKind::NoSuchLeg {
            number: 40,
            last: 24,
        },
        ObjectionKind::NoSuchLeg { number: 1, last: 0 },
        ObjectionKind::NoLegAt {
            at,
            nearest: Some((leg, span)),
        },
        ObjectionKind::NoLegAt { at, nearest: None },
        join(Some(15), true),
        join(None, false),
        ObjectionKind::CutOutside { leg, at, span },
        ObjectionKind::EndsOutside { leg, at, span },
        pair(NoPair::SameLeg),
        pair(NoPair::SameWay),
        pair(NoPair::FarApart),
        pair(NoPair::AlreadyPaired(15)),
        pair(NoPair::OtherRecording),
        ObjectionKind::Contradiction { leg, with_line: 20 },
        ObjectionKind::NotInRun { leg, name: name() },
        names(true, 3),
        names(false, 1),
        ObjectionKind::SwapWithoutStop {
            name: name(),
            at,
            nearest: idle,
        },
        // At the top although it comes last.
        ObjectionKind::LeftUnpaired { leg, other: 15 },
    ];
    let noted = Resolved {
        notes: notes::read("", "notes.toml").unwrap(),
        ..Resolved::default()
    };
    let objections: Vec<Objection> = (kinds.into_iter().zip(0..))
        .map(|(what, line)| Objection { line, what })
        .collect();
    let said = notes::sentences(&noted, &objections, &[], &zone, &clock);
    insta::assert_snapshot!(said.join("\n"));
}

/// Swaps written in UTC fall into runs, and the stops tell so.
#[test]
fn swaps_of_another_zone_are_questioned() {
    let zone = zone::named("Europe/Stockholm").unwrap();
    let long = &[("2026-06-12T05:00:00Z", "2026-06-12T13:00:00Z")];
    let track = [long[0].0, long[0].1].map(at);
    let noted = resolved(
        &fitted(&["07:10", "08:00", "09:00"]),
        "Europe/Stockholm",
        &[recording(long, &[])],
    );
    assert_eq!(noted.problems, Vec::<String>::new());
    let objection = |line, from: &str| Objection {
        line,
        what: ObjectionKind::SwapUnderWay {
            name: "B".into(),
            at: at(from),
            leg: 1,
            span: [at(from), at(from)],
            used: None,
            nearest: None,
        },
    };
    let objections = [
        objection(4, "2026-06-12T06:00:00Z"),
        objection(7, "2026-06-12T07:00:00Z"),
    ];
    let stops = [
        ("2026-06-12T07:55:00Z", "2026-06-12T08:05:00Z"),
        ("2026-06-12T08:55:00Z", "2026-06-12T09:05:00Z"),
    ];
    let stops = stops.map(|(from, to)| [at(from), at(to)]);
    let clock = Clock::new(zone.clone(), ClockFace::Hours12, Some(track));
    let said = notes::sentences(&noted, &objections, &stops, &zone, &clock);
    assert_eq!(
        said[0],
        "notes.toml: the times fit if they were written in UTC: was `timezone = \"UTC\"` meant?"
    );
    assert!(
        said[1].starts_with("notes.toml, line 4: no stop at 8:00\u{a0}am, when `B`"),
        "{}",
        said[1]
    );
    assert_eq!(said.len(), 3);
}

mod any_text {
    use proptest::prelude::*;
    use thereback::day::wind_log;
    use thereback::notes::{self, When, zone};

    /// Text with the letters that matter here.
    fn text() -> impl Strategy<Value = String> {
        "[0-9apmAPMTZ:.+ -]{0,24}|\\PC{0,24}"
    }

    proptest! {
        #[test]
        fn a_time_is_read_or_refused(text in text()) {
            if let Ok(when) = When::read(&text) {
                prop_assert_eq!(When::read(&when.to_string()), Ok(when));
            }
        }

        #[test]
        fn every_time_of_day_reads_on_both_clocks(minute in 0_i64..1440) {
            let (hour, minute) = (minute / 60, minute % 60);
            let half = if hour < 12 { "am" } else { "pm" };
            let twelve = if hour % 12 == 0 { 12 } else { hour % 12 };
            prop_assert_eq!(
                When::read(&format!("{hour:02}:{minute:02}")),
                When::read(&format!("{twelve}:{minute:02} {half}"))
            );
        }

        #[test]
        fn notes_are_read_or_refused(value in text(), key in "from|name|at|leg|cut|pair|percent|wind|[a-z]{0,9}") {
            for line in [
                format!("{key} = {value}"),
                format!("[[leg]]\n{key} = \"{value}\""),
                format!("[[configuration]]\nname = \"x\"\n{key} = {value}"),
            ] {
                let _ = notes::read(&line, "notes.toml").map_err(|e| e.to_string());
            }
        }

        #[test]
        fn a_wind_log_is_read_or_refused(rows in "([0-9:,;\" -]{0,12}\n){0,4}") {
            let _ = wind_log::read(format!("time,dir,speed (kn)\n{rows}").as_bytes(), "wind.csv");
        }

        #[test]
        fn a_zone_is_found_or_refused(name in text()) {
            let _ = zone::named(&name).map_err(|e| e.to_string());
        }
    }
}
