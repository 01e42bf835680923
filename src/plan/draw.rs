//! Draws a plan up: the least that tells the change, else the most that the time holds.

use super::Asked;
use super::assume::{
    CHEAP_SWAP_S, FEWEST_DOUBLE_RUNS, LEAST_SCATTER, LEG_TIMES_S, LENGTH_EXPONENT, MASS_KG,
    MOST_DOUBLE_RUNS, QUARTERING_DEG, SETTLING_PER_CUBE_ROOT_KG, STANDARD_LEG_S, SWAP_S, WIND_M_S,
    WINDAGE, scatter,
};
use super::assumed::{assumed, energy};
use super::drawn::{Leg, Line, Plan, SCHEMA, Scatter, ScatterSource};
use super::error::PlanError;
use super::layout;
use super::remedy::{Remedies, remedies};
use super::tell::{Design, Tell, tell};
use super::words;
use crate::units::{Bearing, Turn};

/// Draws up the plan for a request.
///
/// Among the plans that tell the change worth knowing within the time, one in which the first part comes again at the
/// end goes first, then the one with the longest legs, then the fewest runs. Where there is none, the plan within
/// the time that tells the most; where not even the least fits, the least.
///
/// # Errors
/// [`PlanError`] where the request cannot be planned for at all.
pub fn draw_up(asked: &Asked) -> Result<Plan, PlanError> {
    let asked = asked.checked()?;
    let boat = Boat::of(&asked);
    let chosen = choose(&asked, &boat)?;
    let leg = chosen.leg.clone();
    let line = line(&asked);
    let blocks = layout::blocks(&asked, chosen.n, chosen.alternating);
    let steps = layout::steps(&asked, &leg, &blocks);
    let single = tell(
        Design {
            pooled: 1,
            ..design(&asked, chosen.scatter)
        },
        chosen.n,
        asked.resolve,
        asked.power,
    );
    let energy = energy(&asked, &leg, &steps);
    let suffices = chosen.suffices(&asked);
    let most = asked
        .time_s
        .and_then(|_| most_in_time(&asked, &boat, &chosen));
    Ok(Plan {
        schema: SCHEMA,
        scatter: Scatter {
            share: chosen.scatter,
            source: boat.source,
        },
        windage: boat.windage,
        settling_m: boat.settling_m,
        line,
        double_runs: chosen.n,
        alternating: chosen.alternating,
        blocks,
        total_s: chosen.total_s,
        in_time: chosen.in_time(&asked),
        pooled: chosen.tell,
        single: single.unwrap_or(chosen.tell),
        suffices,
        remedies: if suffices {
            Remedies::default()
        } else {
            remedies(&asked, &chosen)
        },
        energy,
        assumed: assumed(&asked, &boat),
        remarks: words::remarks(&asked, &chosen, &boat, most.as_ref()),
        leg,
        steps,
        asked,
    })
}

/// What is known or assumed of the boat and the day.
#[derive(Debug, Clone)]
pub(super) struct Boat {
    /// Scatter for legs of `leg_s`.
    pub(super) scatter: f64,
    leg_s: f64,
    pub(super) source: ScatterSource,
    pub(super) windage: f64,
    pub(super) settling_m: f64,
}

impl Boat {
    pub(super) fn of(asked: &Asked) -> Self {
        let earlier = asked.earlier.as_ref();
        let windage = WINDAGE;
        let mass = asked.mass_kg.unwrap_or(MASS_KG);
        let settling_m = earlier
            .and_then(|e| e.settling_m)
            .unwrap_or(SETTLING_PER_CUBE_ROOT_KG * mass.cbrt());
        match earlier {
            Some(earlier) => Self {
                scatter: earlier.scatter,
                leg_s: earlier.leg_s.unwrap_or(STANDARD_LEG_S),
                source: ScatterSource::Earlier,
                windage,
                settling_m,
            },
            None => Self {
                scatter: scatter(
                    windage,
                    asked.wind_m_s.unwrap_or(WIND_M_S),
                    &asked.speeds_m_s,
                ),
                leg_s: STANDARD_LEG_S,
                source: ScatterSource::Simulated,
                windage,
                settling_m,
            },
        }
    }

    /// The scatter with such legs.
    fn scatter_for(&self, leg: &Leg) -> f64 {
        let logs: f64 = leg.times.iter().map(|t| t.leg_s.ln()).sum();
        let usual = (logs / leg.times.len().max(1) as f64).exp();
        (self.scatter * (usual / self.leg_s).powf(LENGTH_EXPONENT)).max(LEAST_SCATTER)
    }
}

/// One way to do it.
#[derive(Debug, Clone)]
pub(super) struct Way {
    pub(super) leg: Leg,
    pub(super) alternating: bool,
    pub(super) n: usize,
    pub(super) total_s: f64,
    pub(super) scatter: f64,
    pub(super) tell: Tell,
}

impl Way {
    pub(super) fn in_time(&self, asked: &Asked) -> bool {
        asked.time_s.is_none_or(|time| self.total_s <= time)
    }

    fn suffices(&self, asked: &Asked) -> bool {
        self.in_time(asked) && self.tell.power >= asked.power
    }
}

fn design(asked: &Asked, scatter: f64) -> Design {
    let settings = asked.speeds_m_s.len();
    Design {
        parts: asked.parts.len(),
        settings,
        pooled: settings,
        scatter,
    }
}

/// All ways, the better ones first as far as their kind goes, each kind with ever more double runs.
fn ways(asked: &Asked, boat: &Boat) -> Result<Vec<Way>, PlanError> {
    // With no time given a dear swap is made once only.
    let cheap = asked.time_s.is_some() || asked.swap_s.unwrap_or(SWAP_S) <= CHEAP_SWAP_S;
    let mut ways = Vec::new();
    for alternating in [true, false] {
        if alternating && !cheap {
            continue;
        }
        for wanted_s in LEG_TIMES_S {
            let leg = layout::leg(asked, boat.settling_m, wanted_s)?;
            let scatter = boat.scatter_for(&leg);
            for n in FEWEST_DOUBLE_RUNS..=MOST_DOUBLE_RUNS {
                if alternating && n % 2 == 1 {
                    continue;
                }
                let Some(tell) = tell(design(asked, scatter), n, asked.resolve, asked.power) else {
                    continue;
                };
                let steps = layout::steps(asked, &leg, &layout::blocks(asked, n, alternating));
                ways.push(Way {
                    leg: leg.clone(),
                    alternating,
                    n,
                    total_s: steps.last().map_or(0.0, |step| step.to_s),
                    scatter,
                    tell,
                });
            }
        }
    }
    Ok(ways)
}

pub(super) fn choose(asked: &Asked, boat: &Boat) -> Result<Way, PlanError> {
    let ways = ways(asked, boat)?;
    if let Some(way) = ways.iter().find(|way| way.suffices(asked)) {
        return Ok(way.clone());
    }
    let best = ways
        .iter()
        .filter(|way| way.in_time(asked))
        .min_by(|a, b| a.tell.smallest.total_cmp(&b.tell.smallest));
    let least = || ways.iter().min_by(|a, b| a.total_s.total_cmp(&b.total_s));
    best.or_else(least).cloned().ok_or(PlanError::NoSpeed)
}

/// The most that the time holds with the legs and the order chosen.
fn most_in_time(asked: &Asked, boat: &Boat, chosen: &Way) -> Option<Way> {
    let ways = ways(asked, boat).ok()?;
    ways.into_iter()
        .filter(|way| way.alternating == chosen.alternating && way.leg == chosen.leg)
        .filter(|way| way.in_time(asked))
        .max_by_key(|way| way.n)
}

fn line(asked: &Asked) -> Option<Line> {
    let quartering = |from: Bearing| Some(from.turned(Turn::new(QUARTERING_DEG)?));
    let out = match (asked.axis, asked.wind_from) {
        // Out is the way against the wind: the boat that fails drifts home.
        (Some(axis), Some(from)) if axis.apart(from) > 90.0 => axis.reciprocal(),
        (Some(axis), _) => axis,
        (None, Some(from)) => quartering(from)?,
        (None, None) => return None,
    };
    Some(Line {
        out,
        back: out.reciprocal(),
        wind_off_bow_deg: asked.wind_from.map(|from| out.turn_to(from).degrees()),
        given: asked.axis.is_some(),
    })
}
