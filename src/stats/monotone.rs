//! A smooth curve through given points that rises and falls only where they do.
//!
//! Piecewise cubics with slopes that keep each piece monotone: Fritsch & Carlson (1980), *SIAM Journal on Numerical Trial*
//! 17, 238-246, with the slopes of Fritsch & Butland (1984), *SIAM Journal on Scientific and Statistical Computing* 5, 300-304.

/// The curve, between its first and its last `x`.
#[derive(Debug, Clone, PartialEq)]
pub struct MonotoneCurve {
    knots: Vec<Knot>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Knot {
    x: f64,
    y: f64,
    slope: f64,
}

/// A piece's length and mean slope.
#[derive(Debug, Clone, Copy)]
struct Piece {
    length: f64,
    slope: f64,
}

/// The curve through `y` at strictly increasing `x`; `None` where the lengths differ, there are fewer than two, or anything is
/// not finite.
pub fn monotone_curve(x: &[f64], y: &[f64]) -> Option<MonotoneCurve> {
    if x.len() != y.len() || x.len() < 2 || !x.iter().chain(y).all(|v| v.is_finite()) {
        return None;
    }
    let pieces: Vec<Piece> = x
        .windows(2)
        .zip(y.windows(2))
        .map(|(x, y)| match (x, y) {
            ([x0, x1], [y0, y1]) if x1 > x0 => Some(Piece {
                length: x1 - x0,
                slope: (y1 - y0) / (x1 - x0),
            }),
            _ => None,
        })
        .collect::<Option<_>>()?;
    let mut slopes = vec![end_slope(pieces.first()?, pieces.get(1))];
    slopes.extend(pieces.windows(2).map(|pair| match pair {
        [before, after] => inner_slope(*before, *after),
        _ => 0.0,
    }));
    let before_last = pieces.len().checked_sub(2).and_then(|i| pieces.get(i));
    slopes.push(end_slope(pieces.last()?, before_last));
    let knots: Vec<Knot> = x
        .iter()
        .zip(y)
        .zip(slopes)
        .map(|((x, y), slope)| Knot {
            x: *x,
            y: *y,
            slope,
        })
        .collect();
    let sound = knots.iter().all(|k| k.slope.is_finite());
    sound.then_some(MonotoneCurve { knots })
}

/// The weighted harmonic mean of the slopes on both sides; level where they differ in sign.
fn inner_slope(before: Piece, after: Piece) -> f64 {
    if before.slope * after.slope <= 0.0 {
        return 0.0;
    }
    let first = 2.0 * after.length + before.length;
    let second = after.length + 2.0 * before.length;
    (first + second) / (first / before.slope + second / after.slope)
}

/// The slope of the parabola through the last three points, cut to keep the shape (Moler 2004, *Numerical Computing with
/// MATLAB*, 3.6, from memory).
fn end_slope(end: &Piece, next: Option<&Piece>) -> f64 {
    let Some(next) = next else {
        return end.slope;
    };
    let slope = ((2.0 * end.length + next.length) * end.slope - end.length * next.slope)
        / (end.length + next.length);
    if slope * end.slope <= 0.0 {
        0.0
    } else if end.slope * next.slope <= 0.0 && slope.abs() > 3.0 * end.slope.abs() {
        3.0 * end.slope
    } else {
        slope
    }
}

impl MonotoneCurve {
    /// The curve's `y` at `x`; `None` outside its points: nothing is known there.
    pub fn at(&self, x: f64) -> Option<f64> {
        let above = self.knots.partition_point(|k| k.x < x).max(1);
        let (a, b) = (self.knots.get(above - 1)?, self.knots.get(above)?);
        if !(a.x..=b.x).contains(&x) {
            return None;
        }
        let length = b.x - a.x;
        let t = (x - a.x) / length;
        let u = 1.0 - t;
        let value = a.y * u * u * (1.0 + 2.0 * t)
            + b.y * t * t * (3.0 - 2.0 * t)
            + length * t * u * (a.slope * u - b.slope * t);
        value.is_finite().then_some(value)
    }

    /// The `x` that gives `y`; `None` where the curve does not rise or fall all along, and outside its values.
    pub fn inverse(&self, y: f64) -> Option<f64> {
        let (first, last) = (self.knots.first()?, self.knots.last()?);
        let sign = (last.y - first.y).signum();
        let one_way = self.knots.windows(2).all(|pair| match pair {
            [a, b] => sign * (b.y - a.y) > 0.0,
            _ => false,
        });
        if !one_way {
            return None;
        }
        let lacking = |x: f64| self.at(x).map(|found| found - y);
        super::roots::zero_between(lacking, first.x, last.x, INVERSE_TOLERANCE)
    }
}

/// The inverse is found to this share of `x` (of 1 where it is smaller).
const INVERSE_TOLERANCE: f64 = 1e-13;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_never_leaves_the_points() {
        let x = [0.0, 1.0, 1.5, 4.0, 5.0];
        let y = [0.0, 0.1, 3.0, 3.1, 3.1];
        let curve = monotone_curve(&x, &y);
        let mut before = f64::NEG_INFINITY;
        for i in 0..=500 {
            let at = curve.as_ref().and_then(|c| c.at(f64::from(i) / 100.0));
            assert!(
                at.is_some_and(|v| v >= before - 1e-12 && v <= 3.1 + 1e-12),
                "{i} {at:?}"
            );
            before = at.unwrap_or(before);
        }
    }

    #[test]
    fn there_and_back() {
        let curve = monotone_curve(&[1.0, 2.0, 4.0], &[9.0, 5.0, 4.0]);
        let back = curve.as_ref().and_then(|c| c.inverse(c.at(2.7)?));
        assert!(back.is_some_and(|x| (x - 2.7).abs() < 1e-10), "{back:?}");
        assert_eq!(curve.as_ref().and_then(|c| c.at(4.1)), None);
        assert_eq!(curve.as_ref().and_then(|c| c.at(f64::NAN)), None);
        assert_eq!(curve.and_then(|c| c.inverse(9.5)), None);
    }

    #[test]
    fn undefined_curves_are_none() {
        assert!(monotone_curve(&[1.0], &[1.0]).is_none());
        assert!(monotone_curve(&[1.0, 1.0], &[1.0, 2.0]).is_none());
        assert!(monotone_curve(&[1.0, 2.0], &[1.0, f64::NAN]).is_none());
        let line = monotone_curve(&[1.0, 2.0], &[1.0, 3.0]);
        assert_eq!(line.and_then(|c| c.at(1.5)), Some(2.0));
    }
}
