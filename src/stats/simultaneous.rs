//! Intervals for several differences that hold all at once.
//!
//! One 95 % interval misses one time in twenty; of the three among three groups at least one misses about one time in
//! eight. The critical values here are so much larger that all hold together with the stated confidence:
//!
//! * all pairs: Tukey & Kramer (Kramer 1956, *Biometrics* 12, 307-310); exact for equal groups, a little wide
//!   for unequal ones (Hayter 1984, *Annals of Statistics* 12, 61-75);
//! * every group against the first: Dunnett (1955, 1964), exact for both;
//! * any set of estimates with one shared scatter: Šidák (1967), *Journal of the American Statistical
//!   Association* 62, 626-633; a little wide.

use serde::Serialize;

use super::distribution::{t_critical, t_two_sided};
use super::finite;
use super::many_to_one::{loads, many_to_one_cdf, many_to_one_critical};
use super::power::Sides;
use super::studentized_range::{studentized_range_cdf, studentized_range_quantile};

/// The mean of a group, and its variance in units of the shared one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// The mean.
    pub mean: f64,
    /// The variance of the mean over the shared variance of one value: `1/n` for plain means; above 0.
    pub share: f64,
}

/// The scatter that the groups share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// The standard deviation of one value, above 0.
    pub sd: f64,
    /// Its degrees of freedom, 0.5 to infinity.
    pub df: f64,
}

/// One of several differences.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Difference {
    /// The place of the group subtracted.
    pub from: usize,
    /// The place of the group it is subtracted from.
    pub to: usize,
    /// `to` less `from`.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
    /// The lower bound; all bounds of the set hold together.
    pub low: f64,
    /// The upper bound.
    pub high: f64,
    /// p of the hypothesis of no difference, adjusted for the whole set.
    pub p: f64,
}

fn difference(
    groups: [(usize, &Group); 2],
    scatter: Scatter,
    critical: f64,
    p: impl Fn(f64) -> Option<f64>,
) -> Option<Difference> {
    let [(from, a), (to, b)] = groups;
    let value = finite(b.mean - a.mean)?;
    let se = finite(scatter.sd * (a.share + b.share).sqrt()).filter(|se| *se > 0.0)?;
    Some(Difference {
        from,
        to,
        value,
        se,
        low: finite(value - critical * se)?,
        high: finite(value + critical * se)?,
        p: p((value / se).abs())?,
    })
}

/// Every pair of groups, the earlier subtracted from the later; Tukey & Kramer's intervals with joint confidence `level`.
///
/// `None` for fewer than two groups, more than 100, a share or scatter not above zero, or anything not finite.
pub fn all_pairs(groups: &[Group], scatter: Scatter, level: f64) -> Option<Vec<Difference>> {
    let count = groups.len();
    let critical = studentized_range_quantile(level, count, scatter.df)? / 2_f64.sqrt();
    let p = |t: f64| studentized_range_cdf(t * 2_f64.sqrt(), count, scatter.df).map(|p| 1.0 - p);
    let numbered = || groups.iter().enumerate();
    numbered()
        .flat_map(|a| numbered().skip(a.0 + 1).map(move |b| [a, b]))
        .map(|pair| difference(pair, scatter, critical, p))
        .collect()
}

/// Every group against the first, Dunnett's two-sided intervals with joint confidence `level`; see [`all_pairs`].
pub fn against_first(groups: &[Group], scatter: Scatter, level: f64) -> Option<Vec<Difference>> {
    let (first, others) = groups.split_first()?;
    let shares: Vec<f64> = others.iter().map(|g| g.share).collect();
    let loads = loads(first.share, &shares)?;
    let critical = many_to_one_critical(level, &loads, scatter.df, Sides::Two)?;
    let p = |t: f64| many_to_one_cdf(t, &loads, scatter.df, Sides::Two).map(|p| 1.0 - p);
    (1..)
        .zip(others)
        .map(|other| difference([(0, first), other], scatter, critical, p))
        .collect()
}

/// Šidák's critical value for `count` intervals of any kind with one shared scatter of `df` degrees of freedom.
///
/// Each has confidence `level^(1/count)`. `None` for no intervals.
pub fn sidak_critical(level: f64, count: usize, df: f64) -> Option<f64> {
    if !(level > 0.0 && level < 1.0) || count == 0 {
        return None;
    }
    t_critical(level.powf(1.0 / count as f64), df)
}

/// The p value of one of `count` estimates, adjusted as in [`sidak_critical`].
pub fn sidak_p(t: f64, count: usize, df: f64) -> Option<f64> {
    let single = t_two_sided(t, df)?;
    // `1 - (1 - p)ⁿ` without losing a small p.
    (count > 0).then(|| -(count as f64 * (-single).ln_1p()).exp_m1())
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCATTER: Scatter = Scatter { sd: 0.5, df: 9.0 };

    fn groups(shares: &[f64]) -> Vec<Group> {
        let group = |(i, share): (usize, &f64)| Group {
            mean: 2.0 + 0.4 * i as f64,
            share: *share,
        };
        shares.iter().enumerate().map(group).collect()
    }

    #[test]
    fn bounds_and_p_agree() {
        for shares in [[0.25; 4], [0.1, 0.25, 0.5, 1.0]] {
            let set = groups(&shares);
            for level in [0.9, 0.95] {
                let all = [
                    all_pairs(&set, SCATTER, level),
                    against_first(&set, SCATTER, level),
                ];
                for found in all.into_iter().flatten().flatten() {
                    let excludes = found.low > 0.0 || found.high < 0.0;
                    assert_eq!(excludes, found.p < 1.0 - level, "{found:?}");
                }
            }
        }
    }

    #[test]
    fn every_pair_once() {
        let pairs = all_pairs(&groups(&[0.5; 3]), SCATTER, 0.95);
        let names: Vec<_> = pairs.iter().flatten().map(|d| (d.from, d.to)).collect();
        assert_eq!(names, [(0, 1), (0, 2), (1, 2)]);
        let first = against_first(&groups(&[0.5; 3]), SCATTER, 0.95);
        let names: Vec<_> = first.iter().flatten().map(|d| (d.from, d.to)).collect();
        assert_eq!(names, [(0, 1), (0, 2)]);
    }

    #[test]
    fn undefined_results_are_none() {
        assert_eq!(all_pairs(&groups(&[0.5]), SCATTER, 0.95), None);
        assert_eq!(against_first(&groups(&[0.5]), SCATTER, 0.95), None);
        assert_eq!(against_first(&[], SCATTER, 0.95), None);
        let flat = Scatter { sd: 0.0, df: 9.0 };
        assert_eq!(all_pairs(&groups(&[0.5; 2]), flat, 0.95), None);
        assert_eq!(sidak_critical(0.95, 0, 9.0), None);
        assert_eq!(sidak_p(1.0, 0, 9.0), None);
    }
}
