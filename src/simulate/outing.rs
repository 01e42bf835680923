//! The day's plan carried out: ride, fishing, trial, swap, fishing, ride home.
//!
//! Fishing is what an angler's track looks like between rides: drifting, hopping, trolling.

use super::physics::{Vector, turn_between};
use super::scenario::{LegLength, Steering};
use super::voyage::{Line, Purpose, Until, Voyage, Wheel};
use super::weather::{between, happens};

/// Run-up before the first mark of a line, m.
const RUN_UP_M: f64 = 50.0;
/// Nearer than this to the run-up the boat turns onto the line at once, m.
const NEAR_M: f64 = 40.0;

/// A place marked on the plotter.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    pub(super) name: String,
    /// Which moment.
    pub(super) moment: usize,
}

/// A double run as run: the stretches there and back.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) stretches: [usize; 2],
    pub(super) line: usize,
    pub(super) setting: usize,
    pub(super) configuration: usize,
}

/// What the day left behind beside the voyage's own log.
#[derive(Debug, Clone, Default)]
pub(super) struct Diary {
    pub(super) marks: Vec<Mark>,
    pub(super) pairs: Vec<Pair>,
    /// Configuration and the moment it was fitted.
    pub(super) fitted: Vec<(usize, usize)>,
}

/// Sails the whole day.
pub(super) fn spend_day(voyage: &mut Voyage) -> Diary {
    let mut diary = Diary::default();
    let day = &voyage.scenario.day;
    if let Some(first) = day.blocks.first() {
        voyage.fit(first.configuration);
    }
    diary.fitted.push((voyage.configuration, 0));
    voyage.moor(day.moored_s.max(1.0));
    mark(voyage, &mut diary, "landing");
    let corners = ride_out(voyage);
    fish(voyage, &mut diary, day.fishing_before_s);
    trial(voyage, &mut diary);
    fish(voyage, &mut diary, day.fishing_after_s);
    let thrust = ride_thrust(voyage);
    for corner in corners.iter().rev() {
        voyage.go_to(thrust, *corner);
    }
    if let Some(&landing) = corners.first() {
        voyage.come_alongside(0.4 * thrust, landing);
    }
    voyage.moor(day.moored_s);
    diary
}

pub(super) fn mark(voyage: &Voyage, diary: &mut Diary, name: &str) {
    diary.marks.push(Mark {
        name: name.to_owned(),
        moment: voyage.moments.len().saturating_sub(1),
    });
}

fn highest_thrust(voyage: &Voyage) -> f64 {
    let thrusts = &voyage.scenario.boat.thrusts;
    thrusts.iter().copied().fold(0.0, f64::max)
}

fn ride_thrust(voyage: &Voyage) -> f64 {
    highest_thrust(voyage) * voyage.scenario.day.ride_throttle
}

/// The corners passed, the landing first; the last stretch's end is not among them.
fn ride_out(voyage: &mut Voyage) -> Vec<Vector> {
    let day = &voyage.scenario.day;
    let stretches = day.ride_stretches.max(1);
    let mut corners = vec![voyage.place];
    if day.ride_m <= 0.0 {
        return corners;
    }
    let thrust = ride_thrust(voyage);
    for _ in 0..stretches {
        if voyage.over() {
            break;
        }
        let bend = between(&mut voyage.rng, -30.0, 30.0);
        let share = between(&mut voyage.rng, 0.6, 1.4);
        let metres = share * day.ride_m / stretches as f64;
        let next = voyage.place + Vector::towards(day.ride_deg + bend, metres);
        voyage.go_to(thrust, next);
        corners.push(voyage.place);
    }
    corners.pop();
    corners
}

fn trial(voyage: &mut Voyage, diary: &mut Diary) {
    let day = &voyage.scenario.day;
    let mut lines: Vec<Option<Line>> = vec![None; day.lines_deg.len()];
    // The lever stays where it was set while the same thing is run.
    let (mut held, mut off) = (None, 0.0);
    for block in &day.blocks {
        if block.configuration != voyage.configuration {
            swap(voyage, diary, block.configuration);
        }
        for &setting in &block.settings {
            let Some(&thrust) = voyage.scenario.boat.thrusts.get(setting) else {
                continue;
            };
            let cell = (block.configuration, setting);
            if held.replace(cell) != Some(cell) {
                off = lever_error(voyage);
            }
            let thrust = thrust * (1.0 + off);
            for (number, &course_deg) in day.lines_deg.iter().enumerate() {
                let known = lines.get(number).copied().flatten();
                let line = known.unwrap_or_else(|| Line {
                    from: voyage.place + Vector::towards(course_deg, RUN_UP_M),
                    course_deg,
                });
                if let Some(slot) = lines.get_mut(number) {
                    *slot = Some(line);
                }
                approach(voyage, thrust, line);
                let run = Run {
                    line: number,
                    setting,
                    thrust,
                };
                for _ in 0..block.double_runs {
                    if voyage.over() {
                        return;
                    }
                    double_run(voyage, diary, line, run);
                }
            }
        }
    }
}

/// How far off the lever is set this time, as a share of the thrust.
fn lever_error(voyage: &mut Voyage) -> f64 {
    let most = voyage.scenario.boat.lever_error;
    if most > 0.0 {
        between(&mut voyage.rng, -most, most)
    } else {
        0.0
    }
}

/// One setting on one line.
#[derive(Debug, Clone, Copy)]
struct Run {
    line: usize,
    setting: usize,
    thrust: f64,
}

/// Goes to the run-up of a line, if it is not at hand.
fn approach(voyage: &mut Voyage, thrust: f64, line: Line) {
    let run_up = line.from - Vector::towards(line.course_deg, RUN_UP_M);
    if (run_up - voyage.place).length() > NEAR_M {
        voyage.go_to(thrust, run_up);
    }
}

fn double_run(voyage: &mut Voyage, diary: &mut Diary, line: Line, run: Run) {
    let (back, until) = match voyage.scenario.day.leg {
        LegLength::Metres(metres) => (line.back_from(metres), Until::Along(metres)),
        LegLength::Seconds(seconds) => (line.back_from(0.0), Until::Seconds(seconds)),
    };
    let there = one_leg(voyage, line, until, run);
    let home = one_leg(voyage, back, until, run);
    diary.pairs.push(Pair {
        stretches: [there, home],
        line: run.line,
        setting: run.setting,
        configuration: voyage.configuration,
    });
}

/// Turns onto the line, runs the leg, perhaps breaks it off and runs it again, perhaps pauses.
fn one_leg(voyage: &mut Voyage, line: Line, until: Until, run: Run) -> usize {
    let day = &voyage.scenario.day;
    let steering = voyage.scenario.helm.steering;
    let mut purpose = Purpose::Run {
        line: run.line,
        setting: run.setting,
        broken_off: true,
    };
    let place = voyage.place;
    if happens(&mut voyage.rng, day.broken_off_chance) {
        let share = between(&mut voyage.rng, 0.25, 0.6);
        take_up(
            voyage,
            line,
            run.thrust,
            steering,
            until.part(share),
            purpose,
        );
        // Out of the way of whatever came, then back to where the leg began.
        let aside = voyage.heading_deg + between(&mut voyage.rng, 40.0, 70.0);
        voyage.turn_to(run.thrust, aside, None);
        let time = between(&mut voyage.rng, 10.0, 30.0);
        voyage.keep_on(time, 0.5 * run.thrust, Wheel::Hold(aside));
        // A leg between marks begins at its mark; one by the clock where it was begun.
        let began = match until {
            Until::Along(_) => line.from,
            Until::Seconds(_) => place,
        };
        let run_up = began - Vector::towards(line.course_deg, RUN_UP_M);
        voyage.go_to(0.8 * run.thrust, run_up);
    }
    purpose = Purpose::Run {
        line: run.line,
        setting: run.setting,
        broken_off: false,
    };
    let number = take_up(voyage, line, run.thrust, steering, until, purpose);
    if happens(&mut voyage.rng, day.pause_chance) {
        let time = between(&mut voyage.rng, 10.0, day.pause_longest_s);
        voyage.keep_on(time, 0.0, Wheel::Free);
    }
    number
}

fn take_up(
    voyage: &mut Voyage,
    line: Line,
    thrust: f64,
    steering: Steering,
    until: Until,
    purpose: Purpose,
) -> usize {
    let heading = voyage.aim(thrust, line.course_deg, steering);
    let running = turn_between(voyage.heading_deg, line.course_deg).abs() > 120.0;
    voyage.turn_onto(thrust, line, heading, running);
    voyage.straight(thrust, line, heading, until, purpose)
}

/// Changes the configuration, adrift or ashore; it counts as fitted from the middle of the stop.
fn swap(voyage: &mut Voyage, diary: &mut Diary, configuration: usize) {
    let day = &voyage.scenario.day;
    let thrust = ride_thrust(voyage);
    let half = 0.5 * day.swap_s;
    let away = voyage.place;
    if day.swap_ashore {
        let course = day.lines_deg.first().copied().unwrap_or(0.0)
            + 90.0
            + between(&mut voyage.rng, -40.0, 40.0);
        let metres = between(&mut voyage.rng, 200.0, 500.0);
        voyage.go_to(thrust, away + Vector::towards(course, metres));
        voyage.moor(half);
    } else {
        voyage.keep_on(half, 0.0, Wheel::Free);
    }
    voyage.fit(configuration);
    diary.fitted.push((configuration, voyage.moments.len()));
    if day.swap_ashore {
        voyage.moor(half);
        let thrust = ride_thrust(voyage);
        voyage.go_to(thrust, away);
    } else {
        voyage.keep_on(half, 0.0, Wheel::Free);
    }
}

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
