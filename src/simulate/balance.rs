//! Steady balances: what a boat would do in an unchanging wind and water, without noise.

use super::answer::flow;
use super::physics::{Craft, Surroundings, Vector};
use super::scenario::Scenario;
use super::truth::{TrueChange, TrueFlow};

/// Steady reciprocal mean over the trial's lines: the mean of the two speeds over ground of a boat
/// that makes good the line there and back.
fn reciprocal_mean(scenario: &Scenario, hull: &Craft, thrust: f64, around: Surroundings) -> f64 {
    let lines = &scenario.day.lines_deg;
    let sum: f64 = lines
        .iter()
        .map(|&course| {
            let there = hull.heading_for(thrust, course, around).made_good;
            let back = hull.heading_for(thrust, course + 180.0, around).made_good;
            0.5 * (there + back)
        })
        .sum();
    sum / lines.len().max(1) as f64
}

/// The true changes, from the steady balance of each configuration.
pub(super) fn changes(scenario: &Scenario, mean: Surroundings) -> Vec<TrueChange> {
    let calm = Surroundings {
        air: Vector::default(),
        water: Vector::default(),
    };
    let boat = &scenario.boat;
    let run =
        |configuration: usize, setting: usize| {
            scenario.day.blocks.iter().any(|block| {
                block.configuration == configuration && block.settings.contains(&setting)
            })
        };
    let baseline = scenario.day.blocks.first().map_or(0, |b| b.configuration);
    let Some(old) = boat.configurations.get(baseline) else {
        return Vec::new();
    };
    let old = Craft::new(boat, old);
    let mut changes = Vec::new();
    for (changed, configuration) in boat.configurations.iter().enumerate() {
        if changed == baseline {
            continue;
        }
        let new = Craft::new(boat, configuration);
        for (setting, &thrust) in boat.thrusts.iter().enumerate() {
            if !run(baseline, setting) || !run(changed, setting) {
                continue;
            }
            let baseline_m_s = reciprocal_mean(scenario, &old, thrust, mean);
            let changed_m_s = reciprocal_mean(scenario, &new, thrust, mean);
            let old_calm = old.steady(thrust, 0.0, calm).ahead;
            let new_calm = new.steady(thrust, 0.0, calm).ahead;
            changes.push(TrueChange {
                baseline,
                changed,
                setting,
                baseline_m_s,
                changed_m_s,
                percent: 100.0 * (changed_m_s / baseline_m_s - 1.0),
                calm_percent: 100.0 * (new_calm / old_calm - 1.0),
                baseline_calm_m_s: old_calm,
            });
        }
    }
    changes
}

/// The idle boat lies beam-on, either side to the wind.
pub(super) fn idle_drift(scenario: &Scenario, mean: Surroundings) -> TrueFlow {
    let Some(first) = scenario.boat.configurations.first() else {
        return flow(Vector::default());
    };
    let hull = Craft::new(&scenario.boat, first);
    let heading = mean.air.degrees() + 90.0;
    let motion = hull.steady(0.0, heading, mean);
    flow(motion.over_ground(heading, mean.water))
}
