//! Three configurations or more: intervals that hold all together, and all pairs.
//!
//! Of several 95 % intervals one misses more often than one time in twenty. Against the first
//! configuration Dunnett's critical value makes them hold together, for all pairs that of Tukey &
//! Kramer (see `stats::simultaneous`). Each is put on the comparison's own standard error, so that
//! what the wind's gauge leaves open stays in.

use super::compared::{Comparison, LogRatio, Pair, Simultaneous};
use super::comparisons::comparisons;
use super::covariate::Logged;
use super::gauge::gauge;
use super::outcome::Counted;
use super::result::Wind;
use super::rules::Rules;
use crate::segmenter::{Assigned, Segmented};
use crate::stats::interval::percent_of_log;
use crate::stats::many_to_one::{loads, many_to_one_cdf, many_to_one_critical};
use crate::stats::power::Sides;
use crate::stats::studentized_range::{studentized_range_cdf, studentized_range_quantile};
use crate::units::Current;

/// Named with every interval against the first.
const AGAINST_FIRST: &str = "Dunnett 1955, 1964: every configuration against the first";

/// Named with every pair.
const ALL_PAIRS: &str = "Tukey & Kramer 1956: all pairs";

/// Gives each comparison with the first the interval that holds together with the others of its
/// setting, where there are two or more of them.
pub(super) fn against_first(comparisons: &mut [Comparison], level: f64) {
    let mut criticals = Criticals::default();
    let all: Vec<Option<Simultaneous>> = comparisons
        .iter()
        .map(|comparison| {
            let family: Vec<&Comparison> = (comparisons.iter())
                .filter(|c| c.setting == comparison.setting && c.log_ratio.is_some())
                .collect();
            dunnett(comparison, &family, level, &mut criticals)
        })
        .collect();
    for (comparison, found) in comparisons.iter_mut().zip(all) {
        comparison.simultaneous = found;
    }
}

/// Critical values already found: each takes thousands of integrals, and most comparisons of a day
/// share one.
#[derive(Default)]
struct Criticals {
    known: Vec<(Vec<f64>, Option<f64>)>,
}

impl Criticals {
    /// The critical value that goes with these numbers, `find`ing it but once.
    fn of(&mut self, numbers: Vec<f64>, find: impl FnOnce() -> Option<f64>) -> Option<f64> {
        if let Some((_, critical)) = self.known.iter().find(|(known, _)| *known == numbers) {
            return *critical;
        }
        let critical = find();
        self.known.push((numbers, critical));
        critical
    }
}

fn dunnett(
    own: &Comparison,
    family: &[&Comparison],
    level: f64,
    criticals: &mut Criticals,
) -> Option<Simultaneous> {
    let log = own.log_ratio?;
    if family.len() < 2 {
        return None;
    }
    // The shares of the means' variances by the counts of runs alone.
    let share = |runs: usize| 1.0 / runs.max(1) as f64;
    let variances: Vec<f64> = family.iter().map(|c| share(c.double_runs[1])).collect();
    let loads = loads(share(own.double_runs[0]), &variances)?;
    let df = log.df.unwrap_or(f64::INFINITY);
    let numbers = loads.iter().copied().chain([df]).collect();
    let critical = criticals.of(numbers, || {
        many_to_one_critical(level, &loads, df, Sides::Two)
    })?;
    let p = 1.0 - many_to_one_cdf((log.value / log.se).abs(), &loads, df, Sides::Two)?;
    told(log, critical, p, AGAINST_FIRST)
}

fn told(log: LogRatio, critical: f64, p_value: f64, method: &'static str) -> Option<Simultaneous> {
    Some(Simultaneous {
        low: percent_of_log(log.value - critical * log.se)?,
        high: percent_of_log(log.value + critical * log.se)?,
        p_value: p_value.clamp(0.0, 1.0),
        method,
    })
}

/// What all pairs are reckoned from.
pub(super) struct Pairing<'a> {
    pub found: &'a Segmented,
    pub assigned: &'a Assigned,
    pub wind: &'a Wind,
    /// Drift along the line under way over the idle drift, where known.
    pub carried: Option<f64>,
    /// What a wind log says, where there is one.
    pub logged: Option<&'a Logged>,
    /// What the person said of currents.
    pub said: Option<Current>,
    pub rules: &'a Rules,
}

/// Every pair of three configurations or more, per setting and over all settings; empty for fewer,
/// unless the two that were run leave out the first of three.
///
/// `first`: the comparisons with the first configuration. The other pairs are compared in the same
/// way, each configuration in turn put first.
pub(super) fn all_pairs(pairing: &Pairing<'_>, first: &[Comparison]) -> Vec<Pair> {
    let count = pairing.assigned.configurations.len();
    let used = (0..count)
        .filter(|c| has_runs(pairing.assigned, *c))
        .count();
    // Of several days some may have run two of the three without the first, which no comparison tells.
    let without_first = count >= 3 && used == 2 && !has_runs(pairing.assigned, 0);
    if used < 3 && !without_first {
        return Vec::new();
    }
    let mut all: Vec<Comparison> = first.to_vec();
    for baseline in 1..count {
        let turned = turned(pairing.assigned, baseline);
        let counted = Counted::new(pairing.found, &turned);
        let gauged = gauge(
            &counted,
            pairing.wind,
            pairing.carried,
            pairing.logged,
            (pairing.said, pairing.rules),
        );
        let own = comparisons(&counted, &gauged, &pairing.rules.comparison);
        let later = |c: &Comparison| {
            let names = &pairing.assigned.configurations;
            names.iter().position(|n| *n == c.changed) > Some(baseline)
        };
        all.extend(own.into_iter().filter(later));
    }
    let level = pairing.rules.comparison.level;
    let mut criticals = Criticals::default();
    all.into_iter()
        .filter_map(|c| pair(&c, used, level, &mut criticals))
        .collect()
}

fn has_runs(assigned: &Assigned, configuration: usize) -> bool {
    let mut runs = assigned.runs.iter();
    runs.any(|run| run.configuration == configuration && !run.left_out)
}

/// The same groups with another configuration first, which changes places with the first.
fn turned(assigned: &Assigned, baseline: usize) -> Assigned {
    let mut out = assigned.clone();
    out.configurations.swap(0, baseline);
    for run in &mut out.runs {
        run.configuration = match run.configuration {
            0 => baseline,
            c if c == baseline => 0,
            other => other,
        };
    }
    out
}

fn pair(
    comparison: &Comparison,
    count: usize,
    level: f64,
    criticals: &mut Criticals,
) -> Option<Pair> {
    let log = comparison.log_ratio?;
    let df = log.df.unwrap_or(f64::INFINITY);
    let root = std::f64::consts::SQRT_2;
    let critical = criticals.of(vec![df], || {
        Some(studentized_range_quantile(level, count, df)? / root)
    })?;
    let p = 1.0 - studentized_range_cdf((log.value / log.se).abs() * root, count, df)?;
    Some(Pair {
        baseline: comparison.baseline.clone(),
        changed: comparison.changed.clone(),
        setting: comparison.setting.clone(),
        percent: comparison.percent.value?,
        log_ratio: log,
        simultaneous: told(log, critical, p, ALL_PAIRS)?,
    })
}
