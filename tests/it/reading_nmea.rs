//! NMEA 0183 sentences, one by one: published examples, and the `nmea` crate as an independent judge.

use proptest::prelude::*;
use thereback::parser::read;
use thereback::track::{Fix, Recording};
use thereback::units::{Bearing, Distance, Speed, SpeedUnit};

use crate::reading_nmea_log::{fixes, log, read_log, sentence};

#[track_caller]
fn close(value: Option<f64>, expected: f64) {
    let near = value.is_some_and(|value| (value - expected).abs() < 1e-9 * expected.abs().max(1.0));
    assert!(near, "{value:?} is not {expected}");
}

fn knots(speed: Option<Speed>) -> Option<f64> {
    speed.map(|speed| speed.in_unit(SpeedUnit::Knots))
}

fn degrees(bearing: Option<Bearing>) -> Option<f64> {
    bearing.map(Bearing::degrees)
}

#[track_caller]
fn one_fix(text: &str) -> Fix {
    let fixes = fixes(&read_log(text));
    assert_eq!(fixes.len(), 1, "{text}");
    fixes[0]
}

/// The example of most descriptions of NMEA 0183 (from memory): 12:35:19 UTC on 23 March 1994,
/// 48°07.038' N, 11°31.000' E, 22.4 knots, course 84.4 true, variation 3.1 west.
#[test]
fn published_rmc() {
    let fix = one_fix("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n");
    assert_eq!(fix.time.to_string(), "1994-03-23T12:35:19Z");
    close(Some(fix.position.latitude()), 48.1173);
    close(Some(fix.position.longitude()), 11.0 + 31.0 / 60.0);
    // 22.4 kn times 1852 m / 3600 s (NIST SP 811, B.8).
    close(
        fix.speed.map(Speed::as_metres_per_second),
        11.523_555_555_555_6,
    );
    close(degrees(fix.course), 84.4);
}

/// Examples in the tests of readers (from memory): west is negative; an empty course is unknown,
/// never north.
#[test]
fn published_rmc_west_and_without_course() {
    let fix = one_fix("$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68\r\n");
    assert_eq!(fix.time.to_string(), "1994-11-19T22:54:46Z");
    close(Some(fix.position.longitude()), -(123.0 + 11.12 / 60.0));
    let fix = one_fix("$GPRMC,061831.000,A,2236.9152,N,11403.2422,E,0.00,,130214,,,D*76\r\n");
    assert_eq!(fix.time.to_string(), "2014-02-13T06:18:31Z");
    assert_eq!((knots(fix.speed), fix.course), (Some(0.0), None));
}

/// ZDA, GNS and VTG as in the tests of the `nmea` crate; GGA and GLL as in most descriptions (from
/// memory).
#[test]
fn published_sentences_without_a_date_take_that_of_zda() {
    let zda = "$GPZDA,160012.71,11,03,2004,-1,00*7D\r\n";
    for (text, time, latitude, longitude) in [
        (
            "$GPGNS,224749.00,3333.4268304,N,11153.3538273,W,D,19,0.6,406.110,-26.294,6.0,0138,S,*46",
            "2004-03-11T22:47:49Z",
            33.0 + 33.426_830_4 / 60.0,
            -(111.0 + 53.353_827_3 / 60.0),
        ),
        (
            "$GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000*6D",
            "2004-03-11T18:43:53.07Z",
            -(19.0 + 29.045 / 60.0),
            24.0 + 10.506 / 60.0,
        ),
        (
            "$GPGLL,4916.45,N,12311.12,W,225444,A*31",
            "2004-03-11T22:54:44Z",
            49.0 + 16.45 / 60.0,
            -(123.0 + 11.12 / 60.0),
        ),
    ] {
        let fix = one_fix(&format!(
            "{zda}{text}\r\n$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48\r\n"
        ));
        assert_eq!(fix.time.to_string(), time);
        close(Some(fix.position.latitude()), latitude);
        close(Some(fix.position.longitude()), longitude);
        close(knots(fix.speed), 5.5);
        close(degrees(fix.course), 54.7);
    }
}

const RMC: &str = "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,0,040631,,";

/// A fix, then what the instruments say.
#[track_caller]
fn with(lines: &[&str]) -> Fix {
    one_fix(&(log(&[RMC]) + &lines.join("\r\n")))
}

/// HDG as in gpsd's "NMEA Revealed" (from memory): 101.1 magnetic with variation 7.1 west is 94.0.
/// HDT and VHW as in the tests of the `nmea` crate.
#[test]
fn published_headings() {
    close(degrees(with(&["$HCHDG,101.1,,,7.1,W*3C"]).heading), 94.0);
    close(degrees(with(&["$HEHDT,341.8,T*21"]).heading), 341.8);
    let fix = with(&["$GPVHW,100.5,T,105.5,M,10.5,N,19.4,K*4F"]);
    close(degrees(fix.heading), 100.5);
    close(knots(fix.water_speed), 10.5);
    // The gyro goes before the compass, whichever is sent last.
    let fix = with(&["$HEHDT,341.8,T*21", "$HCHDG,101.1,,,7.1,W*3C"]);
    close(degrees(fix.heading), 341.8);
}

#[test]
fn a_magnetic_heading_needs_the_variation() {
    let hdm = sentence("HCHDM,100.0,M");
    let recording = read_log(log(&[RMC]) + &hdm);
    assert_eq!(fixes(&recording)[0].heading, None);
    assert!(
        recording
            .remarks
            .iter()
            .any(|r| r.starts_with("1 magnetic heading left out"))
    );
    let east = log(&["GPRMC,091230,A,5742.5,N,01156.4,E,5.0,0,040631,4.5,E"]);
    close(degrees(one_fix(&(east + &hdm)).heading), 104.5);
    let deviated = sentence("HCHDG,100.0,2.0,W,4.5,E");
    close(degrees(with(&[&deviated]).heading), 102.5);
    let fix = with(&[&sentence("IIVHW,,T,359.0,M,,N,18.52,K")]);
    assert_eq!(fix.heading, None);
    close(knots(fix.water_speed), 10.0);
}

/// DPT and DBS as in the tests of the `nmea` crate; DBT as in gpsd's "NMEA Revealed" (from memory).
#[test]
fn published_depths() {
    let depth = |lines: &[&str]| with(lines).depth.map(Distance::as_metres);
    close(depth(&["$INDPT,2.3,0.0*46"]), 2.3);
    close(depth(&[&sentence("SDDBT,7.8,f,2.4,M,1.3,F")]), 2.4);
    close(depth(&[&sentence("SDDBT,10,f,,M,,F")]), 3.048);
    close(depth(&[&sentence("SDDBS,45.0,f,13.7,M,7.5,F")]), 13.7);
    close(
        depth(&["$INDPT,2.3,0.0*46", &sentence("SDDBS,45.0,f,13.7,M,7.5,F")]),
        2.3,
    );
}

#[test]
fn what_an_instrument_said_long_ago_is_not_repeated() {
    let recording = read_log(log(&[
        RMC,
        "HEHDT,341.8,T",
        "GPRMC,091234,A,5742.5,N,01156.4,E,5.0,0,040631,,",
        "GPRMC,091240,A,5742.5,N,01156.4,E,5.0,0,040631,,",
    ]));
    let headings: Vec<bool> = fixes(&recording)
        .iter()
        .map(|f| f.heading.is_some())
        .collect();
    assert_eq!(headings, [true, true, false]);
}

#[track_caller]
fn wind(lines: &[&str]) -> (Option<f64>, Option<f64>) {
    let recording = read_log(log(&[RMC]) + &log(lines));
    let reading = recording.wind.first();
    let from = reading.map(|reading| reading.from.degrees());
    (from, reading.and_then(|reading| knots(reading.speed)))
}

/// By geometry: the boat makes 5 knots due north.
#[test]
fn the_wind_is_found_from_every_sentence() {
    let heading = "HEHDT,0.0,T";
    for (lines, from, speed) in [
        (&["WIMWD,235.0,T,231.0,M,11.0,N,5.7,M"][..], 235.0, 11.0),
        (&[heading, "WIMWV,90.0,T,12.0,N,A"], 90.0, 12.0),
        (&[heading, "WIVWT,90.0,L,12.0,N,,M,,K"], 270.0, 12.0),
        // Ten knots from ahead, five of them the boat's own.
        (&[heading, "WIMWV,0.0,R,10.0,N,A"], 0.0, 5.0),
        // From abeam, five knots felt: the boat's own taken away leaves it from abaft the beam.
        (&[heading, "WIVWR,90.0,R,5.0,N,,M,,K"], 135.0, 50_f64.sqrt()),
    ] {
        let (found_from, found_speed) = wind(lines);
        close(found_from, from);
        close(found_speed, speed);
    }
    assert_eq!(wind(&[heading, "WIMWV,90.0,T,12.0,N,V"]), (None, None));
    let (from, speed) = wind(&["HEHDT,10.0,T", "WIMWV,350.0,T,10.0,M,A"]);
    close(from, 0.0);
    close(speed, 10.0 * 3600.0 / 1852.0);
}

#[test]
fn wind_that_cannot_be_placed_is_told() {
    let recording = read_log(log(&[RMC, "WIMWV,90.0,R,12.0,N,A"]));
    assert!(recording.wind.is_empty());
    assert!(
        recording
            .remarks
            .iter()
            .any(|r| r.starts_with("1 wind reading left out"))
    );
}

/// Seconds since midnight of `HH:MM:SS` with or without a fraction.
fn of_day(text: &str) -> f64 {
    text.split(':')
        .fold(0.0, |sum, part| sum * 60.0 + part.parse::<f64>().unwrap())
}

/// What the other reader finds in a sentence: time of day, position, knots, course.
#[derive(Debug, Default)]
struct Judged {
    of_day: Option<f64>,
    position: Option<(f64, f64)>,
    knots: Option<f64>,
    course: Option<f64>,
}

fn judged(sentence: &str) -> Judged {
    use nmea::ParseResult as P;
    fn seconds(time: Option<impl std::fmt::Display>) -> Option<f64> {
        time.map(|time| of_day(&time.to_string()))
    }
    match nmea::parse_str(sentence).unwrap() {
        P::RMC(d) => Judged {
            of_day: seconds(d.fix_time),
            position: d.lat.zip(d.lon),
            knots: d.speed_over_ground.map(f64::from),
            course: d.true_course.map(f64::from),
        },
        P::GGA(d) => Judged {
            of_day: seconds(d.fix_time),
            position: d.latitude.zip(d.longitude),
            ..Judged::default()
        },
        P::GLL(d) => Judged {
            of_day: seconds(d.fix_time),
            position: d.latitude.zip(d.longitude),
            ..Judged::default()
        },
        P::GNS(d) => Judged {
            of_day: seconds(d.fix_time),
            position: d.lat.zip(d.lon),
            ..Judged::default()
        },
        other => panic!("{other:?}"),
    }
}

proptest! {
    /// Where both readers take a sentence, they find the same.
    #[test]
    fn the_nmea_crate_agrees(
        kind in 0..4,
        (hour, minute, second, milli) in (0..24, 0..60, 0..60, 0..1000),
        (lat_deg, lat_min, south) in (0..90, 0.0..59.9999_f64, any::<bool>()),
        (lon_deg, lon_min, west) in (0..180, 0.0..59.9999_f64, any::<bool>()),
        (knots, course) in (0.0..60.0_f64, 0.0..359.9_f64),
    ) {
        let time = format!("{hour:02}{minute:02}{second:02}.{milli:03}");
        let place = format!(
            "{lat_deg:02}{lat_min:07.4},{},{lon_deg:03}{lon_min:07.4},{}",
            if south { "S" } else { "N" },
            if west { "W" } else { "E" },
        );
        let body = match kind {
            0 => format!("GNRMC,{time},A,{place},{knots:.2},{course:.1},040631,,,A"),
            1 => format!("GNGGA,{time},{place},1,08,0.9,12.0,M,30.0,M,,"),
            2 => format!("GNGLL,{place},{time},A,A"),
            _ => format!("GNGNS,{time},{place},AA,08,0.9,12.0,30.0,,,V"),
        };
        let other = judged(&sentence(&body));
        let text = format!("$GPZDA,000000,04,06,2031,,\n{}\n", sentence(&body));
        let ours = fixes(&read(text.as_bytes(), "x").unwrap())[0];
        let (latitude, longitude) = other.position.unwrap();
        prop_assert!((ours.position.latitude() - latitude).abs() < 1e-12, "{body}");
        prop_assert!((ours.position.longitude() - longitude).abs() < 1e-12, "{body}");
        let ours_of_day = of_day(&ours.time.strftime("%H:%M:%S%.f").to_string());
        prop_assert!((ours_of_day - other.of_day.unwrap()).abs() < 1e-6, "{body}");
        if kind == 0 {
            // The other reader holds these in single precision.
            let ours_knots = ours.speed.unwrap().in_unit(SpeedUnit::Knots);
            prop_assert!((ours_knots - other.knots.unwrap()).abs() < 1e-5 * (1.0 + ours_knots));
            prop_assert!((ours.course.unwrap().degrees() - other.course.unwrap()).abs() < 1e-4);
        }
    }
}

/// A recording's wind has no speed where its sentence has none.
#[test]
fn unknown_stays_unknown() {
    let recording: Recording = read_log(log(&[RMC, "WIMWD,235.0,T,,M,,N,,M"]));
    assert_eq!(recording.wind[0].speed, None);
    let fix = one_fix(&log(&["GPRMC,091230,A,5742.5,N,01156.4,E,,,040631,,"]));
    let nothing = (
        fix.speed,
        fix.course,
        fix.depth,
        fix.heading,
        fix.water_speed,
    );
    assert_eq!(nothing, (None, None, None, None, None));
}
