//! Labels that do not overlap.
//!
//! A label is tried at places in order of preference. The first place clear of other labels and of
//! the lines drawn wins; failing that, the first clear of labels (its halo keeps it readable over a
//! line); failing that, there is no label: what cannot be read helps nobody, and the tables hold
//! them all.

use super::lines::clipped;
use super::sheet::{Area, Pt};

/// Space kept free round every label, in the chart's units.
const GAP: f64 = 2.5;

/// What lies on a part of a sheet already.
pub(crate) struct Labels {
    bounds: Area,
    taken: Vec<Area>,
    lines: Vec<[Pt; 2]>,
}

impl Labels {
    /// None yet; all must lie inside `bounds`.
    pub(crate) fn within(bounds: Area) -> Self {
        Self {
            bounds,
            taken: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Keeps labels off a line where there is room beside it.
    pub(crate) fn avoid(&mut self, from: Pt, to: Pt) {
        self.lines.push([from, to]);
    }

    /// Finds room for a label of `size` (width, height) with its middle at one of `places`.
    pub(crate) fn place(&mut self, size: Pt, places: impl IntoIterator<Item = Pt>) -> Option<Pt> {
        let mut found = None;
        for at in places {
            let area = Area::around(at, size.x, size.y);
            if !self.is_free(area) {
                continue;
            }
            let crossed = |[from, to]: &[Pt; 2]| clipped(*from, *to, area).is_some();
            if !self.lines.iter().any(crossed) {
                found = Some(at);
                break;
            }
            found = found.or(Some(at));
        }
        let taken = found.map(|at| Area::around(at, size.x, size.y));
        self.taken.extend(taken);
        found
    }

    fn is_free(&self, area: Area) -> bool {
        let inside = area.left >= self.bounds.left
            && area.right <= self.bounds.right
            && area.top >= self.bounds.top
            && area.bottom <= self.bounds.bottom;
        inside && !self.taken.iter().any(|other| overlap(*other, area))
    }
}

fn overlap(a: Area, b: Area) -> bool {
    a.left - GAP < b.right
        && b.left - GAP < a.right
        && a.top - GAP < b.bottom
        && b.top - GAP < a.bottom
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_take_the_next_place_and_then_none() {
        let mut labels = Labels::within(Area::new(0.0, 0.0, 100.0, 20.0));
        let size = Pt::new(40.0, 16.0);
        let places = [Pt::new(25.0, 10.0), Pt::new(75.0, 10.0)];
        assert_eq!(labels.place(size, places), Some(places[0]));
        assert_eq!(labels.place(size, places), Some(places[1]));
        assert_eq!(labels.place(size, places), None);
    }

    #[test]
    fn a_place_off_the_lines_is_preferred() {
        let mut labels = Labels::within(Area::new(0.0, 0.0, 100.0, 100.0));
        labels.avoid(Pt::new(0.0, 50.0), Pt::new(100.0, 50.0));
        let places = [Pt::new(50.0, 50.0), Pt::new(50.0, 20.0)];
        let size = Pt::new(10.0, 10.0);
        assert_eq!(labels.place(size, places), Some(places[1]));
    }
}
