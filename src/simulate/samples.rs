//! The two sample days: a windy lake without current, and a tidal firth.
//!
//! Boats, people and trials are invented; only the waters exist.

use jiff::Timestamp;

use super::day::{GpxStyle, SimulatedDay, simulate};
use super::motor::{Drawing, Motor, simulate_drawing};
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
            sag_per_h: 0.0,
            lever_error: 0.0,
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
            sag_per_h: 0.0,
            lever_error: 0.0,
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
        drag_factor,
        ..Configuration::default()
    }
}

fn block(configuration: usize, settings: &[usize]) -> Block {
    Block {
        configuration,
        settings: settings.to_vec(),
        double_runs: 3,
    }
}

/// Seeds with which the two days show what they are meant to.
const LAKE_SEED: u64 = 41;
const FIRTH_SEED: u64 = 7;

/// The lake boat's motor, its clock a minute and a half slow.
const MOTOR: Motor = Motor {
    idle_w: 14.0,
    race_m_s: 1.0,
    efficiency: 0.58,
    volts: 26.2,
    ohms: 0.022,
    meter_a: 0.15,
    every_s: 5.0,
    clock_offset_s: 94.0,
};

/// What the person on the lake wrote down.
const LAKE_NOTES: &str = include_str!("lake_trim.notes.toml");

/// A sample day and how its file is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// Stem of the files' names.
    pub name: &'static str,
    /// The day.
    pub day: SimulatedDay,
    /// Which GPX.
    pub style: GpxStyle,
    /// The meter's log, where there was one, and the notes that go with it.
    pub drawing: Option<(Drawing, &'static str)>,
}

/// The sample days; the same bytes every time.
pub fn samples() -> [Sample; 2] {
    let (day, drawing) = simulate_drawing(&lake(), LAKE_SEED, &MOTOR);
    [
        Sample {
            name: "lake_trim",
            day,
            style: GpxStyle::V1_1,
            drawing: Some((drawing, LAKE_NOTES)),
        },
        Sample {
            name: "firth_scrub",
            day: simulate(&firth(), FIRTH_SEED),
            style: GpxStyle::V1_0,
            drawing: None,
        },
    ]
}

impl Sample {
    /// The sample's files by name: track and truth, and log, notes and true draw where there are any.
    pub fn files(&self) -> Vec<(String, Vec<u8>)> {
        let name = self.name;
        let mut files = vec![
            (format!("{name}.gpx"), self.day.to_gpx(self.style)),
            (
                format!("{name}.truth.json"),
                self.day.truth_json().into_bytes(),
            ),
        ];
        if let Some((drawing, notes)) = &self.drawing {
            let truth = pretty(&drawing.truth);
            files.push((
                format!("{name}.power.csv"),
                drawing.csv.clone().into_bytes(),
            ));
            files.push((format!("{name}.notes.toml"), notes.as_bytes().to_vec()));
            files.push((format!("{name}.power.truth.json"), truth.into_bytes()));
        }
        files
    }
}

impl SimulatedDay {
    /// The truth as the text of a `.truth.json`.
    pub fn truth_json(&self) -> String {
        pretty(&self.truth)
    }
}

/// Numbers, names and times alone; none of them can fail.
fn pretty(value: &impl serde::Serialize) -> String {
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}
