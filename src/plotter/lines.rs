//! Lines cut at the edge of an area and thinned to what can be seen.

use geo::{Coord, LineString, Simplify};

use super::sheet::{Area, Pt};

/// Points thinned at a time: the thinning calls itself, on a spiral once for every point, and takes
/// the square of their number.
const CHUNK: usize = 1024;

/// The part of a line inside an area (Liang & Barsky 1984, *A New Concept and Method for Line
/// Clipping*).
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

/// Douglas–Peucker thinning, in pieces that share their ends: no place of the line lies farther
/// than `tolerance` from what is left.
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
}
