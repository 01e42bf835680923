//! Days drawn at random: many waters, boats, helms and recorders.

use jiff::{SignedDuration, Timestamp};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use thereback::simulate::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Sampling, Scenario, Steering,
    Water, Wind,
};

/// Period of the principal lunar tide M2, s (12.4206 h; Doodson's constituent, from memory).
const M2_S: f64 = 44_714.0;

/// A scenario drawn from a seed; the same seed gives the same scenario.
///
/// Drawn within the ranges given at [`Scenario`]'s fields: lakes (half), tidal waters (a quarter)
/// and rivers (a quarter); displacement boats of 1 to 3.2 m/s; every recording style.
pub(crate) fn varied_scenario(n: u64) -> Scenario {
    let mut rng = Pcg64::seed_from_u64(n.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x7e5_7da7);
    let rng = &mut rng;
    let wind = wind(rng);
    let water = water(rng, &wind);
    let boat = boat(rng);
    let helm = helm(rng);
    let recorder = recorder(rng);
    let day = day(rng, &boat, &wind, &water);
    Scenario {
        name: format!("day {n}"),
        latitude_deg: between(rng, -55.0, 68.0),
        longitude_deg: between(rng, -179.0, 179.0),
        wind,
        water,
        boat,
        helm,
        recorder,
        day,
    }
}

/// As [`varied_scenario`], the trial in one of six orders in turn: old and new; old, new, old; old,
/// new and a third part; and the same with the settings run in turn rather than in blocks.
pub(crate) fn varied_order(n: u64) -> Scenario {
    // Numbers of their own, so that the rest of the day is the same in every order.
    let mut rng = Pcg64::seed_from_u64(n ^ 0x000b_de25);
    let mut scenario = varied_scenario(n);
    let change = between(&mut rng, -0.10, 0.20);
    scenario.boat.configurations.push(Configuration {
        name: "third".to_owned(),
        thrust_factor: (1.0 + change).powi(2),
        drag_factor: 1.0,
        mass_factor: between(&mut rng, 0.97, 1.03),
    });
    let parts: &[usize] = match n % 3 {
        0 => &[0, 1],
        1 => &[0, 1, 0],
        _ => &[0, 1, 2],
    };
    let woven = n / 3 % 2 == 1;
    if let Some(block) = scenario.day.blocks.first().cloned() {
        let of = |part: &usize| {
            let (times, double_runs) = if woven {
                (block.double_runs, 1)
            } else {
                (1, block.double_runs)
            };
            let block = Block {
                configuration: *part,
                double_runs,
                ..block.clone()
            };
            vec![block; times]
        };
        scenario.day.blocks = parts.iter().flat_map(of).collect();
    }
    scenario
}

/// An even number in `[low, high]`; `low` where the range is empty.
fn between(rng: &mut Pcg64, low: f64, high: f64) -> f64 {
    if high > low {
        low + (high - low) * rng.random::<f64>()
    } else {
        low
    }
}

fn happens(rng: &mut Pcg64, chance: f64) -> bool {
    rng.random::<f64>() < chance
}

fn pick<T: Copy>(rng: &mut Pcg64, among: &[T], otherwise: T) -> T {
    let number = between(rng, 0.0, among.len() as f64) as usize;
    among.get(number).copied().unwrap_or(otherwise)
}

fn wind(rng: &mut Pcg64) -> Wind {
    let changing = happens(rng, 0.4);
    Wind {
        from_deg: between(rng, 0.0, 360.0),
        speed: between(rng, 0.5, 7.5),
        growth_per_h: if changing {
            between(rng, -0.5, 0.8)
        } else {
            0.0
        },
        veer_deg_per_h: if changing {
            between(rng, -10.0, 15.0)
        } else {
            0.0
        },
        gust_share: between(rng, 0.08, 0.2),
        gust_time_s: between(rng, 40.0, 80.0),
        swell_share: between(rng, 0.03, 0.1),
        swing_deg: between(rng, 3.0, 9.0),
        swing_time_s: between(rng, 600.0, 1200.0),
        gust_swing_deg: between(rng, 3.0, 9.0),
    }
}

fn water(rng: &mut Pcg64, wind: &Wind) -> Water {
    let still = Water {
        set_deg: between(rng, 0.0, 360.0),
        drift: 0.0,
        drift_per_h: 0.0,
        tide: 0.0,
        tide_period_s: M2_S,
        tide_phase_deg: between(rng, 0.0, 360.0),
        eddies: between(rng, 0.0, 0.015),
        wave_speed: (0.025 * wind.speed * between(rng, 0.5, 1.5)).min(0.3),
        wave_period_s: between(rng, 1.6, 4.0),
    };
    let kind = between(rng, 0.0, 1.0);
    if kind < 0.5 {
        still
    } else if kind < 0.75 {
        Water {
            drift: between(rng, -0.1, 0.1),
            tide: between(rng, 0.15, 0.6),
            eddies: between(rng, 0.01, 0.03),
            ..still
        }
    } else {
        Water {
            drift: between(rng, 0.1, 0.5),
            drift_per_h: between(rng, -0.01, 0.01),
            eddies: between(rng, 0.01, 0.03),
            ..still
        }
    }
}

fn boat(rng: &mut Pcg64) -> Boat {
    let length = between(rng, 3.2, 6.2);
    let mass = 16.0 * length * length * between(rng, 0.7, 1.3);
    let hull_drag = 4.4 * length * length * between(rng, 0.7, 1.3);
    let air_drag = 0.15 * length * between(rng, 0.7, 1.3);
    let air_drag_abeam = air_drag * between(rng, 1.6, 2.6);
    // Lateral drag from the drift when idle: 3 to 6 % of the wind (common practice, no source).
    let idle = between(rng, 0.03, 0.06);
    let hull_drag_abeam = air_drag_abeam / (idle * idle);
    let thrust_fall = between(rng, 0.0, 0.15);
    let settings = if happens(rng, 0.15) {
        3
    } else if happens(rng, 0.6) {
        2
    } else {
        1
    };
    // Craft speed of a boat this long, m/s (1.34 knots per root of feet): sqrt(g L / 2π).
    let hull_speed = (9.81 * length / std::f64::consts::TAU).sqrt();
    let mut speed = hull_speed * between(rng, 0.7, 0.95);
    let mut thrusts = Vec::new();
    for _ in 0..settings {
        let drag = (hull_drag + air_drag) * speed * speed;
        thrusts.insert(0, drag / (1.0 - thrust_fall * speed));
        speed *= between(rng, 0.68, 0.84);
    }
    let change = between(rng, -0.10, 0.20);
    let by_drag = happens(rng, 0.3);
    let squared = (1.0 + change) * (1.0 + change);
    Boat {
        mass,
        added_mass_ahead: between(rng, 0.04, 0.12),
        added_mass_abeam: between(rng, 0.5, 1.0),
        hull_drag,
        hull_drag_abeam,
        keel: hull_drag_abeam * between(rng, 0.2, 0.8),
        air_drag,
        air_drag_abeam,
        turn_drag: between(rng, 4.0, 9.0) * mass,
        thrust_fall,
        sag_per_h: 0.0,
        lever_error: 0.0,
        thrusts,
        configurations: vec![
            Configuration {
                name: "old".to_owned(),
                thrust_factor: 1.0,
                drag_factor: 1.0,
                mass_factor: 1.0,
            },
            Configuration {
                name: "new".to_owned(),
                thrust_factor: if by_drag { 1.0 } else { squared },
                drag_factor: if by_drag { 1.0 / squared } else { 1.0 },
                mass_factor: between(rng, 0.97, 1.03),
            },
        ],
    }
}

fn helm(rng: &mut Pcg64) -> Helm {
    let kind = between(rng, 0.0, 1.0);
    Helm {
        steering: if kind < 0.15 {
            Steering::Heading
        } else if kind < 0.6 {
            Steering::Aimed
        } else {
            Steering::Line
        },
        aim_error_deg: between(rng, 0.5, 2.0),
        hunting_deg: between(rng, 0.5, 5.0),
        hunting_period_s: between(rng, 15.0, 60.0),
        gain: between(rng, 0.2, 0.5),
        turn_rate_deg_s: between(rng, 5.0, 15.0),
        turn_throttle: pick(rng, &[1.0, 1.0, 0.7, 0.4], 1.0),
        loop_deg: if happens(rng, 0.8) {
            between(rng, 20.0, 50.0)
        } else {
            0.0
        },
        starboard_share: pick(rng, &[0.0, 0.5, 1.0], 0.5),
    }
}

fn recorder(rng: &mut Pcg64) -> Recorder {
    let sampling = match between(rng, 0.0, 10.0) as u32 {
        0..=3 => Sampling::Seconds(1.0),
        4..=5 => Sampling::Seconds(2.0),
        6 => Sampling::Seconds(5.0),
        7 => Sampling::Seconds(10.0),
        8 => Sampling::Metres(between(rng, 5.0, 20.0).round()),
        _ => Sampling::Adaptive {
            turn_deg: between(rng, 8.0, 15.0),
            shortest_s: 2.0,
            longest_s: between(rng, 15.0, 40.0).round(),
        },
    };
    let troubled = happens(rng, 0.3);
    Recorder {
        sampling,
        decimals: if happens(rng, 0.05) {
            4
        } else {
            pick(rng, &[5, 6, 6, 7, 7], 6)
        },
        white_error: between(rng, 0.2, 1.0),
        slow_error: between(rng, 0.7, 2.5),
        slow_error_time_s: between(rng, 180.0, 600.0),
        dropouts_per_h: if troubled {
            between(rng, 0.3, 2.0)
        } else {
            0.0
        },
        dropout_longest_s: between(rng, 15.0, 60.0),
        split_at_dropout: happens(rng, 0.5),
        stores_speed: happens(rng, 0.5),
    }
}

fn day(rng: &mut Pcg64, boat: &Boat, wind: &Wind, water: &Water) -> Day {
    let flowing = water.drift.abs() + water.tide > 0.12;
    // In a stream people run along it; otherwise mostly along the wind, or wherever there is room.
    let course = if flowing {
        water.set_deg + between(rng, -15.0, 15.0)
    } else if happens(rng, 0.5) {
        wind.from_deg + between(rng, -25.0, 25.0)
    } else {
        between(rng, 0.0, 360.0)
    };
    let mut lines_deg = vec![course.rem_euclid(360.0)];
    if !flowing && happens(rng, 0.15) {
        lines_deg.push((course + 90.0).rem_euclid(360.0));
    }
    let leg = if happens(rng, 0.5) {
        LegLength::Metres(between(rng, 200.0, 700.0).round())
    } else {
        LegLength::Seconds(between(rng, 140.0, 400.0).round())
    };
    let mut settings: Vec<usize> = (0..boat.thrusts.len()).collect();
    if happens(rng, 0.5) {
        settings.reverse();
    }
    let fewest = if lines_deg.len() > 1 { 1 } else { 2 };
    let most = if lines_deg.len() * settings.len() > 2 {
        2
    } else {
        4
    };
    let double_runs = between(rng, f64::from(fewest), f64::from(most) + 0.99) as usize;
    let block = |configuration| Block {
        configuration,
        settings: settings.clone(),
        double_runs,
    };
    let mut blocks = vec![block(0), block(1)];
    if happens(rng, 0.1) {
        blocks.push(block(0));
    }
    let minutes = between(rng, 0.0, 600_000.0) as i64;
    Day {
        start: Timestamp::UNIX_EPOCH
            .checked_add(SignedDuration::from_mins(28_000_000 + minutes))
            .unwrap_or(Timestamp::UNIX_EPOCH),
        moored_s: between(rng, 30.0, 400.0),
        ride_deg: between(rng, 0.0, 360.0),
        ride_m: between(rng, 600.0, 4000.0),
        ride_stretches: between(rng, 1.0, 5.99) as usize,
        ride_throttle: between(rng, 0.6, 1.0),
        fishing_before_s: between(rng, 300.0, 3600.0),
        fishing_after_s: between(rng, 300.0, 3600.0),
        trolling_share: between(rng, 0.0, 0.5),
        lines_deg,
        leg,
        blocks,
        swap_s: between(rng, 300.0, 1500.0),
        swap_ashore: happens(rng, 0.25),
        pause_chance: pick(rng, &[0.0, 0.15, 0.4], 0.15),
        pause_longest_s: between(rng, 20.0, 120.0),
        broken_off_chance: pick(rng, &[0.0, 0.0, 0.04, 0.1], 0.0),
    }
}
