//! The boat's way through the day, step by step, and what the person at the helm does: straight
//! stretches, turns, coming back to a line.

use rand_pcg::Pcg64;

use super::physics::{Craft, Motion, Surroundings, Vector, turn_between, wrapped};
use super::scenario::{Configuration, Scenario, Steering};
use super::weather::{
    GaussMarkov, SECONDS_PER_HOUR, Waves, Weather, between, happens, mean_air, mean_water, normal,
};

/// Step of the equations of motion, s. Steady speeds do not depend on it: where the scheme rests,
/// the forces balance.
pub(super) const STEP_S: f64 = 0.25;
/// No day lasts longer, s: a scenario that never ends is cut off.
const LONGEST_DAY_S: f64 = 86_400.0;
/// Lag between the helm and the rate of turn, s (our own choice for small boats).
const HELM_LAG_S: f64 = 1.0;
/// Largest rate of turn the heading hold asks for, as a share of the rate with the helm over.
const HOLD_RATE_SHARE: f64 = 0.7;
/// Time constant of the yaw that gusts and waves force, s, and its size per m/s of wind, deg/s.
const YAW_TIME_S: f64 = 3.0;
const YAW_PER_WIND: f64 = 0.08;
/// How fast an idle boat comes to lie beam-on, per s, and how it wanders about that, degrees and s.
const BEAM_ON_PER_S: f64 = 0.03;
const WANDER_DEG: f64 = 18.0;
const WANDER_TIME_S: f64 = 60.0;

/// The state of everything at one step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    /// Seconds since the start of the day.
    pub(super) t: f64,
    /// Place without the motion in waves, m.
    pub(super) place: Vector,
    /// What the waves add, m.
    pub(super) sway: Vector,
    /// Velocity over ground with the waves, m/s.
    pub(super) velocity: Vector,
    /// Velocity of the air over ground, m/s.
    pub(super) air: Vector,
    /// Velocity of the water over ground, m/s.
    pub(super) water: Vector,
    /// Heading, degrees.
    pub(super) heading_deg: f64,
    /// Shortfall of the speed ahead against a boat that never turned, as a share of its speed;
    /// `None` where none is simulated.
    pub(super) behind: Option<f64>,
    /// Whether the motor pushes.
    pub(super) under_way: bool,
    /// How hard, N.
    pub(super) push: f64,
    /// Speed ahead through the water, m/s.
    pub(super) ahead: f64,
}

/// What a straight stretch is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Purpose {
    /// A ride, a hop, trolling.
    Passage,
    /// A run of the trial.
    Run {
        line: usize,
        setting: usize,
        broken_off: bool,
    },
}

/// A straight stretch as the helm meant it: from the moment the heading was taken up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    /// First moment with this heading held.
    pub(super) from: usize,
    /// Last moment with it.
    pub(super) to: usize,
    /// What for.
    pub(super) purpose: Purpose,
    /// In which configuration.
    pub(super) configuration: usize,
}

/// What the helm does in one step.
#[derive(Debug, Clone, Copy)]
pub(super) enum Wheel {
    /// Holds a heading, degrees.
    Hold(f64),
    /// Is put over: rate of turn wanted, degrees per second, positive to starboard.
    Over(f64),
    /// Is left alone: the boat lies beam-on.
    Free,
}

/// The day under way.
pub(super) struct Voyage<'a> {
    pub(super) scenario: &'a Scenario,
    pub(super) rng: Pcg64,
    pub(super) t: f64,
    pub(super) place: Vector,
    pub(super) heading_deg: f64,
    pub(super) configuration: usize,
    pub(super) moments: Vec<Moment>,
    pub(super) stretches: Vec<Stretch>,
    pub(super) around: Surroundings,
    /// Step of the equations of motion, s.
    pub(super) step_s: f64,
    hull: Craft,
    motion: Motion,
    /// The boat that never turned, while a stretch lasts.
    shadow: Option<Motion>,
    rate_deg_s: f64,
    weather: Weather,
    waves: Waves,
    yaw: GaussMarkov,
    wander: GaussMarkov,
    hunting_phase: f64,
}

impl<'a> Voyage<'a> {
    /// A boat at the landing.
    pub(super) fn new(scenario: &'a Scenario, step_s: f64, mut rng: Pcg64) -> Self {
        let boat = &scenario.boat;
        let first = boat.configurations.first();
        let hull = Craft::new(boat, first.unwrap_or(&Configuration::default()));
        let mut weather = Weather::new(&scenario.wind, step_s, &mut rng);
        let around = weather.step(&scenario.wind, &scenario.water, 0.0, &mut rng);
        Self {
            scenario,
            t: 0.0,
            place: Vector::default(),
            heading_deg: scenario.day.ride_deg,
            configuration: 0,
            moments: Vec::new(),
            stretches: Vec::new(),
            around,
            step_s,
            hull,
            motion: Motion::default(),
            shadow: None,
            rate_deg_s: 0.0,
            weather,
            waves: Waves::new(scenario.water.wave_period_s, step_s, &mut rng),
            yaw: GaussMarkov::new(YAW_TIME_S, step_s, &mut rng),
            wander: GaussMarkov::new(WANDER_TIME_S, step_s, &mut rng),
            hunting_phase: 0.0,
            rng,
        }
    }

    /// Fits a configuration; an unknown index leaves the boat as it is.
    pub(super) fn fit(&mut self, configuration: usize) {
        if let Some(fitted) = self.scenario.boat.configurations.get(configuration) {
            self.configuration = configuration;
            self.hull = Craft::new(&self.scenario.boat, fitted);
        }
    }

    /// The boat as it is fitted now.
    pub(super) fn hull(&self) -> &Craft {
        &self.hull
    }

    /// Begins to measure the boat against one that never turned, unless that is done already.
    pub(super) fn start_shadow(&mut self, thrust: f64, heading_deg: f64) {
        if self.shadow.is_none() {
            let thrust = self.sagged(thrust);
            self.shadow = Some(self.hull.steady(thrust, heading_deg, self.around));
        }
    }

    /// The thrust that the battery still gives.
    fn sagged(&self, thrust: f64) -> f64 {
        let hours = self.t / SECONDS_PER_HOUR;
        thrust * (1.0 - self.scenario.boat.sag_per_h * hours).max(0.0)
    }

    /// Stops that.
    pub(super) fn drop_shadow(&mut self) {
        self.shadow = None;
    }

    /// One step under way or adrift; `thrust` in N.
    pub(super) fn step(&mut self, thrust: f64, wheel: Wheel) {
        self.surroundings_on();
        self.steer(thrust, wheel);
        let thrust = self.sagged(thrust);
        let (heading, rate, around) = (self.heading_deg, self.rate_deg_s.to_radians(), self.around);
        self.motion = self
            .hull
            .step(self.motion, thrust, heading, rate, around, self.step_s);
        // The boat that never turned hunts, but no more than that.
        let most = self.hunting_rate();
        let hunted = rate.clamp(-most, most);
        self.shadow = self.shadow.map(|shadow| {
            self.hull
                .step(shadow, thrust, heading, hunted, around, self.step_s)
        });
        let velocity = self.motion.over_ground(heading, around.water);
        self.place = self.place + velocity * self.step_s;
        self.log(velocity, thrust);
    }

    /// One step made fast: nothing moves.
    pub(super) fn step_moored(&mut self) {
        self.surroundings_on();
        self.motion = Motion::default();
        self.rate_deg_s = 0.0;
        self.log(Vector::default(), 0.0);
    }

    /// Steps for a time, s.
    pub(super) fn keep_on(&mut self, seconds: f64, thrust: f64, wheel: Wheel) {
        let until = self.t + seconds;
        while self.t < until && !self.over() {
            self.step(thrust, wheel);
        }
    }

    /// Stays made fast for a time, s.
    pub(super) fn moor(&mut self, seconds: f64) {
        let until = self.t + seconds;
        while self.t < until && !self.over() {
            self.step_moored();
        }
    }

    /// Whether the day has lasted as long as a day may.
    pub(super) fn over(&self) -> bool {
        self.t >= LONGEST_DAY_S
    }

    /// Largest rate of turn of the hunting, rad/s.
    fn hunting_rate(&self) -> f64 {
        let helm = &self.scenario.helm;
        let cycles = std::f64::consts::TAU / helm.hunting_period_s.max(1.0);
        helm.hunting_deg.max(0.0).to_radians() * cycles
    }

    fn surroundings_on(&mut self) {
        self.t += self.step_s;
        self.around = self.weather.step(
            &self.scenario.wind,
            &self.scenario.water,
            self.t,
            &mut self.rng,
        );
    }

    /// First-order answer of the rate of turn to the helm (Nomoto's first-order model, with the
    /// gain left out: the helm asks for a rate). The heading hold is proportional; its hunting is
    /// a slow sine whose phase wanders. Our own model.
    fn steer(&mut self, thrust: f64, wheel: Wheel) {
        let helm = &self.scenario.helm;
        let yaw = self.yaw.step(&mut self.rng);
        let wander = self.wander.step(&mut self.rng);
        let hunting_step = std::f64::consts::TAU * self.step_s / helm.hunting_period_s.max(1.0);
        self.hunting_phase += hunting_step * (1.0 + 0.5 * wander);
        let wanted = match wheel {
            Wheel::Hold(heading) => {
                let hunted = heading + helm.hunting_deg * self.hunting_phase.sin();
                let most = helm.turn_rate_deg_s * HOLD_RATE_SHARE;
                (helm.gain * turn_between(self.heading_deg, hunted)).clamp(-most, most)
            }
            Wheel::Over(rate) => rate,
            Wheel::Free => {
                let from = self.around.air.degrees() + 180.0;
                let starboard = turn_between(self.heading_deg, from + 90.0);
                let port = turn_between(self.heading_deg, from - 90.0);
                let nearer = if starboard.abs() < port.abs() {
                    starboard
                } else {
                    port
                };
                BEAM_ON_PER_S * (nearer + WANDER_DEG * wander)
            }
        };
        self.rate_deg_s += (wanted - self.rate_deg_s) * self.step_s / HELM_LAG_S;
        let forced = if thrust > 0.0 {
            YAW_PER_WIND * yaw * self.around.air.length()
        } else {
            0.0
        };
        self.heading_deg = wrapped(self.heading_deg + self.step_s * (self.rate_deg_s + forced));
    }

    fn log(&mut self, velocity: Vector, thrust: f64) {
        let orbit = self.waves.step(&mut self.rng);
        let air = self.around.air;
        let with_the_wind = air * (self.scenario.water.wave_speed / air.length().max(0.1));
        let behind = self
            .shadow
            .map(|shadow| 1.0 - self.motion.ahead / shadow.ahead.max(0.01));
        self.moments.push(Moment {
            t: self.t,
            place: self.place,
            sway: with_the_wind * orbit.displacement,
            velocity: velocity + with_the_wind * orbit.velocity,
            air,
            water: self.around.water,
            heading_deg: self.heading_deg,
            behind,
            under_way: thrust > 0.0,
            push: self.hull.push(thrust, self.motion.ahead),
            ahead: self.motion.ahead,
        });
    }
}

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
