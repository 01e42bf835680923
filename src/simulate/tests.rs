//! Checks of the simulated days against balances that can be worked out by hand.

#[path = "../../tests/it/varied.rs"]
#[allow(dead_code, reason = "orders of parts are for the integration tests")]
mod varied;

use super::physics::{Craft, Surroundings, Vector, turn_between};
use super::voyage::{Voyage, Wheel};
use super::*;
use rand_pcg::Pcg64;
use varied::varied_scenario;

/// The lake without wind, waves, gusts or a hunting helm.
fn calm_lake() -> Scenario {
    let mut scenario = lake();
    scenario.wind.speed = 0.0;
    scenario.wind.growth_per_h = 0.0;
    scenario.water.eddies = 0.0;
    scenario.water.wave_speed = 0.0;
    scenario.helm.hunting_deg = 0.0;
    scenario.helm.aim_error_deg = 0.0;
    scenario
}

fn first_craft(scenario: &Scenario) -> Option<Craft> {
    let first = scenario.boat.configurations.first()?;
    Some(Craft::new(&scenario.boat, first))
}

/// `T0 (1 - a v) = (K + Ka) v²` solved for `v`.
fn balance(thrust: f64, fall: f64, drag: f64) -> f64 {
    let linear = thrust * fall;
    ((linear * linear + 4.0 * drag * thrust).sqrt() - linear) / (2.0 * drag)
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    let scenario = varied_scenario(3);
    let (one, two) = (simulate(&scenario, 11), simulate(&scenario, 11));
    assert_eq!(one.to_gpx(GpxStyle::V1_0), two.to_gpx(GpxStyle::V1_0));
    assert_eq!(one.truth, two.truth);
    assert_ne!(one.truth.legs, simulate(&scenario, 12).truth.legs);
}

#[test]
fn another_recorder_sees_the_same_day() {
    let mut scenario = varied_scenario(3);
    let truth = simulate(&scenario, 11).truth;
    scenario.recorder.sampling = Sampling::Metres(15.0);
    scenario.recorder.stores_speed = !scenario.recorder.stores_speed;
    assert_eq!(simulate(&scenario, 11).truth, truth);
}

#[test]
fn calm_runs_reach_the_balance_of_thrust_and_drag() {
    let scenario = calm_lake();
    let boat = &scenario.boat;
    let day = simulate(&scenario, 5);
    let mut seen = 0;
    for leg in day.truth.legs.iter().filter(|l| l.trial) {
        let setting = leg.setting.and_then(|s| boat.thrusts.get(s));
        let fitted = boat.configurations.get(leg.configuration);
        let expected = setting.zip(fitted).map(|(&thrust, fitted)| {
            let drag = boat.hull_drag * fitted.drag_factor + boat.air_drag;
            balance(thrust, boat.thrust_fall, drag)
        });
        let off = expected.map(|v| leg.speed_m_s / v - 1.0);
        assert!(off.is_some_and(|off| off.abs() < 0.002), "{off:?}");
        seen += 1;
    }
    assert_eq!(seen, 24);
}

#[test]
fn an_idle_boat_drifts_by_the_balance_of_air_and_water() {
    // Kb (W - v)² = Ky v², so v = W ρ / (1 + ρ) with ρ² = Kb / Ky.
    for n in 0..40 {
        let scenario = varied_scenario(n);
        let Some(craft) = first_craft(&scenario) else {
            unreachable!("every varied boat has a configuration")
        };
        let around = Surroundings {
            air: Vector {
                east: 5.0,
                north: 0.0,
            },
            ..Surroundings::default()
        };
        let drift = craft
            .steady(0.0, 0.0, around)
            .over_ground(0.0, Vector::default());
        let rho = (scenario.boat.air_drag_abeam / scenario.boat.hull_drag_abeam).sqrt();
        assert!(
            (drift.east - 5.0 * rho / (1.0 + rho)).abs() < 1e-3,
            "{drift:?}"
        );
        // 3 to 6 % of the wind: common practice, no source.
        assert!(
            (0.025..=0.065).contains(&(drift.length() / 5.0)),
            "{drift:?}"
        );
    }
}

#[test]
fn wind_slows_the_boat_more_than_it_helps() {
    let scenario = lake();
    let thrust = scenario.boat.thrusts[0];
    let craft = first_craft(&scenario);
    let blown = Surroundings {
        air: Vector::towards(180.0, 6.0),
        ..Surroundings::default()
    };
    let speed = |heading, around| {
        craft
            .as_ref()
            .map_or(0.0, |c| c.steady(thrust, heading, around).ahead)
    };
    let (up, down, calm) = (
        speed(0.0, blown),
        speed(180.0, blown),
        speed(0.0, Surroundings::default()),
    );
    assert!(up < calm && calm < down);
    // The design's own simulated range of (calm - mean) over half the difference.
    let share = (calm - 0.5 * (up + down)) / (0.5 * (down - up));
    assert!((0.2..0.7).contains(&share), "{share}");
}

/// The current from a turning circle: places one whole turn apart, over the time between.
/// IMO MSC/Circ.1053, 3.4.2.5: at least 720 degrees of turn.
#[test]
fn a_turning_circle_gives_the_current_back() {
    let mut scenario = calm_lake();
    scenario.water.set_deg = 90.0;
    scenario.water.drift = 0.3;
    let rng: Pcg64 = rand::SeedableRng::seed_from_u64(1);
    let mut voyage = Voyage::new(&scenario, super::voyage::STEP_S, rng);
    let thrust = scenario.boat.thrusts[1];
    voyage.keep_on(120.0, thrust, Wheel::Over(6.0));
    let from = voyage.place;
    // 360 degrees at 6 degrees per second.
    voyage.keep_on(60.0, thrust, Wheel::Over(6.0));
    let current = (voyage.place - from) * (1.0 / 60.0);
    assert!((current.length() - 0.3).abs() < 0.003, "{current:?}");
    assert!(
        turn_between(90.0, current.degrees()).abs() < 1.0,
        "{current:?}"
    );
}

#[test]
fn the_truth_fits_the_track() {
    for seed in 0..16 {
        let scenario = varied_scenario(seed);
        let day = simulate(&scenario, seed);
        let truth = &day.truth;
        let first = day.fixes().map(|f| f.time).min();
        let last = day.fixes().map(|f| f.time).max();
        let mut before = scenario.day.start;
        for leg in &truth.legs {
            assert!(before <= leg.start && leg.start <= leg.settled && leg.settled <= leg.end);
            assert!(
                first <= Some(leg.start) && Some(leg.end) <= last,
                "day {seed}"
            );
            assert!(leg.speed_m_s.is_finite() && leg.speed_m_s > 0.0);
            before = leg.end;
        }
        let asked: usize = scenario
            .day
            .blocks
            .iter()
            .map(|b| b.settings.len() * b.double_runs * scenario.day.lines_deg.len())
            .sum();
        assert_eq!(truth.double_runs.len(), asked, "day {seed}");
        for (number, run) in truth.double_runs.iter().enumerate() {
            let [there, back] = run.legs.map(|leg| &truth.legs[leg]);
            assert_eq!(there.double_run, Some(number));
            assert_eq!(there.configuration, back.configuration);
            assert_eq!(there.setting, back.setting);
            let off = turn_between(there.course_deg + 180.0, back.course_deg).abs();
            assert!(off < 40.0, "day {seed}: {off}");
        }
        for segment in &day.segments {
            assert!(segment.windows(2).all(|w| w[0].time < w[1].time));
        }
    }
}

#[test]
fn no_change_means_no_change() {
    let mut scenario = lake();
    let first = scenario.boat.configurations[0].clone();
    scenario.boat.configurations[1] = first;
    let truth = simulate(&scenario, 2).truth;
    assert_eq!(truth.changes.len(), 2);
    for change in truth.changes {
        assert!(change.percent.abs() < 1e-9 && change.calm_percent.abs() < 1e-9);
    }
}

#[test]
fn a_day_that_would_never_end_is_cut_off() {
    let mut scenario = lake();
    scenario.helm.turn_rate_deg_s = 0.0;
    scenario.day.fishing_before_s = f64::INFINITY;
    scenario.day.moored_s = f64::NAN;
    let day = simulate(&scenario, 1);
    assert!(day.fixes().count() <= 86_401);
}

#[test]
fn an_empty_scenario_gives_an_empty_trial() {
    let mut scenario = lake();
    scenario.boat.configurations.clear();
    scenario.boat.thrusts.clear();
    scenario.day.lines_deg.clear();
    scenario.day.fishing_before_s = 100.0;
    let truth = simulate(&scenario, 1).truth;
    assert!(truth.double_runs.is_empty() && truth.changes.is_empty());
}

#[test]
fn the_truth_can_be_read_back() -> Result<(), serde_json::Error> {
    let truth = simulate(&varied_scenario(1), 1).truth;
    let text = serde_json::to_string(&truth)?;
    let back: Truth = serde_json::from_str(&text)?;
    assert_eq!(back.double_runs, truth.double_runs);
    assert_eq!(back.legs.len(), truth.legs.len());
    Ok(())
}

/// The crate `gpx` is the independent judge.
#[test]
fn another_reader_finds_the_same_points() -> Result<(), ::gpx::errors::GpxError> {
    let mut scenario = varied_scenario(5);
    scenario.recorder.stores_speed = false;
    let day = simulate(&scenario, 5);
    for style in [GpxStyle::V1_0, GpxStyle::V1_1] {
        let read = ::gpx::read(day.to_gpx(style).as_slice())?;
        assert_eq!(read.waypoints.len(), day.waypoints.len());
        let points: Vec<_> = read
            .tracks
            .iter()
            .flat_map(|t| &t.segments)
            .flat_map(|s| &s.points)
            .collect();
        assert_eq!(points.len(), day.fixes().count());
        for (point, fix) in points.iter().zip(day.fixes()) {
            assert!((point.point().y() - fix.position.latitude()).abs() < 1e-9);
            assert!((point.point().x() - fix.position.longitude()).abs() < 1e-9);
        }
    }
    Ok(())
}
