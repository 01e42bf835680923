//! How often the pooled interval of several days holds: our own simulated days, no published source.

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64Mcg;

use thereback::stats::between::BetweenMethod::{self, DerSimonianLaird, PauleMandel};
use thereback::stats::between::Finding;
use thereback::stats::random_effects::ErrorMethod::{
    self, HartungKnapp, HartungKnappFloor, Normal, Wider,
};
use thereback::stats::random_effects::pool;

use crate::published_check::check_within;

const SETS: usize = 2000;

/// What is known of a day's own error.
#[derive(Clone, Copy)]
enum Error {
    /// Its variance.
    Known,
    /// The scatter of its runs, with four degrees of freedom.
    Estimated,
}

/// Degrees of freedom of a day's own error where it is estimated.
const OWN_DF: u32 = 4;

/// In so many of a hundred sets of `days` days, whose true values differ by `tau` and whose errors are 0.6 to 1.4, the
/// nominal 95 % interval held.
fn coverage(days: usize, tau: f64, known: Error, method: (BetweenMethod, ErrorMethod)) -> f64 {
    let mut random = Pcg64Mcg::seed_from_u64(9);
    let mut held = 0;
    for _ in 0..SETS {
        let mut normal = || random.sample::<f64, _>(StandardNormal);
        let set: Vec<Finding> = (0..days)
            .map(|i| {
                let se = 0.6 + 0.8 * (i as f64 + 0.5) / days as f64;
                let value = tau * normal() + se * normal();
                let chi: f64 =
                    (0..OWN_DF).map(|_| normal().powi(2)).sum::<f64>() / f64::from(OWN_DF);
                let variance = match known {
                    Error::Known => se * se,
                    Error::Estimated => se * se * chi,
                };
                Finding { value, variance }
            })
            .collect();
        let pooled = pool(&set, method.0, method.1, 0.95).unwrap();
        held += u32::from(pooled.estimate.interval().contains(0.0));
    }
    100.0 * f64::from(held) / SETS as f64
}

/// The figures that the documentation of `random_effects` gives, within one and a half in a hundred.
#[test]
fn as_documented() {
    let columns = [
        (Error::Known, (DerSimonianLaird, Normal)),
        (Error::Known, (PauleMandel, HartungKnapp)),
        (Error::Known, (PauleMandel, HartungKnappFloor)),
        (Error::Known, (PauleMandel, Wider)),
        (Error::Estimated, (PauleMandel, Wider)),
    ];
    for (days, tau, figures) in [
        (2, 0.0, [96.0, 95.0, 100.0, 99.0, 98.0]),
        (2, 1.0, [87.0, 95.0, 100.0, 98.0, 97.0]),
        (2, 3.0, [74.0, 95.0, 100.0, 95.0, 95.0]),
        (3, 0.0, [96.0, 95.0, 100.0, 99.0, 96.0]),
        (3, 1.0, [88.0, 94.0, 100.0, 96.0, 94.0]),
        (3, 3.0, [81.0, 94.0, 96.0, 95.0, 94.0]),
        (6, 0.0, [96.0, 95.0, 99.0, 98.0, 94.0]),
        (6, 1.0, [90.0, 94.0, 96.0, 95.0, 93.0]),
        (6, 3.0, [88.0, 95.0, 95.0, 95.0, 94.0]),
    ] {
        for ((known, method), want) in columns.into_iter().zip(figures) {
            check_within(coverage(days, tau, known, method), want, 1.5);
        }
    }
}
