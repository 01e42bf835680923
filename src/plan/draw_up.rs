//! The plan, and how it is drawn up: the least that shows the change, else the most that time and
//! battery hold.

use serde::{Deserialize, Serialize};

use super::assumptions::{
    BATTERY_RESERVE, CHEAP_SWAP_S, FEWEST_DOUBLE_RUNS, LEAST_SCATTER, LEAST_SERIES, LEG_TIMES_S,
    LENGTH_EXPONENT, MASS_KG, MOST_DOUBLE_RUNS, MOST_DOUBLE_RUNS_IN_ALL, SETTLING_PER_CUBE_ROOT_KG,
    STANDARD_LEG_S, WINDAGE, scatter,
};
use super::layout::{Block, Leg, Line, Step, blocks, energy_wh, leg, line, steps};
use super::power::{Design, Power};
use super::request::{PlanError, Request};
use crate::day::beaufort::LOWEST_SPEEDS;
use crate::stats::summary::mean;

/// Version of the serialised form.
pub const SCHEMA: u32 = 2;

/// A plan: one plain value that card, notes and rehearsal read. SI units, directions in degrees
/// true, times in seconds after the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// [`SCHEMA`].
    pub schema: u32,
    /// What was asked, the speeds slowest first.
    pub request: Request,
    /// Scatter between double runs of the same thing planned with: standard deviation as a share of
    /// the speed.
    pub scatter: f64,
    /// Air drag over hull drag planned with.
    pub windage: f64,
    /// Settling distance planned with, m.
    pub settling_m: f64,
    /// The legs.
    pub leg: Leg,
    /// The line on the water; `None` where neither wind nor water gives a direction.
    pub line: Option<Line>,
    /// Double runs of each part at each setting.
    pub double_runs: usize,
    /// Whether the first part comes again at the end.
    pub alternating: bool,
    /// What is run, in order.
    pub blocks: Vec<Block>,
    /// Minute by minute.
    pub steps: Vec<Step>,
    /// From beginning to end, s.
    pub total_s: f64,
    /// Whether that is no more than the time given.
    pub in_time: bool,
    /// Over all settings together.
    pub pooled: Power,
    /// At the fastest setting alone.
    pub single: Power,
    /// Whether the plan is in time and shows the change worth knowing with the chance wanted.
    pub suffices: bool,
    /// What would help, where it does not.
    pub remedies: Vec<Remedy>,
    /// What runs and turns take from the battery, Wh, where the draw is known.
    pub energy_wh: Option<f64>,
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
    /// The setting of this speed alone: what it shows within the time.
    OneSetting {
        /// m/s.
        speed_m_s: f64,
        /// Smallest change shown.
        smallest: f64,
        /// Time it takes, s.
        total_s: f64,
        /// Whether that shows the change worth knowing.
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
    SeveralDays,
}

impl Plan {
    /// Reads the text of a `plan.json`.
    ///
    /// # Errors
    /// [`PlanError::NoPlan`] where it is none.
    pub fn read(text: &str) -> Result<Self, PlanError> {
        let plan: Self =
            serde_json::from_str(text).map_err(|e| PlanError::NoPlan(e.to_string()))?;
        if plan.schema != SCHEMA {
            let schema = format!("its schema is {}", plan.schema);
            return Err(PlanError::NoPlan(schema));
        }
        // Whatever was written into the file by hand, what follows from the request is drawn up
        // anew.
        draw_up(&plan.request)
    }

    /// The plan as the text of a `plan.json`.
    pub fn json(&self) -> String {
        // A plan holds numbers, names and lists alone; none of them can fail.
        let text = serde_json::to_string_pretty(self).unwrap_or_default();
        text + "\n"
    }

    /// Name of a part.
    pub fn part(&self, number: usize) -> &str {
        self.request.parts.get(number).map_or("", String::as_str)
    }

    /// How many double runs there are in all.
    pub fn all_double_runs(&self) -> usize {
        self.double_runs * self.request.parts.len() * self.request.speeds_m_s.len()
    }
}

/// Draws up the plan for a request.
///
/// Among the plans that show the change worth knowing within time and battery, one in which the
/// first part comes again at the end goes first, then the one with the longest legs, then the
/// fewest runs. Where there is none, the plan within both that shows the most; where not even the
/// least fits into the time, the least.
///
/// # Errors
/// [`PlanError`] where the request cannot be planned for at all.
pub fn draw_up(request: &Request) -> Result<Plan, PlanError> {
    let request = request.checked()?;
    let boat = Boat::of(&request);
    let (way, pooled) = choose(&request, &boat)?;
    let fastest = request.speeds_m_s.len() - 1;
    let single = way.design(&request).power(Some(fastest)).unwrap_or(pooled);
    let (in_time, suffices) = (way.in_time(&request), way.suffices(&request, &pooled));
    let remedies = if suffices {
        Vec::new()
    } else {
        remedies(&request, &boat, &way, &pooled)
    };
    Ok(Plan {
        schema: SCHEMA,
        scatter: way.scatter,
        windage: WINDAGE,
        settling_m: boat.settling_m,
        line: line(&request),
        double_runs: way.n,
        alternating: way.alternating,
        blocks: blocks(&request, way.n, way.alternating),
        total_s: way.total_s(),
        in_time,
        pooled,
        single,
        suffices,
        remedies,
        energy_wh: energy_wh(&request, &way.steps),
        leg: way.leg,
        steps: way.steps,
        request,
    })
}

/// What is known or assumed of the boat and the day.
struct Boat {
    /// Scatter for legs of `leg_s`.
    scatter: f64,
    leg_s: f64,
    settling_m: f64,
}

impl Boat {
    fn of(request: &Request) -> Self {
        let earlier = request.earlier.as_ref();
        let by_rule = || scatter(WINDAGE, request.wind(), &request.speeds_m_s);
        let mass = request.mass_kg.unwrap_or(MASS_KG);
        let by_mass = SETTLING_PER_CUBE_ROOT_KG * mass.cbrt();
        Self {
            scatter: earlier.map_or_else(by_rule, super::earlier::Earlier::scatter_to_plan_with),
            leg_s: earlier.and_then(|e| e.leg_s).unwrap_or(STANDARD_LEG_S),
            settling_m: earlier.and_then(|e| e.settling_m).unwrap_or(by_mass),
        }
    }

    /// The scatter with such legs.
    fn scatter_for(&self, leg: &Leg) -> f64 {
        let logs: Vec<f64> = leg.times_s.iter().map(|s| s.ln()).collect();
        let usual = mean(&logs).unwrap_or_default().exp();
        (self.scatter * (usual / self.leg_s).powf(LENGTH_EXPONENT)).max(LEAST_SCATTER)
    }
}

/// One way to do it.
#[derive(Clone)]
struct Way {
    leg: Leg,
    alternating: bool,
    n: usize,
    steps: Vec<Step>,
    scatter: f64,
}

impl Way {
    fn design<'a>(&'a self, request: &'a Request) -> Design<'a> {
        Design {
            request,
            leg: &self.leg,
            steps: &self.steps,
            scatter: self.scatter,
            windage: WINDAGE,
        }
    }

    fn power(&self, request: &Request) -> Result<Power, PlanError> {
        self.design(request).power(None).ok_or(PlanError::NoSpeed)
    }

    fn total_s(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.to_s)
    }

    fn in_time(&self, request: &Request) -> bool {
        request.time_s.is_none_or(|time| self.total_s() <= time)
    }

    /// Whether the battery brings the boat home after it.
    fn in_battery(&self, request: &Request) -> bool {
        let needed = energy_wh(request, &self.steps).zip(request.battery_wh);
        needed.is_none_or(|(needed, battery)| needed <= (1.0 - BATTERY_RESERVE) * battery)
    }

    fn suffices(&self, request: &Request, power: &Power) -> bool {
        self.in_time(request) && power.of(request.resolve) >= request.power
    }
}

/// All ways that the battery allows, the better kinds first, each kind with ever more double runs.
fn ways(request: &Request, boat: &Boat) -> Result<Vec<Vec<Way>>, PlanError> {
    // With no time given a dear swap is made once only.
    let cheap = request.time_s.is_some() || request.swap() <= CHEAP_SWAP_S;
    let cells = request.speeds_m_s.len() * request.parts.len();
    let mut kinds = Vec::new();
    for alternating in [true, false] {
        for wanted_s in LEG_TIMES_S {
            let leg = leg(request, boat.settling_m, wanted_s)?;
            let way = |n: usize| Way {
                steps: steps(request, &leg, &blocks(request, n, alternating)),
                scatter: boat.scatter_for(&leg),
                leg: leg.clone(),
                alternating,
                n,
            };
            let runs = (FEWEST_DOUBLE_RUNS..=MOST_DOUBLE_RUNS)
                .filter(|n| !alternating || (cheap && n.is_multiple_of(2)))
                .filter(|n| !alternating || n / 2 * request.speeds_m_s.len() >= LEAST_SERIES)
                .filter(|n| *n == FEWEST_DOUBLE_RUNS || n * cells <= MOST_DOUBLE_RUNS_IN_ALL);
            kinds.push(runs.map(way).collect::<Vec<Way>>());
        }
    }
    let needs = |way: &Way| energy_wh(request, &way.steps).unwrap_or_default();
    let needed = kinds
        .iter()
        .flatten()
        .map(needs)
        .fold(f64::INFINITY, f64::min);
    for ways in &mut kinds {
        ways.retain(|way| way.in_battery(request));
    }
    kinds.retain(|ways| !ways.is_empty());
    match request.battery_wh {
        Some(met) if kinds.is_empty() => Err(PlanError::Battery { met, needed }),
        _ => Ok(kinds),
    }
}

fn choose(request: &Request, boat: &Boat) -> Result<(Way, Power), PlanError> {
    let kinds = ways(request, boat)?;
    let mut best: Option<(&Way, Power)> = None;
    for ways in &kinds {
        // Ever more runs take ever more time and show ever more.
        let (ways, _) = ways.split_at(ways.partition_point(|way| way.in_time(request)));
        let Some(most) = ways.last() else { continue };
        let power = most.power(request)?;
        if most.suffices(request, &power) {
            return least_of(request, ways, (most, power));
        }
        let smallest = |power: &Power| power.smallest(request.power);
        if best
            .as_ref()
            .is_none_or(|(_, so_far)| smallest(&power) < smallest(so_far))
        {
            best = Some((most, power));
        }
    }
    if let Some((way, power)) = best {
        return Ok((way.clone(), power));
    }
    let all = kinds.iter().flatten();
    let least = all.min_by(|a, b| a.total_s().total_cmp(&b.total_s()));
    let least = least.ok_or(PlanError::NoSpeed)?;
    Ok((least.clone(), least.power(request)?))
}

/// The first of some ways that suffices, where the last one does.
fn least_of(
    request: &Request,
    ways: &[Way],
    last: (&Way, Power),
) -> Result<(Way, Power), PlanError> {
    let (mut low, mut high, mut found) = (0, ways.len() - 1, last);
    while low < high {
        let middle = usize::midpoint(low, high);
        let Some(way) = ways.get(middle) else { break };
        let power = way.power(request)?;
        if way.suffices(request, &power) {
            (high, found) = (middle, (way, power));
        } else {
            low = middle + 1;
        }
    }
    Ok((found.0.clone(), found.1))
}

/// What would help, those ways first that would do.
fn remedies(request: &Request, boat: &Boat, chosen: &Way, power: &Power) -> Vec<Remedy> {
    let mut list = Vec::new();
    let at_leisure = Request {
        time_s: None,
        ..request.clone()
    };
    let leisurely = choose(&at_leisure, boat).ok();
    match leisurely.filter(|(way, power)| way.suffices(&at_leisure, power)) {
        Some((way, _)) => {
            list.push(Remedy::MoreTime {
                total_s: way.total_s(),
                double_runs: way.n,
            });
            list.extend(quicker_swap(request, &way));
        }
        None => list.push(Remedy::SeveralDays),
    }
    list.extend(one_setting(request));
    if chosen.in_time(request) {
        let smallest = power.smallest(request.power);
        list.push(Remedy::LargerChange { smallest });
        list.extend(less_wind(request, chosen));
    }
    list
}

/// The fastest setting alone: its legs are the shortest in time.
fn one_setting(request: &Request) -> Option<Remedy> {
    let several = request.speeds_m_s.len() > 1;
    let speed_m_s = *request.speeds_m_s.last().filter(|_| several)?;
    let single = Request {
        speeds_m_s: vec![speed_m_s],
        draws_w: request.draws_w.last().copied().into_iter().collect(),
        ..request.clone()
    };
    let (way, power) = choose(&single, &Boat::of(&single)).ok()?;
    way.in_time(&single).then(|| Remedy::OneSetting {
        speed_m_s,
        smallest: power.smallest(request.power),
        total_s: way.total_s(),
        does: way.suffices(&single, &power),
    })
}

/// The swap with which a way that takes too long would be in time.
fn quicker_swap(request: &Request, way: &Way) -> Option<Remedy> {
    let swaps = blocks(request, way.n, way.alternating);
    let swaps = swaps
        .windows(2)
        .filter(|pair| pair[0].part != pair[1].part)
        .count() as f64;
    let over = way.total_s() - request.time_s?;
    let swap_s = ((request.swap() - over / swaps) / 60.0).floor() * 60.0;
    (swap_s >= LEAST_SWAP_S).then_some(Remedy::QuickerSwap { swap_s })
}

/// No swap is quicker, s (common practice, no source).
const LEAST_SWAP_S: f64 = 120.0;

/// Where the scatter comes from the wind: the end of the strongest Beaufort force below that would
/// do with the same runs.
fn less_wind(request: &Request, chosen: &Way) -> Option<Remedy> {
    let forces = LOWEST_SPEEDS.iter().rev().map(|lowest| lowest - 0.1);
    let weaker = forces.filter(|wind| *wind < request.wind() && request.earlier.is_none());
    let does = |wind: &f64| {
        let calmer = Request {
            wind_m_s: Some(*wind),
            ..request.clone()
        };
        let way = Way {
            scatter: Boat::of(&calmer).scatter_for(&chosen.leg),
            ..chosen.clone()
        };
        way.power(&calmer)
            .is_ok_and(|power| way.suffices(&calmer, &power))
    };
    let wind_m_s = weaker.into_iter().find(does)?;
    Some(Remedy::LessWind { wind_m_s })
}
