//! Speeds of one configuration in clusters, and which cluster of another configuration each is.

use std::ops::Range;

use super::{GroupRules, Run};

/// Runs of one configuration with about the same speed.
#[derive(Debug, Clone, Default)]
pub(super) struct Cluster {
    /// Indices of the runs.
    pub(super) runs: Vec<usize>,
    /// Mean logarithm of speed.
    pub(super) centre: f64,
}

/// Cuts the speeds of one configuration, in order, wherever they jump by more than
/// `gap`, or at the `settings - 1` widest steps where the number is known.
pub(super) fn clusters(
    runs: &[Run],
    part: Range<usize>,
    gap: f64,
    settings: Option<usize>,
) -> Vec<Cluster> {
    let mut order: Vec<(usize, f64)> = part
        .filter_map(|i| runs.get(i).map(|r| (i, r.log_speed)))
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let steps: Vec<f64> = order.windows(2).map(|w| w[1].1 - w[0].1).collect();
    let threshold = settings.map_or(gap, |wanted| {
        let mut widest = steps.clone();
        widest.sort_by(|a, b| b.total_cmp(a));
        // A configuration need not have been run at every setting: the steps must also be real.
        let smallest = match wanted {
            0 | 1 => f64::INFINITY,
            _ => widest.get(wanted - 2).copied().unwrap_or(0.0),
        };
        smallest.max(gap / 2.0)
    });
    let mut clusters: Vec<Cluster> = Vec::new();
    for (position, (index, speed)) in order.iter().enumerate() {
        let fresh = position == 0
            || steps
                .get(position - 1)
                .is_some_and(|step| *step >= threshold);
        if fresh {
            clusters.push(Cluster::default());
        }
        if let Some(cluster) = clusters.last_mut() {
            cluster.runs.push(*index);
            let n = cluster.runs.len() as f64;
            cluster.centre += (speed - cluster.centre) / n;
        }
    }
    clusters
}

/// Which setting of the reference each cluster is: in order, with shifts as small and as alike as can be.
pub(super) fn match_settings(
    own: &[Cluster],
    reference: &[Cluster],
    rules: &GroupRules,
) -> (Vec<usize>, f64) {
    let mut best: (Vec<usize>, f64) = ((0..own.len()).collect(), f64::INFINITY);
    for choice in injections(own.len(), reference.len()) {
        let shifts: Vec<f64> = own
            .iter()
            .zip(&choice)
            .filter_map(|(cluster, to)| Some(cluster.centre - reference.get(*to)?.centre))
            .collect();
        let n = shifts.len().max(1) as f64;
        let mean = shifts.iter().sum::<f64>() / n;
        let unlike: f64 = shifts
            .iter()
            .map(|s| ((s - mean) / rules.change_scatter).powi(2))
            .sum();
        let cost = (mean / rules.change).powi(2) + unlike;
        if cost < best.1 {
            best = (choice, cost);
        }
    }
    best
}

/// Most ways of matching settings that are tried.
const MOST: usize = 5000;

/// All order-keeping choices of `from` among `to`; a few for the few settings there are.
pub(crate) fn injections(from: usize, to: usize) -> Vec<Vec<usize>> {
    if from > to {
        return vec![(0..from).collect()];
    }
    let mut partial: Vec<Vec<usize>> = vec![Vec::new()];
    for taken in 0..from {
        partial = partial
            .iter()
            .flat_map(|chosen| {
                let least = chosen.last().map_or(0, |last| last + 1);
                (least..=to + taken - from).map(move |next| {
                    let mut longer = chosen.clone();
                    longer.push(next);
                    longer
                })
            })
            .take(MOST)
            .collect();
    }
    partial
}
