//! How fast a day's track is read: GPX beside a bare token pass and the `gpx` crate, NMEA 0183
//! beside the `nmea` crate.
//!
//! `cargo bench --bench reading` prints the ratios at the end.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use jiff::{SignedDuration, Timestamp};
use quick_xml::Reader;
use quick_xml::events::Event;

/// A day of eight hours at one fix a second.
const FIXES: u32 = 28_800;

/// How often each way is run for the ratios; the shortest time counts, the others hold noise.
const ROUNDS: usize = 60;

/// What each point holds.
#[derive(Clone, Copy, PartialEq)]
enum Shape {
    /// Height and time, as most tracks.
    Plain,
    /// Speed, course and depth in extensions too.
    Rich,
    /// A text with a reference, which is passed over.
    Odd,
}

fn days() -> [(&'static str, String); 3] {
    [
        ("plain", day(Shape::Plain)),
        ("rich", day(Shape::Rich)),
        ("odd", day(Shape::Odd)),
    ]
}

fn day(shape: Shape) -> String {
    let start: Timestamp = "2031-06-04T06:00:00Z".parse().unwrap();
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"bench\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:x=\"urn:bench\">\n<trk><name>a day</name>\n<trkseg>\n",
    );
    for i in 0..FIXES {
        let angle = f64::from(i) / 600.0;
        let (lat, lon) = (57.7 + 0.01 * angle.sin(), 11.9 + 0.02 * angle.cos());
        let time = start + SignedDuration::from_secs(i64::from(i));
        writeln!(text, "  <trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\">").unwrap();
        writeln!(
            text,
            "    <ele>{:.1}</ele>\n    <time>{time}</time>",
            angle.sin()
        )
        .unwrap();
        if shape == Shape::Odd {
            text.push_str("    <desc>odd &amp; rare</desc>\n");
        }
        if shape == Shape::Rich {
            writeln!(
                text,
                "    <hdop>0.9</hdop>\n    <extensions>\n      <x:speed>{:.2}</x:speed>\n      \
                 <x:course>{:.1}</x:course>\n      <x:depth>4.2</x:depth>\n    </extensions>",
                4.0 + angle.sin(),
                180.0 + 90.0 * angle.cos(),
            )
            .unwrap();
        }
        text.push_str("  </trkpt>\n");
    }
    text.push_str("</trkseg></trk>\n</gpx>\n");
    text
}

/// Every token once, nothing done with it.
fn tokens(bytes: &[u8]) -> usize {
    let mut reader = Reader::from_reader(bytes);
    let mut count = 0;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => return count,
            event => {
                black_box(&event);
                count += 1;
            }
        }
    }
}

fn ours(bytes: &[u8]) -> usize {
    thereback::parser::read(bytes, "day.gpx")
        .unwrap()
        .points_met
}

fn gpx_crate(bytes: &[u8]) -> usize {
    let gpx = gpx::read(bytes).unwrap();
    gpx.tracks
        .iter()
        .flat_map(|t| &t.segments)
        .map(|s| s.points.len())
        .sum()
}

/// The day as a receiver on board sends it: RMC, GGA and VTG each second, and a heading.
fn nmea_day() -> String {
    let start: Timestamp = "2031-06-04T06:00:00Z".parse().unwrap();
    let mut text = String::new();
    for i in 0..FIXES {
        let angle = f64::from(i) / 600.0;
        let (lat, lon) = (42.0 + 0.6 * angle.sin(), 54.0 + 1.2 * angle.cos());
        let time = start + SignedDuration::from_secs(i64::from(i));
        let clock = time.strftime("%H%M%S.00");
        let place = format!("57{lat:08.5},N,011{lon:08.5},E");
        let course = 180.0 + 90.0 * angle.cos();
        for body in [
            format!("GNRMC,{clock},A,{place},4.20,{course:.1},040631,4.5,E,A"),
            format!("GNGGA,{clock},{place},1,12,0.70,1.3,M,36.1,M,,"),
            format!("GNVTG,{course:.1},T,,M,4.20,N,7.78,K,A"),
            format!("HEHDT,{course:.1},T"),
        ] {
            let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
            write!(text, "${body}*{sum:02X}\r\n").unwrap();
        }
    }
    text
}

/// Every sentence by the `nmea` crate, without any state and nothing done with it.
fn nmea_crate(bytes: &[u8]) -> usize {
    let lines = std::str::from_utf8(bytes).unwrap().lines();
    lines
        .filter(|line| black_box(nmea::parse_str(line)).is_ok())
        .count()
}

fn reading_nmea(criterion: &mut Criterion) {
    let day = nmea_day();
    let mut group = criterion.benchmark_group("nmea");
    group.throughput(Throughput::Bytes(day.len() as u64));
    group
        .measurement_time(Duration::from_secs(3))
        .sample_size(20);
    group.bench_function("reader", |b| b.iter(|| ours(day.as_bytes())));
    group.bench_function("nmea crate", |b| b.iter(|| nmea_crate(day.as_bytes())));
    group.finish();

    let bytes = day.as_bytes();
    assert_eq!(nmea_crate(bytes), 4 * FIXES as usize);
    let (mut reader, mut other) = (f64::MAX, f64::MAX);
    for _ in 0..ROUNDS {
        reader = reader.min(seconds(|| ours(bytes)));
        other = other.min(seconds(|| nmea_crate(bytes)));
    }
    let megabytes = bytes.len() as f64 / 1e6;
    println!(
        "nmea: {megabytes:.2} MB; reader {:.0} MB/s, nmea crate {:.0} MB/s; nmea crate/reader {:.1}\n",
        megabytes / reader,
        megabytes / other,
        other / reader,
    );
}

fn reading(criterion: &mut Criterion) {
    for (name, day) in days() {
        let mut group = criterion.benchmark_group(name);
        group.throughput(Throughput::Bytes(day.len() as u64));
        group
            .measurement_time(Duration::from_secs(3))
            .sample_size(20);
        group.bench_function("tokens", |b| b.iter(|| tokens(day.as_bytes())));
        group.bench_function("reader", |b| b.iter(|| ours(day.as_bytes())));
        group.finish();
        print_ratios(name, day.as_bytes());
    }
}

/// Ratios of the shortest times, the ways taken in turn so that all meet the same noise.
fn print_ratios(name: &str, bytes: &[u8]) {
    let (mut token, mut reader, mut other) = (f64::MAX, f64::MAX, f64::MAX);
    for round in 0..ROUNDS {
        token = token.min(seconds(|| tokens(bytes)));
        reader = reader.min(seconds(|| ours(bytes)));
        if round % 10 == 0 {
            other = other.min(seconds(|| gpx_crate(bytes)));
        }
    }
    let megabytes = bytes.len() as f64 / 1e6;
    println!(
        "{name}: {megabytes:.2} MB; tokens {:.0} MB/s, reader {:.0} MB/s, gpx crate {:.0} MB/s; \
         reader/tokens {:.2}, gpx crate/reader {:.1}\n",
        megabytes / token,
        megabytes / reader,
        megabytes / other,
        reader / token,
        other / reader,
    );
}

fn seconds(work: impl Fn() -> usize) -> f64 {
    let start = Instant::now();
    black_box(work());
    start.elapsed().as_secs_f64()
}

criterion_group!(benches, reading, reading_nmea);
criterion_main!(benches);
