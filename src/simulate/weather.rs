//! Wind, water and waves over the day: means that change slowly, and random processes on them.

use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

use super::physics::{Surroundings, Vector};
use super::scenario::{Water, Wind};

/// Time constant of eddies, s (our own choice).
const EDDY_TIME_S: f64 = 600.0;
pub(super) const SECONDS_PER_HOUR: f64 = 3600.0;

/// The mean wind at a time of the day, s, without gusts: velocity of the air over ground.
pub(super) fn mean_air(wind: &Wind, t: f64) -> Vector {
    let hours = t / SECONDS_PER_HOUR;
    air(
        mean_speed(wind, t),
        wind.from_deg + wind.veer_deg_per_h * hours,
    )
}

fn mean_speed(wind: &Wind, t: f64) -> f64 {
    (wind.speed + wind.growth_per_h * t / SECONDS_PER_HOUR).max(0.0)
}

fn air(speed: f64, from_deg: f64) -> Vector {
    Vector::towards(from_deg + 180.0, speed)
}

/// The mean current at a time of the day, s, without eddies: velocity of the water over ground.
///
/// Along the set `a0 + a1 t + A sin(2π t / P + φ)`: the constant, linear and harmonic terms of
/// the current model of ITTC 7.5-04-01-01.1 (from memory).
pub(super) fn mean_water(water: &Water, t: f64) -> Vector {
    let cycle = if water.tide_period_s > 0.0 {
        std::f64::consts::TAU * t / water.tide_period_s
    } else {
        0.0
    };
    let along = water.drift
        + water.drift_per_h * t / SECONDS_PER_HOUR
        + water.tide * (cycle + water.tide_phase_deg.to_radians()).sin();
    Vector::towards(water.set_deg, along)
}

/// The noise on wind and water, stepped along with the boat.
#[derive(Debug, Clone)]
pub(super) struct Weather {
    gust: GaussMarkov,
    gust_swing: GaussMarkov,
    swell: GaussMarkov,
    swing: GaussMarkov,
    eddy_east: GaussMarkov,
    eddy_north: GaussMarkov,
}

impl Weather {
    /// Noise stepped every `step` seconds.
    pub(super) fn new(wind: &Wind, step: f64, rng: &mut Pcg64) -> Self {
        Self {
            gust: GaussMarkov::new(wind.gust_time_s, step, rng),
            gust_swing: GaussMarkov::new(wind.gust_time_s, step, rng),
            swell: GaussMarkov::new(wind.swing_time_s, step, rng),
            swing: GaussMarkov::new(wind.swing_time_s, step, rng),
            eddy_east: GaussMarkov::new(EDDY_TIME_S, step, rng),
            eddy_north: GaussMarkov::new(EDDY_TIME_S, step, rng),
        }
    }

    /// One step on: wind and water at time `t`, s.
    pub(super) fn step(
        &mut self,
        wind: &Wind,
        water: &Water,
        t: f64,
        rng: &mut Pcg64,
    ) -> Surroundings {
        let share =
            1.0 + wind.gust_share * self.gust.step(rng) + wind.swell_share * self.swell.step(rng);
        let from = wind.from_deg
            + wind.veer_deg_per_h * t / SECONDS_PER_HOUR
            + wind.gust_swing_deg * self.gust_swing.step(rng)
            + wind.swing_deg * self.swing.step(rng);
        let eddies = Vector {
            east: self.eddy_east.step(rng),
            north: self.eddy_north.step(rng),
        };
        Surroundings {
            air: air(mean_speed(wind, t) * share.max(0.0), from),
            water: mean_water(water, t) + eddies * water.eddies,
        }
    }
}

/// A standard normal number.
pub(super) fn normal(rng: &mut Pcg64) -> f64 {
    rng.sample(StandardNormal)
}

/// An even number in `[low, high]`; `low` where the range is empty.
pub(super) fn between(rng: &mut Pcg64, low: f64, high: f64) -> f64 {
    if high > low {
        low + (high - low) * rng.random::<f64>()
    } else {
        low
    }
}

/// Whether a thing of this chance happens.
pub(super) fn happens(rng: &mut Pcg64, chance: f64) -> bool {
    rng.random::<f64>() < chance
}

/// A first-order Gauss-Markov process with unit variance: autocorrelation `exp(-t / time
/// constant)`.
///
/// Exact discretisation (Gillespie 1996, Phys. Rev. E 54, 2084; from memory):
/// `x' = a x + sqrt(1 - a²) n` with `a = exp(-dt / time constant)`.
#[derive(Debug, Clone)]
pub(super) struct GaussMarkov {
    keep: f64,
    fresh: f64,
    value: f64,
}

impl GaussMarkov {
    /// A process stepped every `step` seconds, started from its stationary distribution.
    pub(super) fn new(time_constant: f64, step: f64, rng: &mut Pcg64) -> Self {
        let keep = if time_constant > 0.0 {
            (-step / time_constant).exp()
        } else {
            0.0
        };
        Self {
            keep,
            fresh: (1.0 - keep * keep).max(0.0).sqrt(),
            value: normal(rng),
        }
    }

    /// One step on; the new value.
    pub(super) fn step(&mut self, rng: &mut Pcg64) -> f64 {
        self.value = self.keep * self.value + self.fresh * normal(rng);
        self.value
    }
}

/// The sway of the boat in waves: a narrow-band process, two quadratures of a turning phasor
/// whose amplitude wanders. Our own model.
#[derive(Debug, Clone)]
pub(super) struct Waves {
    omega: f64,
    sine: f64,
    cosine: f64,
    in_phase: GaussMarkov,
    quadrature: GaussMarkov,
    turn: (f64, f64),
}

/// Wave groups live for about this many periods (our own choice).
const GROUP_PERIODS: f64 = 4.0;

impl Waves {
    /// Waves of this period stepped every `step` seconds.
    pub(super) fn new(period: f64, step: f64, rng: &mut Pcg64) -> Self {
        let omega = std::f64::consts::TAU / period.max(0.5);
        let group = GROUP_PERIODS * period.max(0.5);
        Self {
            omega,
            sine: 0.0,
            cosine: 1.0,
            in_phase: GaussMarkov::new(group, step, rng),
            quadrature: GaussMarkov::new(group, step, rng),
            turn: (omega * step).sin_cos(),
        }
    }

    /// One step on: velocity with unit standard deviation, and the displacement in seconds that
    /// goes with it.
    pub(super) fn step(&mut self, rng: &mut Pcg64) -> Orbit {
        let (s, c) = self.turn;
        (self.sine, self.cosine) = (
            self.sine * c + self.cosine * s,
            self.cosine * c - self.sine * s,
        );
        let (a, b) = (self.in_phase.step(rng), self.quadrature.step(rng));
        Orbit {
            velocity: a * self.cosine + b * self.sine,
            displacement: (a * self.sine - b * self.cosine) / self.omega,
        }
    }
}

/// Where in its orbit the water is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Orbit {
    /// Relative to the standard deviation of the orbital velocity.
    pub(super) velocity: f64,
    /// Seconds: to be multiplied with the standard deviation of the velocity.
    pub(super) displacement: f64,
}
