//! NMEA 0183 as logs really are: stamps, fragments, rubbish, several talkers, missing dates.

use thereback::parser::{Options, ReadError, read, read_with};
use thereback::track::{Fix, Recording};

/// A sentence from what stands between `$` and `*`, with its checksum.
pub(crate) fn sentence(body: &str) -> String {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}")
}

/// Several of them, a line each.
pub(crate) fn log(bodies: &[&str]) -> String {
    bodies.iter().map(|body| sentence(body) + "\r\n").collect()
}

pub(crate) fn fixes(recording: &Recording) -> Vec<Fix> {
    let segments = recording.tracks.iter().flat_map(|t| &t.segments);
    segments.flatten().copied().collect()
}

/// Points met are fixes and those set aside.
#[track_caller]
pub(crate) fn counted(recording: Recording) -> Recording {
    let aside: usize = recording.set_aside.iter().map(|s| s.count).sum();
    assert_eq!(recording.points_met, fixes(&recording).len() + aside);
    recording
}

#[track_caller]
pub(crate) fn read_log(bytes: impl AsRef<[u8]>) -> Recording {
    counted(read(bytes.as_ref(), "day.log").unwrap())
}

fn times(recording: &Recording) -> Vec<String> {
    let fixes = fixes(recording);
    fixes.iter().map(|fix| fix.time.to_string()).collect()
}

fn aside(recording: &Recording) -> Vec<(&str, usize, Option<u64>)> {
    let all = recording.set_aside.iter();
    all.map(|s| (s.reason.as_str(), s.count, s.first_line))
        .collect()
}

const RMC: &str = "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,235,040631,,";
const NEXT: &str = "GPRMC,091231,A,5742.6,N,01156.4,E,5.0,235,040631,,";

#[test]
fn every_line_end_and_encoding_will_do() {
    let plain = log(&[RMC, NEXT]);
    let expected = fixes(&read_log(&plain));
    assert_eq!(expected.len(), 2);
    let utf16: Vec<u8> = format!("\u{feff}{plain}")
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    let others: [Vec<u8>; 5] = [
        plain.replace("\r\n", "\n").into(),
        plain.replace("\r\n", "\r").into(),
        plain.replace("\r\n", "").into(),
        format!("\u{feff}\r\n{plain}").into(),
        utf16,
    ];
    for log in others {
        assert_eq!(
            fixes(&read_log(&log)),
            expected,
            "{}",
            String::from_utf8_lossy(&log)
        );
    }
}

#[test]
fn rubbish_fragments_and_other_sentences_cost_nothing_else() {
    let mut bytes = b"login: boat\r\n\x00\xA0\xA2$\xFF\xFE!\n{\"class\":\"VERSION\"}\n".to_vec();
    bytes.extend(sentence("GPGSV,1,1,00").bytes());
    bytes.extend(b"\r\n!AIVDM,1,1,,A,15MvlfP000G?n@@K>7Dh0?vN0<0<,0*5B\r\n");
    bytes.extend(format!("{}\r\n", sentence(RMC)).bytes());
    bytes.extend(b"$GPRMC,091230,A,5742");
    bytes.extend(sentence(NEXT).bytes());
    bytes.extend(b"\x80\x81\r\n");
    bytes.extend(b"$GPRMC,091232,A,5742.7,N,01156.4,E,5.0,235,040631,,*00\r\n");
    bytes.extend(b"$GPRMC,091233,A,5742.7,N,0115");
    let recording = read_log(&bytes);
    assert_eq!(
        times(&recording),
        ["2031-06-04T09:12:30Z", "2031-06-04T09:12:31Z"]
    );
    assert_eq!(
        aside(&recording),
        [
            ("cut off before its end", 2, Some(7)),
            ("wrong checksum", 1, Some(8))
        ]
    );
    assert!(
        recording
            .remarks
            .iter()
            .any(|r| r.starts_with("1 AIS sentence "))
    );
}

#[test]
fn a_log_without_checksums_is_read_with_a_remark() {
    let recording = read_log(format!("${RMC}\n${NEXT}\n"));
    assert_eq!(recording.points_met, 2);
    assert_eq!(
        recording.remarks,
        ["2 sentences without a checksum taken as they stand."]
    );
}

#[test]
fn one_time_of_day_makes_one_fix() {
    let recording = read_log(log(&[
        "GPGGA,091230.00,5742.9,N,01156.4,E,1,08,0.9,1,M,1,M,,",
        "GNRMC,091230,A,5742.5,N,01156.4,E,5.0,235,040631,,",
        "GPGLL,5742.8,N,01156.4,E,091230.000,A",
        "GPVTG,90.0,T,,M,9.0,N,,K",
        "GPGGA,091231.00,5742.6,N,01156.4,E,1,08,0.9,1,M,1,M,,",
        "GPVTG,90.0,T,,M,9.0,N,,K",
    ]));
    let fixes = fixes(&recording);
    assert_eq!(
        times(&recording),
        ["2031-06-04T09:12:30Z", "2031-06-04T09:12:31Z"]
    );
    assert!((fixes[0].position.latitude() - (57.0 + 42.5 / 60.0)).abs() < 1e-12);
    let courses: Vec<f64> = fixes
        .iter()
        .filter_map(|f| Some(f.course?.degrees()))
        .collect();
    assert_eq!(courses, [235.0, 90.0]);
}

#[test]
fn fixes_that_are_none_are_set_aside_by_reason() {
    let recording = read_log(log(&[
        "GPRMC,,V,,,,,,,,,,N",
        "GPGGA,,,,,,0,,,,,,,,",
        "GPGLL,,,,,,V,N",
        "GPRMC,091226,V,,,,,,,040631,,",
        "GPGGA,091226,,,,,0,00,,,M,,M,,",
        "GPGGA,091227,5742.5,N,01156.4,E,6,00,,,M,,M,,",
        "GPGGA,091228,5742.5,N,01156.4,E,8,00,,,M,,M,,",
        "GPGGA,091229,0000.0,N,00000.0,E,1,00,,,M,,M,,",
        "GPGGA,991229,5742.5,N,01156.4,E,1,00,,,M,,M,,",
        RMC,
        "GPRMC,091231,A,5742.6,N,01156.4,E,5.0,235,040631,,,E",
        "GPRMC,091232,A,9942.6,N,01156.4,E,5.0,235,040631,,,A",
    ]));
    assert_eq!(times(&recording), ["2031-06-04T09:12:30Z"]);
    assert_eq!(
        aside(&recording),
        [
            ("latitude outside [-90, 90]", 1, Some(12)),
            ("position 0, 0: the receiver had none yet", 1, Some(8)),
            ("unreadable time", 1, Some(9)),
            ("no fix: the receiver had no position", 2, Some(1)),
            ("dead reckoning of the receiver, no fix", 2, Some(6)),
            (
                "entered by hand or simulated by the receiver, no fix",
                1,
                Some(7)
            ),
        ]
    );
}

#[test]
fn midnight_and_a_late_first_date_are_seen_through() {
    let gga = |time: &str| format!("GPGGA,{time},5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,");
    let (a, b, c, d) = (gga("235958"), gga("235959"), gga("000000"), gga("000001"));
    let zda = "GPZDA,000000,05,06,2031,00,00";
    let expected = [
        "2031-06-04T23:59:58Z",
        "2031-06-04T23:59:59Z",
        "2031-06-05T00:00:00Z",
        "2031-06-05T00:00:01Z",
    ];
    assert_eq!(times(&read_log(log(&[&a, &b, zda, &c, &d]))), expected);
    assert_eq!(times(&read_log(log(&[&a, &b, &c, &d, zda]))), expected);
    let options = Options {
        date: "2031-06-04".parse().ok(),
    };
    let given = read_with(log(&[&a, &b, &c, &d]).as_bytes(), "day.log", &options).unwrap();
    assert_eq!(times(&given), expected);
    assert!(
        given.remarks[0].contains("on the day given"),
        "{:?}",
        given.remarks
    );
}

#[test]
fn without_any_date_the_log_is_refused_with_the_way_out() {
    let error = read(
        log(&["GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,"]).as_bytes(),
        "a.log",
    );
    let error = error.unwrap_err();
    assert!(
        matches!(
            error,
            ReadError::NoDate {
                fixes: 1,
                line: 1,
                ..
            }
        ),
        "{error}"
    );
    assert!(error.to_string().contains("--date"), "{error}");
}

#[test]
fn stamps_on_the_lines_date_a_log_that_has_no_other_date() {
    let gga = sentence("GPGGA,235959,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,");
    let gll = sentence("GPGLL,5742.5,N,01156.4,E");
    for (lead, next) in [
        ("2031-06-05T00:00:01Z ", "2031-06-05T00:00:02.500Z: "),
        ("1938384001:", "1938384002.5,"),
        ("\\s:gps,c:1938384001*5A\\", "\\c:1938384002500*00\\"),
    ] {
        let recording = read_log(format!("{lead}{gga}\n{next}{gll}\n"));
        let times = times(&recording);
        assert_eq!(times[0], "2031-06-04T23:59:59Z", "{lead}");
        assert!(
            times[1].starts_with("2031-06-05T00:00:02"),
            "{lead} {times:?}"
        );
        assert!(
            recording
                .remarks
                .iter()
                .any(|r| r.contains("time stamps on the lines"))
        );
    }
}

#[test]
fn talkers_with_a_lag_are_tracks_of_their_own() {
    let recording = read_log(log(&[
        "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,235,040631,,",
        "IIRMC,091230.4,A,5742.4,N,01156.4,E,5.0,235,040631,,",
        "GNRMC,091231,A,5742.6,N,01156.4,E,5.0,235,040631,,",
        "IIRMC,091231.4,A,5742.5,N,01156.4,E,5.0,235,040631,,",
        "GPRMC,091232,A,5742.7,N,01156.4,E,5.0,235,040631,,",
    ]));
    let shape: Vec<(Option<&str>, usize)> = recording
        .tracks
        .iter()
        .map(|t| (t.name.as_deref(), t.segments.concat().len()))
        .collect();
    assert_eq!(shape, [(Some("GN"), 3), (Some("II"), 2)]);
    assert!(
        recording.remarks[0].contains("several talkers (GN, II)"),
        "{:?}",
        recording.remarks
    );
}

#[test]
fn logs_joined_out_of_order_are_segments() {
    let yesterday = "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,235,030631,,";
    let recording = read_log(log(&[RMC, NEXT, yesterday]));
    assert_eq!(recording.tracks[0].segments.len(), 2);
}

#[test]
fn a_log_without_positions_says_what_is_in_it() {
    for (bodies, part) in [
        (
            ["GPGSV,1,1,00", "GPGSA,A,1"],
            "2 sentences not read here, the first `GPGSV`",
        ),
        (
            ["HEHDT,341.8,T", "AIVDM,1,1,,A,15M,0"],
            "1 sentence of instruments and 1 AIS sentence",
        ),
    ] {
        let message = read(log(&bodies).as_bytes(), "a.log")
            .unwrap_err()
            .to_string();
        assert!(
            message.contains(part) && message.contains("\nhint: "),
            "{message}"
        );
    }
}
