//! Noncentral t and power.
#![expect(
    clippy::unreadable_literal,
    clippy::excessive_precision,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::noncentral_t::{noncentral_t_cdf, noncentral_t_upper_tail};
use thereback::stats::power::{power_of, shift_for};

use crate::published_check::{CERTIFIED, SEVEN_FIGURES, TEN_FIGURES, check};

/// Integrated over `ln s` with mpmath 1.4 at 30 digits.
#[test]
fn noncentral_t() {
    for (t, df, shift, want) in [
        (2.0, 1.0, 0.5, 0.748485584239290165),
        (4.302652729749464, 2.0, 3.0, 0.612610649799331995),
        (2.2621571627982, 9.0, 2.5, 0.39387322101762853),
        (-1.0, 4.0, 1.5, 0.0101936442785114413),
        (2.0245, 38.0, 3.1622776601683795, 0.13106961441445007),
        (12.7062, 1.0, 5.0, 0.694839793255580731),
        (60.0, 3.0, 50.0, 0.555305920944704217),
        (1.97, 500.5, 1.0, 0.833263993321533665),
        (3.5, 7.25, 6.0, 0.0282720837021547875),
        (2.5706, 5.0, -1.0, 0.99745227765822139),
    ] {
        check(noncentral_t_cdf(t, df, shift), want, CERTIFIED);
        check(
            noncentral_t_upper_tail(t, df, shift),
            1.0 - want,
            10.0 * CERTIFIED,
        );
    }
}

/// Two groups of `n` values that differ by an effect in standard deviations, and pairs: R
/// `power.t.test`, the example of its help page (it counts the far tail only where `strict`, which
/// changes nothing in these digits), and R pwr's `pwr.t.test`, as in statsmodels' tests.
#[test]
fn power_of_a_t_test() {
    let groups = |n: f64, effect: f64| power_of(effect * (n / 2.0).sqrt(), 2.0 * n - 2.0, 0.05);
    check(groups(20.0, 1.0), 0.8689528, SEVEN_FIGURES);
    check(groups(30.0, 1.0), 0.967708258242517, TEN_FIGURES);
    let pairs = power_of(0.2 * 20.0_f64.sqrt(), 19.0, 0.05);
    check(pairs, 0.1359562887679666, TEN_FIGURES);
    let shift = shift_for(38.0, 0.05, 0.8689528).unwrap_or_default();
    check(shift, 10.0_f64.sqrt(), SEVEN_FIGURES);
}
