//! Wind and water over the day: means that change slowly, and noise on them.

use rand_pcg::Pcg64;

use super::noise::GaussMarkov;
use super::physics::{Surroundings, Vector};
use super::scenario::{Water, Wind};

/// Time constant of eddies, s (our own choice).
const EDDY_TIME_S: f64 = 600.0;
const SECONDS_PER_HOUR: f64 = 3600.0;

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
