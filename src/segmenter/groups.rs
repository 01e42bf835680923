//! Tells configurations and settings apart, from the speeds and the stops alone.
//!
//! Every way of reading the day is scored: at which long stops the part was
//! changed, and how the speeds then fall into settings. A good reading has few
//! settings and configurations, the same settings in each configuration, a change
//! of speed between configurations that is small and alike at every setting, and
//! an explanation for every setting that was taken up again after a long stop.
//! The best reading is taken; a close second is told.

mod clusters;

use std::ops::Range;

use serde::Serialize;

pub(crate) use clusters::injections;
use clusters::{Cluster, clusters, match_settings};

/// How double runs are put into groups.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupRules {
    /// A part is not changed while the boat lies idle for less than this, s; a pause between
    /// runs seldom lasts two minutes (common practice, no source).
    pub shortest_swap_s: f64,
    /// Speeds whose logarithms differ by less than this may be one setting; several are tried.
    pub setting_gaps: [f64; 3],
    /// Scatter of double runs of one cell on the log scale. Source: our own simulated days.
    pub scatter: f64,
    /// Usual size of a change between configurations on the log scale: parts for small
    /// boats differ by 0-20 % (common practice, no source).
    pub change: f64,
    /// By how much a change may differ between settings on the log scale.
    pub change_scatter: f64,
    /// Settings are usually at least this far apart on the log scale, or they would not be two.
    pub setting_step: f64,
    /// A grouping less sure than this is unclear; at 0.7 a second reading scores 0.8 worse. Source: our
    /// own simulated days.
    pub least_confidence: f64,
    /// The step between two settings must be this many times the range of the runs of one of them, or
    /// it is unclear whether they are two. Source: our own simulated days.
    pub least_step: f64,
}

impl Default for GroupRules {
    fn default() -> Self {
        Self {
            shortest_swap_s: 150.0,
            setting_gaps: [0.05, 0.09, 0.14],
            scatter: 0.02,
            change: 0.15,
            change_scatter: 0.05,
            setting_step: 0.3,
            least_confidence: 0.7,
            least_step: 1.5,
        }
    }
}

/// What the grouping needs of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Longest time the boat lay idle, or was not recorded, between the run before and this one, s.
    pub stop_before: f64,
    /// Natural logarithm of its mean speed.
    pub log_speed: f64,
}

/// The groups of each run, as indices.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Groups {
    /// Configuration of each run, numbered in order of time from 0.
    pub configuration: Vec<usize>,
    /// Setting of each run, numbered slowest first from 0.
    pub setting: Vec<usize>,
    /// The best of the readings that differ, in words: `1 configuration at 3 settings`.
    pub second: Option<String>,
    /// How sure the grouping is.
    pub confidence: Confidence,
}

/// How sure a grouping is, `[0, 1]`: the share of the readings that group the runs alike among all
/// that were tried, each weighing `exp(-score)`, as posterior odds go where the score is half a deviance.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Confidence {
    /// That these runs and no others belong to each configuration.
    pub configurations: f64,
    /// The same of the settings.
    pub settings: f64,
}

/// Groups runs that are in order of time.
///
/// `changes`: indices of the runs before which the configuration is known to have
/// changed; `None` where that is to be found. `settings`: how many settings there
/// are, where known.
pub fn group(
    runs: &[Run],
    changes: Option<&[usize]>,
    settings: Option<usize>,
    rules: &GroupRules,
) -> Groups {
    if runs.is_empty() {
        return Groups::default();
    }
    let stops = long_stops(runs, rules);
    let choices: Vec<Vec<usize>> = match changes {
        Some(known) => vec![known.to_vec()],
        None => subsets(&longest(&stops, runs)),
    };
    let mut readings: Vec<Reading> = choices
        .iter()
        .flat_map(|changes| {
            rules
                .setting_gaps
                .iter()
                .map(|gap| read(runs, changes, &stops, *gap, settings, rules))
        })
        .collect();
    readings.sort_by(|a, b| a.score.total_cmp(&b.score));
    let Some(best) = readings.first().cloned() else {
        return Groups::default();
    };
    let second = readings
        .iter()
        .find(|r| r.configuration != best.configuration || r.setting != best.setting)
        .map(in_words);
    let confidence = confidence(&best, &readings);
    Groups {
        configuration: best.configuration,
        setting: best.setting,
        second,
        confidence,
    }
}

/// The share of what groups the runs as the best reading does; readings alike count once.
fn confidence(best: &Reading, readings: &[Reading]) -> Confidence {
    let mut unlike: Vec<&Reading> = Vec::new();
    for reading in readings {
        let known = unlike
            .iter()
            .any(|r| r.configuration == reading.configuration && r.setting == reading.setting);
        if !known && reading.score - best.score < NO_WEIGHT {
            unlike.push(reading);
        }
    }
    let share = |alike: &dyn Fn(&Reading) -> bool| -> f64 {
        let weight = |r: &&Reading| (best.score - r.score).exp();
        let all: f64 = unlike.iter().map(weight).sum();
        let own: f64 = unlike.iter().filter(|r| alike(r)).map(weight).sum();
        if all > 0.0 { own / all } else { 0.0 }
    };
    Confidence {
        configurations: share(&|r| r.configuration == best.configuration),
        settings: share(&|r| r.setting == best.setting),
    }
}

/// Readings so much worse weigh less than a millionth.
const NO_WEIGHT: f64 = 14.0;

/// One way to read the day.
#[derive(Debug, Clone)]
struct Reading {
    configuration: Vec<usize>,
    setting: Vec<usize>,
    score: f64,
}

fn count(labels: &[usize]) -> usize {
    labels.iter().max().map_or(0, |m| m + 1)
}

fn in_words(reading: &Reading) -> String {
    groups_in_words(count(&reading.configuration), count(&reading.setting))
}

/// `2 configurations at 1 setting`.
pub(super) fn groups_in_words(configurations: usize, settings: usize) -> String {
    let plural = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    format!(
        "{} at {}",
        plural(configurations, "configuration"),
        plural(settings, "setting")
    )
}

/// Indices of runs that follow a stop long enough to change a part in.
fn long_stops(runs: &[Run], rules: &GroupRules) -> Vec<usize> {
    runs.iter()
        .enumerate()
        .skip(1)
        .filter(|(_, run)| run.stop_before >= rules.shortest_swap_s)
        .map(|(index, _)| index)
        .collect()
}

/// Most stops among which changes are looked for; every further one doubles the work.
const MOST_STOPS: usize = 10;

fn longest(stops: &[usize], runs: &[Run]) -> Vec<usize> {
    let gap = |index: &usize| runs.get(*index).map_or(0.0, |run| run.stop_before);
    let mut by_length = stops.to_vec();
    by_length.sort_by(|a, b| gap(b).total_cmp(&gap(a)));
    by_length.truncate(MOST_STOPS);
    by_length.sort_unstable();
    by_length
}

fn subsets(of: &[usize]) -> Vec<Vec<usize>> {
    (0..1_usize << of.len())
        .map(|mask| {
            of.iter()
                .enumerate()
                .filter(|(bit, _)| mask >> bit & 1 == 1)
                .map(|(_, stop)| *stop)
                .collect()
        })
        .collect()
}

/// Price of a further setting, of a further configuration, of a setting that a
/// configuration lacks, of a setting taken up again after a long stop without a
/// reason. Only their order matters much: a change explains a return more cheaply
/// than nothing does. Source: our own simulated days.
const PRICE_SETTING: f64 = 2.5;
const PRICE_CONFIGURATION: f64 = 2.0;
const PRICE_LACK: f64 = 1.5;
const PRICE_RETURN: f64 = 4.0;
/// Price of a long stop at which nothing was changed: people do fish between runs.
const PRICE_STOP: f64 = 1.0;

fn read(
    runs: &[Run],
    changes: &[usize],
    stops: &[usize],
    gap: f64,
    settings: Option<usize>,
    rules: &GroupRules,
) -> Reading {
    let parts = ranges(changes, runs.len());
    let clusters: Vec<Vec<Cluster>> = parts
        .iter()
        .map(|part| clusters(runs, part.clone(), gap, settings))
        .collect();
    let reference = clusters
        .iter()
        .max_by_key(|c| c.len())
        .cloned()
        .unwrap_or_default();
    let mut score = PRICE_SETTING * (reference.len() as f64 - 1.0)
        + PRICE_CONFIGURATION * (parts.len() as f64 - 1.0);
    for pair in reference.windows(2) {
        let step = pair[1].centre - pair[0].centre;
        score += ((rules.setting_step - step) / 0.1).max(0.0).powi(2) / 2.0;
    }
    let mut configuration = vec![0; runs.len()];
    let mut setting = vec![0; runs.len()];
    for (number, (part, own)) in parts.iter().zip(&clusters).enumerate() {
        let (matching, cost) = match_settings(own, &reference, rules);
        score += cost + PRICE_LACK * (reference.len() - own.len().min(reference.len())) as f64;
        for index in part.clone() {
            if let Some(slot) = configuration.get_mut(index) {
                *slot = number;
            }
        }
        for (cluster, matched) in own.iter().zip(matching) {
            for index in &cluster.runs {
                if let Some(slot) = setting.get_mut(*index) {
                    *slot = matched;
                }
                if let Some(run) = runs.get(*index) {
                    score += ((run.log_speed - cluster.centre) / rules.scatter)
                        .powi(2)
                        .min(9.0)
                        / 2.0;
                }
            }
        }
    }
    score += returns(stops, changes, &configuration, &setting);
    Reading {
        configuration,
        setting,
        score,
    }
}

/// What settings cost that were taken up again after a long stop without a change.
fn returns(stops: &[usize], changes: &[usize], configuration: &[usize], setting: &[usize]) -> f64 {
    let mut cost = 0.0;
    // Changes are only looked for at stops, but known ones may lie anywhere.
    cost += PRICE_STOP * stops.iter().filter(|s| !changes.contains(s)).count() as f64;
    for stop in stops.iter().filter(|s| !changes.contains(s)) {
        let own = configuration.get(*stop);
        let of = |range: Range<usize>| -> Vec<usize> {
            range
                .filter(|i| configuration.get(*i) == own)
                .filter_map(|i| setting.get(i).copied())
                .collect()
        };
        let (before, after) = (of(0..*stop), of(*stop..setting.len()));
        if before.iter().any(|s| after.contains(s)) {
            cost += PRICE_RETURN;
        }
    }
    cost
}

fn ranges(changes: &[usize], len: usize) -> Vec<Range<usize>> {
    let mut from = 0;
    let mut parts = Vec::new();
    for to in changes.iter().copied().chain([len]) {
        if to > from {
            parts.push(from..to);
            from = to;
        }
    }
    parts
}

#[cfg(test)]
mod tests;
