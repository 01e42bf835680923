//! Runs the days, on all processors.

use rayon::prelude::*;

use super::boat::planned_day;
use super::conditions::{Conditions, ConditionsError};
use super::judge::{Judged, judge};
use super::tally::{Rehearsal, SCHEMA, lost, scatter, size};
use super::words::advice;
use crate::plan::Plan;
use crate::simulate::{SimulatedDay, simulate_in_steps};

/// Step of the equations of motion, s: twice that of the samples, at half the time. Means and scatter of double runs
/// are the same within what 200 days can tell (our own simulated days).
pub const STEP_S: f64 = 0.5;

/// Sizes of change tried, in changes worth knowing: none, and a ladder round it.
const LADDER: [f64; 5] = [0.0, 0.5, 1.0, 1.5, 2.0];
/// Sets the seeds of one rehearsal's days apart (the golden ratio's bits; any odd number would do).
const SEED_STEP: u64 = 0x9e37_79b9_7f4a_7c15;
/// The tide's phase moves on by the golden section of a circle from day to day, which spreads evenly for any number
/// of days.
const PHASE_STEP_DEG: f64 = 137.507_764_050_037_85;

/// The sizes of change tried for a plan, shares, smallest first.
pub fn change_sizes(plan: &Plan) -> Vec<f64> {
    LADDER
        .iter()
        .map(|times| times * plan.asked.resolve)
        .collect()
}

/// Day `number` of a rehearsal and the change on it; sizes take turns.
fn day(plan: &Plan, conditions: &Conditions, seed: u64, number: usize) -> SimulatedDay {
    let sizes = change_sizes(plan);
    let change = sizes
        .get(number % sizes.len().max(1))
        .copied()
        .unwrap_or(0.0);
    // The days of all sizes in one round have the same weather, so that sizes compare better.
    let round = (number / sizes.len().max(1)) as u64;
    let phase = round as f64 * PHASE_STEP_DEG;
    let scenario = planned_day(plan, conditions, change, phase);
    let own = seed.wrapping_add(1 + round).wrapping_mul(SEED_STEP);
    simulate_in_steps(&scenario, own, STEP_S)
}

/// The first round of days, one of each size, to keep.
pub fn kept_days(plan: &Plan, conditions: &Conditions, seed: u64) -> Vec<(f64, SimulatedDay)> {
    change_sizes(plan)
        .into_iter()
        .enumerate()
        .map(|(number, change)| (change, day(plan, conditions, seed, number)))
        .collect()
}

/// Rehearses a plan on `days` days in all, shared out evenly among the sizes of change; `done` is called after each.
///
/// # Errors
/// [`ConditionsError`] where a condition is out of range.
pub fn rehearse(
    plan: &Plan,
    conditions: &Conditions,
    days: usize,
    seed: u64,
    done: &(dyn Fn() + Sync),
) -> Result<Rehearsal, ConditionsError> {
    conditions.check()?;
    let judged: Vec<Judged> = (0..days)
        .into_par_iter()
        .map(|number| {
            let judged = judge(plan, &day(plan, conditions, seed, number));
            done();
            judged
        })
        .collect();
    let sizes = change_sizes(plan);
    let of = |index: usize| {
        judged
            .iter()
            .skip(index)
            .step_by(sizes.len().max(1))
            .collect::<Vec<_>>()
    };
    let mut rehearsal = Rehearsal {
        schema: SCHEMA,
        days,
        seed,
        conditions: conditions.clone(),
        resolve: plan.asked.resolve,
        power_wanted: plan.asked.power,
        sizes: sizes
            .iter()
            .enumerate()
            .map(|(index, change)| size(plan, *change, &of(index)))
            .collect(),
        scatter: scatter(&judged),
        scatter_planned: plan.scatter.share,
        lost: lost(&judged, |day| &day.noted),
        lost_without_notes: lost(&judged, |day| &day.without_notes),
        advice: Vec::new(),
    };
    rehearsal.advice = advice(plan, &rehearsal);
    Ok(rehearsal)
}
