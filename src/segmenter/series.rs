//! Where the part was changed and which setting each double run had, from speeds, stops and order.
//!
//! A reading says which double runs belong to the trial, between which of them the part was
//! changed, whether a part came back, and which setting each run had. Readings are compared by one
//! score: the marginal likelihood of the speeds under a level for each setting, a change for each
//! part with a small interaction, and scatter; the length of the stops; and how regular the plan
//! would have been. Scores are natural logarithms of probabilities up to one constant, so that
//! `exp(score)` shared out over all readings is the probability of each.

use std::f64::consts::TAU;

use serde::Serialize;

use crate::stats::multivariate_normal::log_density;
use crate::stats::quantile::median;

/// How double runs are put into series, parts and settings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeriesRules {
    /// Double runs of one cell scatter by about this share of the speed; the scatter of the day is
    /// fitted about it. Trials of small boats repeat to one or two percent (common practice, no
    /// source).
    pub scatter: f64,
    /// Usual size of a change between parts on the log scale, standard deviation: parts for small
    /// boats differ by 0 to 15 % (common practice, no source).
    pub change: f64,
    /// By how much a change differs between settings on the log scale, standard deviation.
    pub interaction: f64,
    /// Usual step from one setting to the next on the log scale: a person moves the lever by enough
    /// to see it, a fifth to twice the speed (common practice, no source).
    pub setting_step: f64,
    /// Usual time to swap a part, s: tools out, battery off, part off and on (common practice, no
    /// source).
    pub swap_s: f64,
    /// Spread of the logarithm of that time: one in twenty takes less than a quarter of it.
    pub swap_spread: f64,
    /// Share of the pauses between double runs in which people do something else: eat, fish, wait.
    pub break_share: f64,
    /// Price of a run more or less than the other cells have, and of each change of the lever that
    /// neither blocks nor weaving in turn explain.
    pub irregular_price: f64,
    /// Price of a setting that a series lacks: one in 150 tests leaves one out.
    pub lacking_price: f64,
    /// Price of reading the first or last double runs, at a speed of their own, as something else
    /// that goes there and back, such as trolling: one day in five has it, and one length in five is
    /// that of the trial by chance.
    pub other_price: f64,
    /// And where they lie on the line of the trial, which one axis in twelve does by chance.
    pub on_line_price: f64,
    /// Share of changes that make no difference to speak of.
    pub no_change_share: f64,
}

impl Default for SeriesRules {
    fn default() -> Self {
        Self {
            scatter: 0.012,
            change: 0.06,
            interaction: 0.015,
            setting_step: 0.45,
            swap_s: 600.0,
            swap_spread: 0.8,
            break_share: 0.05,
            irregular_price: 0.7,
            lacking_price: 5.0,
            other_price: 3.1,
            on_line_price: 2.5,
            no_change_share: 0.2,
        }
    }
}

/// What the reading sees of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Item {
    /// Natural logarithm of its speed through the water.
    pub log_speed: f64,
    /// Longest time since the double run before in which the boat lay idle or was not recorded, s.
    pub idle_before: f64,
    /// How much more likely it is a double run of the trial than two legs by chance.
    pub weight: f64,
    /// And how much more likely where it repeats a pattern of its own.
    pub regular: f64,
    /// Its line.
    pub line: usize,
}

/// What is known of the double runs before they are read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Known {
    /// The part of each double run, where the notes say when it went on.
    pub parts: Option<Vec<usize>>,
    /// The parts in the order in which they were fitted, where the notes say only that.
    pub order: Option<Vec<usize>>,
    /// How many settings there are.
    pub settings: Option<usize>,
}

/// One way to read the double runs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reading {
    /// Part and setting of each double run; `None` where it is none of the trial.
    pub cells: Vec<Option<(usize, usize)>>,
    /// See the module.
    pub score: f64,
}

/// Most stops among which swaps are looked for, the longest first: each doubles the work.
const MOST_STOPS: usize = 7;
/// Most swaps in a day: four parts or old and new twice over.
const MOST_SWAPS: usize = 3;
/// Most settings.
const MOST_SETTINGS: usize = 4;
/// Readings kept.
const KEPT: usize = 12;
/// Logarithms of speed over all boats and settings, standard deviation: 0.3 to 4 m/s.
const SPEED_SPREAD: f64 = 0.8;

/// The most probable readings of double runs in order of time, best first.
pub(super) fn readings(items: &[Item], known: &Known, rules: &SeriesRules) -> Vec<Reading> {
    let mut found = Vec::new();
    let mut kept: Vec<usize> = (0..items.len()).collect();
    // What the runs left out weigh as something else.
    let mut others = 0.0;
    loop {
        let mut best = read(items, &kept, known, rules);
        for reading in &mut best {
            reading.score += others;
        }
        let Some(top) = best.first().cloned() else {
            break;
        };
        found.append(&mut best);
        // A double run that fits none of the cells is left out, and so are the first or last ones at
        // a speed of their own, while that explains more than it costs.
        let choices = (doubtful(&top, items)
            .into_iter()
            .map(|run| (vec![run], 0.0)))
        .chain(outer(&top, items, &kept).into_iter().map(|block| {
            let value = other(items, &block, &kept, rules);
            (block, value)
        }));
        // What is left out does not move the swaps, so they are held while that is decided.
        let held = Known {
            parts: Some(parts_of(&top)),
            ..known.clone()
        };
        let score_of = |kept: &[usize]| {
            read(items, kept, &held, rules)
                .first()
                .map_or(f64::NEG_INFINITY, |r| r.score)
        };
        let own = score_of(&kept);
        let mut better: Option<(f64, Vec<usize>, f64)> = None;
        for (block, value) in choices {
            let without: Vec<usize> = kept
                .iter()
                .copied()
                .filter(|i| !block.contains(i))
                .collect();
            if without.len() < 2 {
                continue;
            }
            let score = score_of(&without) + value;
            if score > own && better.as_ref().is_none_or(|(s, _, _)| score > *s) {
                better = Some((score, without, value));
            }
        }
        match better {
            Some((_, without, value)) => {
                kept = without;
                others += value;
            }
            None => break,
        }
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    found.dedup_by(|a, b| a.cells == b.cells);
    found.truncate(KEPT);
    found
}

/// The part of each double run; one that is left out has that of the one before.
fn parts_of(reading: &Reading) -> Vec<usize> {
    let mut last = 0;
    (reading.cells.iter())
        .map(|cell| {
            last = cell.map_or(last, |c| c.0);
            last
        })
        .collect()
}

/// The first and the last double runs, where they have a setting or a line that no other has.
fn outer(reading: &Reading, items: &[Item], kept: &[usize]) -> Vec<Vec<usize>> {
    let setting = |i: &usize| reading.cells.get(*i).copied().flatten().map(|c| c.1);
    let line = |i: &usize| items.get(*i).map(|item| item.line);
    let alike = |a: &usize, b: &usize| setting(a) == setting(b) && line(a) == line(b);
    let (Some(first), Some(last)) = (kept.first(), kept.last()) else {
        return Vec::new();
    };
    let head: Vec<usize> = kept
        .iter()
        .take_while(|i| alike(i, first))
        .copied()
        .collect();
    let tail: Vec<usize> = kept
        .iter()
        .rev()
        .take_while(|i| alike(i, last))
        .copied()
        .collect();
    let both = [head.as_slice(), tail.as_slice()].concat();
    let of_its_own = |block: &Vec<usize>| {
        let others = || kept.iter().filter(|i| !block.contains(i));
        let shared = |of: &dyn Fn(&usize) -> Option<usize>| {
            others().any(|i| block.first().is_some_and(|b| of(i) == of(b)))
        };
        // People fish at a crawl: what is left must be faster.
        let speed = |i: &usize| items.get(*i).map_or(0.0, |item| item.log_speed);
        let fastest = block.iter().map(speed).fold(f64::NEG_INFINITY, f64::max);
        others().count() > 1
            && others().all(|i| speed(i) > fastest)
            && !(shared(&setting) && shared(&line))
    };
    let mut blocks = vec![head, tail];
    if setting(first) == setting(last) {
        blocks.push(both);
    }
    blocks.into_iter().filter(of_its_own).collect()
}

/// What double runs weigh as something else that goes there and back at one speed.
fn other(items: &[Item], block: &[usize], kept: &[usize], rules: &SeriesRules) -> f64 {
    let line = |i: &usize| items.get(*i).map(|item| item.line);
    let on_line =
        (kept.iter()).any(|i| !block.contains(i) && block.iter().any(|b| line(b) == line(i)));
    let price = rules.other_price + if on_line { rules.on_line_price } else { 0.0 };
    let runs: Vec<Item> = block
        .iter()
        .filter_map(|i| items.get(*i))
        .copied()
        .collect();
    let regular: f64 = runs.iter().map(|r| r.regular).sum();
    let one = vec![0; runs.len()];
    regular + evidence(&runs, &ranges(&[], runs.len()), &[0], &one, 1, rules) - price
}

/// A double run that weighs less than this share of a perfect match fits the day poorly.
const POOR_MATCH: f64 = 0.5;

/// Double runs that are alone in their cell, and those that match the pattern of the day poorly and
/// lie farthest from the middle of their cell: broken off, say.
fn doubtful(reading: &Reading, items: &[Item]) -> Vec<usize> {
    let mut cells: Vec<(usize, usize)> = reading.cells.iter().flatten().copied().collect();
    cells.sort_unstable();
    cells.dedup();
    let speed = |i: &usize| items.get(*i).map_or(0.0, |item| item.log_speed);
    let farthest = |cell: (usize, usize)| {
        let of = |i: &usize| reading.cells.get(*i).copied().flatten() == Some(cell);
        let own: Vec<usize> = (0..items.len()).filter(of).collect();
        let speeds: Vec<f64> = own.iter().map(speed).collect();
        let middle = median(&speeds)?;
        let off = |i: &usize| (speed(i) - middle).abs();
        let poor = |i: &usize| {
            let weight = items.get(*i).map_or(0.0, |item| item.weight / item.regular);
            speeds.len() == 1 || weight < POOR_MATCH
        };
        own.iter()
            .copied()
            .filter(poor)
            .max_by(|a, b| off(a).total_cmp(&off(b)))
    };
    cells.into_iter().filter_map(farthest).collect()
}

/// The best readings that use just the runs `kept`.
fn read(items: &[Item], kept: &[usize], known: &Known, rules: &SeriesRules) -> Vec<Reading> {
    let runs: Vec<Item> = kept.iter().filter_map(|i| items.get(*i)).copied().collect();
    // Time idle between two kept runs, whatever was left out between them.
    let idle: Vec<f64> = (0..kept.len())
        .map(|k| {
            let from = k
                .checked_sub(1)
                .and_then(|b| kept.get(b))
                .map_or(0, |b| b + 1);
            let to = kept.get(k).map_or(0, |t| t + 1);
            let between = items.get(from..to).unwrap_or_default();
            between.iter().map(|i| i.idle_before).fold(0.0, f64::max)
        })
        .collect();
    let weight: f64 = runs.iter().map(|r| r.weight).sum();
    let mut found: Vec<Reading> = Vec::new();
    for swaps in swap_choices(&idle, kept, known) {
        let series = ranges(&swaps, runs.len());
        for parts in part_choices(&series, kept, known) {
            for count in 1..=MOST_SETTINGS {
                if known.settings.is_some_and(|k| k != count) {
                    continue;
                }
                let part_of: Vec<usize> = (series.iter().zip(&parts))
                    .flat_map(|(range, part)| range.clone().map(|_| *part))
                    .collect();
                let Some(settings) = settings(&runs, &part_of, count, rules) else {
                    continue;
                };
                let speeds =
                    |parts: &[usize]| evidence(&runs, &series, parts, &settings, count, rules);
                let mut score = weight
                    + changed_or_not(speeds(&parts), speeds(&vec![0; parts.len()]), &parts, rules)
                    + regularity(&series, &settings, count, rules);
                if known.parts.is_none() {
                    score += pattern(&parts) + stops(&idle, &swaps, rules);
                }
                if known.settings.is_none() {
                    score += SETTINGS_PRIOR.get(count - 1).map_or(-6.0, |p: &f64| p.ln());
                }
                let mut cells = vec![None; items.len()];
                for (range, part) in series.iter().zip(&parts) {
                    for run in range.clone() {
                        if let (Some(index), Some(setting)) = (kept.get(run), settings.get(run))
                            && let Some(slot) = cells.get_mut(*index)
                        {
                            *slot = Some((*part, *setting));
                        }
                    }
                }
                found.push(Reading { cells, score });
            }
        }
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    found.dedup_by(|a, b| a.cells == b.cells);
    found.truncate(KEPT);
    found
}

/// The evidence of a reading whose parts differ or, as some changes do, make no difference.
fn changed_or_not(changed: f64, same: f64, parts: &[usize], rules: &SeriesRules) -> f64 {
    if parts.iter().all(|part| *part == 0) {
        return same;
    }
    let share = rules.no_change_share;
    log_sum(&[(1.0 - share).ln() + changed, share.ln() + same])
}

/// How many settings people run (common practice, no source).
const SETTINGS_PRIOR: [f64; MOST_SETTINGS] = [0.35, 0.4, 0.2, 0.05];

/// The sets of runs before which the part may have been changed.
fn swap_choices(idle: &[f64], kept: &[usize], known: &Known) -> Vec<Vec<usize>> {
    if let Some(parts) = &known.parts {
        let part = |k: usize| kept.get(k).and_then(|i| parts.get(*i));
        return vec![
            (1..kept.len())
                .filter(|k| part(*k) != part(*k - 1))
                .collect(),
        ];
    }
    let mut stops: Vec<usize> = (1..kept.len())
        .filter(|k| idle.get(*k).is_some_and(|s| *s >= SHORTEST_SWAP_S))
        .collect();
    stops.sort_by(|a, b| {
        idle.get(*b)
            .partial_cmp(&idle.get(*a))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    stops.truncate(MOST_STOPS);
    stops.sort_unstable();
    (0..1_usize << stops.len())
        .filter(|mask| mask.count_ones() as usize <= MOST_SWAPS)
        .map(|mask| {
            let chosen = stops
                .iter()
                .enumerate()
                .filter(|(bit, _)| mask >> bit & 1 == 1);
            chosen.map(|(_, stop)| *stop).collect()
        })
        .collect()
}

/// Nobody swaps a part in less, s; only bounds the search.
const SHORTEST_SWAP_S: f64 = 90.0;

fn ranges(swaps: &[usize], len: usize) -> Vec<std::ops::Range<usize>> {
    let mut from = 0;
    let mut ranges = Vec::new();
    for to in swaps.iter().copied().chain([len]) {
        if to > from {
            ranges.push(from..to);
            from = to;
        }
    }
    ranges
}

/// Which part each series had: a new one, or one that came back.
fn part_choices(
    series: &[std::ops::Range<usize>],
    kept: &[usize],
    known: &Known,
) -> Vec<Vec<usize>> {
    if let Some(parts) = &known.parts {
        let of = |range: &std::ops::Range<usize>| {
            kept.get(range.start)
                .and_then(|i| parts.get(*i))
                .copied()
                .unwrap_or(0)
        };
        return vec![series.iter().map(of).collect()];
    }
    let mut choices: Vec<Vec<usize>> = vec![vec![0]];
    for _ in 1..series.len() {
        choices = choices
            .into_iter()
            .flat_map(|choice| {
                let count = choice.iter().max().map_or(0, |m| m + 1);
                let last = choice.last().copied();
                (0..=count)
                    .filter(move |part| Some(*part) != last)
                    .map(move |part| {
                        let mut next = choice.clone();
                        next.push(part);
                        next
                    })
            })
            .collect();
    }
    if let Some(order) = &known.order {
        let count = |parts: &[usize]| parts.iter().max().map_or(0, |m| m + 1);
        // Who names each part once may leave out that one came back.
        let once = count(order) == order.len();
        choices.retain(|parts| parts == order || (once && count(parts) == order.len()));
    }
    choices
}

/// How people order parts, as logarithms of shares (common practice, no source): old and new is
/// usual, old again after it the better advice, one part alone a day without a question.
fn pattern(parts: &[usize]) -> f64 {
    let share: f64 = match parts {
        [_] => 0.08,
        [_, _] => 0.55,
        [a, _, c] if a == c => 0.2,
        [_, _, _] => 0.1,
        [a, b, c, d] if a == c && b == d => 0.03,
        _ => 0.01,
    };
    share.ln()
}

/// Usual pauses between double runs, s, and how usual: people turn at once, jot figures down, or
/// drift back and rest, and do so all day (common practice, no source).
const PAUSES: [(f64, f64); 4] = [(20.0, 0.5), (60.0, 0.2), (150.0, 0.15), (350.0, 0.15)];

/// The stops under the swaps of a reading, over stops of any length.
fn stops(idle: &[f64], swaps: &[usize], rules: &SeriesRules) -> f64 {
    let log_normal = |s: f64, usual: f64, spread: f64| {
        let z = (s / usual).ln() / spread;
        -z * z / 2.0 - spread.ln()
    };
    let with_pause = |usual: f64| -> f64 {
        idle.iter()
            .enumerate()
            .skip(1)
            .map(|(run, idle)| {
                let idle = idle.max(10.0);
                let own = if swaps.contains(&run) {
                    log_normal(idle, rules.swap_s, rules.swap_spread)
                } else {
                    // A pause like the others, or a break of any length.
                    let pause = (1.0 - rules.break_share) * log_normal(idle, usual, 0.6).exp();
                    let other = rules.break_share * log_normal(idle, rules.swap_s, 1.2).exp();
                    (pause + other).ln()
                };
                own - log_normal(idle, 100.0, 1.5)
            })
            .sum()
    };
    let terms: Vec<f64> = (PAUSES.iter())
        .map(|(usual, share)| share.ln() + with_pause(*usual))
        .collect();
    log_sum(&terms)
}

/// Logarithm of the sum of the exponentials.
fn log_sum(terms: &[f64]) -> f64 {
    let top = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    top + terms.iter().map(|t| (t - top).exp()).sum::<f64>().ln()
}

/// The setting of each run, `count` in all, slowest first; `None` where there are not so many.
///
/// The logarithms of speed, less the change of each part, are cut at their widest gaps; changes and
/// levels are then taken anew until no run moves. The changes start from none, and from the means
/// of the parts, which is right where each ran the same settings; the start that fits better counts.
fn settings(
    runs: &[Item],
    part_of: &[usize],
    count: usize,
    rules: &SeriesRules,
) -> Option<Vec<usize>> {
    let parts = part_of.iter().max().map_or(0, |m| m + 1);
    let speed = |run: usize| runs.get(run).map_or(0.0, |r| r.log_speed);
    let of = |values: &[f64], index: Option<&usize>| -> f64 {
        index.and_then(|i| values.get(*i)).copied().unwrap_or(0.0)
    };
    let mean_of_all = (0..runs.len()).map(speed).sum::<f64>() / runs.len().max(1) as f64;
    let means_of_parts = means(part_of, parts, 0.0, |run| speed(run) - mean_of_all);
    let mut best: Option<(f64, Vec<usize>)> = None;
    for mut change in [vec![0.0; parts], means_of_parts] {
        let mut labels = Vec::new();
        for _ in 0..6 {
            let left = |run: usize| speed(run) - of(&change, part_of.get(run));
            let next = cut_at_gaps(runs.len(), count, left)?;
            let levels = means(&next, count, 0.0, left);
            let shrink = (rules.scatter / rules.change).powi(2);
            let from_level = |run: usize| speed(run) - of(&levels, next.get(run));
            change = means(part_of, parts, shrink, from_level);
            if labels == next {
                break;
            }
            labels = next;
        }
        let left = |run: usize| speed(run) - of(&change, part_of.get(run));
        let levels = means(&labels, count, 0.0, left);
        let misfit: f64 = (0..runs.len())
            .map(|run| (left(run) - of(&levels, labels.get(run))).powi(2))
            .sum::<f64>()
            / rules.scatter.powi(2)
            + change
                .iter()
                .map(|c| (c / rules.change).powi(2))
                .sum::<f64>();
        if best.as_ref().is_none_or(|(m, _)| misfit < *m) {
            best = Some((misfit, labels));
        }
    }
    best.map(|b| b.1)
}

/// The group of each of `len` values when they are cut into `count` at their widest gaps, least
/// first; `None` where there are fewer values.
fn cut_at_gaps(len: usize, count: usize, value: impl Fn(usize) -> f64) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..len).collect();
    order.sort_by(|a, b| value(*a).total_cmp(&value(*b)));
    let mut gaps: Vec<(f64, usize)> = (order.windows(2).zip(1..))
        .map(|(pair, place)| (value(pair[1]) - value(pair[0]), place))
        .collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0));
    let cuts: Vec<usize> = gaps.iter().take(count - 1).map(|g| g.1).collect();
    let mut groups = vec![0; len];
    for (place, index) in order.iter().enumerate() {
        *groups.get_mut(*index)? = cuts.iter().filter(|cut| **cut <= place).count();
    }
    (count <= len).then_some(groups)
}

/// Mean of a value of the runs of each label; shrunk towards none as by so many runs more.
fn means(labels: &[usize], count: usize, shrink: f64, value: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut sums = vec![(0.0, shrink); count];
    for (run, label) in labels.iter().enumerate() {
        if let Some(sum) = sums.get_mut(*label) {
            sum.0 += value(run);
            sum.1 += 1.0;
        }
    }
    sums.iter()
        .map(|(s, n)| if *n > 0.0 { s / n } else { 0.0 })
        .collect()
}

/// Scatters tried, as shares of the usual one; each weighs by how usual it is.
const SCATTERS: [(f64, f64); 6] = [
    (0.3, 0.1),
    (0.6, 0.22),
    (1.0, 0.26),
    (1.7, 0.22),
    (3.0, 0.14),
    (5.0, 0.06),
];

/// Logarithm of the marginal likelihood of the speeds, over that of speeds without any pattern.
fn evidence(
    runs: &[Item],
    series: &[std::ops::Range<usize>],
    parts: &[usize],
    settings: &[usize],
    count: usize,
    rules: &SeriesRules,
) -> f64 {
    struct Cell {
        part: usize,
        setting: usize,
        n: f64,
        mean: f64,
        squares: f64,
    }
    let mut cells: Vec<Cell> = Vec::new();
    for (range, part) in series.iter().zip(parts) {
        for run in range.clone() {
            let (Some(item), Some(setting)) = (runs.get(run), settings.get(run)) else {
                continue;
            };
            let y = item.log_speed;
            match cells
                .iter_mut()
                .find(|c| c.part == *part && c.setting == *setting)
            {
                Some(cell) => {
                    cell.n += 1.0;
                    let off = y - cell.mean;
                    cell.mean += off / cell.n;
                    cell.squares += off * (y - cell.mean);
                }
                None => cells.push(Cell {
                    part: *part,
                    setting: *setting,
                    n: 1.0,
                    mean: y,
                    squares: 0.0,
                }),
            }
        }
    }
    let centre: f64 = runs.iter().map(|r| r.log_speed).sum::<f64>() / runs.len().max(1) as f64;
    let offs: Vec<f64> = cells.iter().map(|c| c.mean - centre).collect();
    // Each part has half the variance of the difference of two.
    let change = rules.change.powi(2) / 2.0;
    let mut terms = Vec::new();
    for (factor, share) in SCATTERS {
        let variance = (factor * rules.scatter).powi(2);
        let covariance: Vec<Vec<f64>> = cells
            .iter()
            .enumerate()
            .map(|(i, a)| {
                cells
                    .iter()
                    .enumerate()
                    .map(|(j, b)| {
                        let mut c = 0.0;
                        if a.setting == b.setting {
                            c += SPEED_SPREAD.powi(2);
                        }
                        if a.part == b.part {
                            c += change;
                        }
                        if i == j {
                            c += rules.interaction.powi(2) + variance / a.n;
                        }
                        c
                    })
                    .collect()
            })
            .collect();
        let Some(between) = log_density(&covariance, &offs) else {
            continue;
        };
        let within: f64 = cells
            .iter()
            .map(|c| {
                -c.squares / (2.0 * variance)
                    - (c.n - 1.0) / 2.0 * (TAU * variance).ln()
                    - c.n.ln() / 2.0
            })
            .sum();
        terms.push(share.ln() + between + within);
    }
    let any = runs.len() as f64 * (TAU.sqrt() * SPEED_SPREAD).ln();
    let levels = means(settings, count, 0.0, |run| {
        runs.get(run).map_or(0.0, |r| r.log_speed)
    });
    log_sum(&terms) + any + steps(&levels, rules)
}

/// Settings that differ by less than a person would see are hardly two.
fn steps(levels: &[f64], rules: &SeriesRules) -> f64 {
    levels
        .windows(2)
        .map(|pair| {
            let z = ((pair[1] - pair[0]).max(1e-3) / rules.setting_step).ln() / 0.6;
            -z.min(0.0).powi(2) / 2.0
        })
        .sum()
}

/// How regular the plan would have been: as many runs in each cell, settings in blocks or in turn.
fn regularity(
    series: &[std::ops::Range<usize>],
    settings: &[usize],
    count: usize,
    rules: &SeriesRules,
) -> f64 {
    let mut counts: Vec<usize> = Vec::new();
    let mut score = 0.0;
    for range in series {
        let own = settings.get(range.clone()).unwrap_or_default();
        let mut present = 0;
        for level in 0..count {
            let n = own.iter().filter(|s| **s == level).count();
            if n > 0 {
                counts.push(n);
                present += 1;
            } else {
                score -= rules.lacking_price;
            }
        }
        let switches = own.windows(2).filter(|w| w[0] != w[1]).count();
        let blocks = switches.saturating_sub(present - 1);
        let woven = (present..own.len())
            .filter(|i| own.get(*i) != own.get(i - present))
            .count();
        score -= rules.irregular_price * blocks.min(woven) as f64;
    }
    counts.sort_unstable();
    let usual = counts.get(counts.len() / 2).copied().unwrap_or(0);
    let off: usize = counts.iter().map(|n| n.abs_diff(usual)).sum();
    score - rules.irregular_price * off as f64
}
