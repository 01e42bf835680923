//! The largest memory of reading what is no track, however long it is.
//!
//! A program of its own, because the allocator that counts stands for the whole of it.

#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test may fail loudly, and tells what it measured"
)]

use std::io::Read;

use flate2::Compression;
use flate2::write::GzEncoder;
use thereback::parser;

#[global_allocator]
static COUNTING: dhat::Alloc = dhat::Alloc;

/// How long each endless input is, bytes.
const ENDLESS_BYTES: u64 = 100 << 20;

/// What reading takes at most without any fix: what is surveyed, 64 MiB, and a few pieces.
const MOST_WITHOUT_FIXES_BYTES: usize = 80 << 20;

#[test]
fn what_is_no_track_is_refused_in_little_memory() {
    let table = "time,lat,lon\n";
    let gpx = "<gpx><trk><trkseg>";
    for (head, repeated) in [
        (table.to_owned(), ","),
        (
            table.to_owned(),
            ",,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,\n",
        ),
        (
            table.to_owned(),
            "4/6/2031 9:12,57,                                                                       \n",
        ),
        (format!("{table}2031-06-04T09:12:30Z,57,\""), "x"),
        (
            "x;y;time\n".to_owned(),
            "1;1;                                                                                   \n",
        ),
        (format!("{gpx}<!--"), "<!-- "),
        (format!("{gpx}<trkpt lat='"), "7"),
        (format!("{gpx}<trkpt lat='5' lon='6'><time>"), "2 "),
        (format!("{gpx}<![CDATA["), "]]<"),
        ("<gpx ".to_owned(), "a='b' "),
        ("$GPGGA,".to_owned(), "091230,"),
        (
            "$GPGGA,091230,,,,,0\n".to_owned(),
            "$GPGGA,                                                                                 \n",
        ),
        (String::new(), "\0"),
        (String::new(), "x"),
        ("\u{feff}time,lat,lon\n".to_owned(), "ö,"),
    ] {
        let endless = Repeated(repeated.as_bytes()).take(ENDLESS_BYTES);
        check_refused(head.as_bytes().chain(endless), &format!("{head}{repeated}"));
    }
    let mut bomb = GzEncoder::new(Vec::new(), Compression::fast());
    let _ = std::io::copy(&mut Repeated(b" ").take(2 * ENDLESS_BYTES), &mut bomb);
    let bomb = bomb.finish().expect("an archive");
    check_refused(bomb.as_slice(), "a bomb");
    for (header, repeated) in [
        ("time,direction,speed (kn)\n", ","),
        ("time,direction,speed (kn)\n", ",,\n"),
        ("time,volts,amps\n", ","),
        ("time,volts,amps\n09:10,12,\"", "x"),
        ("time,volts,amps\n", "\n"),
    ] {
        let log = || {
            let endless = Repeated(repeated.as_bytes()).take(ENDLESS_BYTES);
            header.as_bytes().chain(endless)
        };
        let profiler = dhat::Profiler::builder().testing().build();
        let wind = parser::read_wind_log(log(), "wind.csv");
        let power = parser::read_power_log(log(), "power.csv");
        let bytes = dhat::HeapStats::get().max_bytes;
        drop(profiler);
        assert!(
            wind.is_err() && power.is_err(),
            "{header}{repeated} was read"
        );
        assert!(bytes < MOST_WITHOUT_FIXES_BYTES, "{header}: {bytes} bytes");
    }
}

/// A log of more rows than any is refused as soon as it has them.
#[test]
fn a_log_without_end_is_refused_early() {
    let mut counted = Counted(
        (&b"time,watts\n"[..]).chain(Repeated(b"09:10,250\n").take(20 * ENDLESS_BYTES)),
        0,
    );
    let error = parser::read_power_log(&mut counted, "power.csv").expect_err("too many rows");
    assert!(
        error.to_string().contains("more than 1000000 rows"),
        "{error}"
    );
    assert!(counted.1 < 16 << 20, "{} bytes were read", counted.1);
}

/// Counts what is read.
struct Counted<R>(R, usize);

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let read = self.0.read(into)?;
        self.1 += read;
        Ok(read)
    }
}

fn check_refused(stream: impl Read, what: &str) {
    let profiler = dhat::Profiler::builder().testing().build();
    let read = parser::read_from(stream, "endless", &parser::Options::default());
    let bytes = dhat::HeapStats::get().max_bytes;
    drop(profiler);
    println!("{what:?}: {bytes} bytes");
    assert!(read.is_err(), "{what:?} was read");
    assert!(bytes < MOST_WITHOUT_FIXES_BYTES, "{what:?}: {bytes} bytes");
}

/// The same bytes again and again.
struct Repeated<'a>(&'a [u8]);

impl Read for Repeated<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let whole = into.len().div_ceil(self.0.len()).max(1) - 1;
        let bytes = (whole * self.0.len()).max(self.0.len().min(into.len()));
        for chunk in into[..bytes].chunks_mut(self.0.len()) {
            chunk.copy_from_slice(&self.0[..chunk.len()]);
        }
        Ok(bytes)
    }
}
