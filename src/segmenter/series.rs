//! Where the part was changed and which setting each double run had, from speeds, stops and order.
//!
//! A reading says which double runs belong to the trial, between which of them the part was
//! changed, whether a part came back, and which setting each run had. Readings are compared by one
//! score: the marginal likelihood of the speeds under a level for each setting, a change for each
//! part with a small interaction, and scatter; the length of the stops; and how regular the plan
//! would have been. Scores are natural logarithms of probabilities up to one constant, so that
//! `exp(score)` shared out over all readings is the probability of each.

use std::f64::consts::{LN_2, TAU};
use std::ops::Range;

use super::rules::TrialRules;
use crate::stats::multivariate_normal::{log_density, square};
use crate::stats::quantile::median;

/// What the reading sees of a double run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Item {
    /// Natural logarithm of its speed through the water.
    pub log_speed: f64,
    /// Longest time since the double run before in which the boat lay idle or was not recorded, s.
    pub idle_before: f64,
    /// How much more likely it is a double run of the trial than two legs by chance.
    pub weight: f64,
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

/// Part and setting of a double run.
pub(super) type Cell = (usize, usize);

/// One way to read the double runs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reading {
    /// The cell of each double run; `None` where it is none of the trial.
    pub cells: Vec<Option<Cell>>,
    /// See the module.
    pub score: f64,
}

/// Bounds of the search: the longest stops among which swaps are looked for, swaps in a day (old,
/// new, third, new, old), the sets of swaps to which one more is added, settings where nobody says
/// how many, and readings kept.
const MOST_STOPS: usize = 7;
const MOST_SWAPS: usize = 4;
const EXTENDED: usize = 6;
const MOST_SETTINGS: usize = 4;
const KEPT: usize = 12;

/// The most probable readings of double runs in order of time, best first.
pub(super) fn readings(items: &[Item], known: &Known, rules: &TrialRules) -> Vec<Reading> {
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
        // What is left out does not move the swaps, so they are held while that is decided.
        let held = Known {
            parts: Some(parts_of(&top)),
            ..known.clone()
        };
        let score_of = |kept: &[usize]| {
            let best = read(items, kept, &held, rules);
            best.first().map_or(f64::NEG_INFINITY, |r| r.score)
        };
        let own = score_of(&kept);
        let better = (outer(&top, items, &kept, rules).into_iter())
            .filter_map(|(block, value)| {
                let rest = kept.iter().filter(|i| !block.contains(i));
                let rest: Vec<usize> = rest.copied().collect();
                let score = score_of(&rest) + value;
                (rest.len() > 1 && score > own).then_some((score, value, rest))
            })
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, value, rest)) = better else {
            break;
        };
        kept = rest;
        others += value;
    }
    best_of(found)
}

fn best_of(mut found: Vec<Reading>) -> Vec<Reading> {
    found.sort_by(|a, b| b.score.total_cmp(&a.score));
    found.dedup_by(|a, b| a.cells == b.cells);
    found.truncate(KEPT);
    found
}

/// The part of each double run; one that is left out has that of the one before.
fn parts_of(reading: &Reading) -> Vec<usize> {
    let parts = reading.cells.iter().scan(0, |last, cell| {
        *last = cell.map_or(*last, |c| c.0);
        Some(*last)
    });
    parts.collect()
}

/// The first and the last double runs where they are slower than all others and have a setting or a
/// line of their own, and what they weigh as something else that goes there and back at one speed,
/// such as trolling.
fn outer(
    reading: &Reading,
    items: &[Item],
    kept: &[usize],
    rules: &TrialRules,
) -> Vec<(Vec<usize>, f64)> {
    let of: Vec<(usize, Option<usize>, Item)> = (kept.iter())
        .filter_map(|i| {
            let setting = reading.cells.get(*i)?.map(|c| c.1);
            Some((*i, setting, *items.get(*i)?))
        })
        .collect();
    let Some((first, last)) = of.first().zip(of.last()) else {
        return Vec::new();
    };
    let alike = |a: &(usize, Option<usize>, Item), b: &(usize, Option<usize>, Item)| {
        a.1 == b.1 && a.2.line == b.2.line
    };
    let head = of.iter().take_while(|a| alike(a, first)).count();
    let tail = of.iter().rev().take_while(|a| alike(a, last)).count();
    let mut ends = vec![(head, 0), (0, tail)];
    if first.1 == last.1 {
        ends.push((head, tail));
    }
    let value = |(head, tail): (usize, usize)| {
        let rest = of.get(head..of.len().checked_sub(tail)?)?;
        let block: Vec<_> = (of.iter().take(head))
            .chain(of.iter().skip(of.len() - tail))
            .collect();
        let own = block.first()?;
        let fastest = block.iter().map(|a| a.2.log_speed).fold(f64::MIN, f64::max);
        // People fish at a crawl: what is left must be faster.
        let faster = rest.iter().all(|a| a.2.log_speed > fastest);
        let on_line = rest.iter().any(|a| a.2.line == own.2.line);
        if rest.len() < 2 || !faster || (on_line && rest.iter().any(|a| a.1 == own.1)) {
            return None;
        }
        let speeds: Vec<f64> = block.iter().map(|a| a.2.log_speed).collect();
        // People seldom do so; but a line of its own costs the trial as much, and goes with it.
        let value = rules.match_weight * block.len() as f64
            + evidence(&speeds, &vec![(0, 0); speeds.len()], rules)
            - rules.odd() * f64::from(on_line);
        Some((block.iter().map(|a| a.0).collect(), value))
    };
    ends.into_iter().filter_map(value).collect()
}

/// The best readings that use just the runs `kept`.
fn read(items: &[Item], kept: &[usize], known: &Known, rules: &TrialRules) -> Vec<Reading> {
    let runs: Vec<&Item> = kept.iter().filter_map(|i| items.get(*i)).collect();
    let speeds: Vec<f64> = runs.iter().map(|r| r.log_speed).collect();
    // Time idle between two kept runs, whatever was left out between them.
    let mut from = 0;
    let idle: Vec<f64> = (kept.iter())
        .map(|to| {
            let between = items.get(from..=*to).unwrap_or_default();
            from = to + 1;
            between.iter().map(|i| i.idle_before).fold(0.0, f64::max)
        })
        .collect();
    let weight: f64 = runs.iter().map(|r| r.weight).sum();
    let mut found: Vec<Reading> = Vec::new();
    let with_swaps = |swaps: &[usize]| {
        let mut found = Vec::new();
        let series = ranges(swaps, runs.len());
        let stopped = stops(&idle, swaps, rules);
        for parts in part_choices(&series, kept, known) {
            let part_of: Vec<usize> = (series.iter().zip(&parts))
                .flat_map(|(range, part)| range.clone().map(|_| *part))
                .collect();
            let order = match known.parts {
                Some(_) => 0.0,
                None => stopped + pattern(&parts, rules),
            };
            let counts = known
                .settings
                .map_or(1..=MOST_SETTINGS, |k| k.max(1)..=k.max(1));
            for count in counts {
                for settings in settings(&speeds, &part_of, count, rules) {
                    let own: Vec<Cell> = part_of.iter().copied().zip(settings).collect();
                    let mut cells = vec![None; items.len()];
                    for (index, cell) in kept.iter().zip(&own) {
                        if let Some(slot) = cells.get_mut(*index) {
                            *slot = Some(*cell);
                        }
                    }
                    let score = weight
                        + order
                        + evidence(&speeds, &own, rules)
                        + regularity(&series, &own, count, rules);
                    found.push(Reading { cells, score });
                }
            }
        }
        found
    };
    let choices = swap_choices(&idle, kept, known, rules);
    // A further swap is looked for beside those that explain the day best.
    let mut best: Vec<(f64, Vec<usize>)> = Vec::new();
    for count in 0..=kept.len() {
        let is_tried = |swaps: &&Vec<usize>| {
            let extends = |b: &(f64, Vec<usize>)| b.1.iter().all(|run| swaps.contains(run));
            swaps.len() == count && (best.is_empty() || best.iter().any(extends))
        };
        let tried: Vec<(f64, Vec<usize>)> = (choices.iter().filter(is_tried))
            .filter_map(|swaps| {
                let mut own = with_swaps(swaps);
                let score = own.iter().map(|r| r.score).max_by(f64::total_cmp)?;
                found.append(&mut own);
                Some((score, swaps.clone()))
            })
            .collect();
        best = tried;
        best.sort_by(|a, b| b.0.total_cmp(&a.0));
        best.truncate(EXTENDED);
    }
    best_of(found)
}
/// The sets of runs before which the part may have been changed.
fn swap_choices(
    idle: &[f64],
    kept: &[usize],
    known: &Known,
    rules: &TrialRules,
) -> Vec<Vec<usize>> {
    if let Some(parts) = &known.parts {
        let part = |k: usize| kept.get(k).and_then(|i| parts.get(*i));
        let swaps = (1..kept.len()).filter(|k| part(*k) != part(*k - 1));
        return vec![swaps.collect()];
    }
    // A turn is no swap.
    let mut stops: Vec<(usize, f64)> = (idle.iter().copied().enumerate().skip(1))
        .filter(|(_, idle)| *idle >= rules.turn_s)
        .collect();
    stops.sort_by(|a, b| b.1.total_cmp(&a.1));
    stops.truncate(MOST_STOPS);
    stops.sort_by_key(|stop| stop.0);
    (0..1_usize << stops.len())
        .filter(|mask| mask.count_ones() as usize <= MOST_SWAPS)
        .map(|mask| {
            let chosen = stops
                .iter()
                .enumerate()
                .filter(|(bit, _)| mask >> bit & 1 == 1);
            chosen.map(|(_, stop)| stop.0).collect()
        })
        .collect()
}

fn ranges(swaps: &[usize], len: usize) -> Vec<Range<usize>> {
    let ends = swaps.iter().copied().chain([len]);
    let starts = [0].into_iter().chain(swaps.iter().copied());
    starts.zip(ends).map(|(from, to)| from..to).collect()
}

/// Which part each series had: a new one, or one that came back.
fn part_choices(series: &[Range<usize>], kept: &[usize], known: &Known) -> Vec<Vec<usize>> {
    if let Some(parts) = &known.parts {
        let of = |range: &Range<usize>| {
            let first = kept.get(range.start).and_then(|i| parts.get(*i));
            first.copied().unwrap_or(0)
        };
        return vec![series.iter().map(of).collect()];
    }
    let count = |parts: &[usize]| parts.iter().max().map_or(0, |m| m + 1);
    let mut choices: Vec<Vec<usize>> = vec![vec![0]];
    for _ in 1..series.len() {
        let longer = choices.iter().flat_map(|choice| {
            let next = (0..=count(choice)).filter(|part| Some(part) != choice.last());
            next.map(|part| [choice.as_slice(), &[part]].concat())
        });
        choices = longer.collect();
    }
    if let Some(order) = &known.order {
        // Who names each part once may leave out that one came back.
        let once = count(order) == order.len();
        choices.retain(|parts| parts == order || (once && count(parts) == order.len()));
    }
    choices
}

/// How people order parts: old and new is usual, each further series half as usual, and a third part
/// half as usual as the old one again; one part alone is a day without a question.
fn pattern(parts: &[usize], rules: &TrialRules) -> f64 {
    let count = parts.iter().max().map_or(0, |m| m + 1);
    if count < 2 {
        return -rules.odd();
    }
    -LN_2 * (parts.len() + count).saturating_sub(4) as f64
}

/// The stops under the swaps of a reading: a swap takes its usual time, any other stop that of the
/// other stops or, now and then, as long as a swap.
fn stops(idle: &[f64], swaps: &[usize], rules: &TrialRules) -> f64 {
    // A turn takes a few seconds, however short the stop in it.
    let idle: Vec<f64> = idle.iter().map(|s| s.max(rules.turn_s / 4.0)).collect();
    let pauses = (idle.iter().enumerate().skip(1)).filter(|(run, _)| !swaps.contains(run));
    let usual = median(&pauses.map(|(_, s)| *s).collect::<Vec<_>>()).unwrap_or(rules.turn_s);
    let as_usual = |s: f64, usual: f64| -half_square((s / usual).ln() / rules.usual_spread);
    // Stops of any length spread twice as widely, about what lies between a turn and a swap.
    let any = |s: f64| as_usual(s, (rules.turn_s * rules.swap_s).sqrt()) / 4.0 - LN_2;
    let odd = 1.0 / rules.odd_one_in;
    (idle.iter().enumerate().skip(1))
        .map(|(run, s)| {
            let swap = as_usual(*s, rules.swap_s);
            let pause = || log_sum(&[(1.0 - odd).ln() + as_usual(*s, usual), odd.ln() + swap]);
            let own = if swaps.contains(&run) { swap } else { pause() };
            own - any(*s)
        })
        .sum()
}

pub(super) fn half_square(z: f64) -> f64 {
    z * z / 2.0
}

/// Logarithm of the sum of the exponentials.
fn log_sum(terms: &[f64]) -> f64 {
    let top = terms.iter().copied().fold(f64::MIN, f64::max);
    top + terms.iter().map(|t| (t - top).exp()).sum::<f64>().ln()
}

/// Settings of the runs, `count` in all, slowest first; none where there are fewer runs.
///
/// The logarithms of speed, less the change of each part, are cut at their widest gaps; changes and
/// levels are then taken anew until no run moves. The changes start from none, and from the means
/// of the parts, which is right where each ran the same settings.
fn settings(
    speeds: &[f64],
    part_of: &[usize],
    count: usize,
    rules: &TrialRules,
) -> Vec<Vec<usize>> {
    /// More change nothing on days with a pattern.
    const ROUNDS: usize = 6;
    let parts = part_of.iter().max().map_or(0, |m| m + 1);
    let less = |values: &[f64], labels: &[usize]| -> Vec<f64> {
        let of = labels
            .iter()
            .map(|l| values.get(*l).copied().unwrap_or(0.0));
        speeds
            .iter()
            .zip(of)
            .map(|(speed, own)| speed - own)
            .collect()
    };
    let shrink = (rules.scatter / rules.change).powi(2);
    let mut found: Vec<Vec<usize>> = Vec::new();
    for mut change in [vec![0.0; parts], means(part_of, parts, 0.0, speeds)] {
        let mut labels = Vec::new();
        for _ in 0..ROUNDS {
            let left = less(&change, part_of);
            let Some(next) = cut_at_gaps(&left, count) else {
                return found;
            };
            let levels = means(&next, count, 0.0, &left);
            change = means(part_of, parts, shrink, &less(&levels, &next));
            if labels == next {
                break;
            }
            labels = next;
        }
        if !found.contains(&labels) {
            found.push(labels);
        }
    }
    found
}

/// The group of each value when they are cut into `count` at their widest gaps, least first; `None`
/// where there are fewer values.
fn cut_at_gaps(values: &[f64], count: usize) -> Option<Vec<usize>> {
    let mut order: Vec<(f64, usize)> = values.iter().copied().zip(0..).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut gaps: Vec<(f64, usize)> = (order.windows(2).zip(1..))
        .map(|(pair, place)| (pair[1].0 - pair[0].0, place))
        .collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0));
    gaps.truncate(count - 1);
    let mut groups = vec![0; values.len()];
    for (place, (_, index)) in order.iter().enumerate() {
        *groups.get_mut(*index)? = gaps.iter().filter(|gap| gap.1 <= place).count();
    }
    (count <= values.len()).then_some(groups)
}

/// Mean of the values of each label; shrunk towards none as by so many values more.
fn means(labels: &[usize], count: usize, shrink: f64, values: &[f64]) -> Vec<f64> {
    let mut sums = vec![(0.0, shrink); count];
    for (value, label) in values.iter().zip(labels) {
        if let Some(sum) = sums.get_mut(*label) {
            sum.0 += value;
            sum.1 += 1.0;
        }
    }
    let mean = |(sum, n): &(f64, f64)| if *n > 0.0 { sum / n } else { 0.0 };
    sums.iter().map(mean).collect()
}

/// Logarithm of the marginal likelihood of the speeds, over that of speeds without any pattern.
fn evidence(speeds: &[f64], cells: &[Cell], rules: &TrialRules) -> f64 {
    /// Points of the logarithm of the scatter, standard deviations from the usual one.
    const POINTS: [f64; 5] = [-2.0, -1.0, 0.0, 1.0, 2.0];
    // Each cell with its number of runs, their mean, and the sum of squares about it.
    let mut groups: Vec<(Cell, f64, f64, f64)> = Vec::new();
    for (speed, cell) in speeds.iter().zip(cells) {
        match groups.iter_mut().find(|group| group.0 == *cell) {
            Some((_, n, mean, squares)) => {
                let off = speed - *mean;
                *n += 1.0;
                *mean += off / *n;
                *squares += off * (speed - *mean);
            }
            None => groups.push((*cell, 1.0, *speed, 0.0)),
        }
    }
    let count = speeds.len() as f64;
    let centre = speeds.iter().sum::<f64>() / count;
    let offs: Vec<f64> = groups.iter().map(|group| group.2 - centre).collect();
    // Each part has half the variance of the difference of two; from one setting to another a
    // change differs by a quarter of itself.
    let (level, change) = (rules.usual_spread.powi(2), rules.change.powi(2));
    let terms = POINTS.map(|z| {
        let variance = (rules.scatter * (rules.usual_spread * z).exp()).powi(2);
        let shared = |(a, n, ..): &(Cell, f64, f64, f64), b: Cell| {
            level * f64::from(a.1 == b.1)
                + change / 2.0 * f64::from(a.0 == b.0)
                + (change / 16.0 + variance / n) * f64::from(*a == b)
        };
        let covariance = square(&groups, |(_, a), (_, b)| shared(a, b.0));
        let between = log_density(covariance, offs.clone());
        let within = groups.iter().map(|(_, n, _, squares)| {
            -squares / (2.0 * variance) - (n - 1.0) / 2.0 * (TAU * variance).ln() - n.ln() / 2.0
        });
        between.unwrap_or(f64::MIN) + within.sum::<f64>() - half_square(z)
    });
    let usual: f64 = POINTS.iter().map(|z| (-half_square(*z)).exp()).sum();
    let any = count * (TAU.sqrt() * rules.usual_spread).ln();
    log_sum(&terms) - usual.ln() + any + steps(speeds, cells, rules)
}

/// Steps from setting to setting that are usual; by less than a person would see, two are hardly two.
fn steps(speeds: &[f64], cells: &[Cell], rules: &TrialRules) -> f64 {
    let settings: Vec<usize> = cells.iter().map(|cell| cell.1).collect();
    let count = settings.iter().max().map_or(0, |m| m + 1);
    let step = |pair: &[f64]| {
        let ratio = (pair[1] - pair[0]).max(1e-3) / rules.setting_step;
        -half_square(ratio.ln() / rules.usual_spread)
    };
    means(&settings, count, 0.0, speeds)
        .windows(2)
        .map(step)
        .sum()
}

/// How regular the plan would have been: as many runs in each cell, settings in blocks or in turn.
/// Each setting beyond two, each run more or less, and each change of the lever that neither explains, halves the odds; people
/// seldom leave out a setting.
fn regularity(series: &[Range<usize>], cells: &[Cell], count: usize, rules: &TrialRules) -> f64 {
    let mut counts: Vec<usize> = Vec::new();
    let (mut lacking, mut odd) = (0, count.saturating_sub(2));
    for range in series {
        let own: Vec<usize> = (cells.get(range.clone()).unwrap_or_default().iter())
            .map(|cell| cell.1)
            .collect();
        let present = (0..count).map(|level| own.iter().filter(|s| **s == level).count());
        let present: Vec<usize> = present.filter(|n| *n > 0).collect();
        lacking += count - present.len();
        let switches = own.windows(2).filter(|w| w[0] != w[1]).count();
        let blocks = switches.saturating_sub(present.len() - 1);
        let woven = own
            .iter()
            .zip(own.iter().skip(present.len()))
            .filter(|(a, b)| a != b);
        odd += blocks.min(woven.count());
        counts.extend(present);
    }
    counts.sort_unstable();
    let usual = counts.get(counts.len() / 2).copied().unwrap_or(0);
    odd += counts.iter().map(|n| n.abs_diff(usual)).sum::<usize>();
    -LN_2 * odd as f64 - rules.odd() * lacking as f64
}
