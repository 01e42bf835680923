//! NMEA 0183 with any content: nothing panics, counts add up, and what was written comes back.

use std::fmt::Write as _;

use jiff::Timestamp;
use proptest::prelude::*;
use thereback::parser::read;
use thereback::track::{Fix, Position};
use thereback::units::{Bearing, Speed, SpeedUnit};

use crate::reading_nmea_log::{counted, fixes, log, sentence};

/// `ddmm.mmmmmmm` with its letter.
fn coordinate(degrees: f64, width: usize, letters: [&str; 2]) -> String {
    let letter = letters[usize::from(degrees < 0.0)];
    // Rounded to a ten-millionth of a minute first, so that no minute comes out as 60.
    let steps = (degrees.abs() * 6e8).round() as u64;
    let (whole, rest) = (steps / 600_000_000, steps % 600_000_000);
    format!(
        "{whole:0width$}{:02}.{:07},{letter}",
        rest / 10_000_000,
        rest % 10_000_000
    )
}

/// A fix as a receiver's RMC writes it.
pub(crate) fn rmc(fix: &Fix) -> String {
    rmc_of("GP", fix)
}

/// A fix as this talker's RMC writes it.
pub(crate) fn rmc_of(talker: &str, fix: &Fix) -> String {
    let knots = fix
        .speed
        .map(|speed| format!("{:.3}", speed.in_unit(SpeedUnit::Knots)));
    let course = fix.course.map(|course| format!("{:.2}", course.degrees()));
    sentence(&format!(
        "{talker}RMC,{}.{:03},A,{},{},{},{},{},,,A",
        fix.time.strftime("%H%M%S"),
        fix.time.subsec_millisecond(),
        coordinate(fix.position.latitude(), 2, ["N", "S"]),
        coordinate(fix.position.longitude(), 3, ["E", "W"]),
        knots.unwrap_or_default(),
        course.unwrap_or_default(),
        fix.time.strftime("%d%m%y"),
    ))
}

fn fix() -> impl Strategy<Value = Fix> {
    (
        // 1980 to 2079: what two digits of the year can tell.
        315_532_800_000_i64..3_471_292_800_000,
        (-89.99..89.99_f64, -179.99..179.99_f64),
        prop::option::of(0.0..60.0_f64),
        prop::option::of(0.0..359.99_f64),
    )
        .prop_map(|(ms, (latitude, longitude), speed, course)| Fix {
            speed: speed.map(|knots| Speed::new(knots, SpeedUnit::Knots)),
            course: course.and_then(Bearing::new),
            ..Fix::bare(
                Timestamp::from_millisecond(ms).unwrap(),
                Position::new(latitude, longitude).unwrap(),
            )
        })
}

fn piece() -> impl Strategy<Value = Vec<u8>> {
    let pieces: Vec<String> = [
        "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,235,040631,4,E",
        "GPRMC,235959.99,A,5742.5,N,01156.4,E,,,000070,,",
        "GPGGA,000001,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,",
        "IIGLL,5742.5,N,01156.4,E,120000,A",
        "GNGNS,110000,5742.5,N,01156.4,E,NA,8,1,1,1,,",
        "GPZDA,160012.71,11,03,2199,-1,00",
        "GPVTG,90.0,T,,M,9.0,N,,K",
        "HCHDG,101.1,2,E,7.1,W",
        "HCHDM,1,M",
        "IIVHW,1,T,2,M,3,N,,K",
        "SDDBT,7.8,f,2.4,M,1.3,F",
        "WIMWD,235.0,T,231.0,M,11.0,N,5.7,M",
        "WIMWV,90.0,R,12.0,N,A",
        "WIVWR,90.0,L,5.0,N,,M,,K",
    ]
    .map(|body| sentence(body) + "\r\n")
    .into();
    let bare = pieces
        .iter()
        .map(|p| p.replace('*', "\n"))
        .collect::<Vec<_>>();
    let odd = [
        "$",
        "!",
        "\r",
        "\n",
        "\\c:9999999999999*0\\",
        "2199-12-31T23:59:59Z ",
        "\u{feff}",
        "*",
        ",",
        "$GPRMC,",
        "!AIVDM,",
    ];
    let odd: Vec<String> = odd.map(str::to_owned).into();
    prop_oneof![
        6 => prop::sample::select(pieces).prop_map(String::into_bytes),
        2 => prop::sample::select(bare).prop_map(String::into_bytes),
        2 => prop::sample::select(odd).prop_map(String::into_bytes),
        1 => prop::collection::vec(any::<u8>(), 0..20),
    ]
}

proptest! {
    #[test]
    fn fixes_come_back(written in prop::collection::vec(fix(), 1..20)) {
        let text: String = written.iter().map(|fix| rmc(fix) + "\r\n").collect();
        let mut read_back = fixes(&read(text.as_bytes(), "x").unwrap());
        let mut written = written;
        written.dedup_by_key(|fix| fix.time);
        read_back.dedup_by_key(|fix| fix.time);
        prop_assert_eq!(read_back.len(), written.len());
        for (read, written) in read_back.iter().zip(&written) {
            prop_assert_eq!(read.time, written.time);
            let (r, w) = (read.position, written.position);
            prop_assert!((r.latitude() - w.latitude()).abs() < 1e-9);
            prop_assert!((r.longitude() - w.longitude()).abs() < 1e-9);
            prop_assert_eq!(read.speed.is_some(), written.speed.is_some());
            prop_assert_eq!(read.course.is_some(), written.course.is_some());
            if let (Some(read), Some(written)) = (read.speed, written.speed) {
                let apart = read.as_metres_per_second() - written.as_metres_per_second();
                prop_assert!(apart.abs() < 3e-4);
            }
        }
    }

    #[test]
    fn pieces_in_any_order_are_read_or_refused(pieces in prop::collection::vec(piece(), 0..40)) {
        if let Ok(recording) = read(&pieces.concat(), "x") {
            counted(recording);
        }
    }

    #[test]
    fn cut_and_flipped_logs_are_read_or_refused(
        cut in any::<prop::sample::Index>(),
        flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
    ) {
        let mut bytes = log(&[
            "GPRMC,091230,A,5742.5,N,01156.4,E,5.0,235,040631,,",
            "GPGGA,091230,5742.5,N,01156.4,E,1,08,0.9,1,M,1,M,,",
            "IIVHW,235.0,T,231.0,M,5.0,N,,K",
            "GPRMC,091231,A,5742.6,N,01156.4,E,5.0,235,040631,,",
        ])
        .into_bytes();
        for (place, value) in flips {
            let at = place.index(bytes.len());
            bytes[at] = value;
        }
        bytes.truncate(cut.index(bytes.len() + 1));
        if let Ok(recording) = read(&bytes, "x") {
            counted(recording);
        }
    }
}

/// Times that jump to and fro in a log without dates: each step back is another day, without end.
#[test]
fn a_million_midnights_overflow_nothing() {
    let mut text = String::new();
    for step in 0..250_000 {
        let hour = if step % 2 == 0 { 12 } else { 9 };
        writeln!(text, "$GPGGA,{hour:02}0000,5742.5,N,01156.4,E,1").unwrap();
    }
    let options = thereback::parser::Options {
        date: "2031-06-04".parse().ok(),
    };
    let recording = thereback::parser::read_with(text.as_bytes(), "x", &options).unwrap();
    assert_eq!(fixes(&counted(recording)).len(), 250_000);
}
