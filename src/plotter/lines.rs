//! Lines cut at the edge of an area, thinned to what can be seen, and places moved apart.

use geo::{Coord, LineString, Simplify};

use super::sheet::{Area, Pt};

/// Points thinned at a time: the thinning calls itself, on a spiral once for every point, and takes
/// the square of their number.
const CHUNK: usize = 1024;

/// The part of a line inside an area (Liang & Barsky 1984, *A New Concept and Method for Line Clipping*).
pub(crate) fn clipped(from: Pt, to: Pt, area: Area) -> Option<[Pt; 2]> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-dx, from.x - area.left),
        (dx, area.right - from.x),
        (-dy, from.y - area.top),
        (dy, area.bottom - from.y),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    (enter <= leave).then(|| [from.toward(to, enter), from.toward(to, leave)])
}

/// The parts of a line through places that lie inside an area.
pub(crate) fn clipped_path(places: &[Pt], area: Area) -> Vec<Vec<Pt>> {
    let mut parts: Vec<Vec<Pt>> = Vec::new();
    let mut end: Option<Pt> = None;
    for pair in places.windows(2) {
        let [from, to] = pair else { continue };
        let Some([a, b]) = clipped(*from, *to, area) else {
            end = None;
            continue;
        };
        match parts.last_mut() {
            Some(part) if end == Some(a) => part.push(b),
            _ => parts.push(vec![a, b]),
        }
        end = Some(b);
    }
    parts
}

/// Douglas–Peucker thinning, in pieces that share their ends: no place of the line lies farther than
/// `tolerance` from what is left.
pub(crate) fn thinned(line: &[Pt], tolerance: f64) -> Vec<Pt> {
    let mut kept: Vec<Pt> = Vec::new();
    let mut start = 0;
    while let Some(rest) = line.get(start..).filter(|rest| !rest.is_empty()) {
        let piece = rest.get(..rest.len().min(CHUNK)).unwrap_or(rest);
        let coords = piece.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
        let thin = LineString::new(coords).simplify(tolerance).into_iter();
        kept.extend(thin.skip(usize::from(start > 0)).map(|c| Pt::new(c.x, c.y)));
        if piece.len() == rest.len() {
            break;
        }
        start += piece.len() - 1;
    }
    kept
}

/// Moves places along one axis apart, so that neighbours lie at least `gap` from each other and all
/// inside `room`, each as near its own as the order allows. Where the room is too short for all,
/// the gap shrinks.
pub(crate) fn spread(wanted: &[f64], gap: f64, room: [f64; 2]) -> Vec<f64> {
    let [low, high] = room;
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    let at = |i: usize| wanted.get(i).copied().unwrap_or(low);
    order.sort_by(|a, b| at(*a).total_cmp(&at(*b)));
    let gap = gap.min((high - low) / order.len().saturating_sub(1).max(1) as f64);
    // Blocks of touching places; each lies at the mean of what its members want.
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
    fn lines_are_cut_at_the_edge() {
        let area = Area::new(0.0, 0.0, 10.0, 10.0);
        let cut = clipped(Pt::new(-10.0, 5.0), Pt::new(20.0, 5.0), area);
        assert_eq!(cut, Some([Pt::new(0.0, 5.0), Pt::new(10.0, 5.0)]));
        assert_eq!(clipped(Pt::new(-1.0, -9.0), Pt::new(-1.0, 9.0), area), None);
        let out_and_in = [
            Pt::new(5.0, 5.0),
            Pt::new(15.0, 5.0),
            Pt::new(15.0, 7.0),
            Pt::new(5.0, 7.0),
        ];
        assert_eq!(clipped_path(&out_and_in, area).len(), 2);
    }

    #[test]
    fn ends_and_corners_stay_at_any_length() {
        let zigzag: Vec<Pt> = (0..5000)
            .map(|k| Pt::new(f64::from(k), f64::from(k / 500 % 2) * 300.0))
            .collect();
        let thin = thinned(&zigzag, 0.5);
        assert_eq!(thin.first(), zigzag.first());
        assert_eq!(thin.last(), zigzag.last());
        assert!((20..30).contains(&thin.len()), "{}", thin.len());
        assert!(thinned(&[], 0.5).is_empty());
    }

    #[test]
    fn a_spiral_does_not_use_up_the_stack() {
        let spiral: Vec<Pt> = (0..200_000)
            .map(|k| Pt::new(0.0, 0.0).at_bearing(f64::from(k) * 5.7, f64::from(k) * 0.1))
            .collect();
        assert!(thinned(&spiral, 1e-9).len() > 100_000);
    }

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
