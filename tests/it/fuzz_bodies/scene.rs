//! From bytes to days on the water: a short program of legs, stops, jumps and odd recorders, so that
//! a few bytes reach what lies behind the readers.

use std::sync::OnceLock;

use jiff::{SignedDuration, Timestamp};
use thereback::notes;
use thereback::track::{Fix, Position, RecordedTrack, Recording, Waypoint, WindReading};
use thereback::trial::Settings;
use thereback::units::{Bearing, Distance, Speed, SpeedUnit};

/// No scene has more fixes: a run must stay short.
const MOST_FIXES: usize = 3000;

/// What is analysed.
pub(crate) struct Scene {
    pub(crate) recordings: Vec<Recording>,
    pub(crate) settings: Settings,
}

/// Takes bytes from the front; zeros where there are none left.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        let (first, rest) = self.0.split_first().unwrap_or((&0, &[]));
        self.0 = rest;
        *first
    }

    fn share(&mut self) -> f64 {
        f64::from(self.byte()) / 255.0
    }
}

/// The boat and the recorder while the program runs.
struct Boat {
    at: Timestamp,
    latitude: f64,
    longitude: f64,
    recordings: Vec<Recording>,
    fixes: usize,
    noise: u64,
    /// Which further columns the recorder keeps, by bit.
    columns: u8,
}

/// A scene from any bytes.
pub(crate) fn scene(bytes: &[u8]) -> Scene {
    let mut bytes = Bytes(bytes);
    let kind = bytes.byte();
    // Poles, the date line and the equator are worth a bit each.
    let latitude = [57.7, -33.0, 89.99, 0.0][usize::from(kind & 3)];
    let longitude = [11.9, 179.999, -179.999, 0.0001][usize::from(kind >> 2 & 3)];
    let mut boat = Boat {
        at: Timestamp::from_second(1_938_331_950).unwrap(),
        latitude,
        longitude,
        recordings: Vec::new(),
        fixes: 0,
        noise: 1,
        columns: kind >> 4,
    };
    boat.new_recording();
    let mut settings = Settings::default();
    while !bytes.0.is_empty() && boat.fixes < MOST_FIXES {
        step(&mut boat, &mut bytes, &mut settings);
    }
    for recording in &mut boat.recordings {
        let segments = recording.tracks.iter().flat_map(|track| &track.segments);
        recording.points_met = segments.map(Vec::len).sum();
    }
    Scene {
        recordings: boat.recordings,
        settings,
    }
}

fn step(boat: &mut Boat, bytes: &mut Bytes<'_>, settings: &mut Settings) {
    match bytes.byte() % 16 {
        // Legs are what matters most.
        0..=4 => {
            let course = bytes.share() * 360.0;
            let speed = bytes.share().powi(2) * 12.0;
            let seconds = 60 + 4 * i64::from(bytes.byte());
            let every = [1, 2, 5, 10][usize::from(bytes.byte() & 3)];
            boat.leg(course, speed, seconds, every, 1.0);
        }
        5 => {
            // There and back on one line.
            let (course, speed) = (bytes.share() * 360.0, 1.0 + bytes.share() * 6.0);
            let times = 1 + bytes.byte() % 4;
            for _ in 0..times {
                boat.leg(course, speed, 240, 4, 1.0);
                boat.leg(course + 180.0, speed * 1.03, 240, 4, 1.0);
            }
        }
        6 => boat.leg(
            bytes.share() * 360.0,
            0.2,
            120 * i64::from(bytes.byte()),
            30,
            3.0,
        ),
        7 => boat.at += SignedDuration::from_secs(i64::from(bytes.byte()).pow(2) - 1000),
        8 => {
            boat.latitude = (boat.latitude + bytes.share() - 0.5).clamp(-90.0, 90.0);
            boat.longitude += (bytes.share() - 0.5) * 4.0;
        }
        9 => boat.segments().push(Vec::new()),
        10 => boat.new_recording(),
        11 => boat.mark(),
        12 => {
            let reading = WindReading {
                time: boat.at,
                from: Bearing::new(bytes.share() * 360.0).unwrap(),
                speed: Some(Speed::metres_per_second(bytes.share() * 30.0)),
            };
            boat.recording().wind.push(reading);
        }
        13 => boat.columns = bytes.byte(),
        14 => {
            settings.wind_from = Bearing::new(bytes.share() * 360.0);
            settings.wind_speed = Some(Speed::metres_per_second(bytes.share() * 30.0));
            settings.units = Some(SpeedUnit::MilesPerHour);
        }
        _ => {
            // The rest is notes.
            let text = String::from_utf8_lossy(bytes.0).into_owned();
            settings.notes = notes::read(&text, "notes.toml").ok();
            bytes.0 = &[];
        }
    }
}

impl Boat {
    fn recording(&mut self) -> &mut Recording {
        self.recordings.last_mut().unwrap()
    }

    fn segments(&mut self) -> &mut Vec<Vec<Fix>> {
        &mut self.recording().tracks.last_mut().unwrap().segments
    }

    fn new_recording(&mut self) {
        let file = format!("{}.gpx", self.recordings.len());
        self.recordings.push(Recording {
            file,
            tracks: vec![RecordedTrack {
                name: None,
                segments: vec![Vec::new()],
            }],
            ..Recording::default()
        });
    }

    fn mark(&mut self) {
        if let Some(position) = self.position() {
            let (name, time) = (format!("mark {}", self.fixes), Some(self.at));
            let waypoint = Waypoint {
                name,
                time,
                position,
            };
            self.recording().waypoints.push(waypoint);
        }
    }

    fn position(&self) -> Option<Position> {
        let longitude = (self.longitude + 180.0).rem_euclid(360.0) - 180.0;
        Position::new(self.latitude, longitude)
    }

    /// In `[-1, 1]`, the same on every run (a linear congruential generator, Knuth's constants).
    fn noise(&mut self) -> f64 {
        self.noise = self
            .noise
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.noise >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    fn leg(&mut self, course: f64, speed: f64, seconds: i64, every: i64, noise_m: f64) {
        const METRES_PER_DEGREE: f64 = 111_195.0;
        let (east, north) = course.to_radians().sin_cos();
        let along = METRES_PER_DEGREE * self.latitude.to_radians().cos().max(1e-3);
        let mut second = 0;
        while second < seconds && self.fixes < MOST_FIXES {
            second += every;
            self.fixes += 1;
            self.at += SignedDuration::from_secs(every);
            let run = speed * every as f64;
            self.latitude = (self.latitude + run * north / METRES_PER_DEGREE).clamp(-90.0, 90.0);
            self.longitude += run * east / along;
            let (off_north, off_east) = (self.noise() * noise_m, self.noise() * noise_m);
            let latitude = (self.latitude + off_north / METRES_PER_DEGREE).clamp(-90.0, 90.0);
            let longitude = self.longitude + off_east / along;
            let longitude = (longitude + 180.0).rem_euclid(360.0) - 180.0;
            let Some(position) = Position::new(latitude, longitude) else {
                continue;
            };
            let has = |bit: u8| self.columns >> bit & 1 == 1;
            let course = Bearing::new(course);
            let fix = Fix {
                speed: Some(Speed::metres_per_second(speed)).filter(|_| has(0)),
                course: course.filter(|_| has(1)),
                depth: Some(Distance::metres(4.0)).filter(|_| has(2)),
                heading: course.filter(|_| has(3)),
                water_speed: Some(Speed::metres_per_second(speed)).filter(|_| has(3)),
                ..Fix::bare(self.at, position)
            };
            if let Some(segment) = self.segments().last_mut() {
                segment.push(fix);
            }
        }
    }
}

/// Three double runs on one line, a stop, and three more.
pub(crate) fn small_day() -> &'static Recording {
    static DAY: OnceLock<Recording> = OnceLock::new();
    DAY.get_or_init(|| {
        let program = [0, 5, 40, 100, 2, 11, 6, 90, 10, 11, 5, 40, 115, 2];
        let mut recordings = scene(&program).recordings;
        recordings.swap_remove(0)
    })
}
