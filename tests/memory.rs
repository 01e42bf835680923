//! The largest memory of reading and finding the legs, by what the fixes themselves take.
//!
//! A program of its own, because the allocator that counts stands for the whole of it.

#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    reason = "a test may fail loudly, and tells what it measured"
)]

use std::fmt::Write as _;
use std::fs;
use std::mem::size_of;

use thereback::parser;
use thereback::track::Fix;
use thereback::trial::{Settings, analyse};

#[global_allocator]
static COUNTING: dhat::Alloc = dhat::Alloc;

/// Just below two to the seventeenth, so that the vector of fixes, which grows by doubling, has few
/// places that nothing was written to: these are counted here but take no memory.
const FIXES: usize = 130_000;

/// The goal: twice what the fixes take.
const MOST_OF_FIXES: f64 = 2.0;

/// Eight megabytes beside them: a window, its tail, the zones, the grid of the comparison.
const MOST_BESIDE_BYTES: usize = 8 << 20;

/// A boat there and back on one line, with all that a point can hold: 200 bytes a point.
fn rich_gpx() -> String {
    let mut text = String::from("<gpx><trk><trkseg>\n");
    for second in 0..FIXES {
        let (run, at) = (second / 300, second % 300);
        let north_m = 3.0 * if run % 2 == 0 { at } else { 300 - at } as f64;
        let (day, h, m, s) = (
            4 + second / 86_400,
            second / 3600 % 24,
            second / 60 % 60,
            second % 60,
        );
        let _ = writeln!(
            text,
            "<trkpt lat=\"{:.7}\" lon=\"11.9000000\"><ele>0.0</ele>\n\
             <time>2031-06-{day:02}T{h:02}:{m:02}:{s:02}Z</time><hdop>0.9</hdop>\n<extensions>\n\
             <x:speed>3.00</x:speed>\n<x:course>0.0</x:course>\n<x:depth>4.2</x:depth>\n\
             </extensions></trkpt>",
            57.7 + north_m / 111_195.0
        );
    }
    text + "</trkseg></trk></gpx>\n"
}

#[test]
fn reading_and_finding_the_legs_stay_within_twice_the_fixes() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("long.gpx");
    {
        let text = rich_gpx();
        assert!(2 * text.len() > 3 * FIXES * size_of::<Fix>());
        fs::write(&path, text).expect("a file");
    }
    let _profiler = dhat::Profiler::builder().testing().build();
    let recording = parser::read_file(&path).expect("a track");
    let read = dhat::HeapStats::get().max_bytes;
    let analysis = analyse(vec![recording], &Settings::default());
    let analysed = dhat::HeapStats::get().max_bytes;
    assert!(analysis.legs.len() > 100, "{} legs", analysis.legs.len());
    let fixes_bytes = FIXES * size_of::<Fix>();
    for (what, bytes) in [("reading", read), ("analysing", analysed)] {
        let of_fixes = bytes.saturating_sub(MOST_BESIDE_BYTES) as f64 / fixes_bytes as f64;
        println!("{what}: {of_fixes:.2} times the fixes, and {MOST_BESIDE_BYTES} bytes");
        assert!(of_fixes <= MOST_OF_FIXES, "{what}: {of_fixes:.2} times");
    }
}
