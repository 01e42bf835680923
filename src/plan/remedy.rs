//! What would do, where the time does not suffice: each way with its number.

use serde::{Deserialize, Serialize};

use super::Asked;
use super::assume::{MOST_DOUBLE_RUNS, SWAP_S, WIND_M_S, scatter};
use super::draw::{Boat, Way, choose};
use super::drawn::ScatterSource;

/// Ways to help, those that would do first.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Remedies {
    /// In the order told.
    pub list: Vec<Remedy>,
}

/// Something that would help. SI units, shares.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum Remedy {
    /// So much time in all would do.
    MoreTime {
        /// s.
        total_s: f64,
        /// Double runs of each part at each setting.
        double_runs: usize,
    },
    /// The setting of this speed alone: what it tells within the time.
    OneSetting {
        /// m/s.
        speed_m_s: f64,
        /// Smallest change told.
        smallest: f64,
        /// Time it takes, s.
        total_s: f64,
        /// Whether that tells the change worth knowing.
        does: bool,
    },
    /// A swap no longer than this.
    QuickerSwap {
        /// s.
        swap_s: f64,
    },
    /// Contenting oneself with a change of this size.
    LargerChange {
        /// A share.
        smallest: f64,
    },
    /// A day with no more wind than this.
    LessWind {
        /// m/s.
        wind_m_s: f64,
    },
    /// No number of runs on one day does: several days, or another question.
    SeveralDays {
        /// Most double runs reckoned with.
        most: usize,
    },
}

/// Winds tried for a day that would do, m/s.
const WIND_STEP_M_S: f64 = 0.5;
/// Swaps tried, s.
const SWAP_STEP_S: f64 = 60.0;

pub(super) fn remedies(asked: &Asked, chosen: &Way) -> Remedies {
    let mut list = Vec::new();
    let at_leisure = Asked {
        time_s: None,
        ..asked.clone()
    };
    let leisurely = choose(&at_leisure, &Boat::of(&at_leisure)).ok();
    match leisurely.filter(|way| way.tell.power >= asked.power) {
        Some(way) => list.push(Remedy::MoreTime {
            total_s: way.total_s,
            double_runs: way.n,
        }),
        None => list.push(Remedy::SeveralDays {
            most: MOST_DOUBLE_RUNS,
        }),
    }
    list.extend(one_setting(asked));
    if chosen.in_time(asked) {
        list.push(Remedy::LargerChange {
            smallest: chosen.tell.smallest,
        });
    }
    list.extend(quicker_swap(asked));
    list.extend(less_wind(asked));
    Remedies { list }
}

/// The fastest setting alone: its legs are the shortest in time.
fn one_setting(asked: &Asked) -> Option<Remedy> {
    let speed_m_s = *asked
        .speeds_m_s
        .last()
        .filter(|_| asked.speeds_m_s.len() > 1)?;
    let single = Asked {
        speeds_m_s: vec![speed_m_s],
        draws_w: asked.draws_w.last().copied().into_iter().collect(),
        ..asked.clone()
    };
    let way = choose(&single, &Boat::of(&single)).ok()?;
    way.in_time(asked).then_some(Remedy::OneSetting {
        speed_m_s,
        smallest: way.tell.smallest,
        total_s: way.total_s,
        does: way.tell.power >= asked.power,
    })
}

fn does(asked: &Asked) -> bool {
    choose(asked, &Boat::of(asked))
        .is_ok_and(|way| way.in_time(asked) && way.tell.power >= asked.power)
}

fn quicker_swap(asked: &Asked) -> Option<Remedy> {
    let now = asked.swap_s.unwrap_or(SWAP_S);
    let steps = (now / SWAP_STEP_S).ceil() as usize;
    (2..steps)
        .rev()
        .map(|step| step as f64 * SWAP_STEP_S)
        .find(|swap_s| {
            does(&Asked {
                swap_s: Some(*swap_s),
                ..asked.clone()
            })
        })
        .map(|swap_s| Remedy::QuickerSwap { swap_s })
}

/// Where the scatter comes from the wind: the strongest wind that would do.
fn less_wind(asked: &Asked) -> Option<Remedy> {
    let boat = Boat::of(asked);
    if boat.source == ScatterSource::Earlier {
        return None;
    }
    let now = asked.wind_m_s.unwrap_or(WIND_M_S);
    let steps = (now / WIND_STEP_M_S).ceil() as usize;
    (0..steps)
        .rev()
        .map(|step| step as f64 * WIND_STEP_M_S)
        .filter(|wind| scatter(boat.windage, *wind, &asked.speeds_m_s) < boat.scatter)
        .find(|wind| {
            does(&Asked {
                wind_m_s: Some(*wind),
                ..asked.clone()
            })
        })
        .map(|wind_m_s| Remedy::LessWind { wind_m_s })
}
