//! The value under an alternating bias: the mean of means, and its least-squares
//! form for readings at unequal gaps.
//!
//! Readings carry `value + bias(t)` one way and `value - bias(t)` the other. Where the bias is
//! a polynomial in time, readings taken in turn give the value exactly.
//!
//! With equal gaps and a bias of order `n - 2`, the weights of `n` readings are
//! `binomial(n - 1, k) / 2ⁿ⁻¹`: taking means of neighbours, then means of those, down
//! to one. Four readings: 1/8, 3/8, 3/8, 1/8 (Tupper, *Introduction to Naval Architecture*,
//! chapter 9; named the mean of means in ITTC 7.5-04-01-01.1). For unequal gaps
//! Tupper says to solve the equations; [`solve`] does, by least squares.

use super::finite;
use super::orthogonal::last_coefficient;

/// More readings than any series of this kind has; the weights of the middle ones are
/// then all that counts.
pub const MOST_READINGS: usize = 64;

/// The largest order of the bias that [`solve`] fits.
///
/// Over six hours a bias that follows the half-day tide (M2, 12.42 h) is off its
/// best quartic by at most 0.4 % of its amplitude (remainder of the Chebyshev series,
/// `(ωT)⁵/(2⁴·5!)` with `ωT = 1.52`), less still once the directions alternate; higher orders only
/// add noise.
pub const LARGEST_ORDER: usize = 4;

/// The weights of the mean of means of `n` readings, summing to one.
///
/// `None` for no readings and for more than [`MOST_READINGS`]. Equal gaps and
/// alternate directions are assumed. The noise of the mean falls only with the fourth root of
/// `n`, since the middle readings carry it.
///
/// # Example: four runs
/// ```
/// use thereback::stats::meanofmeans::weights;
/// assert_eq!(weights(4), Some(vec![0.125, 0.375, 0.375, 0.125]));
/// ```
pub fn weights(n: usize) -> Option<Vec<f64>> {
    if n == 0 || n > MOST_READINGS {
        return None;
    }
    let mut row = vec![1.0];
    for _ in 1..n {
        // Each row of Pascal's triangle halved as it is made: no factorial, no overflow.
        let shifted = std::iter::once(0.0).chain(row.iter().copied());
        row = row
            .iter()
            .copied()
            .chain(std::iter::once(0.0))
            .zip(shifted)
            .map(|(a, b)| f64::midpoint(a, b))
            .collect();
    }
    Some(row)
}

/// The mean of means of values at equal gaps in alternate directions; `None` as for
/// [`weights`] and for a value that is not finite.
pub fn mean_of_means(values: &[f64]) -> Option<f64> {
    let weights = weights(values.len())?;
    finite(values.iter().zip(weights).map(|(v, w)| v * w).sum())
}

/// One reading of the value with its bias.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When, in any unit.
    pub time: f64,
    /// What was read.
    pub value: f64,
    /// Which way: `true` adds the bias, `false` takes it off.
    pub forward: bool,
}

/// The value found under the bias.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The value.
    pub value: f64,
    /// What each reading counted for, in the order given; they sum to one.
    pub weights: Vec<f64>,
    /// The noise of the value in units of that of one reading, `√Σ wᵢ²`; above one the
    /// readings hardly tell value and bias apart.
    pub noise: f64,
    /// The order of the bias taken: 0 constant, 1 changing evenly, and so on.
    pub order: usize,
    /// The readings' standard deviation about the fit; `None` where nothing is left over.
    pub residual_sd: Option<f64>,
    /// Readings left over: their count less `order + 2`.
    pub df: usize,
}

/// Finds the value under a bias of order `n - 2`, at most [`LARGEST_ORDER`], for any
/// gaps and any directions.
///
/// Readings in turn at equal gaps get the weights of [`weights`] up to six of them;
/// of seven and more the order is capped and the noise lower. `None` for fewer than two
/// readings, anything not finite, or where value and bias cannot be told apart
/// (all one way, or too many at one time).
pub fn solve(readings: &[Reading]) -> Option<Solution> {
    solve_with_order(readings, readings.len().checked_sub(2)?.min(LARGEST_ORDER))
}

/// As [`solve`] with the order of the bias given; `None` also where it is above
/// [`LARGEST_ORDER`] or there are fewer than `order + 2` readings.
pub fn solve_with_order(readings: &[Reading], order: usize) -> Option<Solution> {
    let df = readings.len().checked_sub(order + 2)?;
    if order > LARGEST_ORDER {
        return None;
    }
    let columns = columns(readings, order)?;
    let fit = last_coefficient(&columns)?;
    let weighted = readings.iter().zip(&fit.weights);
    let value = finite(weighted.map(|(r, w)| r.value * w).sum())?;
    let values: Vec<f64> = readings.iter().map(|r| r.value).collect();
    let residual_sd = match df {
        0 => None,
        left => Some(finite(
            (fit.residual_squares(&values) / left as f64).sqrt(),
        )?),
    };
    Some(Solution {
        value,
        noise: finite(fit.weights.iter().map(|w| w * w).sum::<f64>().sqrt())?,
        weights: fit.weights,
        order,
        residual_sd,
        df,
    })
}

/// The columns of the model: the bias by Legendre polynomials over the span of the
/// readings, which stay far from each other where powers of time would not,
/// and last the value itself.
fn columns(readings: &[Reading], order: usize) -> Option<Vec<Vec<f64>>> {
    let times = || readings.iter().map(|r| r.time);
    let (first, last) = (
        times().fold(f64::INFINITY, f64::min),
        times().fold(f64::NEG_INFINITY, f64::max),
    );
    let half = finite(last / 2.0 - first / 2.0)?;
    let middle = f64::midpoint(first, last);
    let scaled = readings.iter().map(|r| {
        let along = if half > 0.0 {
            (r.time - middle) / half
        } else {
            0.0 * r.time
        };
        finite(along)
    });
    let scaled: Vec<f64> = scaled.collect::<Option<_>>()?;
    let signs = || readings.iter().map(|r| if r.forward { 1.0 } else { -1.0 });
    let (mut before, mut now) = (vec![0.0; scaled.len()], vec![1.0; scaled.len()]);
    let mut columns = Vec::with_capacity(order + 2);
    for degree in 0..=order {
        columns.push(now.iter().zip(signs()).map(|(p, sign)| p * sign).collect());
        // Bonnet's recurrence: (m + 1) P(m+1) = (2m + 1) x P(m) - m P(m-1).
        let m = degree as f64;
        let next = scaled
            .iter()
            .zip(now.iter().zip(&before))
            .map(|(x, (now, before))| ((2.0 * m + 1.0) * x * now - m * before) / (m + 1.0))
            .collect();
        before = std::mem::replace(&mut now, next);
    }
    columns.push(vec![1.0; readings.len()]);
    Some(columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(times: &[f64], values: &[f64]) -> Vec<Reading> {
        let both = times.iter().zip(values).enumerate();
        both.map(|(i, (time, value))| Reading {
            time: *time,
            value: *value,
            forward: i % 2 == 0,
        })
        .collect()
    }

    #[test]
    fn impossible_series_are_none() {
        assert_eq!(weights(0), None);
        assert_eq!(weights(MOST_READINGS + 1), None);
        assert_eq!(mean_of_means(&[]), None);
        assert_eq!(mean_of_means(&[1.0, f64::NAN]), None);
        assert_eq!(solve(&[]), None);
        assert_eq!(solve(&readings(&[0.0], &[5.0])), None);
        assert_eq!(solve(&readings(&[0.0, f64::NAN], &[5.0, 5.0])), None);
        assert_eq!(
            solve_with_order(&readings(&[0.0, 1.0], &[5.0, 5.0]), 1),
            None
        );
        let one_way = readings(&[0.0, 1.0, 2.0], &[5.0; 3]).into_iter();
        let one_way: Vec<Reading> = one_way.map(|r| Reading { forward: true, ..r }).collect();
        assert_eq!(solve_with_order(&one_way, 0), None);
        assert_eq!(solve(&readings(&[3.0; 4], &[5.0; 4])), None);
    }

    #[test]
    fn two_readings_at_one_time_are_the_plain_mean() {
        let plain = solve(&readings(&[3.0, 3.0], &[6.0, 4.0]));
        assert_eq!(plain.map(|s| s.value), Some(5.0));
    }

    #[test]
    fn the_closed_form_for_readings_in_turn() {
        // With order n - 2 and alternate directions the weights are the sizes of the
        // divided difference's coefficients, so all of them are positive.
        let times = [0.0_f64, 1.0, 2.7, 3.1, 5.0];
        let sizes: Vec<f64> = times
            .iter()
            .map(|t| {
                times
                    .iter()
                    .filter(|o| !std::ptr::eq(*o, t))
                    .map(|o| 1.0 / (t - o).abs())
                    .product()
            })
            .collect();
        let total: f64 = sizes.iter().sum();
        let found = solve(&readings(&times, &[5.0; 5])).map(|s| s.weights);
        let near = found.is_some_and(|w| {
            w.iter()
                .zip(&sizes)
                .all(|(w, s)| (w - s / total).abs() < 1e-12)
        });
        assert!(near, "{sizes:?}");
    }

    #[test]
    fn readings_left_over_give_scatter() {
        let series = readings(&[0.0, 1.0, 2.0, 3.0], &[6.0, 4.0, 6.2, 3.8]);
        let found = solve_with_order(&series, 0);
        assert_eq!(found.as_ref().map(|s| s.df), Some(2));
        // Two forward readings 6.0 and 6.2, two back 4.0 and 3.8: each 0.1 from its own mean.
        let sd = found.and_then(|s| s.residual_sd);
        assert!(
            sd.is_some_and(|sd| (sd - (0.04_f64 / 2.0).sqrt()).abs() < 1e-12),
            "{sd:?}"
        );
    }
}
