//! Directions: their mean, how closely they agree, and how sure the mean is.
//!
//! Each direction is a unit vector; the mean direction is that of their sum and `R`
//! the length of their mean (Mardia & Jupp 2000, *Directional Statistics*, 2.2).
//! Two measures of spread are in use and differ: the circular standard deviation
//! `√(-2 ln R)` (Mardia & Jupp 2.3.11) and the angular deviation `√(2(1 - R))` (Batschelet
//! 1981, *Circular Statistics in Biology*, 2.3). Both are here, in degrees.

use super::summary::total_weight;
use crate::units::Bearing;

/// The mean of a set of directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resultant {
    /// The mean direction; `None` where the directions cancel.
    pub mean: Option<Bearing>,
    /// `R`, from 0 (directions cancel) to 1 (all the same).
    pub length: f64,
    /// Standard error of the mean direction in degrees; `None` without a mean
    /// direction or with fewer than two directions.
    ///
    /// `√(Σ wᵢ² sin² δᵢ) / Σ wᵢ cos δᵢ`, `δᵢ` from the mean: the large-sample form, which for
    /// equal weights is Fisher's `√((1 - ρ₂) / (2nR²))` (Fisher 1993, *Statistical
    /// Trial of Circular Data*, 4.4.4, who asks for 25 directions or more).
    /// Independent directions are assumed.
    pub mean_se: Option<f64>,
}

impl Resultant {}

/// Directions whose `R` is below this cancel: rounding alone leaves some 1e-16 for a
/// pair of opposites, and a direction read off it would be noise.
const LEAST_LENGTH: f64 = 1e-12;

/// The mean of directions that count alike; `None` for no directions.
///
/// # Example: across north
/// ```
/// use thereback::{stats::circular::resultant, units::Bearing};
/// let directions: Vec<Bearing> = [350.0, 20.0].into_iter().filter_map(Bearing::new).collect();
/// let mean = resultant(&directions).and_then(|r| r.mean).unwrap();
/// assert!((mean.degrees() - 5.0).abs() < 1e-12);
/// ```
pub fn resultant(directions: &[Bearing]) -> Option<Resultant> {
    weighted_resultant(directions, &vec![1.0; directions.len()])
}

/// The mean of directions that count by weight; the weights need not sum to one.
///
/// `None` where the lengths differ, a weight is negative or not finite, or the weights sum to zero.
pub fn weighted_resultant(directions: &[Bearing], weights: &[f64]) -> Option<Resultant> {
    let total = total_weight(directions.len(), weights)?;
    let (mut east, mut north) = (0.0, 0.0);
    for (direction, weight) in directions.iter().zip(weights) {
        let (e, n) = direction.unit();
        east += weight / total * e;
        north += weight / total * n;
    }
    let length = east.hypot(north).min(1.0);
    let mean = (length >= LEAST_LENGTH)
        .then(|| Bearing::of_vector(east, north))
        .flatten();
    let sideways: f64 = mean.map_or(0.0, |mean| {
        let shares = directions.iter().zip(weights);
        shares
            .map(|(d, w)| (w / total * mean.turn_to(*d).degrees().to_radians().sin()).powi(2))
            .sum()
    });
    let counted = weights.iter().filter(|w| **w > 0.0).count();
    Some(Resultant {
        mean,
        length,
        mean_se: mean
            .filter(|_| counted > 1)
            .map(|_| (sideways.sqrt() / length).to_degrees()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(degrees: &[f64]) -> Vec<Bearing> {
        degrees.iter().filter_map(|d| Bearing::new(*d)).collect()
    }

    #[test]
    fn equal_weights_give_fishers_standard_error() {
        let directions = of(&[51.0, 67.0, 40.0, 109.0, 31.0, 358.0]);
        let got = resultant(&directions);
        let fisher = got
            .and_then(|r| Some((r.mean?, r.length)))
            .map(|(mean, length)| {
                let n = directions.len() as f64;
                let double = |d: &Bearing| (2.0 * mean.turn_to(*d).degrees().to_radians()).cos();
                let second = directions.iter().map(double).sum::<f64>() / n;
                ((1.0 - second) / (2.0 * n * length * length))
                    .sqrt()
                    .to_degrees()
            });
        let near = got.and_then(|r| r.mean_se).zip(fisher);
        assert!(near.is_some_and(|(a, b)| (a - b).abs() < 1e-12), "{near:?}");
    }
}
