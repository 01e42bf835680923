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
use thereback::day::wind_log;
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
    let profiler = dhat::Profiler::builder().testing().build();
    let log = (&b"time,direction,speed (kn)\n"[..]).chain(Repeated(b",").take(ENDLESS_BYTES));
    assert!(wind_log::read(log, "wind.csv").is_err());
    assert!(dhat::HeapStats::get().max_bytes < MOST_WITHOUT_FIXES_BYTES);
    drop(profiler);
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
