//! Cuts an evenly sampled path into stretches of steady velocity.
//!
//! Differencing positions fails at small-boat speeds: at 0.6 m/s the course
//! between two fixes is noise. Instead the whole path is explained at once as a
//! sequence of straight lines run at constant velocity, at the least total cost
//! of squared misfit plus a penalty for each piece. The least is found exactly
//! by optimal partitioning with pruning (Killick, Fearnhead & Eckley 2012,
//! "Optimal detection of changepoints with a linear computational cost",
//! J. Am. Stat. Assoc. 107, 1590-1598) over running sums, so a piece of any
//! length costs the same to judge. The longest piece is bounded, which bounds
//! the work to a constant per sample; pieces of one heading are joined later.

use std::ops::Range;

use super::plane::PlanePoint;

/// Running sums over evenly spaced samples, for the misfit of any piece in constant time.
#[derive(Debug, Clone)]
struct RunningSums {
    sums: Vec<Sums>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    east: f64,
    north: f64,
    index_east: f64,
    index_north: f64,
    squares: f64,
}

impl RunningSums {
    fn new(points: &[PlanePoint]) -> Self {
        let mut sums = Vec::with_capacity(points.len() + 1);
        let mut total = Sums::default();
        sums.push(total);
        // From the first point, so that a plane touching far away costs no digits.
        let origin = points.first().copied().unwrap_or_default();
        for (index, point) in points.iter().enumerate() {
            let (east, north) = (point.east - origin.east, point.north - origin.north);
            let index = index as f64;
            total.east += east;
            total.north += north;
            total.index_east += index * east;
            total.index_north += index * north;
            total.squares += east * east + north * north;
            sums.push(total);
        }
        Self { sums }
    }

    /// Sum of squared distances from the best line at constant velocity, square metres.
    fn misfit(&self, from: usize, to: usize) -> f64 {
        let (Some(a), Some(b)) = (self.sums.get(from), self.sums.get(to)) else {
            return f64::INFINITY;
        };
        let n = (to - from) as f64;
        let mean_index = (from + to - 1) as f64 / 2.0;
        // Sum of squared deviations of n consecutive integers.
        let spread = n * (n * n - 1.0) / 12.0;
        let (east, north) = (b.east - a.east, b.north - a.north);
        let cross_east = b.index_east - a.index_east - mean_index * east;
        let cross_north = b.index_north - a.index_north - mean_index * north;
        let about_mean = b.squares - a.squares - (east * east + north * north) / n;
        let explained = if spread > 0.0 {
            (cross_east * cross_east + cross_north * cross_north) / spread
        } else {
            0.0
        };
        (about_mean - explained).max(0.0)
    }
}

/// What makes a piece dear.
#[derive(Debug, Clone, Copy)]
pub(super) struct Price {
    /// Distance from the line that counts as one unit of misfit when squared, metres.
    pub scale_m: f64,
    /// What each further piece costs, in those units.
    pub per_piece: f64,
    /// Fewest samples in a piece.
    pub shortest: usize,
    /// Most samples in a piece.
    pub longest: usize,
}

/// The cheapest sequence of pieces, as ranges that cover all samples in order.
pub(super) fn partition(points: &[PlanePoint], price: Price) -> Vec<Range<usize>> {
    let count = points.len();
    let shortest = price.shortest.max(2);
    if count < 2 * shortest {
        return (count > 0).then_some(0..count).into_iter().collect();
    }
    let sums = RunningSums::new(points);
    let unit = price.scale_m * price.scale_m;
    // best[t]: least cost of the first t samples; cut[t]: where its last piece begins.
    let mut best = vec![f64::INFINITY; count + 1];
    let mut cut = vec![0_usize; count + 1];
    let mut candidates: Vec<(usize, f64)> = Vec::new();
    if let Some(zero) = best.first_mut() {
        *zero = 0.0;
    }
    for end in shortest..=count {
        let newest = end - shortest;
        if best.get(newest).is_some_and(|cost| cost.is_finite()) {
            candidates.push((newest, 0.0));
        }
        let mut least = f64::INFINITY;
        let mut at = 0;
        for (start, without_penalty) in &mut candidates {
            let before = best.get(*start).copied().unwrap_or(f64::INFINITY);
            *without_penalty = before + sums.misfit(*start, end) / unit;
            if *without_penalty + price.per_piece < least {
                least = *without_penalty + price.per_piece;
                at = *start;
            }
        }
        // A start dearer now even without its penalty can never be the best again;
        // one too far back may no longer be used. One last is always kept.
        let bound = least;
        candidates.retain(|(start, cost)| *cost < bound && end - *start < price.longest);
        if let (Some(slot), Some(from)) = (best.get_mut(end), cut.get_mut(end)) {
            *slot = least;
            *from = at;
        }
    }
    let mut pieces = Vec::new();
    let mut end = count;
    while end > 0 {
        let start = cut.get(end).copied().unwrap_or(0).min(end - 1);
        pieces.push(start..end);
        end = start;
    }
    pieces.reverse();
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRICE: Price = Price {
        scale_m: 3.0,
        per_piece: 8.0,
        shortest: 2,
        longest: 240,
    };

    /// A path that runs each leg for so many samples at so many metres a sample.
    fn path(legs: &[(usize, f64, f64)]) -> Vec<PlanePoint> {
        let mut at = PlanePoint::default();
        let mut points = vec![at];
        for (samples, east, north) in legs {
            for _ in 0..*samples {
                at.east += east;
                at.north += north;
                points.push(at);
            }
        }
        points
    }

    #[test]
    fn cuts_at_the_corners_and_nowhere_else() {
        let points = path(&[(40, 7.0, 0.0), (50, 0.0, 7.0), (30, -7.0, 0.0)]);
        let pieces = partition(&points, PRICE);
        let cuts: Vec<usize> = pieces.iter().map(|p| p.start).collect();
        assert_eq!(cuts.len(), 3, "{pieces:?}");
        assert!(cuts[1].abs_diff(40) <= 1 && cuts[2].abs_diff(90) <= 1);
    }

    #[test]
    fn covers_every_sample_once_whatever_the_length() {
        for samples in 0..60 {
            let points = path(&[(samples, 3.0, 1.0), (7, -2.0, 4.0)]);
            let points = &points[..samples.min(points.len())];
            let mut next = 0;
            for piece in partition(points, PRICE) {
                assert_eq!(piece.start, next);
                next = piece.end;
            }
            assert_eq!(next, points.len());
        }
    }

    /// The pruned search must find the same least cost as trying every start.
    #[test]
    fn pruning_loses_nothing() {
        let mut state = 1_u64;
        let mut noise = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 40) as f64 / f64::from(1 << 24) - 0.5
        };
        let mut points = path(&[
            (25, 6.0, 1.0),
            (9, 2.0, -5.0),
            (30, -6.0, 0.5),
            (12, 0.1, 0.1),
        ]);
        for point in &mut points {
            point.east += 6.0 * noise();
            point.north += 6.0 * noise();
        }
        let sums = RunningSums::new(&points);
        let cost_of = |pieces: &[Range<usize>]| -> f64 {
            pieces
                .iter()
                .map(|p| sums.misfit(p.start, p.end) / 9.0 + PRICE.per_piece)
                .sum()
        };
        let mut best = vec![f64::INFINITY; points.len() + 1];
        best[0] = 0.0;
        for end in 2..=points.len() {
            for start in 0..=end - 2 {
                let cost = best[start] + sums.misfit(start, end) / 9.0 + PRICE.per_piece;
                best[end] = best[end].min(cost);
            }
        }
        let found = cost_of(&partition(&points, PRICE));
        assert!((found - best[points.len()]).abs() < 1e-9);
    }
}
