//! Two days of our own, ready made: a windy lake without current, and a tidal firth.
//!
//! Boats, people and trials are invented; only the waters exist.

use jiff::Timestamp;

use super::scenario::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Sampling, Scenario, Steering,
    Water, Wind,
};

/// 2025-07-12 05:41 UTC.
const LAKE_START: Timestamp = Timestamp::constant(1_752_298_860, 0);
/// 2025-06-03 06:20 UTC.
const FIRTH_START: Timestamp = Timestamp::constant(1_748_931_600, 0);

/// A windy day on a big lake: does the battery amidships instead of in the stern locker help?
///
/// An open clinker dinghy of 4.3 m with a small electric motor and a heading hold.
pub fn lake() -> Scenario {
    Scenario {
        name: "battery amidships".to_owned(),
        latitude_deg: 61.602,
        longitude_deg: 25.497,
        wind: Wind {
            from_deg: 236.0,
            speed: 5.2,
            growth_per_h: 0.1,
            veer_deg_per_h: 3.0,
            gust_share: 0.14,
            gust_time_s: 55.0,
            swell_share: 0.06,
            swing_deg: 6.0,
            swing_time_s: 900.0,
            gust_swing_deg: 6.0,
        },
        water: Water {
            set_deg: 0.0,
            drift: 0.0,
            drift_per_h: 0.0,
            tide: 0.0,
            tide_period_s: 44_714.0,
            tide_phase_deg: 0.0,
            eddies: 0.008,
            wave_speed: 0.12,
            wave_period_s: 2.1,
        },
        boat: Boat {
            mass: 345.0,
            added_mass_ahead: 0.07,
            added_mass_abeam: 0.7,
            hull_drag: 47.0,
            hull_drag_abeam: 780.0,
            keel: 330.0,
            air_drag: 0.7,
            air_drag_abeam: 1.5,
            turn_drag: 2600.0,
            thrust_fall: 0.12,
            thrusts: vec![112.0, 232.0],
            configurations: vec![
                fitted("battery in the stern locker", 1.0),
                fitted("battery amidships", 0.89),
            ],
        },
        helm: Helm {
            steering: Steering::Aimed,
            aim_error_deg: 1.0,
            hunting_deg: 2.0,
            hunting_period_s: 26.0,
            gain: 0.3,
            turn_rate_deg_s: 9.0,
            turn_throttle: 1.0,
            loop_deg: 32.0,
            starboard_share: 0.6,
        },
        recorder: Recorder {
            sampling: Sampling::Seconds(1.0),
            decimals: 6,
            white_error: 0.3,
            slow_error: 1.2,
            slow_error_time_s: 400.0,
            dropouts_per_h: 0.0,
            dropout_longest_s: 20.0,
            split_at_dropout: false,
            stores_speed: false,
        },
        day: Day {
            start: LAKE_START,
            moored_s: 150.0,
            ride_deg: 160.0,
            ride_m: 2300.0,
            ride_stretches: 3,
            ride_throttle: 1.0,
            fishing_before_s: 2400.0,
            fishing_after_s: 1900.0,
            trolling_share: 0.35,
            lines_deg: vec![205.0],
            leg: LegLength::Metres(380.0),
            blocks: vec![block(0, &[0, 1]), block(1, &[0, 1])],
            swap_s: 720.0,
            swap_ashore: false,
            pause_chance: 0.1,
            pause_longest_s: 70.0,
            broken_off_chance: 0.0,
        },
    }
}

/// A day in a tidal firth: what does scrubbing the weed off the hull bring?
///
/// A half-decked day boat of 5.4 m with a small outboard; scrubbed on the beach at noon.
pub fn firth() -> Scenario {
    Scenario {
        name: "hull scrubbed".to_owned(),
        latitude_deg: 56.047,
        longitude_deg: -3.004,
        wind: Wind {
            from_deg: 292.0,
            speed: 3.4,
            growth_per_h: 0.0,
            veer_deg_per_h: -4.0,
            gust_share: 0.12,
            gust_time_s: 60.0,
            swell_share: 0.06,
            swing_deg: 6.0,
            swing_time_s: 1000.0,
            gust_swing_deg: 6.0,
        },
        water: Water {
            set_deg: 68.0,
            drift: 0.30,
            drift_per_h: 0.0,
            tide: 0.15,
            tide_period_s: 44_714.0,
            tide_phase_deg: 25.0,
            eddies: 0.015,
            wave_speed: 0.14,
            wave_period_s: 2.8,
        },
        boat: Boat {
            mass: 640.0,
            added_mass_ahead: 0.07,
            added_mass_abeam: 0.8,
            hull_drag: 92.0,
            hull_drag_abeam: 1250.0,
            keel: 700.0,
            air_drag: 0.9,
            air_drag_abeam: 2.1,
            turn_drag: 4400.0,
            thrust_fall: 0.08,
            thrusts: vec![330.0, 620.0],
            configurations: vec![
                fitted("weed on the hull", 1.0),
                fitted("hull scrubbed", 0.81),
            ],
        },
        helm: Helm {
            steering: Steering::Line,
            aim_error_deg: 1.5,
            hunting_deg: 2.5,
            hunting_period_s: 22.0,
            gain: 0.35,
            turn_rate_deg_s: 11.0,
            turn_throttle: 0.7,
            loop_deg: 28.0,
            starboard_share: 0.3,
        },
        recorder: Recorder {
            sampling: Sampling::Seconds(2.0),
            decimals: 6,
            white_error: 0.4,
            slow_error: 1.4,
            slow_error_time_s: 350.0,
            dropouts_per_h: 0.3,
            dropout_longest_s: 20.0,
            split_at_dropout: false,
            stores_speed: true,
        },
        day: Day {
            start: FIRTH_START,
            moored_s: 200.0,
            ride_deg: 215.0,
            ride_m: 2800.0,
            ride_stretches: 3,
            ride_throttle: 0.9,
            fishing_before_s: 2700.0,
            fishing_after_s: 2400.0,
            trolling_share: 0.3,
            lines_deg: vec![75.0],
            leg: LegLength::Metres(520.0),
            blocks: vec![block(0, &[1, 0]), block(1, &[1, 0])],
            swap_s: 1400.0,
            swap_ashore: true,
            pause_chance: 0.12,
            pause_longest_s: 60.0,
            broken_off_chance: 0.0,
        },
    }
}

fn fitted(name: &str, drag_factor: f64) -> Configuration {
    Configuration {
        name: name.to_owned(),
        thrust_factor: 1.0,
        drag_factor,
        mass_factor: 1.0,
    }
}

fn block(configuration: usize, settings: &[usize]) -> Block {
    Block {
        configuration,
        settings: settings.to_vec(),
        double_runs: 3,
    }
}
