//! Whether the wind can be taken out of the comparison, and the comparison without it.

use super::covariate::{Logged, WindCovariate};
use super::hidden::{HiddenWind, is_of_note};
use super::outcome::Counted;
use super::result::{BesideCurrent, Gauge, Wind, WindSource};
use super::rules::Rules;
use crate::stats::least_squares::ordinary;
use crate::trial::gauge::{Adjusted, Beside, GaugedRun, KnownWind, NotGauged, adjusted, beside};
use crate::units::{Bearing, Current};

/// How the wind goes into the comparison.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gauged {
    /// The comparisons in one wind, where the runs give them at all.
    pub adjusted: Option<Adjusted>,
    /// How probable it is that the drift along the line is the wind's and not a current's, `[0, 1]`.
    pub probability: f64,
    /// A wind that the half differences by themselves cannot show, where a current hides it.
    pub hidden: Option<HiddenWind>,
    /// The comparisons with the wind and a current fitted together, where they can be.
    pub beside: Option<Beside>,
    /// What the result says of the half differences.
    pub told: Gauge,
    /// What it says of a wind log, where there is one.
    pub covariate: Option<WindCovariate>,
}

impl Gauged {
    /// The comparisons in one wind, where they are to stand in the result.
    pub(super) fn in_one_wind(&self) -> Option<&Adjusted> {
        let by_log = self.covariate.as_ref().is_some_and(|c| c.applied);
        (self.adjusted.as_ref()).filter(|_| by_log || self.told.applied)
    }
}

/// The comparison in one wind, how far to believe it, and what to say of it.
///
/// A log that covers the double runs goes before their half differences: what it tells is the wind, whether
/// or not a current runs. `carried`: drift along the line under way over the idle drift along it, where both
/// are known.
pub(super) fn gauge(
    counted: &Counted<'_>,
    wind: &Wind,
    carried: Option<f64>,
    logged: Option<&Logged>,
    (said, rules): (Option<Current>, &Rules),
) -> Gauged {
    let mut gauged = by_half_differences(counted, wind, carried, said, rules);
    if let Some((found, told)) = logged.map(|logged| logged.adjusted(counted, rules)) {
        if found.is_some() {
            gauged.adjusted = found;
            gauged.probability = 1.0;
            gauged.hidden = None;
            gauged.beside = None;
            gauged.told.beside_current = None;
            gauged.told.applied = false;
            gauged.told.reason = Some("the logged wind is taken in its place".to_owned());
        }
        gauged.covariate = Some(told);
    }
    gauged
}

fn by_half_differences(
    counted: &Counted<'_>,
    wind: &Wind,
    carried: Option<f64>,
    said: Option<Current>,
    rules: &Rules,
) -> Gauged {
    let from = wind.from_deg.and_then(Bearing::new);
    let timed = counted.timed(from);
    let runs: Vec<GaugedRun> = timed.iter().map(|t| t.run).collect();
    let stated = matches!(wind.source, WindSource::Given | WindSource::Log);
    let known = if stated {
        known_wind(&runs, wind)
    } else {
        KnownWind::default()
    };
    let level = rules.comparison.level;
    let together = beside(&timed, known, level, &rules.gauge, &rules.beside_current);
    let found = adjusted(&runs, level, &rules.gauge);
    let against = runs.iter().filter(|run| against_wind(run, from)).count();
    let turned = found == Err(NotGauged::TurnedRound);
    let (probability, doubt) = if said == Some(Current::None) {
        // No current runs, so the half differences are the wind's.
        (
            1.0,
            "the faster direction changed sides, so the wind turned",
        )
    } else if turned {
        (
            UNLIKELY,
            "the faster direction changed sides, so the wind turned or a current runs",
        )
    } else if 2 * against > runs.len() {
        (
            UNLIKELY,
            "the boat was faster against the wind than with it, as in a current",
        )
    } else {
        let of_runs = together.as_ref().map_or_else(
            || odds_of_settings(&runs, &counted.middles()),
            |b| b.odds_of_wind_alone,
        );
        let of_water = said.map_or(0.0, |_| -KNOWN_CURRENT_ODDS);
        let odds = odds_of_idle(carried, stated) + of_runs + of_water;
        (
            1.0 / (1.0 + (-odds).exp()),
            "a current along the line cannot be told from the wind",
        )
    };
    let reason = match (&found, probability >= rules.gauge.least_probability) {
        (Ok(_), true) => None,
        (Ok(_), false) | (Err(NotGauged::TurnedRound), _) => Some(doubt),
        (Err(NotGauged::TooFew), _) => Some(
            "six double runs or more are needed, and more than one of them with the same part at the same setting",
        ),
        (Err(NotGauged::NoSignal), _) => {
            Some("the two directions differ too little to tell a wind")
        }
        (Err(NotGauged::NoWindExplains), _) => {
            Some("no wind explains how much the two directions differ")
        }
    };
    let unseen = reason.is_some()
        && probability < rules.gauge.least_probability
        && is_of_note(counted, probability <= UNLIKELY, &rules.hidden_wind);
    let hidden = unseen.then(|| HiddenWind {
        windage: rules.gauge.windage,
        probability: 1.0 - probability,
        wind_m_s: (wind.speed_m_s)
            .filter(|_| stated)
            .unwrap_or(rules.hidden_wind.wind_m_s),
        change_log_sd: rules.hidden_wind.change_log_sd,
    });
    let found = found.ok();
    let odds_of_wind_alone_log = together.as_ref().map(|b| b.odds_of_wind_alone);
    let together = together.filter(|_| found.is_some() || hidden.is_some());
    let told = Gauge {
        applied: reason.is_none(),
        supported: reason.is_none(),
        reason: reason.map(str::to_owned),
        probability: Some(probability),
        odds_of_wind_alone_log,
        windage: found.as_ref().map(|f| f.windage),
        windage_log_sd: found.as_ref().map(|f| f.windage_log_sd),
        wind_m_s: found.as_ref().map(|f| f.wind),
        beside_current: (together.as_ref())
            .filter(|_| hidden.is_some())
            .map(told_beside),
    };
    Gauged {
        adjusted: found,
        probability,
        hidden,
        beside: together,
        told,
        covariate: None,
    }
}

/// A wind this near to square across the line has no end of it to come from, degrees.
const NEARLY_ACROSS_DEG: f64 = 15.0;

/// What a wind that was told is along the line of the runs.
fn known_wind(runs: &[GaugedRun], wind: &Wind) -> KnownWind {
    let (Some(from), Some(first)) = (wind.from_deg.and_then(Bearing::new), runs.first()) else {
        return KnownWind::default();
    };
    let ahead = first.axis.turn_to(from).degrees().to_radians().cos();
    KnownWind {
        along_m_s: wind.speed_m_s.map(|speed| speed * ahead.abs()),
        from_ahead: (ahead.abs() > NEARLY_ACROSS_DEG.to_radians().sin()).then_some(ahead > 0.0),
    }
}

fn told_beside(beside: &Beside) -> BesideCurrent {
    let [growth, sd] = beside.growth_log;
    BesideCurrent {
        windage: beside.windage,
        windage_log_sd: beside.windage_log_sd,
        wind_m_s: beside.wind,
        wind_growth_log: growth,
        wind_growth_log_sd: sd,
    }
}

/// Probability of wind alone where the directions speak against it.
const UNLIKELY: f64 = 0.05;

/// Drift under way over idle drift in wind alone: middle, and standard deviation of its logarithm.
/// Source: our own simulated days, of boats that drift at 3-6 % of the wind.
const IN_WIND: (f64, f64) = (0.6, 0.4);

/// The same in a current that outdoes the wind: both are the water's, alike in a stream that holds and anyhow
/// where a tide ran on between the idle drift and the trial. One is as usual as the other.
/// Source: our own simulated days.
const IN_CURRENT: [(f64, f64); 2] = [(1.0, 0.25), (1.0, 0.8)];

/// Log odds of wind where the person gave it and no idle drift speaks: most trials are run on still
/// water (common practice, no source).
const STATED_ODDS: f64 = 1.0;

/// Log odds of a current that a person named: twenty to one that it is what makes most of the drift.
const KNOWN_CURRENT_ODDS: f64 = 3.0;

/// Log odds of wind against current from the idle drift.
fn odds_of_idle(carried: Option<f64>, stated: bool) -> f64 {
    let start = if stated { STATED_ODDS } else { 0.0 };
    let Some(ratio) = carried else {
        return start;
    };
    if ratio <= 0.0 {
        return -3.0;
    }
    let density = |(middle, sd): (f64, f64)| {
        let z = (ratio / middle).ln() / sd;
        (-0.5 * z * z).exp() / sd
    };
    let in_current: f64 = IN_CURRENT.map(density).iter().sum::<f64>() / 2.0;
    // Neither has tails as thin as a normal distribution's.
    start + (density(IN_WIND) / in_current).ln().clamp(-3.0, 3.0)
}

/// Whether a run was faster on the leg that the wind stood against.
fn against_wind(run: &GaugedRun, from: Option<Bearing>) -> bool {
    let Some(from) = from else {
        return false;
    };
    let half = (run.along - run.against) / 2.0;
    // Along the axis is against the wind where the wind comes from ahead of it.
    let ahead = run.axis.turn_to(from).degrees().to_radians().cos();
    half * ahead > 0.0 && half.abs() > run.se.unwrap_or(0.0)
}

/// Log odds of wind against current from slow and fast settings.
///
/// A current carries the boat alike at every setting; a wind moves a slow boat more, since the same
/// push is a larger part of a smaller drag: the half difference is near inverse to the speed. Either
/// may change over the day, so both are fitted with a parabola in time and their misfits compared.
/// Gusts last from one run to the next, so two runs count as one.
fn odds_of_settings(runs: &[GaugedRun], middles: &[f64]) -> f64 {
    let several = runs.windows(2).any(|w| w[0].setting != w[1].setting);
    let hours = |power: i32| -> Vec<f64> {
        let first = middles.first().copied().unwrap_or(0.0);
        (middles.iter())
            .map(|t| ((t - first) / 3600.0).powi(power))
            .collect()
    };
    let parabola = [hours(0), hours(1), hours(2)];
    let misfit = |as_wind: bool| -> Option<f64> {
        let values: Vec<f64> = runs
            .iter()
            .map(|run| {
                let mean = f64::midpoint(run.along, run.against);
                (run.along - run.against) / 2.0 * if as_wind { mean } else { 1.0 }
            })
            .collect();
        let size: f64 = values.iter().map(|v| v * v).sum();
        Some(ordinary(&parabola, &values)?.residual_squares / size)
    };
    let (Some(wind), Some(current), true) = (misfit(true), misfit(false), several) else {
        return 0.0;
    };
    let told = wind > 0.0 && current > 0.0;
    if runs.len() < 6 || !told {
        return 0.0;
    }
    (runs.len() as f64 / 4.0 * (current / wind).ln()).clamp(-3.0, 3.0)
}
