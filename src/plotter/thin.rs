//! Thinning of long lines to what can be seen.

use geo::{Coord, LineString, Simplify};

/// Points thinned at a time: the thinning calls itself, on a spiral once for every point, and takes
/// the square of their number.
const CHUNK: usize = 1024;

/// Douglas–Peucker thinning, in pieces that share their ends: no point of the line lies farther than
/// `tolerance` from what is left.
pub(crate) fn thinned(line: &[Coord<f64>], tolerance: f64) -> Vec<Coord<f64>> {
    let mut kept: Vec<Coord<f64>> = Vec::new();
    let mut start = 0;
    while let Some(rest) = line.get(start..).filter(|rest| !rest.is_empty()) {
        let piece = rest.get(..rest.len().min(CHUNK)).unwrap_or(rest);
        let thin = LineString::new(piece.to_vec()).simplify(tolerance);
        kept.extend(thin.into_iter().skip(usize::from(start > 0)));
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
    fn ends_and_corners_stay_at_any_length() {
        let zigzag: Vec<Coord<f64>> = (0..5000)
            .map(|k| Coord {
                x: f64::from(k),
                y: f64::from(k / 500 % 2) * 300.0,
            })
            .collect();
        let thin = thinned(&zigzag, 0.5);
        assert_eq!(thin.first(), zigzag.first());
        assert_eq!(thin.last(), zigzag.last());
        assert!((20..30).contains(&thin.len()), "{}", thin.len());
        assert!(thinned(&[], 0.5).is_empty());
    }

    #[test]
    fn a_spiral_does_not_use_up_the_stack() {
        let spiral: Vec<Coord<f64>> = (0..200_000)
            .map(|k| {
                let angle = f64::from(k) * 0.1;
                Coord {
                    x: angle * angle.cos(),
                    y: angle * angle.sin(),
                }
            })
            .collect();
        assert!(thinned(&spiral, 1e-9).len() > 100_000);
    }
}
