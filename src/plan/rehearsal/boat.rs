//! The plan as a day to simulate: a boat that runs at the planned speeds and is changed by the size tried.

use jiff::{SignedDuration, Timestamp};

use super::conditions::Conditions;
use crate::notes::zone;
use crate::plan::{Plan, assume};
use crate::simulate::{
    Block, Boat, Configuration, Day, Helm, LegLength, Recorder, Scenario, Steering, Water, Wind,
    lake,
};

/// Settling distance as the report measures it over that of the speed alone: the end of the turn is in it (our
/// own simulated boats of 345 and 640 kg: 1.9 and 2.3).
const SETTLING_WITH_TURN: f64 = 2.1;
/// Added mass ahead as a share of the mass (our own simulated boats).
const ADDED_MASS: f64 = 0.07;
/// Drag abeam, keel and turning in terms of the hull's drag and the mass: those of the sample boats.
const DRAG_ABEAM: f64 = 16.0;
const KEEL: f64 = 7.0;
const AIR_DRAG_ABEAM: f64 = 2.2;
const TURN_DRAG: f64 = 7.2;
/// Orbital speed of the waves that a small water has, for the wind's speed (our own sample days).
const WAVES_FOR_WIND: f64 = 0.025;
/// Period of such waves, s.
const WAVE_PERIOD_S: f64 = 2.5;
/// Wind where the plan has no direction, and the line it then lies on, degrees.
const WIND_FROM_DEG: f64 = 225.0;
/// Time made fast before and after, s.
const MOORED_S: f64 = 60.0;

/// The instant at which the recorder of `usual` day's place is switched on for the trial to begin as
/// planned: the recorder misses the first part of the set-up, and nothing else.
fn planned_start(plan: &Plan, usual: &Scenario) -> Timestamp {
    let start = plan.asked.start.and_then(|time| {
        let zone = zone::named(ZONE).ok()?;
        let day = zone.to_datetime(usual.day.start).date();
        zone.to_timestamp(day.to_datetime(time)).ok()
    });
    let missed = SignedDuration::from_secs_f64(assume::SET_UP_S - MOORED_S);
    start
        .and_then(|start| start.checked_add(missed).ok())
        .unwrap_or(usual.day.start)
}

/// Time zone of the water that rehearsals are held on.
const ZONE: &str = "Europe/Helsinki";

/// The day of a plan on which every part but the first is faster by `change` (a share) in a calm.
///
/// The change comes from the thrust, which in the balance with a drag that grows as the square of the speed is the same
/// share at every setting. `phase_deg` is that of the tide.
pub fn planned_day(plan: &Plan, conditions: &Conditions, change: f64, phase_deg: f64) -> Scenario {
    let usual = lake();
    let hours = plan.total_s / 3600.0;
    let wind_m_s = conditions.wind(plan);
    let from = plan
        .asked
        .wind_from
        .map_or(WIND_FROM_DEG, crate::units::Bearing::degrees);
    let out = plan
        .line
        .map_or(from + assume::QUARTERING_DEG, |line| line.out.degrees());
    let orbital = conditions
        .waves_m
        .map_or(WAVES_FOR_WIND * wind_m_s, |height| {
            // Significant height is four standard deviations of the surface (usual definition, from memory);
            // in deep water the orbital speed is that times 2π over the period.
            height / 4.0 * std::f64::consts::TAU / WAVE_PERIOD_S
        });
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
            wave_speed: orbital,
            wave_period_s: WAVE_PERIOD_S,
            ..usual.water
        },
        boat: boat(plan, change),
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
            start: planned_start(plan, &usual),
            moored_s: MOORED_S,
            ride_m: 0.0,
            fishing_before_s: 0.0,
            fishing_after_s: 0.0,
            lines_deg: vec![out],
            leg: LegLength::Metres(plan.leg.length_m),
            blocks: plan
                .blocks
                .iter()
                .map(|block| Block {
                    configuration: block.part,
                    settings: block.settings.clone(),
                    double_runs: block.double_runs,
                })
                .collect(),
            swap_s: plan.asked.swap_s.unwrap_or(assume::SWAP_S),
            swap_ashore: false,
            pause_chance: 0.0,
            broken_off_chance: 0.0,
            ..usual.day
        },
        ..usual
    }
}

fn boat(plan: &Plan, change: f64) -> Boat {
    let mass = plan.asked.mass_kg.unwrap_or(assume::MASS_KG);
    let hull_drag = SETTLING_WITH_TURN * mass * (1.0 + ADDED_MASS) / (2.0 * plan.settling_m);
    let air_drag = plan.windage * hull_drag;
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
        sag_per_h: 0.0,
        lever_error: 0.0,
        thrusts: plan
            .asked
            .speeds_m_s
            .iter()
            .map(|v| (hull_drag + air_drag) * v * v)
            .collect(),
        configurations: (0..plan.asked.parts.len())
            .map(|part| Configuration {
                name: plan.part(part).to_owned(),
                thrust_factor: if part == 0 {
                    1.0
                } else {
                    (1.0 + change).powi(2)
                },
                drag_factor: 1.0,
                mass_factor: 1.0,
            })
            .collect(),
    }
}
