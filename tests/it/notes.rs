//! `notes.toml`: what is understood, and what is said of what is not.

use jiff::Timestamp;
use thereback::track::{Fix, Position, RecordedTrack, Recording, Waypoint};
use thereback::trial::notes::{self, Resolved, When};
use thereback::trial::zone;
use thereback::units::{Bearing, SpeedUnit};

const FULL: &str = r#"
title = "Three blades against four"
timezone = "europe/stockholm"
units = "km/h"

[wind]
from = "SW"
speed = "11 kn"
log = "wind.csv"

[[configuration]]
name = "three blades"
from = "09:12"

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
    assert_eq!(notes.configurations.len(), 2);
    assert_eq!(notes.configurations[0].line, 11);
    assert_eq!(
        notes.configurations[1].from,
        Some(When::Mark("swap".into()))
    );
    assert_eq!(notes.settings[1].percent, Some(100.0));
    assert_eq!(notes.legs[0].at, When::read("9:47 am").unwrap());
    assert_eq!(notes.legs[1].at, When::read("2026-06-12 11:02").unwrap());
    assert_eq!(notes.legs[1].setting.as_deref(), Some("half"));
}

#[test]
fn nothing_is_required() {
    let notes = notes::read("", "notes.toml").unwrap();
    assert!(notes.configurations.is_empty() && notes.title.is_none());
    assert!(notes::read("\u{feff}title = \"x\"\r\n", "notes.toml").is_ok());
    assert!(notes::read("[configuration]\nname = \"A\"\n", "notes.toml").is_ok());
}

/// The whole message, less its first words, which are the same for all.
#[track_caller]
fn refused(text: &str, expected: &str) {
    let message = notes::read(text, "notes.toml").unwrap_err().to_string();
    assert_eq!(message, format!("cannot read `notes.toml`: {expected}"));
}

#[test]
fn points_at_the_line() {
    refused(
        "\n\ntitel = \"x\"\n",
        "line 3: `titel` is not a key of the notes\nhint: did you mean `title`? the keys here are \
         `title`, `timezone`, `units`, `clock`, `wind`, `configuration`, `setting`, `leg`, \
         `power`, `battery`, `motor`, `home` and `reading`",
    );
    refused(
        "[wind]\nfrom = 235\ngust = 3\n",
        "line 3: `gust` is not a key of [wind]\nhint: the keys here are `from`, `speed` and `log`",
    );
    refused(
        "[[settings]]\nname = \"half\"\n",
        "line 1: `settings` is not a key of the notes\nhint: did you mean `setting`? the keys here are \
         `title`, `timezone`, `units`, `clock`, `wind`, `configuration`, `setting`, `leg`, \
         `power`, `battery`, `motor`, `home` and `reading`",
    );
    refused(
        "[[setting]]\nname = \"half\"\npercent = 130\n",
        "line 3: `percent`: `130` is outside (0, 100]\nhint: give percent of full power, such as `percent = 50`",
    );
    refused(
        "[[setting]]\nname = \"half\"\npercent = nan\n",
        "line 3: `percent`: `nan` is outside (0, 100]\nhint: give percent of full power, such as `percent = 50`",
    );
    refused(
        "[[configuration]]\nname = \"A\"\nfrom = \"25:99\"\n",
        "line 3: `from`: `25:99` is not a time of day: hours go from 0 to 23, minutes and seconds from 0 to 59\n\
         hint: write local time as `09:12`, `9:12 pm` or `2026-06-12 09:12`",
    );
    refused(
        "timezone = \"Europe/Stokholm\"\n",
        "line 1: `timezone`: `Europe/Stokholm` is not a time zone\nhint: did you mean `Europe/Stockholm`?",
    );
    refused(
        "units = \"leagues\"\n",
        "line 1: `units`: `leagues` is not a unit of speed\nhint: use `kn`, `mph`, `km/h` or `m/s`",
    );
    refused(
        "[wind]\nfrom = 400\n",
        "line 2: `from`: `400` is not a direction\nhint: give degrees true from 0 to 360, or a compass point such as `SW`",
    );
    refused(
        "[wind]\nspeed = 11\n",
        "line 2: `speed`: `11` has no unit\nhint: write it after the number: `kn`, `mph`, `km/h` or `m/s`",
    );
}

#[test]
fn says_what_is_missing_or_of_the_wrong_kind() {
    refused(
        "title = 3\n",
        "line 1: `title` is a number, not a text\nhint: write `title = \"Three blades against four\"`",
    );
    refused(
        "wind = 235\n",
        "line 1: `wind` is a number, not a table\nhint: write `[wind]`",
    );
    refused(
        "setting = [\"half\", \"full\"]\n",
        "line 1: `setting` is a text, not a table\nhint: write `[[setting]]`",
    );
    refused(
        "title = \"x\"\n\n[[configuration]]\nfrom = \"09:12\"\n",
        "line 3: this [[configuration]] has no `name`\nhint: add `name = \"three blades\"`",
    );
    refused(
        "[[leg]]\nexclude = \"wake\"\n",
        "line 1: this [[leg]] has no `at`\nhint: add `at = \"09:47\"`",
    );
    refused(
        "[[leg]]\nat = \"09:47\"\n",
        "line 2: this [[leg]] says nothing about the leg\nhint: add `exclude = \"the reason\"`, \
         `configuration = \"its name\"`, `setting = \"its name\"` or `watts = 290`",
    );
    refused(
        "[[leg]]\nat = \"09:47\"\nexclude = true\n",
        "line 3: `exclude` is true or false, not a text\nhint: write `exclude = \"ferry wake\"`",
    );
    refused(
        "[[setting]]\nname = \" \"\n",
        "line 2: `name` is empty\nhint: write `name = \"half\"`, or leave the line out",
    );
}

#[test]
fn holds_names_and_order_together() {
    refused(
        "[[setting]]\nname = \"full\"\npercent = 100\n[[setting]]\nname = \"half\"\npercent = 50\n",
        "line 6: setting `half` (50 %) comes after `full` (100 %)\nhint: list the settings slowest first",
    );
    refused(
        "[[setting]]\nname = \"half\"\n[[setting]]\nname = \"half\"\n",
        "line 4: setting `half` is there twice\nhint: list each setting once, slowest first",
    );
    refused(
        "[[setting]]\nname = \"half\"\n[[leg]]\nat = \"09:47\"\nsetting = \"hafl\"\n",
        "line 5: there is no setting `hafl` in these notes\nhint: did you mean `half`? listed are `half`",
    );
    refused(
        "[[configuration]]\nname = \"old\"\n[[leg]]\nat = \"09:47\"\nconfiguration = \"spare\"\n",
        "line 5: there is no configuration `spare` in these notes\nhint: listed are `old`; add a [[configuration]] of that name",
    );
    // Without a list the name is one the track suggests.
    assert!(notes::read("[[leg]]\nat = \"09:47\"\nsetting = \"2\"\n", "n").is_ok());
    // The same part may be fitted twice: A-B-A.
    let again = "[[configuration]]\nname = \"A\"\n[[configuration]]\nname = \"B\"\n[[configuration]]\nname = \"A\"\n";
    assert!(notes::read(again, "n").is_ok());
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
            assert_eq!(found.legs[0].at, at(time));
        }
        Err(problem) => {
            assert!(found.legs.is_empty());
            assert_eq!(
                found.problems,
                [format!("notes.toml, line 1: leg: {problem}")]
            );
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
    leg(
        "08:30",
        MORNING,
        Err(&format!("08:30:00 lies outside the track, {span}")),
    );
    leg(
        "00:47",
        MORNING,
        Err(&format!(
            "00:47:00 lies outside the track, {span}; for the afternoon write `12:47`"
        )),
    );
    leg(
        "Buoy",
        MORNING,
        Err("the waypoint `Buoy` carries no time, so write the time itself"),
    );
    leg(
        "shop",
        MORNING,
        Err("`shop` is neither a time nor a waypoint; the waypoints there are `Buoy` and `swap`"),
    );
    leg(
        "09:12",
        &[],
        Err("09:12:00 lies outside the track, which has no times"),
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
            "12:00:00 can mean `2026-06-12T12:00:00+02:00` and `2026-06-13T12:00:00+02:00`; \
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
        Err("02:30:00 does not exist in Europe/Stockholm: the clocks went forward over it"),
    );
    let autumn = &[("2026-10-24T23:00:00Z", "2026-10-25T00:45:00Z")];
    leg("02:30", autumn, Ok("2026-10-25T00:30:00Z"));
    let both = &[("2026-10-24T23:00:00Z", "2026-10-25T04:00:00Z")];
    leg(
        "02:30",
        both,
        Err(
            "02:30:00 can mean `2026-10-25T02:30:00+02:00` and `2026-10-25T02:30:00+01:00`; \
             write it out as one of these",
        ),
    );
    leg("2026-10-25T02:30+01:00", both, Ok("2026-10-25T01:30:00Z"));
}

#[test]
fn configurations_may_begin_before_the_track_or_in_a_pause() {
    let day = [recording(
        &[
            ("2026-06-12T07:00:00Z", "2026-06-12T08:00:00Z"),
            ("2026-06-12T16:00:00Z", "2026-06-12T18:00:00Z"),
        ],
        &[],
    )];
    let text = "[[configuration]]\nname = \"A\"\nfrom = \"07:30\"\n[[configuration]]\nname = \"B\"\nfrom = \"14:00\"\n";
    let found = resolved(text, "Europe/Stockholm", &day);
    assert_eq!(found.problems, Vec::<String>::new());
    assert_eq!(
        found.configurations[0].from,
        Some(at("2026-06-12T05:30:00Z"))
    );
    assert_eq!(
        found.configurations[1].from,
        Some(at("2026-06-12T12:00:00Z"))
    );
    // Only the first: a later one would be a slip.
    let text = "[[configuration]]\nname = \"A\"\nfrom = \"09:10\"\n[[configuration]]\nname = \"B\"\nfrom = \"7:00\"\n";
    let found = resolved(text, "Europe/Stockholm", &day);
    assert_eq!(found.configurations[1].from, None);
    assert_eq!(
        found.problems,
        [
            "notes.toml, line 4: configuration `B`: 07:00:00 lies outside the track, which runs from \
          2026-06-12 09:00 to 2026-06-12 20:00 (Europe/Stockholm); for the afternoon write `19:00`"
        ]
    );
}

#[test]
fn configurations_out_of_order_are_told() {
    let text = "[[configuration]]\nname = \"A\"\nfrom = \"10:00\"\n[[configuration]]\nname = \"B\"\nfrom = \"09:30\"\n";
    let found = resolved(text, "Europe/Stockholm", &[recording(MORNING, &[])]);
    assert_eq!(
        found.problems,
        [
            "notes.toml, line 4: configuration `B` does not begin after `A`, which is listed before it"
        ]
    );
}

#[test]
fn resolving_keeps_the_rest() {
    let found = resolved(
        FULL,
        "Europe/Stockholm",
        &[recording(
            MORNING,
            &[("swap", Some("2026-06-12T08:30:00Z"))],
        )],
    );
    assert_eq!(found.problems, Vec::<String>::new());
    assert_eq!(found.title.as_deref(), Some("Three blades against four"));
    assert_eq!(found.wind_from, Bearing::new(225.0));
    assert_eq!(found.wind_log.as_deref(), Some("wind.csv"));
    assert_eq!(found.settings[0].percent, Some(50.0));
    assert_eq!(found.legs.len(), 2);
}

mod any_text {
    use proptest::prelude::*;
    use thereback::trial::notes::{self, When};
    use thereback::trial::{wind_log, zone};

    /// Text with the letters that matter here.
    fn text() -> impl Strategy<Value = String> {
        "[0-9apmAPMTZ:.+ -]{0,24}|\\PC{0,24}"
    }

    proptest! {
        #[test]
        fn a_time_is_read_or_refused(text in text()) {
            let _ = When::read(&text);
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
        fn notes_are_read_or_refused(value in text(), key in "from|name|at|percent|wind|[a-z]{0,9}") {
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
