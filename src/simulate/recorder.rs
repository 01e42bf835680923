//! What the recorder keeps of the voyage: fixes, with their errors and gaps.

use geo::{Destination, Geodesic, Point};
use rand_pcg::Pcg64;

use super::physics::{Vector, turn_between};
use super::scenario::{Recorder, Sampling, Scenario};
use super::voyage::Moment;
use super::weather::{GaussMarkov, between, happens, normal};
use crate::track::{Fix, Position};
use crate::units::{Bearing, Speed, SpeedUnit};

/// Receivers give a position once a second; the recorder picks among these.
const RECEIVER_STEP_S: f64 = 1.0;
/// Error of the speed a receiver gives, each axis, m/s (Doppler; our own choice).
const SPEED_ERROR: f64 = 0.05;
/// Below this speed receivers leave the course out, m/s (our own choice).
const SLOWEST_WITH_COURSE: f64 = 0.15;

/// One position as the receiver gave it.
#[derive(Debug, Clone, Copy)]
struct Reading {
    t: f64,
    place: Vector,
    velocity: Vector,
}

/// Records a voyage: fixes in segments.
pub(super) fn record(scenario: &Scenario, moments: &[Moment], rng: &mut Pcg64) -> Vec<Vec<Fix>> {
    let recorder = &scenario.recorder;
    let mut segments = vec![Vec::new()];
    let mut slow = [
        GaussMarkov::new(recorder.slow_error_time_s, RECEIVER_STEP_S, rng),
        GaussMarkov::new(recorder.slow_error_time_s, RECEIVER_STEP_S, rng),
    ];
    let mut silent_until = 0.0;
    let mut next = RECEIVER_STEP_S;
    let mut last: Option<Reading> = None;
    for moment in moments {
        if moment.t < next {
            continue;
        }
        next += RECEIVER_STEP_S;
        let reading = read(recorder, moment, &mut slow, rng);
        if happens(rng, recorder.dropouts_per_h * RECEIVER_STEP_S / 3600.0) {
            silent_until = moment.t + between(rng, 5.0, recorder.dropout_longest_s);
            if recorder.split_at_dropout {
                segments.push(Vec::new());
            }
        }
        if moment.t < silent_until || !due(recorder.sampling, last, reading) {
            continue;
        }
        last = Some(reading);
        if let (Some(segment), Some(fix)) = (segments.last_mut(), store(scenario, reading, rng)) {
            segment.push(fix);
        }
    }
    segments.retain(|segment| !segment.is_empty());
    segments
}

fn read(
    recorder: &Recorder,
    moment: &Moment,
    slow: &mut [GaussMarkov; 2],
    rng: &mut Pcg64,
) -> Reading {
    let error = Vector {
        east: recorder.slow_error * slow[0].step(rng) + recorder.white_error * normal(rng),
        north: recorder.slow_error * slow[1].step(rng) + recorder.white_error * normal(rng),
    };
    let noise = Vector {
        east: SPEED_ERROR * normal(rng),
        north: SPEED_ERROR * normal(rng),
    };
    Reading {
        t: moment.t,
        place: moment.place + moment.sway + error,
        velocity: moment.velocity + noise,
    }
}

fn due(sampling: Sampling, last: Option<Reading>, now: Reading) -> bool {
    let Some(last) = last else { return true };
    let passed = now.t - last.t;
    match sampling {
        // Half a step of slack: times are sums of binary fractions only by luck.
        Sampling::Seconds(interval) => passed > interval - 0.5 * RECEIVER_STEP_S,
        Sampling::Metres(metres) => (now.place - last.place).length() >= metres,
        Sampling::Adaptive {
            turn_deg,
            shortest_s,
            longest_s,
        } => {
            let moving = now.velocity.length() > 2.0 * SLOWEST_WITH_COURSE;
            let turned = turn_between(last.velocity.degrees(), now.velocity.degrees()).abs();
            passed >= longest_s || (passed >= shortest_s && moving && turned >= turn_deg)
        }
    }
}

fn store(scenario: &Scenario, reading: Reading, rng: &mut Pcg64) -> Option<Fix> {
    let recorder = &scenario.recorder;
    let speed = reading.velocity.length();
    let moving = speed >= SLOWEST_WITH_COURSE;
    let course = if moving {
        reading.velocity.degrees()
    } else {
        between(rng, 0.0, 360.0)
    };
    let time = scenario.at(reading.t);
    Some(Fix {
        speed: recorder.stores_speed.then(|| {
            let tenths = (Speed::metres_per_second(speed).in_unit(SpeedUnit::Knots) * 10.0).round();
            Speed::new(tenths / 10.0, SpeedUnit::Knots)
        }),
        course: (recorder.stores_speed && moving)
            .then(|| Bearing::new(course.round()))
            .flatten(),
        ..Fix::bare(time, stored_position(scenario, reading.place)?)
    })
}

/// The position of a place as stored: distance and azimuth from the landing are those of the
/// geodesic on WGS84, to so many decimals of a degree.
pub(super) fn stored_position(scenario: &Scenario, place: Vector) -> Option<Position> {
    let landing = Point::new(scenario.longitude_deg, scenario.latitude_deg);
    let point = Geodesic.destination(landing, place.degrees(), place.length());
    let scale = 10.0_f64.powi(i32::from(scenario.recorder.decimals.min(9)));
    let [latitude, longitude] = [point.y(), point.x()].map(|deg| (deg * scale).round() / scale);
    Position::new(latitude, longitude)
}
