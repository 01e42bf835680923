//! What the page draws: the track and the speed over time, as numbers.

use jiff::Timestamp;
use serde::Serialize;
use thereback::day::Trail;
use thereback::trial::Trial;

/// One day's drawing; its numbers lie in one list of 32-bit floats, after those of the day before.
#[derive(Serialize)]
struct Drawn {
    /// Seconds since 1970 that the times count from.
    from: f64,
    /// Latitude and longitude of the point 0, 0.
    origin: Option<[f64; 2]>,
    /// How many points each unbroken stretch of the track has: second, metres east, metres north.
    stretches: Vec<usize>,
    /// How many speeds there are: second, metres a second.
    speeds: usize,
    /// From when to when the boat made no way, s.
    stops: Vec<[f64; 2]>,
}

/// The drawing of all days as JSON, and its numbers, little-endian.
pub fn of(trial: &Trial) -> (Vec<u8>, Vec<u8>) {
    let mut numbers = Vec::new();
    let days: Vec<Drawn> = (trial.days.iter())
        .map(|one| day(&one.trail, &mut numbers))
        .collect();
    (serde_json::to_vec(&days).unwrap_or_default(), numbers)
}

fn day(trail: &Trail, numbers: &mut Vec<u8>) -> Drawn {
    let from = trail.runs.iter().flatten().map(|point| point.time).min();
    let from = from.map_or(0.0, seconds);
    let mut put = |value: f64| numbers.extend((value as f32).to_le_bytes());
    for point in trail.runs.iter().flatten() {
        put(seconds(point.time) - from);
        put(point.east_m);
        put(point.north_m);
    }
    for point in &trail.speeds {
        put(seconds(point.time) - from);
        put(point.speed_m_s);
    }
    Drawn {
        from,
        origin: trail.plane.map(|plane| {
            let origin = plane.origin();
            [origin.latitude(), origin.longitude()]
        }),
        stretches: trail.runs.iter().map(Vec::len).collect(),
        speeds: trail.speeds.len(),
        stops: trail
            .stops
            .iter()
            .map(|stop| stop.map(|time| seconds(time) - from))
            .collect(),
    }
}

fn seconds(time: Timestamp) -> f64 {
    time.as_millisecond() as f64 / 1e3
}
