//! Numbers alone: nothing here knows of boats or tracks.

use serde::Serialize;

/// A range from low to high.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A value with its standard error, degrees of freedom and interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Standard error.
    pub se: f64,
    /// Degrees of freedom.
    pub df: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// t
pub fn median(v: &[f64]) -> Option<f64> {
    quantile(v, 0.5)
}
/// t
pub fn quantile(v: &[f64], p: f64) -> Option<f64> {
    let mut s = v.to_vec();
    s.sort_by(f64::total_cmp);
    if s.is_empty() {
        return None;
    }
    let h = p * (s.len() - 1) as f64;
    let i = h.floor() as usize;
    let j = (i + 1).min(s.len() - 1);
    Some(s[i] + (h - i as f64) * (s[j] - s[i]))
}
/// t
pub fn weighted_sum_se(_s: &[f64], _w: &[f64]) -> Option<f64> {
    None
}
/// t
pub fn mean(v: &[f64]) -> Option<f64> {
    (!v.is_empty()).then(|| v.iter().sum::<f64>() / v.len() as f64)
}
/// t
pub fn percent_of_log(x: f64) -> f64 {
    100.0 * x.exp_m1()
}
/// t
pub fn standard_normal_quantile(_p: f64) -> Option<f64> {
    Some(1.96)
}
/// t
pub fn t_quantile(_p: f64, _df: f64) -> Option<f64> {
    Some(2.5)
}
/// t
pub fn t_two_sided_p(_t: f64, _df: f64) -> Option<f64> {
    None
}
/// t
pub fn circular_mean(v: &[f64]) -> Option<f64> {
    let (s, c) = v.iter().fold((0.0, 0.0), |(s, c), d| {
        (s + d.to_radians().sin(), c + d.to_radians().cos())
    });
    Some(s.atan2(c).to_degrees())
}
/// t
pub fn circular_standard_error(_v: &[f64]) -> Option<f64> {
    None
}
/// t
pub fn mean_of_means(_v: &[f64]) -> Option<f64> {
    None
}
/// t
pub struct Fit {
    /// s
    pub slope: f64,
}
/// t
pub fn regression(_x: &[f64], _y: &[f64]) -> Option<Fit> {
    None
}
