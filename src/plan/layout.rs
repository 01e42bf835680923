//! The legs, the line, the order of the runs and the clock.
//!
//! With two parts A and B the order A-B-B-A makes a steady change of the weather fall on both
//! alike. It takes one swap more.

use serde::{Deserialize, Serialize};

use super::assumptions::{
    APPROACH_SETTLINGS, LEAST_APPROACH_M, LEAST_APPROACHES, LEAST_LEG_S, QUARTERING_DEG, SET_UP_S,
    TIME_RESERVE, TURN_ROOM_M, TURN_S,
};
use super::request::{PlanError, Request};
use crate::units::{Bearing, Turn};

/// The legs planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Leg {
    /// From mark to mark, m.
    pub length_m: f64,
    /// The first part of it, which is not measured, m.
    pub approach_m: f64,
    /// From mark to mark at each setting, slowest first, s.
    pub times_s: Vec<f64>,
}

/// The line on the water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Course out.
    pub out: Bearing,
    /// Course back.
    pub back: Bearing,
    /// Wind off the bow on the way out, degrees, positive to starboard; `None` without a wind.
    pub wind_off_bow_deg: Option<f64>,
}

/// Double runs done one after another with one part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Which of [`Request::parts`].
    pub part: usize,
    /// Settings in the order run, indices into the speeds.
    pub settings: Vec<usize>,
    /// Double runs at each setting.
    pub double_runs: usize,
}

/// Something done, from and to in seconds after the start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What.
    #[serde(flatten)]
    pub kind: StepKind,
    /// From.
    pub from_s: f64,
    /// To.
    pub to_s: f64,
}

/// What is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum StepKind {
    /// Recorder on, adrift, run-up.
    SetUp,
    /// A double run, turns included.
    DoubleRun {
        /// Number, from 1.
        number: usize,
        /// Which part.
        part: usize,
        /// Which setting.
        setting: usize,
    },
    /// A swap to this part.
    Swap {
        /// Which part.
        part: usize,
    },
}

/// The legs: `wanted_s` at the fastest setting where the water allows, never below the least.
pub(super) fn leg(request: &Request, settling_m: f64, wanted_s: f64) -> Result<Leg, PlanError> {
    let speeds = &request.speeds_m_s;
    let fastest = speeds.iter().copied().fold(0.0, f64::max);
    let approach_m = (APPROACH_SETTLINGS * settling_m).max(LEAST_APPROACH_M);
    let least = (LEAST_LEG_S * fastest).max(LEAST_APPROACHES * approach_m);
    let water = request.water_m.unwrap_or(f64::INFINITY);
    let room = water - 2.0 * TURN_ROOM_M;
    if room < least {
        return Err(PlanError::Water {
            met: water,
            needed: least + 2.0 * TURN_ROOM_M,
        });
    }
    // Marks stand at tens of metres.
    let tens = |metres: f64| (metres / 10.0).floor() * 10.0;
    let length_m = tens((wanted_s * fastest).min(room)).max(least);
    Ok(Leg {
        length_m,
        approach_m,
        times_s: speeds.iter().map(|speed| length_m / speed).collect(),
    })
}

/// The line: along the water where that is given, else with the wind on the quarter.
pub(super) fn line(request: &Request) -> Option<Line> {
    let out = match (request.axis, request.wind_from) {
        // Out is the way against the wind: the boat that fails drifts home.
        (Some(axis), Some(from)) if axis.apart(from) > 90.0 => axis.reciprocal(),
        (Some(axis), _) => axis,
        (None, from) => from?.turned(Turn::new(QUARTERING_DEG)?),
    };
    Some(Line {
        out,
        back: out.reciprocal(),
        wind_off_bow_deg: request.wind_from.map(|from| out.turn_to(from).degrees()),
    })
}

/// The blocks in order; alternating ones need an even number of double runs.
///
/// Alternating, the second half is the first in the mirror, settings included: A slow, A fast, B
/// fast, B slow, B slow, B fast, A fast, A slow. So each part has the same mean time at each
/// setting.
pub(super) fn blocks(request: &Request, double_runs: usize, alternating: bool) -> Vec<Block> {
    let block = |part: usize| {
        let mut settings: Vec<usize> = (0..request.speeds_m_s.len()).collect();
        if !part.is_multiple_of(2) {
            settings.reverse();
        }
        Block {
            part,
            settings,
            double_runs: if alternating {
                double_runs / 2
            } else {
                double_runs
            },
        }
    };
    let mut blocks: Vec<Block> = (0..request.parts.len()).map(block).collect();
    if alternating {
        let mut mirrored = blocks.clone();
        mirrored.reverse();
        for block in &mut mirrored {
            block.settings.reverse();
        }
        blocks.extend(mirrored);
    }
    blocks
}

/// Everything that is done, with its time.
pub(super) fn steps(request: &Request, leg: &Leg, blocks: &[Block]) -> Vec<Step> {
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
        let part = block.part;
        if fitted.replace(part) != Some(part) {
            add(StepKind::Swap { part }, request.swap());
        }
        for &setting in &block.settings {
            for _ in 0..block.double_runs {
                number += 1;
                let kind = StepKind::DoubleRun {
                    number,
                    part,
                    setting,
                };
                add(kind, double_run_s(leg, setting));
            }
        }
    }
    steps
}

/// Time of a double run at a setting, turns and reserve included, s.
fn double_run_s(leg: &Leg, setting: usize) -> f64 {
    let leg_s = leg.times_s.get(setting).copied().unwrap_or_default();
    2.0 * (leg_s + TURN_S) * (1.0 + TIME_RESERVE)
}

/// What the motor takes for runs and turns, Wh; `None` where no draw is given.
pub(super) fn energy_wh(request: &Request, steps: &[Step]) -> Option<f64> {
    let joules = steps.iter().filter_map(|step| match step.kind {
        StepKind::DoubleRun { setting, .. } => {
            Some((step.to_s - step.from_s) * request.draws_w.get(setting)?)
        }
        _ => None,
    });
    (!request.draws_w.is_empty()).then(|| joules.sum::<f64>() / 3600.0)
}
