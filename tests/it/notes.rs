//! `notes.toml`: what is understood, and what is said of what is not.

use jiff::Timestamp;
use thereback::notes::{self, Clock, LegName, Resolved, When, zone};
use thereback::segmenter::{Correction, LegRef, NoPair, Objection, ObjectionKind};
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

/// The whole message, less its first words, which are the same for all.
#[track_caller]
fn refused(text: &str, expected: &str) {
    let message = notes::read(text, "notes.toml").unwrap_err().to_string();
    assert_eq!(message, format!("cannot read `notes.toml`: {expected}"));
}

#[test]
fn points_at_the_line() {
    let keys = "the keys here are `title`, `timezone`, `units`, `clock`, `wind`, `water`, \
                `configuration`, `setting`, `leg`, `power`, `battery`, `motor`, `home` and `reading`";
    for (text, expected) in [
        (
            "\n\ntitel = \"x\"\n",
            format!(
                "line 3: `titel` is not a key of the notes\nhint: did you mean `title`? {keys}"
            ),
        ),
        (
            "[[settings]]\nname = \"half\"\n",
            format!(
                "line 1: `settings` is not a key of the notes\nhint: did you mean `setting`? {keys}"
            ),
        ),
    ] {
        refused(text, &expected);
    }
    for (text, expected) in [
        (
            "[wind]\nfrom = 235\ngust = 3\n",
            "line 3: `gust` is not a key of [wind]\nhint: the keys here are `from`, `speed` and `log`",
        ),
        (
            "[[setting]]\nname = \"half\"\npercent = 130\n",
            "line 3: `percent`: `130` is outside (0, 100]\nhint: write `percent = 50`",
        ),
        (
            "[[setting]]\nname = \"half\"\npercent = nan\n",
            "line 3: `percent`: `nan` is outside (0, 100]\nhint: write `percent = 50`",
        ),
        (
            "[[configuration]]\nname = \"A\"\nfrom = \"25:99\"\n",
            "line 3: `from`: `25:99` is not a time of day: hours go from 0 to 23, minutes and seconds from 0 to 59\n\
             hint: write local time as `09:12`, `9:12 pm` or `2026-06-12 09:12`",
        ),
        (
            "timezone = \"Europe/Stokholm\"\n",
            "line 1: `timezone`: `Europe/Stokholm` is not a time zone\nhint: did you mean `Europe/Stockholm`?",
        ),
        (
            "units = \"leagues\"\n",
            "line 1: `units`: `leagues` is not a unit of speed\nhint: use `kn`, `mph`, `km/h` or `m/s`",
        ),
        (
            "[wind]\nfrom = 400\n",
            "line 2: `from`: `400` is not a direction\nhint: give degrees true from 0 to 360, or a compass point such as `SW`",
        ),
        (
            "[water]\ncurrent = \"lake\"\n",
            "line 2: `current`: `lake` is not a kind of current\nhint: use `none`, `river` or `tide`",
        ),
        (
            "title = 3\n",
            "line 1: `title` is a number, not a text\nhint: write `title = \"Three blades against four\"`",
        ),
        (
            "wind = 235\n",
            "line 1: `wind` is a number, not a table\nhint: write `[wind]`",
        ),
        (
            "setting = [\"half\", \"full\"]\n",
            "line 1: `setting` is a text, not a table\nhint: write `[[setting]]`",
        ),
        (
            "title = \"x\"\n\n[[configuration]]\nfrom = \"09:12\"\n",
            "line 3: this [[configuration]] has no `name`\nhint: add `name = \"three blades\"`",
        ),
        (
            "[[setting]]\nname = \" \"\n",
            "line 2: `name` is empty\nhint: write `name = \"half\"`, or leave the line out",
        ),
        (
            "[[setting]]\nname = \"full\"\npercent = 100\n[[setting]]\nname = \"half\"\npercent = 50\n",
            "line 6: setting `half` (50 %) comes after `full` (100 %)\nhint: list the settings slowest first",
        ),
        (
            "[[setting]]\nname = \"half\"\n[[setting]]\nname = \"half\"\n",
            "line 4: setting `half` is there twice\nhint: list each setting once, slowest first",
        ),
    ] {
        refused(text, expected);
    }
}

#[test]
fn corrections_that_cannot_be() {
    for (leg, expected) in [
        (
            "exclude = \"wake\"",
            "line 1: this [[leg]] has no `leg`\nhint: add `leg = 12`",
        ),
        (
            "leg = 12",
            "line 2: this [[leg]] says nothing about the leg\nhint: add `include = true`, \
             `exclude = \"the reason\"`, `setting = \"its name\"` or `watts = 290`",
        ),
        (
            "leg = 0\ninclude = true",
            "line 2: `leg`: `0` is outside the whole numbers from 1 to 1000000\nhint: write `leg = 12`",
        ),
        (
            "leg = \"12\"\ninclude = true",
            "line 2: `leg` is a text, not a number\nhint: write `leg = 12`",
        ),
        (
            "leg = 12\nexclude = true",
            "line 3: `exclude` is true or false, not a text\nhint: write `exclude = \"ferry wake\"`",
        ),
        (
            "leg = 12\ninclude = false",
            "line 3: `include` is `false`\nhint: write `include = true`, or leave the line out",
        ),
        (
            "leg = 12\njoin = \"last\"",
            "line 3: `join` is `\"last\"`\nhint: write `join = \"next\"`, or leave the line out",
        ),
        (
            "leg = 12\ninclude = true\nexclude = \"wake\"",
            "line 4: `include` and `exclude` exclude each other in one [[leg]]\nhint: take one of them out",
        ),
        (
            "leg = 12\nat = \"09:47\"\ninclude = true",
            "line 3: `leg` and `at` exclude each other in one [[leg]]\nhint: take one of them out",
        ),
        (
            "leg = 12\nsetting = \"hafl\"\n[[setting]]\nname = \"half\"",
            "line 3: there is no setting `hafl` in these notes\nhint: did you mean `half`? listed are `half`",
        ),
        (
            "leg = 12\nconfiguration = \"spare\"\n[[configuration]]\nname = \"old\"",
            "line 3: there is no configuration `spare` in these notes\nhint: listed are `old`; add a [[configuration]] of that name",
        ),
    ] {
        refused(&format!("[[leg]]\n{leg}\n"), expected);
    }
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

/// The sentence for one objection on line 14.
#[track_caller]
fn says(what: ObjectionKind, expected: &str) {
    let zone = zone::named("Europe/Stockholm").unwrap();
    let track = [MORNING[0].0, MORNING[0].1].map(at);
    let clock = Clock::new(zone.clone(), ClockFace::Hours24, Some(track));
    let noted = Resolved {
        notes: notes::read("", "notes.toml").unwrap(),
        ..Resolved::default()
    };
    let objection = Objection { line: 14, what };
    let said = notes::sentences(&noted, &[objection], &[], &zone, &clock);
    assert_eq!(said, [format!("notes.toml, line 14: {expected}")]);
}

#[test]
fn objections_name_both_sides() {
    let time = |text: &str| at(&format!("2026-06-12T{text}Z"));
    let span = |from: &str, to: &str| [time(from), time(to)];
    let stop = Some(span("08:38:50", "08:54:10"));
    let swap = |used, nearest| ObjectionKind::SwapUnderWay {
        name: "new".into(),
        at: time("09:02:00"),
        leg: 14,
        span: span("08:58:00", "09:03:20"),
        used,
        nearest,
    };
    for (what, expected) in [
        (
            swap(None, stop),
            "no stop at 11:02, when `new` was to be fitted: leg 14 was under way, 10:58 to 11:03:20; the boat lay idle 10:39 to 10:54, so the time was not used",
        ),
        (
            swap(stop, stop),
            "no stop at 11:02, when `new` was to be fitted: leg 14 was under way, 10:58 to 11:03:20; the stop from 10:39 to 10:54 was taken instead",
        ),
        (
            ObjectionKind::NoRunWith {
                name: "new".into(),
                at: time("10:30:00"),
                nearest: stop,
            },
            "no double run was made with `new`, which was to be fitted at 12:30; the boat lay idle 10:39 to 10:54",
        ),
        (
            ObjectionKind::NoSuchLeg {
                number: 40,
                last: 24,
            },
            "there is no leg 40: the last is leg 24",
        ),
        (
            ObjectionKind::NoLegAt {
                at: time("09:04:00"),
                nearest: Some((14, span("08:58:00", "09:03:20"))),
            },
            "no leg was under way at 11:04; the nearest is leg 14, 10:58 to 11:03:20",
        ),
        (
            ObjectionKind::CannotJoin {
                leg: 14,
                next: Some(15),
                other_file: true,
            },
            "leg 14 and leg 15 cannot be joined: they lie in different recordings",
        ),
        (
            ObjectionKind::CutOutside {
                leg: 14,
                at: time("09:04:00"),
                span: span("08:58:00", "09:03:20"),
            },
            "leg 14 cannot be cut at 11:04: it was run from 10:58 to 11:03:20",
        ),
        (
            ObjectionKind::CannotPair {
                legs: [14, 16],
                why: NoPair::SameWay,
            },
            "leg 14 and leg 16 cannot be a double run: both were run the same way",
        ),
        (
            ObjectionKind::Contradiction {
                leg: 14,
                with_line: 20,
            },
            "this correction of leg 14 and that on line 20 exclude each other; neither was applied",
        ),
        (
            ObjectionKind::LeftUnpaired { leg: 14, other: 15 },
            "what the notes say of leg 14 leaves leg 15 without its counterpart, so that one no longer counts",
        ),
        (
            ObjectionKind::NamesDoNotFit {
                configurations: true,
                named: 3,
                found: 2,
            },
            "3 configurations named without times, but the track shows 2, so the names were not used",
        ),
    ] {
        says(what, expected);
    }
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
    use thereback::notes::{self, When, zone};
    use thereback::trial::wind_log;

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
            let _ = wind_log::read(&format!("time,dir,speed (kn)\n{rows}"), "wind.csv");
        }

        #[test]
        fn a_zone_is_found_or_refused(name in text()) {
            let _ = zone::named(&name).map_err(|e| e.to_string());
        }
    }
}
