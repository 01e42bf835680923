//! What an angler's track looks like between rides: drifting, hopping, trolling.

use super::helm::{Line, Until};
use super::noise::{between, happens};
use super::outing::{Diary, mark};
use super::physics::Vector;
use super::voyage::{Purpose, Voyage, Wheel};

/// Drifts, hops to a new spot, trolls along, until the time is over.
pub(super) fn fish(voyage: &mut Voyage, diary: &mut Diary, seconds: f64) {
    let until = voyage.t + seconds;
    let thrust = voyage.scenario.boat.thrusts.first().copied().unwrap_or(0.0);
    while voyage.t + 60.0 < until && !voyage.over() {
        let left = until - voyage.t;
        if happens(&mut voyage.rng, voyage.scenario.day.trolling_share) {
            let time = between(&mut voyage.rng, 180.0, 900.0).min(left);
            troll(voyage, 0.6 * thrust, time);
        } else {
            let spots = diary.marks.len();
            mark(voyage, diary, &format!("spot {spots}"));
            let time = between(&mut voyage.rng, 240.0, 900.0).min(left);
            drift_at_spot(voyage, 0.5 * thrust, time);
            if voyage.t + 60.0 < until {
                let metres = between(&mut voyage.rng, 20.0, 80.0);
                let course = between(&mut voyage.rng, 0.0, 360.0);
                let next = voyage.place + Vector::towards(course, metres);
                voyage.go_to(thrust, next);
            }
        }
    }
}

/// Lies adrift; some people put the boat back to the spot with short bursts.
fn drift_at_spot(voyage: &mut Voyage, thrust: f64, seconds: f64) {
    let spot = voyage.place;
    let until = voyage.t + seconds;
    let keeping = happens(&mut voyage.rng, 0.6);
    while voyage.t < until && !voyage.over() {
        let time = between(&mut voyage.rng, 40.0, 160.0).min(until - voyage.t);
        voyage.keep_on(time, 0.0, Wheel::Free);
        if keeping && voyage.t < until {
            let heading = (spot - voyage.place).degrees();
            let burst = between(&mut voyage.rng, 4.0, 14.0);
            voyage.keep_on(burst, thrust, Wheel::Hold(heading));
        }
    }
}

/// Slow straights of one to four minutes with bends between them.
fn troll(voyage: &mut Voyage, thrust: f64, seconds: f64) {
    let until = voyage.t + seconds;
    while voyage.t + 30.0 < until && !voyage.over() {
        let bend = between(&mut voyage.rng, -80.0, 80.0);
        let heading = voyage.heading_deg + bend;
        voyage.turn_to(thrust, heading, None);
        let line = Line {
            from: voyage.place,
            course_deg: heading,
        };
        let time = between(&mut voyage.rng, 45.0, 240.0).min((until - voyage.t).max(10.0));
        voyage.straight(
            thrust,
            line,
            heading,
            Until::Seconds(time),
            Purpose::Passage,
        );
    }
}
