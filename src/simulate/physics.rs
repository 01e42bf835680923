//! The boat's motion: thrust, hull, air and keel in balance with its mass. Our own model.
//!
//! ```text
//! (m + mx) u' = T0 (1 - a u) - K u|u| - Ka W Wx - Kt r² u|u| + (m + my) v r
//! (m + my) v' =              - Ky v|v| - Kl |u| v - Kb W Wy - (m + mx) u r
//! ```
//! with `u` ahead and `v` to starboard through the water, `r` the rate of turn, and
//! `(Wx, Wy)` the boat's velocity through the air, `W` its size. The form (added mass,
//! Coriolis terms, quadratic drags) is that of Fossen, Handbook of Marine Craft
//! Hydrodynamics and Motion Control, 2011, chapters 6 and 8 (from memory); the rate of
//! turn is the helm's, not an equation.

use super::scenario::{Boat, Configuration};

/// A vector over ground, m/s or m.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Vector {
    /// Towards the east.
    pub(super) east: f64,
    /// Towards the north.
    pub(super) north: f64,
}

impl Vector {
    /// A vector of this length towards a direction in degrees.
    pub(super) fn towards(degrees: f64, length: f64) -> Self {
        let (s, c) = degrees.to_radians().sin_cos();
        Self {
            east: s * length,
            north: c * length,
        }
    }

    /// Its length.
    pub(super) fn length(self) -> f64 {
        self.east.hypot(self.north)
    }

    /// Its direction, degrees in `[0, 360)`; 0 for no length.
    pub(super) fn degrees(self) -> f64 {
        wrapped(self.east.atan2(self.north).to_degrees())
    }
}

impl std::ops::Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            east: self.east + other.east,
            north: self.north + other.north,
        }
    }
}

impl std::ops::Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            east: self.east - other.east,
            north: self.north - other.north,
        }
    }
}

impl std::ops::Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self {
            east: self.east * by,
            north: self.north * by,
        }
    }
}

/// A direction in `[0, 360)`.
pub(super) fn wrapped(degrees: f64) -> f64 {
    crate::units::Bearing::new(degrees).map_or(0.0, crate::units::Bearing::degrees)
}

/// The signed angle that leads from one direction to another, `(-180, 180]`.
pub(super) fn turn_between(from: f64, to: f64) -> f64 {
    crate::units::Turn::new(to - from).map_or(0.0, crate::units::Turn::degrees)
}

/// What the boat moves in; calm and still as a default.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Surroundings {
    /// Velocity of the air over ground, m/s.
    pub(super) air: Vector,
    /// Velocity of the water over ground, m/s.
    pub(super) water: Vector,
}

/// The boat's motion through the water.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Motion {
    /// Ahead, m/s.
    pub(super) ahead: f64,
    /// To starboard, m/s.
    pub(super) abeam: f64,
}

impl Motion {
    /// Velocity over ground at this heading in this water.
    pub(super) fn over_ground(self, heading_deg: f64, water: Vector) -> Vector {
        let (s, c) = heading_deg.to_radians().sin_cos();
        Vector {
            east: self.ahead * s + self.abeam * c + water.east,
            north: self.ahead * c - self.abeam * s + water.north,
        }
    }
}

/// A boat in one configuration, its numbers ready for the equations.
#[derive(Debug, Clone)]
pub(super) struct Craft {
    mass_ahead: f64,
    mass_abeam: f64,
    hull_drag: f64,
    hull_drag_abeam: f64,
    keel: f64,
    air_drag: f64,
    air_drag_abeam: f64,
    turn_drag: f64,
    thrust_fall: f64,
    thrust_factor: f64,
}

impl Craft {
    /// The boat as it is in a configuration.
    pub(super) fn new(boat: &Boat, configuration: &Configuration) -> Self {
        let mass = boat.mass * configuration.mass_factor;
        Self {
            mass_ahead: mass * (1.0 + boat.added_mass_ahead),
            mass_abeam: mass * (1.0 + boat.added_mass_abeam),
            hull_drag: boat.hull_drag * configuration.drag_factor,
            hull_drag_abeam: boat.hull_drag_abeam,
            keel: boat.keel,
            air_drag: boat.air_drag,
            air_drag_abeam: boat.air_drag_abeam,
            turn_drag: boat.turn_drag,
            thrust_fall: boat.thrust_fall,
            thrust_factor: configuration.thrust_factor,
        }
    }

    /// The motion one step later (semi-implicit in the damping, so stable at any step).
    ///
    /// `thrust` is the first configuration's static thrust in N, `rate` the rate of turn in rad/s.
    pub(super) fn step(
        &self,
        motion: Motion,
        thrust: f64,
        heading_deg: f64,
        rate: f64,
        around: Surroundings,
        dt: f64,
    ) -> Motion {
        let thrust = thrust * self.thrust_factor;
        let (s, c) = heading_deg.to_radians().sin_cos();
        let Motion { ahead: u, abeam: v } = motion;
        let wind = around.water - around.air;
        let air_ahead = u + wind.east * s + wind.north * c;
        let air_abeam = v + wind.east * c - wind.north * s;
        let air = air_ahead.hypot(air_abeam);

        let push = thrust - self.air_drag * air * air_ahead + self.mass_abeam * v * rate;
        let damping =
            thrust * self.thrust_fall + (self.hull_drag + self.turn_drag * rate * rate) * u.abs();
        let side = -self.air_drag_abeam * air * air_abeam - self.mass_ahead * u * rate;
        let side_damping = self.hull_drag_abeam * v.abs() + self.keel * u.abs();
        Motion {
            ahead: (u + dt * push / self.mass_ahead) / (1.0 + dt * damping / self.mass_ahead),
            abeam: (v + dt * side / self.mass_abeam) / (1.0 + dt * side_damping / self.mass_abeam),
        }
    }

    /// What the propeller pushes with at a speed ahead, N; `thrust` as in [`Self::step`].
    pub(super) fn push(&self, thrust: f64, ahead: f64) -> f64 {
        thrust * self.thrust_factor * (1.0 - self.thrust_fall * ahead)
    }

    /// Drag of hull and air ahead in calm and still water, N.
    pub(super) fn calm_drag(&self, ahead: f64) -> f64 {
        (self.hull_drag + self.air_drag) * ahead * ahead.abs()
    }

    /// The steady motion at a heading in an unchanging wind and water.
    pub(super) fn steady(&self, thrust: f64, heading_deg: f64, around: Surroundings) -> Motion {
        /// Long steps: the damping is implicit, so they only hasten the settling.
        const STEP_S: f64 = 4.0;
        const MOST_STEPS: usize = 2000;
        const SETTLED: f64 = 1e-10;
        let mut motion = Motion::default();
        for _ in 0..MOST_STEPS {
            let next = self.step(motion, thrust, heading_deg, 0.0, around, STEP_S);
            let change = (next.ahead - motion.ahead).abs() + (next.abeam - motion.abeam).abs();
            motion = next;
            if change < SETTLED {
                break;
            }
        }
        motion
    }

    /// The heading that makes good a course in an unchanging wind and water, degrees; and the speed
    /// made good.
    ///
    /// Where the stream is too strong for the course the nearest heading tried is given.
    pub(super) fn heading_for(&self, thrust: f64, course_deg: f64, around: Surroundings) -> Steady {
        const ROUNDS: usize = 12;
        let mut heading = course_deg;
        let mut made_good = 0.0;
        for _ in 0..ROUNDS {
            let motion = self.steady(thrust, heading, around);
            let ground = motion.over_ground(heading, around.water);
            let along = Vector::towards(course_deg, 1.0);
            made_good = ground.east * along.east + ground.north * along.north;
            let off = turn_between(course_deg, ground.degrees());
            if off.abs() < 1e-6 {
                break;
            }
            heading = course_deg + (turn_between(course_deg, heading) - off).clamp(-70.0, 70.0);
        }
        Steady {
            heading_deg: wrapped(heading),
            made_good,
        }
    }
}

/// A steady run along a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Steady {
    /// Heading held, degrees.
    pub(super) heading_deg: f64,
    /// Speed over ground along the line, m/s.
    pub(super) made_good: f64,
}
