//! A long log read window by window, so that it is never held whole.
//!
//! A window ends with a line. A log whose first window has no date of its own is
//! left to the reader of the whole, which seeks one further on. Both ways must
//! give the same; tests hold them to it.

use std::io::{self, Read};

use memchr::memrchr2;

use super::gathered::Gathered;
use super::read_last;
use super::sentences::Sentences;
use super::start::{Source, start};
use crate::parser::ReadError;
use crate::parser::lines::Lines;
use crate::track::Recording;

/// Reads a log of which `held` is the beginning and `stream` the rest; `window_bytes` are read at a
/// time.
///
/// `None` where the log has to be seen whole.
///
/// # Errors
/// Those of the stream.
pub(in crate::parser) fn read_in_windows(
    mut held: Vec<u8>,
    mut stream: impl Read,
    window_bytes: usize,
    file: &str,
) -> io::Result<Option<Result<Recording, ReadError>>> {
    let whole_lines = |held: &[u8]| memrchr2(b'\n', b'\r', held).map_or(0, |at| at + 1);
    let head = held.get(..whole_lines(&held)).unwrap_or_default();
    let started = start(head, None);
    if started.source != Source::Sentences {
        return Ok(None);
    }
    let mut gathered = Gathered::new(started.clock);
    let mut lines = Lines::default();
    loop {
        let end = whole_lines(&held);
        let window = held.get(..end).unwrap_or_default();
        for raw in Sentences::new(window) {
            gathered.take(&raw);
        }
        lines.go_over(window, gathered.places());
        gathered.window_start += end;
        held.drain(..end);
        // No line is as long as a window; where one is, this is no log that can be read so.
        if held.len() > window_bytes {
            return Ok(None);
        }
        let mut window = stream.by_ref().take(window_bytes as u64);
        if window.read_to_end(&mut held)? < window_bytes {
            break;
        }
    }
    Ok(Some(read_last(
        gathered,
        lines,
        &held,
        started.source,
        file,
    )))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::read;
    use super::*;

    /// As its debug form, because errors of files cannot be compared.
    fn in_windows(bytes: &[u8], head: usize, window_bytes: usize) -> Option<String> {
        let (head, rest) = bytes.split_at(head.min(bytes.len()));
        let outcome = read_in_windows(head.to_vec(), rest, window_bytes, "x.nmea");
        outcome.ok().flatten().map(|outcome| format!("{outcome:?}"))
    }

    const DATED: &str = "$GPRMC,091230,A,5742.5,N,01156.4,E,5,235,040631,,\n";

    const PIECES: [&str; 14] = [
        DATED,
        "$GPRMC,091231,A,5742.51,N,01156.4,E,5,235,040631,,\r\n",
        "$GPRMC,091232,V,,,,,,,040631,,\n",
        "$GPGGA,091232,5742.52,N,01156.4,E,1,08,0.9,1,M,1,M,,\r",
        "$GPGGA,091233,,,,,0,,,,,,,,*00\n",
        "$GPVTG,235,T,,M,5,N,,K\n",
        "$IIGLL,5742.5,N,01156.4,E,091234,A\n",
        "$GPZDA,091240,04,06,2031,,\n",
        "$WIMWV,40,R,5.1,N,A\n",
        "$IIHDT,230,T\n",
        "09:12:41 $GPRMC,",
        "rubbish \u{f6}",
        "\n",
        "!AIVDM,1,1,,A,x,0\n",
    ];

    #[test]
    fn a_log_without_a_date_at_first_is_left_to_the_other_way() {
        let undated = DATED.replace("040631", "");
        let log = format!("{undated}{DATED}");
        assert_eq!(in_windows(log.as_bytes(), undated.len(), 10), None);
        assert!(in_windows(log.as_bytes(), log.len(), 100).is_some());
    }

    #[test]
    fn a_fault_told_once_its_fix_has_ended_keeps_its_line() {
        let lost = "$GPGGA,091233,,,,,0,,,,,,,,*00\n$GPRMC,091233,V,,,,,,,040631,,\n";
        let log = format!("{}{lost}{}", DATED.repeat(3), DATED.repeat(3));
        let found = in_windows(log.as_bytes(), DATED.len(), 64);
        assert_eq!(
            found,
            Some(format!("{:?}", read(log.as_bytes(), "x.nmea", None)))
        );
        assert!(found.is_some_and(|told| told.contains("first_line: Some(5)")));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn windows_give_what_the_whole_gives(
            pieces in prop::collection::vec(prop::sample::select(PIECES.to_vec()), 0..30),
            head in 0..200_usize,
            window_bytes in 40..400_usize,
        ) {
            let log = format!("{DATED}{}", pieces.concat());
            let bytes = log.as_bytes();
            if let Some(found) = in_windows(bytes, head + DATED.len(), window_bytes) {
                prop_assert_eq!(found, format!("{:?}", read(bytes, "x.nmea", None)), "{}", log);
            }
        }
    }
}
