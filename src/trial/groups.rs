//! One list of configurations and one of settings for all days.

use jiff::Timestamp;

use super::days::FoundDay;
use super::result::{Configuration, GroupSource, Setting};
use crate::segmenter::Assigned;
use crate::stats::summary::mean;

/// The names that all days share, each day's groups renumbered after them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Groups {
    /// In the order first run; the first is what the others are compared with.
    pub(super) configurations: Vec<String>,
    /// Slowest first.
    pub(super) settings: Vec<String>,
    /// Percent of full power of each setting, where noted.
    pub(super) percents: Vec<Option<f64>>,
}

/// Renumbers the groups of every day after common lists.
///
/// Configurations are matched by their names. So are settings that the notes name; those found in the
/// track by their order, and where a day has fewer of them than another, by their speeds.
pub(super) fn align(days: &mut [FoundDay]) -> Groups {
    let mut configurations: Vec<String> = Vec::new();
    for day in days.iter() {
        add_used(&mut configurations, &day.assigned);
    }
    let settings = common_settings(days);
    for day in days.iter_mut() {
        let to = places(&day.assigned.configurations, &configurations);
        let matched = match_settings(day, &settings);
        let own = &mut day.assigned;
        for run in &mut own.runs {
            run.configuration = to.get(run.configuration).copied().flatten().unwrap_or(0);
            run.setting = matched.get(run.setting).copied().unwrap_or(run.setting);
        }
        let mut percents = vec![None; settings.names.len()];
        for (from, percent) in own.percents.iter().enumerate() {
            let slot = matched.get(from).and_then(|to| percents.get_mut(*to));
            if let Some(slot) = slot {
                *slot = *percent;
            }
        }
        own.percents = percents;
        own.configurations.clone_from(&configurations);
        own.settings.clone_from(&settings.names);
    }
    let percent = |place: usize| {
        let own = |day: &FoundDay| day.assigned.percents.get(place).copied().flatten();
        days.iter().find_map(own)
    };
    Groups {
        percents: (0..settings.names.len()).map(percent).collect(),
        configurations,
        settings: settings.names,
    }
}

/// Names of which there is a double run, in the order of the first run.
fn add_used(names: &mut Vec<String>, assigned: &Assigned) {
    for run in &assigned.runs {
        let Some(name) = assigned.configurations.get(run.configuration) else {
            continue;
        };
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
}

fn places(names: &[String], among: &[String]) -> Vec<Option<usize>> {
    names
        .iter()
        .map(|name| among.iter().position(|other| other == name))
        .collect()
}

struct CommonSettings {
    names: Vec<String>,
    /// Mean logarithm of speed at each, on the day that has most of them; `None` where not run.
    log_speeds: Vec<Option<f64>>,
}

/// The settings of the day that has most, and any further names that other days' notes give.
fn common_settings(days: &[FoundDay]) -> CommonSettings {
    let most = (days.iter().rev()).max_by_key(|day| day.assigned.settings.len());
    let mut names = most.map_or_else(Vec::new, |day| day.assigned.settings.clone());
    let mut log_speeds = most.map_or_else(Vec::new, log_speeds);
    for day in days.iter().filter(|day| day.assigned.settings_noted) {
        for name in &day.assigned.settings {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    log_speeds.resize(names.len(), None);
    CommonSettings { names, log_speeds }
}

/// Mean logarithm of speed at each setting of a day.
fn log_speeds(day: &FoundDay) -> Vec<Option<f64>> {
    (0..day.assigned.settings.len())
        .map(|setting| {
            let own = day.counted().filter(|(_, own)| own.setting == setting);
            mean(&own.map(|(run, _)| run.speed.ln()).collect::<Vec<_>>())
        })
        .collect()
}

/// For each setting of a day its place in the common list.
fn match_settings(day: &FoundDay, common: &CommonSettings) -> Vec<usize> {
    let own = &day.assigned.settings;
    let by_name: Option<Vec<usize>> = places(own, &common.names).into_iter().collect();
    let same_count = own.len() == common.names.len();
    match by_name {
        Some(by_name) if day.assigned.settings_noted || same_count => by_name,
        _ => by_speed(&log_speeds(day), &common.log_speeds),
    }
}

/// The order-keeping choice whose speeds are nearest in all.
fn by_speed(own: &[Option<f64>], common: &[Option<f64>]) -> Vec<usize> {
    let cost = |choice: &[usize]| -> f64 {
        let pairs = own.iter().zip(choice);
        let apart = pairs.filter_map(|(speed, to)| speed.zip(common.get(*to).copied().flatten()));
        apart.map(|(a, b)| (a - b).powi(2)).sum()
    };
    choices_in_order(common.len(), own.len())
        .into_iter()
        .min_by(|a, b| cost(a).total_cmp(&cost(b)))
        .unwrap_or_default()
}

/// All ways to choose `k` of `n` in order; none where `n` is less.
fn choices_in_order(n: usize, k: usize) -> Vec<Vec<usize>> {
    (0..1_usize << n)
        .filter(|mask| mask.count_ones() as usize == k)
        .map(|mask| (0..n).filter(|bit| mask >> bit & 1 == 1).collect())
        .collect()
}

/// Configurations that have a double run.
pub(super) fn configurations(days: &[FoundDay], groups: &Groups) -> Vec<Configuration> {
    let of_name = |(index, name): (usize, &String)| {
        let own = |day: &FoundDay| -> Vec<[Timestamp; 2]> {
            let time = |t: f64| day.found.as_ref().map(|found| found.clock.time(t));
            let runs = day.counted().filter(|(_, own)| own.configuration == index);
            runs.filter_map(|(run, _)| Some([time(run.start)?, time(run.end)?]))
                .collect()
        };
        let spans: Vec<[Timestamp; 2]> = days.iter().flat_map(own).collect();
        let noted = days.iter().any(|day| day.assigned.configurations_noted);
        Some(Configuration {
            name: name.clone(),
            from: spans.first()?[0],
            to: spans.last()?[1],
            source: source(noted),
            confidence: least_probability(days).filter(|_| !noted),
        })
    };
    let names = groups.configurations.iter().enumerate();
    names.filter_map(of_name).collect()
}

/// Settings, slowest first.
pub(super) fn settings(days: &[FoundDay], groups: &Groups) -> Vec<Setting> {
    let noted = days.iter().any(|day| day.assigned.settings_noted);
    (groups.settings.iter().zip(&groups.percents))
        .map(|(name, percent)| Setting {
            name: name.clone(),
            percent: *percent,
            source: source(noted),
            confidence: least_probability(days).filter(|_| !noted),
        })
        .collect()
}

/// That of the day of which it is least sure that it was as it was read.
fn least_probability(days: &[FoundDay]) -> Option<f64> {
    let each = days.iter().filter_map(|day| day.assigned.probability);
    each.min_by(f64::total_cmp)
}

fn source(noted: bool) -> GroupSource {
    if noted {
        GroupSource::Notes
    } else {
        GroupSource::Track
    }
}

#[cfg(test)]
mod tests {
    use super::by_speed;

    #[test]
    fn fewer_settings_are_matched_by_speed() {
        let speeds = |values: &[f64]| -> Vec<Option<f64>> {
            values.iter().map(|v: &f64| Some(v.ln())).collect()
        };
        let common = speeds(&[1.0, 1.6, 2.2]);
        assert_eq!(by_speed(&speeds(&[1.7]), &common), [1]);
        assert_eq!(by_speed(&speeds(&[1.5, 2.3]), &common), [1, 2]);
        assert_eq!(by_speed(&speeds(&[1.0, 1.6, 2.2]), &common), [0, 1, 2]);
        assert_eq!(by_speed(&[], &common), Vec::<usize>::new());
    }
}
