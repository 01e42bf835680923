//! What the person at the helm does: straight stretches, turns, coming back to a line.

use super::noise::{between, happens, normal};
use super::physics::{Surroundings, Vector, turn_between};
use super::scenario::Steering;
use super::voyage::{Purpose, Stretch, Voyage, Wheel};
use super::weather::{mean_air, mean_water};

/// No stretch lasts longer, s: a boat that cannot stem the stream gives up.
const LONGEST_STRETCH_S: f64 = 2400.0;
/// How far ahead on the line a person aims when coming back to it, m.
const LOOK_AHEAD_M: f64 = 25.0;
/// On the line again: this near it, m, and this near its heading, degrees; or after so long, s.
const ON_LINE_M: f64 = 3.0;
const ON_LINE_DEG: f64 = 8.0;
const LONGEST_JOIN_S: f64 = 60.0;
/// Near enough to reach the landing by hand, m; no landing takes longer, s.
const ALONGSIDE_M: f64 = 3.0;
const LONGEST_LANDING_S: f64 = 300.0;
/// Slow correction towards the line, degrees of heading per metre off it, and at most.
const LINE_GAIN_DEG_PER_M: f64 = 0.5;
pub(super) const LINE_MOST_DEG: f64 = 6.0;
/// A person makes good at most this much allowance for wind and stream, degrees.
const MOST_ALLOWANCE_DEG: f64 = 40.0;

/// A directed line on the water, from a mark.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    pub(super) from: Vector,
    pub(super) course_deg: f64,
}

impl Line {
    /// Metres along the line.
    pub(super) fn along(self, place: Vector) -> f64 {
        let (unit, off) = (Vector::towards(self.course_deg, 1.0), place - self.from);
        unit.east * off.east + unit.north * off.north
    }

    /// Metres to starboard of the line.
    pub(super) fn aside(self, place: Vector) -> f64 {
        let (unit, off) = (Vector::towards(self.course_deg, 1.0), place - self.from);
        unit.north * off.east - unit.east * off.north
    }

    /// The same line the other way, from a mark this far along.
    pub(super) fn back_from(self, metres: f64) -> Self {
        Self {
            from: self.from + Vector::towards(self.course_deg, metres),
            course_deg: self.course_deg + 180.0,
        }
    }
}

/// When a stretch ends.
#[derive(Debug, Clone, Copy)]
pub(super) enum Until {
    /// After this many seconds.
    Seconds(f64),
    /// This many metres along the line.
    Along(f64),
}

impl Until {
    /// A share of it.
    pub(super) fn part(self, share: f64) -> Self {
        match self {
            Self::Seconds(s) => Self::Seconds(s * share),
            Self::Along(m) => Self::Along(m * share),
        }
    }
}

impl Voyage<'_> {
    /// The heading chosen to make good a line: by the person's feel for the mean wind and stream.
    pub(super) fn aim(&mut self, thrust: f64, course_deg: f64, steering: Steering) -> f64 {
        if steering == Steering::Heading {
            return course_deg;
        }
        let mean = Surroundings {
            air: mean_air(&self.scenario.wind, self.t),
            water: mean_water(&self.scenario.water, self.t),
        };
        let steady = self.hull().heading_for(thrust, course_deg, mean);
        let allowance = turn_between(course_deg, steady.heading_deg)
            .clamp(-MOST_ALLOWANCE_DEG, MOST_ALLOWANCE_DEG);
        course_deg + allowance + self.scenario.helm.aim_error_deg * normal(&mut self.rng)
    }

    /// A straight stretch on a heading; its number.
    pub(super) fn straight(
        &mut self,
        thrust: f64,
        line: Line,
        heading_deg: f64,
        until: Until,
        purpose: Purpose,
    ) -> usize {
        let correcting =
            matches!(purpose, Purpose::Run { .. }) && self.scenario.helm.steering == Steering::Line;
        let from = self.moments.len();
        let began = self.t;
        self.start_shadow(thrust, heading_deg);
        loop {
            let off = if correcting {
                (LINE_GAIN_DEG_PER_M * line.aside(self.place)).clamp(-LINE_MOST_DEG, LINE_MOST_DEG)
            } else {
                0.0
            };
            self.step(thrust, Wheel::Hold(heading_deg - off));
            let spent = self.t - began;
            let done = match until {
                Until::Seconds(seconds) => spent >= seconds,
                Until::Along(metres) => line.along(self.place) >= metres,
            };
            if done || spent >= LONGEST_STRETCH_S || self.over() {
                break;
            }
        }
        self.drop_shadow();
        self.stretches.push(Stretch {
            from,
            to: self.moments.len() - 1,
            purpose,
            configuration: self.configuration,
        });
        self.stretches.len() - 1
    }

    /// Turns to a heading with the helm over; the way round is given or the shorter one.
    pub(super) fn turn_to(&mut self, thrust: f64, heading_deg: f64, starboard: Option<bool>) {
        let helm = &self.scenario.helm;
        let short = turn_between(self.heading_deg, heading_deg);
        let side = match starboard {
            Some(true) => 1.0,
            Some(false) => -1.0,
            None => 1.0_f64.copysign(short),
        };
        let mut left = (short * side).rem_euclid(360.0);
        // A turn all but finished must not go round once more.
        if left > 340.0 {
            return;
        }
        let rate = helm.turn_rate_deg_s;
        let thrust = thrust * helm.turn_throttle;
        // The helm is eased this much before the heading: the rate of turn lags behind it.
        let lead = 1.5 * rate;
        while left > lead && !self.over() {
            let before = self.heading_deg;
            self.step(thrust, Wheel::Over(side * rate));
            left -= turn_between(before, self.heading_deg) * side;
        }
    }

    /// Comes back to a line after a turn: steers at a point ahead on it until on it.
    pub(super) fn join(&mut self, thrust: f64, line: Line, heading_deg: f64, most_deg: f64) {
        let until = self.t + LONGEST_JOIN_S;
        while self.t < until {
            let aside = line.aside(self.place);
            let towards = (aside / LOOK_AHEAD_M).atan().to_degrees();
            let wanted = heading_deg - towards.clamp(-most_deg, most_deg);
            self.step(thrust, Wheel::Hold(wanted));
            let near = line.aside(self.place).abs() < ON_LINE_M;
            if near && turn_between(self.heading_deg, heading_deg).abs() < ON_LINE_DEG {
                break;
            }
        }
    }

    /// Turns onto a line from wherever the boat is, and comes back to it as this person does.
    ///
    /// `heading_deg` is the heading meant for the leg; `running` says that the boat comes straight
    /// from the leg before and so turns about in a loop.
    pub(super) fn turn_onto(&mut self, thrust: f64, line: Line, heading_deg: f64, running: bool) {
        let helm = &self.scenario.helm;
        let (loop_deg, starboard_share) = (helm.loop_deg, helm.starboard_share);
        if running {
            let starboard = happens(&mut self.rng, starboard_share);
            let side = if starboard { 1.0 } else { -1.0 };
            let past = loop_deg * between(&mut self.rng, 0.6, 1.4);
            self.turn_to(thrust, heading_deg + side * past, Some(starboard));
        } else {
            self.turn_to(thrust, heading_deg, None);
        }
        self.start_shadow(thrust, heading_deg);
        if loop_deg > 0.0 {
            self.join(thrust, line, heading_deg, loop_deg.max(15.0));
        }
    }

    /// Goes to a place in one straight stretch.
    pub(super) fn go_to(&mut self, thrust: f64, place: Vector) {
        let way = place - self.place;
        if way.length() < 1.0 {
            return;
        }
        let course = way.degrees();
        let heading = self.aim(thrust, course, Steering::Aimed);
        self.turn_to(thrust, heading, None);
        let line = Line {
            from: self.place,
            course_deg: (place - self.place).degrees(),
        };
        let left = (place - self.place).length();
        let heading = heading + turn_between(course, line.course_deg);
        self.straight(thrust, line, heading, Until::Along(left), Purpose::Passage);
    }

    /// Comes alongside a place: slowly, the bow kept on it; made fast there.
    pub(super) fn come_alongside(&mut self, thrust: f64, place: Vector) {
        let until = self.t + LONGEST_LANDING_S;
        while self.t < until && !self.over() {
            let way = place - self.place;
            if way.length() < ALONGSIDE_M {
                break;
            }
            self.step(thrust, Wheel::Hold(way.degrees()));
        }
        self.place = place;
    }
}
