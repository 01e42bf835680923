//! What a number of double runs can show, before the day: a two-sample t test on the mean
//! logarithms of two cells, the scatter pooled over all cells, as an approximation to the model
//! of the report.
//!
//! With `n` double runs in each of `c · s` cells of scatter `σ` the
//! difference over all `s` settings has the error `σ √(2 / (n s))` and `c s (n - 1)` degrees of freedom, and its
//! t is noncentral where there is a change (Cohen 1988; see [`crate::stats::power`]).

use serde::{Deserialize, Serialize};

use super::assume::{ALPHA, LEVEL};
use crate::stats::distribution::t_critical;
use crate::stats::power::{power_of, shift_for};

/// What can be told, over all settings together or at one of them. Shares of the speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Tell {
    /// Chance of telling the change worth knowing.
    pub power: f64,
    /// Smallest change told with the chance wanted.
    pub smallest: f64,
    /// Half of the 95 % interval expected.
    pub half_width: f64,
    /// Degrees of freedom of the scatter.
    pub df: f64,
}

/// The numbers of a design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Design {
    /// Configurations.
    pub parts: usize,
    /// Settings.
    pub settings: usize,
    /// Settings that the comparison is pooled over: all, or 1.
    pub pooled: usize,
    /// Scatter of a double run, a share of the speed.
    pub scatter: f64,
}

/// What `n` double runs in each cell can tell; `None` below two.
///
/// `resolve` is the change worth knowing as a share, `power` the chance wanted.
pub fn tell(design: Design, n: usize, resolve: f64, power: f64) -> Option<Tell> {
    if n < 2 {
        return None;
    }
    let n = n as f64;
    let df = (design.parts * design.settings) as f64 * (n - 1.0);
    let error = design.scatter * (2.0 / (n * design.pooled as f64)).sqrt();
    Some(Tell {
        power: power_of(resolve.ln_1p() / error, df, ALPHA)?,
        smallest: (shift_for(df, ALPHA, power)? * error).exp_m1(),
        half_width: (t_critical(LEVEL, df)? * error).exp_m1(),
        df,
    })
}
