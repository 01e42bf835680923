//! Labels that do not overlap.
//!
//! A label is tried at places in order of preference. The first place clear of
//! other labels and of the lines drawn wins; failing that, the first clear of
//! labels (its halo keeps it readable over a line); failing that, there is no
//! label: a number that cannot be read helps nobody, and the tables hold them all.

use super::clip::clipped;
use super::place::{Area, Pt};

/// Space kept free round every label, in the chart's units.
const GAP: f64 = 2.5;

/// Where a label may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    /// Its middle.
    pub(crate) at: Pt,
    /// Where the line that leads to it begins, if it needs one.
    pub(crate) foot: Option<Pt>,
}

impl From<Pt> for Spot {
    fn from(at: Pt) -> Self {
        Self { at, foot: None }
    }
}

/// What stands on a part of a sheet already.
pub(crate) struct Labels {
    bounds: Area,
    taken: Vec<Area>,
    leaders: Vec<[Pt; 2]>,
    lines: Vec<[Pt; 2]>,
}

impl Labels {
    /// None yet; all must lie inside `bounds`.
    pub(crate) fn within(bounds: Area) -> Self {
        Self {
            bounds,
            taken: Vec::new(),
            leaders: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Keeps labels off a line where there is room beside it.
    pub(crate) fn avoid(&mut self, from: Pt, to: Pt) {
        self.lines.push([from, to]);
    }

    /// Finds room for a label of `size` (width, height) at one of `spots`.
    pub(crate) fn place<S: Into<Spot>>(
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
}
