//! The order of the runs and the clock: blocks, steps, lengths.
//!
//! With two parts A and B the order A-B-B-A makes a steady change of the weather fall on both alike. It takes one
//! swap more.

use super::Asked;
use super::assume::{
    APPROACH_SETTLINGS, LEAST_APPROACH_M, LEAST_LEG_S, SET_UP_S, SWAP_S, TIME_RESERVE, TURN_ROOM_M,
    TURN_S,
};
use super::drawn::{Block, Leg, LegTime, Step, StepKind};
use super::error::PlanError;

/// Shortest approach for a settling distance, m.
pub(super) fn approach_m(settling_m: f64) -> f64 {
    (APPROACH_SETTLINGS * settling_m).max(LEAST_APPROACH_M)
}

/// The legs: `wanted_s` at the fastest setting where the water allows, never below the least.
pub(super) fn leg(asked: &Asked, settling_m: f64, wanted_s: f64) -> Result<Leg, PlanError> {
    let fastest = asked.speeds_m_s.iter().copied().fold(0.0, f64::max);
    let approach_m = approach_m(settling_m);
    let least = LEAST_LEG_S * fastest;
    let room = asked
        .water_m
        .map_or(f64::INFINITY, |w| w - 2.0 * TURN_ROOM_M);
    if room < least {
        return Err(PlanError::Water {
            met: asked.water_m.unwrap_or(0.0),
            needed: least + 2.0 * TURN_ROOM_M,
        });
    }
    // Marks stand at tens of metres.
    let length_m = ((wanted_s * fastest).min(room) / 10.0).floor() * 10.0;
    Ok(Leg {
        length_m,
        approach_m,
        times: asked
            .speeds_m_s
            .iter()
            .map(|&speed_m_s| LegTime {
                speed_m_s,
                leg_s: length_m / speed_m_s,
                steady_s: (length_m - approach_m) / speed_m_s,
            })
            .collect(),
    })
}

/// The blocks in order; alternating ones need an even number of double runs.
///
/// Alternating, the second half is the first in the mirror, settings included: A slow, A fast, B fast, B slow,
/// B slow, B fast, A fast, A slow. So each part has the same mean time at each setting.
pub(super) fn blocks(asked: &Asked, double_runs: usize, alternating: bool) -> Vec<Block> {
    let each = if alternating {
        double_runs / 2
    } else {
        double_runs
    };
    let settings = 0..asked.speeds_m_s.len();
    let mut blocks: Vec<Block> = (0..asked.parts.len())
        .map(|part| Block {
            part,
            settings: if part.is_multiple_of(2) {
                settings.clone().collect()
            } else {
                settings.clone().rev().collect()
            },
            double_runs: each,
        })
        .collect();
    if alternating {
        let mirrored: Vec<Block> = blocks
            .iter()
            .rev()
            .map(|block| Block {
                settings: block.settings.iter().rev().copied().collect(),
                ..block.clone()
            })
            .collect();
        blocks.extend(mirrored);
    }
    blocks
}

/// Everything that is done, with its time.
pub(super) fn steps(asked: &Asked, leg: &Leg, blocks: &[Block]) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut clock = 0.0;
    let mut add = |kind: StepKind, seconds: f64| {
        steps.push(Step {
            kind,
            from_s: clock,
            to_s: clock + seconds,
        });
        clock += seconds;
    };
    add(StepKind::SetUp, SET_UP_S);
    let mut number = 0;
    let mut fitted = blocks.first().map(|block| block.part);
    for block in blocks {
        if fitted.replace(block.part) != Some(block.part) {
            add(
                StepKind::Swap { part: block.part },
                asked.swap_s.unwrap_or(SWAP_S),
            );
        }
        for &setting in &block.settings {
            let Some(time) = leg.times.get(setting) else {
                continue;
            };
            for _ in 0..block.double_runs {
                number += 1;
                let kind = StepKind::DoubleRun {
                    number,
                    part: block.part,
                    setting,
                };
                add(kind, 2.0 * (time.leg_s + TURN_S) * (1.0 + TIME_RESERVE));
            }
        }
    }
    steps
}
