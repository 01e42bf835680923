//! What a plan takes for granted, as it is told, and the energy it takes.

use super::Asked;
use super::assume::{SET_UP_S, SWAP_S, TIME_RESERVE, TURN_S, WIND_M_S};
use super::draw::Boat;
use super::drawn::{Assumed, Energy, Leg, ScatterSource, Step, StepKind};
use super::words;

/// The energy at the motor for runs and turns; `None` where no draw is given.
pub(super) fn energy(asked: &Asked, leg: &Leg, steps: &[Step]) -> Option<Energy> {
    if asked.draws_w.is_empty() {
        return None;
    }
    let joules: f64 = steps
        .iter()
        .filter_map(|step| match step.kind {
            StepKind::DoubleRun { setting, .. } => {
                let seconds = 2.0 * (leg.times.get(setting)?.leg_s + TURN_S) * (1.0 + TIME_RESERVE);
                Some(seconds * asked.draws_w.get(setting)?)
            }
            _ => None,
        })
        .sum();
    Some(Energy {
        needed_wh: joules / 3600.0,
        battery_wh: asked.battery_wh,
    })
}

/// Everything taken for granted, with its reason.
pub(super) fn assumed(asked: &Asked, boat: &Boat) -> Vec<Assumed> {
    let mut list = Vec::new();
    let mut add = |what: String, why: &str| {
        list.push(Assumed {
            what,
            why: why.to_owned(),
        });
    };
    let unit = asked.units;
    if boat.source == ScatterSource::Simulated {
        add(
            format!(
                "two double runs of the same thing differ by {} (standard deviation)",
                words::percent(boat.scatter)
            ),
            "from wind and speed by a rule fitted to our own simulated days, with a quarter in reserve; an earlier result.json tells it for your boat",
        );
        if asked.wind_m_s.is_none() {
            add(
                format!("a wind of {}", words::speed(WIND_M_S, unit)),
                "no wind was given; the middle of Beaufort 3",
            );
        }
    }
    let settled = asked
        .earlier
        .as_ref()
        .is_some_and(|e| e.settling_m.is_some());
    if !settled {
        let why = if asked.mass_kg.is_some() {
            "from the mass given; our own simulated boats"
        } else {
            "for a boat of 345 kg with crew; our own simulated boats"
        };
        add(
            format!(
                "a settling distance of {}",
                words::metres(boat.settling_m, unit)
            ),
            why,
        );
    }
    if asked.swap_s.is_none() {
        add(
            format!("{} for a swap", words::span(SWAP_S)),
            "common practice, no source",
        );
    }
    add(
        format!(
            "{} for a turn, a tenth of the time in reserve, {} before the first leg",
            words::span(TURN_S),
            words::span(SET_UP_S)
        ),
        "turns: our own simulated days; reserve: common practice, no source",
    );
    list
}
