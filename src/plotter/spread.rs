//! Places along an axis moved apart.

/// Moves places along one axis apart, so that neighbours lie at least `gap` from each other and all
/// inside `room`, each as near its own as the order allows. Where the room is too short for all,
/// the gap shrinks.
pub(crate) fn spread(wanted: &[f64], gap: f64, room: [f64; 2]) -> Vec<f64> {
    let [low, high] = room;
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    let at = |i: usize| wanted.get(i).copied().unwrap_or(low);
    order.sort_by(|a, b| at(*a).total_cmp(&at(*b)));
    let gap = gap.min((high - low) / order.len().saturating_sub(1).max(1) as f64);
    // Blocks of touching places; each stands at the mean of what its members want.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for index in &order {
        let mut block = (at(*index), 1_usize);
        while let Some(&(start, n)) = blocks.last() {
            if start + n as f64 * gap <= block.0 {
                break;
            }
            blocks.pop();
            let total = (n + block.1) as f64;
            let own = start * n as f64 + (block.0 - n as f64 * gap) * block.1 as f64;
            block = (own / total, n + block.1);
        }
        block.0 = block.0.min(high - (block.1 - 1) as f64 * gap).max(low);
        blocks.push(block);
    }
    let mut places = wanted.to_vec();
    let steps = blocks
        .iter()
        .flat_map(|&(start, n)| (0..n).map(move |k| start + k as f64 * gap));
    for (index, place) in order.into_iter().zip(steps) {
        if let Some(slot) = places.get_mut(index) {
            *slot = place;
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_places_keep_their_order_gap_and_room() {
        let places = spread(&[5.0, 5.0, 4.0, 90.0], 10.0, [0.0, 95.0]);
        let mut sorted = places.clone();
        sorted.sort_by(f64::total_cmp);
        for pair in sorted.windows(2) {
            assert!(pair[1] - pair[0] >= 10.0 - 1e-9, "{places:?}");
        }
        assert!(sorted[0] >= 0.0 && sorted[3] <= 95.0, "{places:?}");
        assert!((places[3] - 90.0).abs() < 1e-9);
        assert!(spread(&[], 10.0, [0.0, 1.0]).is_empty());
    }
}
