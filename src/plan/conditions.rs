//! The weather, the crew and the recorder that a plan is rehearsed in, and the day that comes of
//! it.

use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use super::assumptions as assume;
use super::draw_up::Plan;
use super::request::{PlanError, check_wind, within};
use crate::notes::zone;
use crate::simulate::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Sampling, Scenario, Steering,
    Water, Wind, lake,
};
use crate::units::Bearing;

/// Conditions, SI units. The defaults are those that a plan assumes: steady wind, no tide, one fix
/// a second, a throttle set again within a percent, a battery that sags.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Conditions {
    /// Wind in the middle of the trial, m/s; `None`: as planned.
    pub wind_m_s: Option<f64>,
    /// Standard deviation of the gusts as a share of the wind, `[0, 0.4]`.
    pub gusts: f64,
    /// Growth of the wind, m/s per hour, `[-3, 3]`.
    pub growth_m_s_per_h: f64,
    /// Amplitude of a tidal stream along the line, m/s, `[0, 2]`; its phase is another every day.
    pub tide_m_s: f64,
    /// Significant height of the waves, m, `[0, 1.5]`; `None`: what such a wind raises on a small
    /// water.
    pub waves_m: Option<f64>,
    /// How far off the thrust meant the throttle is set each time, at most, share, `[0, 0.05]`.
    pub throttle: f64,
    /// What the battery loses of the thrust in an hour, share, `[0, 0.1]`.
    pub sag_per_h: f64,
    /// When fixes are stored.
    pub sampling: Sampling,
    /// Decimals of a degree stored, `[4, 7]`.
    pub decimals: u8,
}

impl Default for Conditions {
    fn default() -> Self {
        Self {
            wind_m_s: None,
            gusts: assume::GUST_SHARE,
            growth_m_s_per_h: 0.0,
            tide_m_s: 0.0,
            waves_m: None,
            throttle: assume::LEVER_ERROR,
            sag_per_h: assume::SAG_PER_H,
            sampling: Sampling::Seconds(1.0),
            decimals: 6,
        }
    }
}

impl Conditions {
    /// Whether every number is within its range.
    ///
    /// # Errors
    /// [`PlanError::Range`] for the first that is not.
    pub fn check(&self) -> Result<(), PlanError> {
        let (step, least, most, unit) = match self.sampling {
            Sampling::Seconds(seconds) => (seconds, 1.0, 60.0, "s"),
            Sampling::Metres(metres) => (metres, 1.0, 100.0, "m"),
            Sampling::Adaptive { longest_s, .. } => (longest_s, 1.0, 120.0, "s"),
        };
        let growth = self.growth_m_s_per_h;
        within("a step of the recorder", step, least, most, unit, "1s")?;
        within("gusts", 100.0 * self.gusts, 0.0, 40.0, "%", "14%")?;
        within("growth an hour", growth, -3.0, 3.0, "m/s", "2kn")?;
        within("a tide", self.tide_m_s, 0.0, 2.0, "m/s", "0.5kn")?;
        within("waves", self.waves_m, 0.0, 1.5, "m", "0.2m")?;
        within("a throttle off", 100.0 * self.throttle, 0.0, 5.0, "%", "1%")?;
        within(
            "a sag an hour",
            100.0 * self.sag_per_h,
            0.0,
            10.0,
            "%",
            "0.4%",
        )?;
        within("decimals", f64::from(self.decimals), 4.0, 7.0, "", "6")?;
        check_wind(self.wind_m_s)
    }

    /// The wind rehearsed in, m/s.
    pub fn wind(&self, plan: &Plan) -> f64 {
        self.wind_m_s.unwrap_or_else(|| plan.request.wind())
    }
}

/// Settling distance as the report measures it over that of the speed alone: the end of the turn is
/// in it (our own simulated boats of 345 and 640 kg: 1.9 and 2.3).
const SETTLING_WITH_TURN: f64 = 2.1;
/// Added mass ahead as a share of the mass (our own simulated boats).
const ADDED_MASS: f64 = 0.07;
/// Drag abeam, keel and turning in terms of the hull's drag and the mass: those of the sample
/// boats.
const DRAG_ABEAM: f64 = 16.0;
const KEEL: f64 = 7.0;
const AIR_DRAG_ABEAM: f64 = 2.2;
const TURN_DRAG: f64 = 7.2;
/// Orbital speed of the waves that a small water has, for the wind's speed (our own sample days).
const WAVES_FOR_WIND: f64 = 0.025;
/// Period of such waves, s.
const WAVE_PERIOD_S: f64 = 2.5;
/// Wind where the plan has no direction, degrees.
const WIND_FROM_DEG: f64 = 225.0;
/// Time made fast before and after, s.
const MOORED_S: f64 = 60.0;
/// Time zone of the water that rehearsals are held on.
const ZONE: &str = "Europe/Helsinki";

/// When the recorder is switched on for the trial to begin as planned: it misses the first part of
/// the set-up, and nothing else.
fn start(plan: &Plan, usual: Timestamp) -> Timestamp {
    let planned = || {
        let zone = zone::named(ZONE).ok()?;
        let day = zone.to_datetime(usual).date();
        let start = zone
            .to_timestamp(day.to_datetime(plan.request.start?))
            .ok()?;
        let missed = SignedDuration::from_secs_f64(assume::SET_UP_S - MOORED_S);
        start.checked_add(missed).ok()
    };
    planned().unwrap_or(usual)
}

/// The day of a plan on which every part but the first is faster by `change` (a share) in a calm.
///
/// The change comes from the thrust, which in the balance with a drag that grows as the square of
/// the speed is the same share at every setting. `phase_deg` is that of the tide.
pub fn planned_day(plan: &Plan, conditions: &Conditions, change: f64, phase_deg: f64) -> Scenario {
    let usual = lake();
    let hours = plan.total_s / 3600.0;
    let wind_m_s = conditions.wind(plan);
    let from = plan
        .request
        .wind_from
        .map_or(WIND_FROM_DEG, Bearing::degrees);
    let quartering = from + assume::QUARTERING_DEG;
    let out = plan.line.map_or(quartering, |line| line.out.degrees());
    // Significant height is four standard deviations of the surface (usual definition, from
    // memory); in deep water the orbital speed is that times 2π over the period.
    let orbital = |height: f64| height / 4.0 * std::f64::consts::TAU / WAVE_PERIOD_S;
    let block = |block: &super::layout::Block| Block {
        configuration: block.part,
        settings: block.settings.clone(),
        double_runs: block.double_runs,
    };
    Scenario {
        name: "rehearsal".to_owned(),
        wind: Wind {
            from_deg: from,
            // As planned in the middle of the trial.
            speed: (wind_m_s - conditions.growth_m_s_per_h * hours / 2.0).max(0.0),
            growth_per_h: conditions.growth_m_s_per_h,
            veer_deg_per_h: 0.0,
            gust_share: conditions.gusts,
            ..usual.wind
        },
        water: Water {
            set_deg: out,
            tide: conditions.tide_m_s,
            tide_phase_deg: phase_deg,
            wave_speed: conditions
                .waves_m
                .map_or(WAVES_FOR_WIND * wind_m_s, orbital),
            wave_period_s: WAVE_PERIOD_S,
            ..usual.water
        },
        boat: boat(plan, conditions, change),
        helm: Helm {
            steering: Steering::Aimed,
            ..usual.helm
        },
        recorder: Recorder {
            sampling: conditions.sampling,
            decimals: conditions.decimals,
            ..usual.recorder
        },
        day: Day {
            start: start(plan, usual.day.start),
            moored_s: MOORED_S,
            ride_m: 0.0,
            fishing_before_s: 0.0,
            fishing_after_s: 0.0,
            lines_deg: vec![out],
            leg: LegLength::Metres(plan.leg.length_m),
            blocks: plan.blocks.iter().map(block).collect(),
            swap_s: plan.request.swap(),
            swap_ashore: false,
            pause_chance: 0.0,
            broken_off_chance: 0.0,
            ..usual.day
        },
        ..usual
    }
}

fn boat(plan: &Plan, conditions: &Conditions, change: f64) -> Boat {
    let mass = plan.request.mass_kg.unwrap_or(assume::MASS_KG);
    let hull_drag = SETTLING_WITH_TURN * mass * (1.0 + ADDED_MASS) / (2.0 * plan.settling_m);
    let air_drag = plan.windage * hull_drag;
    let thrust = |speed: &f64| (hull_drag + air_drag) * speed * speed;
    let part = |(number, name): (usize, &String)| Configuration {
        name: name.clone(),
        thrust_factor: if number == 0 {
            1.0
        } else {
            (1.0 + change).powi(2)
        },
        ..Configuration::default()
    };
    Boat {
        mass,
        added_mass_ahead: ADDED_MASS,
        added_mass_abeam: 0.7,
        hull_drag,
        hull_drag_abeam: DRAG_ABEAM * hull_drag,
        keel: KEEL * hull_drag,
        air_drag,
        air_drag_abeam: AIR_DRAG_ABEAM * air_drag,
        turn_drag: TURN_DRAG * mass,
        // None: else a change of thrust would be another share at another speed.
        thrust_fall: 0.0,
        sag_per_h: conditions.sag_per_h,
        lever_error: conditions.throttle,
        thrusts: plan.request.speeds_m_s.iter().map(thrust).collect(),
        configurations: plan.request.parts.iter().enumerate().map(part).collect(),
    }
}
