//! Lines cut at the edge of an area.

use super::place::{Area, Pt};

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
}
