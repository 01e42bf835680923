//! Times and numbers: one short text in each place where a reader looks for either.

use thereback::notes::When;
use thereback::units::{Speed, SpeedUnit, parse_direction};

use super::readers::read_checked;

/// The first line as a time, the second as a number, in every reader and in the notes.
pub(crate) fn time_and_numbers(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let (time, number) = text.split_once('\n').unwrap_or((&text, "57.7"));
    for (time, number) in [
        (time, "57.7"),
        ("2031-06-04T09:12:30Z", number),
        (time, number),
    ] {
        gpx(time, number);
        tables(time, number);
        sentences(time, number);
    }
    let _ = When::read(time);
    let _ = number.parse::<Speed>();
    let _ = number.parse::<SpeedUnit>();
    if let Ok(bearing) = parse_direction(number) {
        assert!((0.0..360.0).contains(&bearing.degrees()));
    }
}

fn gpx(time: &str, number: &str) {
    read_checked(
        format!(
            "<gpx><trk><trkseg><trkpt lat=\"{number}\" lon=\"11.9\"><time>{time}</time><speed>{number}</speed>\
             <course>{number}</course><extensions><depth unit=\"ft\">{number}</depth></extensions></trkpt>\
             <trkpt lon=\"{number}\" lat=\"57.7\"><time>{time}</time></trkpt></trkseg></trk></gpx>"
        )
        .as_bytes(),
    );
}

fn tables(time: &str, number: &str) {
    let (date, clock) = time.split_once([' ', 'T']).unwrap_or((time, "09:12:30"));
    for separator in [';', '\t'] {
        let rows: [[&str; 6]; 3] = [
            ["time", "lat", "lon", "speed (km/h)", "course", "depth (ft)"],
            [time, number, "11.9", number, number, number],
            [time, "57.7", number, "3", "4", "5"],
        ];
        let row = |row: &[&str]| row.join(&separator.to_string());
        let table = rows.map(|cells| row(&cells)).join("\n");
        read_checked(table.as_bytes());
        let dated = [
            ["date", "clock", "lat", "lon"],
            [date, clock, number, number],
        ];
        read_checked(dated.map(|cells| row(&cells)).join("\n").as_bytes());
        for header in ["epoch", "elapsed (ms)", "timestamp"] {
            let counted = [[header, "lat", "lon"], [number, "57.7", "11.9"]];
            read_checked(counted.map(|cells| row(&cells)).join("\n").as_bytes());
        }
    }
}

fn sentences(time: &str, number: &str) {
    for body in [
        format!("GPRMC,{time},A,{number},N,01156.4,E,{number},{number},040631,{number},E"),
        format!("GPRMC,091230,A,5742.5,N,{number},W,5.0,235,{time},,"),
        format!("GPZDA,{time},11,03,2031,{number},00"),
        format!("HCHDG,{number},{number},E,{number},W"),
        format!("IIVHW,{number},T,{number},M,{number},N,{number},K"),
        format!("SDDBT,{number},f,{number},M,{number},F"),
        format!("WIMWV,{number},R,{number},N,A"),
    ] {
        let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        let fix = "$GPGLL,5742.5,N,01156.4,E,091230,A\r\n";
        read_checked(format!("{fix}${body}*{sum:02X}\r\n{time} ${body}\r\n").as_bytes());
    }
}
