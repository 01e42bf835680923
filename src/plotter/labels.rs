//! Labels that do not overlap.
//!
//! A label is tried at places in order of preference. The first place clear of
//! other labels and of the lines drawn wins; failing that, the first clear of
//! labels (its halo keeps it readable over a line); failing that, there is no
//! label: a number that cannot be read helps nobody, and the tables hold them all.

use super::sheet::{Area, Pt};

/// Space kept free round every label, in the chart's units.
const GAP: f64 = 2.5;

/// Where a label may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Its middle.
    pub(super) at: Pt,
    /// Where the line that leads to it begins, if it needs one.
    pub(super) foot: Option<Pt>,
}

impl From<Pt> for Spot {
    fn from(at: Pt) -> Self {
        Self { at, foot: None }
    }
}

/// What stands on a part of a sheet already.
pub(super) struct Labels {
    bounds: Area,
    taken: Vec<Area>,
    leaders: Vec<[Pt; 2]>,
    lines: Vec<[Pt; 2]>,
}

impl Labels {
    /// None yet; all must lie inside `bounds`.
    pub(super) fn within(bounds: Area) -> Self {
        Self {
            bounds,
            taken: Vec::new(),
            leaders: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Keeps labels off a line where there is room beside it.
    pub(super) fn avoid(&mut self, from: Pt, to: Pt) {
        self.lines.push([from, to]);
    }

    /// Finds room for a label of `size` (width, height) at one of `spots`.
    pub(super) fn place<S: Into<Spot>>(
        &mut self,
        size: Pt,
        spots: impl IntoIterator<Item = S>,
    ) -> Option<Spot> {
        let mut found = None;
        for spot in spots {
            let spot = spot.into();
            let area = around(spot.at, size);
            if !self.is_free(area, spot) {
                continue;
            }
            if self.lines.iter().all(|line| !crosses(*line, area)) {
                found = Some(spot);
                break;
            }
            found = found.or(Some(spot));
        }
        if let Some(spot) = found {
            self.taken.push(around(spot.at, size));
            self.leaders.extend(spot.foot.map(|foot| [foot, spot.at]));
        }
        found
    }

    fn is_free(&self, area: Area, spot: Spot) -> bool {
        let inside = area.left >= self.bounds.left
            && area.right <= self.bounds.right
            && area.top >= self.bounds.top
            && area.bottom <= self.bounds.bottom;
        let leader = spot.foot.map(|foot| [foot, spot.at]);
        inside
            && !self.taken.iter().any(|other| overlap(*other, area))
            && !self.leaders.iter().any(|other| crosses(*other, area))
            && !leader.is_some_and(|line| self.taken.iter().any(|other| crosses(line, *other)))
    }
}

fn around(middle: Pt, size: Pt) -> Area {
    Area::new(
        middle.x - size.x / 2.0,
        middle.y - size.y / 2.0,
        middle.x + size.x / 2.0,
        middle.y + size.y / 2.0,
    )
}

fn overlap(a: Area, b: Area) -> bool {
    a.left - GAP < b.right
        && b.left - GAP < a.right
        && a.top - GAP < b.bottom
        && b.top - GAP < a.bottom
}

fn crosses([from, to]: [Pt; 2], area: Area) -> bool {
    clipped(from, to, area).is_some()
}

/// The part of a line inside an area (Liang & Barsky 1984, *A New Concept and Method for Line Clipping*).
pub(super) fn clipped(from: Pt, to: Pt, area: Area) -> Option<[Pt; 2]> {
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
pub(super) fn clipped_path(places: &[Pt], area: Area) -> Vec<Vec<Pt>> {
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

/// Moves places along one axis apart, so that neighbours lie at least `gap` from each other and all
/// inside `room`, each as near its own as the order allows. Where the room is too short for all,
/// the gap shrinks.
pub(super) fn spread(wanted: &[f64], gap: f64, room: [f64; 2]) -> Vec<f64> {
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
    fn labels_take_the_next_place_and_then_none() {
        let mut labels = Labels::within(Area::new(0.0, 0.0, 100.0, 20.0));
        let size = Pt::new(40.0, 16.0);
        let places = [Pt::new(25.0, 10.0), Pt::new(75.0, 10.0)];
        assert_eq!(labels.place(size, places), Some(places[0].into()));
        assert_eq!(labels.place(size, places), Some(places[1].into()));
        assert_eq!(labels.place(size, places), None);
    }

    #[test]
    fn a_place_off_the_lines_is_preferred() {
        let mut labels = Labels::within(Area::new(0.0, 0.0, 100.0, 100.0));
        labels.avoid(Pt::new(0.0, 50.0), Pt::new(100.0, 50.0));
        let places = [Pt::new(50.0, 50.0), Pt::new(50.0, 20.0)];
        assert_eq!(
            labels.place(Pt::new(10.0, 10.0), places),
            Some(Pt::new(50.0, 20.0).into())
        );
    }

    #[test]
    fn leading_lines_and_labels_keep_off_each_other() {
        let mut labels = Labels::within(Area::new(0.0, 0.0, 100.0, 100.0));
        let size = Pt::new(10.0, 10.0);
        let near = Spot::from(Pt::new(20.0, 50.0));
        let behind = Spot {
            at: Pt::new(40.0, 50.0),
            foot: Some(Pt::new(0.0, 50.0)),
        };
        assert_eq!(labels.place(size, [near]), Some(near));
        assert_eq!(labels.place(size, [behind]), None);
        let above = Spot {
            at: Pt::new(40.0, 20.0),
            foot: Some(Pt::new(0.0, 20.0)),
        };
        assert_eq!(labels.place(size, [above]), Some(above));
        assert_eq!(labels.place(size, [Pt::new(20.0, 22.0)]), None);
    }

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
