//! `notes.toml`: what is understood, and what is said of what is not.

use jiff::Timestamp;
use thereback::notes::photo::{Image, PhotoError};
use thereback::notes::{self, Correction, LegName, Resolved, When, zone};
use thereback::track::{Fix, Position, RecordedTrack, Recording, Waypoint};
use thereback::units::{Bearing, Current, SpeedUnit};

pub(crate) const FULL: &str = r#"
title = "Three blades against four"
change = "a propeller of four blades"
timezone = "europe/stockholm"
units = "km/h"
one_trial = true
photo = "boat.jpg"
text = """
The first paragraph
goes on.

The "second".
"""

[boat]
kind = "open boat"
length = "4,6 m"
crew = 2

[wind]
from = "SW"
speed = "11 kn"
log = "wind.csv"

[water]
current = "river"
place = "the bend"
kind = "fresh"

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
    assert_eq!(notes.configurations[1].line, 34);
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
    assert_eq!(legs[1].corrections[1], Correction::Setting("half".into()));
    assert_eq!(legs[2].leg, LegName::Number(12));
    assert_eq!(legs[2].corrections[0], Correction::Include);
    assert_eq!(legs[2].draw.watts, Some(290.0));
    let pair = LegName::At(When::read("11:52").unwrap());
    let corrections = [Correction::JoinNext, Correction::PairWith(pair)];
    assert_eq!(legs[3].corrections, corrections);
    let cut = Correction::Cut(When::read("12:01:30").unwrap());
    assert_eq!(legs[4].corrections, [cut]);
    assert!(notes.one_trial);
    let story = &notes.story;
    assert_eq!(
        story.text,
        ["The first paragraph goes on.", "The \"second\"."]
    );
    assert_eq!(story.photo.as_ref().unwrap().file, "boat.jpg");
    let said = [
        &story.change,
        &story.boat,
        &story.length,
        &story.crew,
        &story.place,
        &story.water,
    ];
    let expected = [
        "a propeller of four blades",
        "open boat",
        "4,6 m",
        "2",
        "the bend",
        "fresh",
    ];
    assert_eq!(said.map(|text| text.as_deref().unwrap()), expected);
}

/// The file that documents the keys, as notes.
#[test]
fn the_documented_examples_read() {
    let keys = include_str!("../../src/notes/keys.toml");
    let notes = notes::read(keys, "keys.toml").unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(notes.settings[1].percent, Some(100.0));
}

/// What people write in place of what the examples show.
#[test]
fn quantities_are_read_as_people_write_them() {
    let read = |text: &str| notes::read(text, "notes.toml").unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(read("resolve = 5").resolve_percent, Some(5.0));
    assert_eq!(read("resolve = \"7 %\"").resolve_percent, Some(7.0));
    assert_eq!(
        read("timezone = \"Helsinki\"").timezone.as_deref(),
        Some("Europe/Helsinki")
    );
    assert_eq!(
        read("[wind]\nfrom = \"west\"").wind.from,
        Bearing::new(270.0)
    );
    let leg = read("[[leg]]\nat = \"9am\"\nwatts = \"0.29 kW\"")
        .legs
        .remove(0);
    assert_eq!(leg.leg, LegName::At(When::read("09:00").unwrap()));
    assert_eq!(leg.draw.watts, Some(290.0));
    let setting = read("[[setting]]\nname = 1\npercent = \"50 %\"")
        .settings
        .remove(0);
    assert_eq!((setting.name.as_str(), setting.percent), ("1", Some(50.0)));
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
        "current = 'none'".into(),
        "[boat]\ntext = 'x'".into(),
        "[boat]\nlength = '4.6'".into(),
        "[boat]\nkind = true".into(),
        "resolve = 0.05".into(),
        format!("text = '{}'", "x".repeat(2001)),
        format!("title = '{}'", "x".repeat(201)),
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
        format!("{:.200}\n-> {error}\n", text.trim_start())
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
            assert_eq!(found.marks.legs[0].leg, LegName::At(at(time)));
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
    let of = |leg: LegName<Timestamp>| -> Vec<Correction<Timestamp>> {
        let own = found.marks.legs.iter().filter(|note| note.leg == leg);
        own.flat_map(|note| note.corrections.clone()).collect()
    };
    assert_eq!(
        of(LegName::Number(12)),
        [
            Correction::Include,
            Correction::Start(at("2026-06-12T09:38:10Z")),
            Correction::End(at("2026-06-12T09:41:40Z")),
            Correction::PairWith(LegName::Number(13)),
        ]
    );
    let pair = LegName::At(at("2026-06-12T09:52:00Z"));
    assert_eq!(
        of(LegName::Number(14)),
        [Correction::JoinNext, Correction::PairWith(pair)]
    );
    assert_eq!(
        of(LegName::At(at("2026-06-12T07:47:00Z"))),
        [Correction::Exclude("ferry wake".into())]
    );
    let readings: Vec<_> = found.readings().map(|note| note.leg).collect();
    assert_eq!(readings, [LegName::Number(12)]);
    // What of a leg cannot be used leaves the rest.
    let text =
        "[[leg]]\nleg = 3\nexclude = \"x\"\n[[leg]]\nleg = 4\ncut = \"17:00\"\nsetting = \"1\"\n";
    let found = resolved(text, "Europe/Stockholm", &[recording(MORNING, &[])]);
    assert_eq!(
        found.marks.legs[1].corrections,
        [Correction::Setting("1".into())]
    );
    assert!(found.problems[0].starts_with("notes.toml, line 4: cut: 17:00 lies outside"));
}

/// Segments of a JPEG file (ITU-T T.81): a marker, the length, and what is in them.
fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let length = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    [&[0xff, marker][..], &length, body].concat()
}

/// An Exif segment in either order of bytes: the orientation and the place of a block of GPS data.
fn exif(order: [u8; 2], orientation: u8) -> Vec<u8> {
    let short = |v: u8| if &order == b"MM" { [0, v] } else { [v, 0] };
    let long = |v: u8| {
        if &order == b"MM" {
            [0, 0, 0, v]
        } else {
            [v, 0, 0, 0]
        }
    };
    let tag = |low: u8, high: u8| {
        if &order == b"MM" {
            [high, low]
        } else {
            [low, high]
        }
    };
    let mut body = [b"Exif\0\0", &order[..], &short(42), &long(8), &short(2)].concat();
    body.extend(
        [
            &tag(0x12, 1)[..],
            &short(3),
            &long(1),
            &short(orientation),
            &[0, 0],
        ]
        .concat(),
    );
    body.extend([&tag(0x25, 0x88)[..], &short(4), &long(1), &long(38)].concat());
    body.extend(b"GPS 59.4 N");
    segment(0xe1, &body)
}

#[test]
fn a_photograph_keeps_nothing_but_the_picture() {
    let shown = [
        segment(0xe0, b"JFIF\0\x01\x02\0\0\x01\0\x01\0\0"),
        segment(0xdb, &[0; 60]),
        segment(0xc0, &[8, 0, 3, 0, 4, 1, 1, 0x11, 0]),
        segment(0xda, &[1, 1, 0, 0, 63, 0]),
        vec![1, 0xff, 0, 2, 0xff, 0xd0, 3],
    ];
    let [jfif, tables, frame, scan, data] = &shown;
    for (order, orientation) in [(b"MM", 6), (b"II", 8), (b"II", 1)] {
        let file = [
            &[0xff, 0xd8][..],
            jfif,
            &exif(*order, orientation),
            &segment(0xed, b"a name"),
            &segment(0xfe, b"a remark"),
            tables,
            frame,
            scan,
            data,
            &[0xff, 0xd9],
            b"a film with its place",
        ]
        .concat();
        let image = Image::read(&file).unwrap();
        assert_eq!(
            (image.media_type, image.width, image.height),
            ("image/jpeg", 4, 3)
        );
        let bare: Vec<u8> = (image.bytes.iter().copied())
            .filter(u8::is_ascii_alphabetic)
            .collect();
        let text = String::from_utf8(bare).unwrap();
        let turned = orientation != 1;
        assert_eq!(text, if turned { "JFIFExifMM" } else { "JFIF" });
        // Once more, nothing is left to take away.
        assert_eq!(Image::read(&image.bytes).unwrap(), image);
        for end in 3..file.len() - b"a film with its place".len() {
            assert!(Image::read(&file[..end]).is_err(), "{end}");
        }
    }
}

#[test]
fn a_drawing_keeps_nothing_but_the_picture() {
    let chunk = |name: &[u8; 4], body: &[u8]| -> Vec<u8> {
        let length = u32::try_from(body.len()).unwrap().to_be_bytes();
        [&length[..], name, body, b"sum."].concat()
    };
    let header = chunk(b"IHDR", &[0, 0, 0, 4, 0, 0, 0, 3, 8, 2, 0, 0, 0]);
    let start = b"\x89PNG\r\n\x1a\n";
    let (data, end) = (chunk(b"IDAT", b"x"), chunk(b"IEND", b""));
    let said = [
        chunk(b"tEXt", b"where"),
        chunk(b"eXIf", b"MM"),
        chunk(b"tIME", b"when"),
    ]
    .concat();
    let file = [&start[..], &header, &said, &data, &end, b"more"].concat();
    let image = Image::read(&file).unwrap();
    assert_eq!(*image.bytes, *[&start[..], &header, &data, &end].concat());
    assert_eq!(
        (image.media_type, image.width, image.height),
        ("image/png", 4, 3)
    );
    assert_eq!(Image::read(b"GIF89a"), Err(PhotoError::Format));
    assert_eq!(Image::read(&vec![0xff; 6 << 20]), Err(PhotoError::Bytes));
    assert_eq!(Image::read(start), Err(PhotoError::Damaged));
    let huge = chunk(b"IHDR", &[0xff; 13]);
    let file = [&start[..], &huge, &end].concat();
    assert_eq!(Image::read(&file), Err(PhotoError::Pixels));
}

mod any_text {
    use proptest::prelude::*;
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
        fn a_photograph_is_read_or_refused(bytes in prop::collection::vec(0_u8.., 0..60)) {
            for start in [&b"\xff\xd8\xff\xe1"[..], b"\x89PNG\r\n\x1a\n\0\0\0\x04"] {
                let _ = notes::photo::Image::read(&[start, &bytes].concat());
            }
        }

        #[test]
        fn a_wind_log_is_read_or_refused(rows in "([0-9:,;\" -]{0,12}\n){0,4}") {
            let _ = thereback::parser::read_wind_log(format!("time,dir,speed (kn)\n{rows}").as_bytes(), "wind.csv");
        }

        #[test]
        fn a_zone_is_found_or_refused(name in text()) {
            let _ = zone::named(&name).map_err(|e| e.to_string());
        }
    }
}
