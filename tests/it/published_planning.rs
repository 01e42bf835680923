//! Noncentral t, power and sample sizes.
#![expect(
    clippy::unreadable_literal,
    clippy::excessive_precision,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::noncentral_t::{noncentral_t_cdf, noncentral_t_upper_tail};
use thereback::stats::power::{Design, Plan, Sides, handbook_count, power_of, shift_for};

use crate::published_check::{
    CERTIFIED, FOUR_FIGURES, SEVEN_FIGURES, SIX_FIGURES, TEN_FIGURES, THREE_FIGURES, check,
};

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

fn plan(design: Design, sides: Sides) -> Plan {
    Plan {
        design,
        sides,
        alpha: 0.05,
    }
}

/// R `power.t.test`, the examples of its help page; R counts the far tail only where `strict`, which
/// changes nothing in these digits.
#[test]
fn two_groups() {
    let two = plan(Design::TwoSample, Sides::Two);
    check(two.power(20.0, 1.0), 0.8689528, SEVEN_FIGURES);
    check(two.count(1.0, 0.9), 22.0211, SIX_FIGURES);
    assert_eq!(two.whole_count(1.0, 0.9), Some(23));
    let one = plan(Design::TwoSample, Sides::One);
    // Exact 17.847121: R stops its search at 1e-4 or so.
    check(one.count(1.0, 0.9), 17.84713, SIX_FIGURES);
    // R pwr's `pwr.t.test`, as in statsmodels' tests.
    check(two.power(30.0, 1.0), 0.967708258242517, TEN_FIGURES);
}

/// R pwr's `pwr.t.test`, one sample or pairs, as in statsmodels' tests.
#[test]
fn pairs() {
    let two = plan(Design::Paired, Sides::Two);
    check(two.power(20.0, 0.2), 0.1359562887679666, TEN_FIGURES);
    let one = plan(Design::Paired, Sides::One);
    check(one.power(30.0, 1.0), 0.999892010204909, TEN_FIGURES);
}

/// Pairs needed, recomputed with statsmodels 0.15.
#[test]
fn pairs_needed() {
    let two = plan(Design::Paired, Sides::Two);
    for (effect, power, count, whole) in [
        (1.0, 0.8, 9.93785, 10),
        (1.0, 0.9, 12.58546, 13),
        (0.5, 0.8, 33.3671, 34),
    ] {
        check(two.count(effect, power), count, SIX_FIGURES);
        assert_eq!(two.whole_count(effect, power), Some(whole));
        check(two.smallest_effect(count, power), effect, SIX_FIGURES);
    }
}

/// NIST/SEMATECH e-Handbook 7.2.2.2, worked by hand there: one-sided, 5 % and 10 %, an effect of one
/// standard deviation. Its table is up to one above its own formula and is not used.
#[test]
fn by_hand() {
    check(
        handbook_count(1.0, 0.05, 0.10, f64::INFINITY),
        8.567,
        FOUR_FIGURES,
    );
    check(handbook_count(1.0, 0.05, 0.10, 8.0), 10.6, THREE_FIGURES);
    // The exact count lies between the two steps.
    let exact = plan(Design::Paired, Sides::One).whole_count(1.0, 0.9);
    assert_eq!(exact, Some(11));
}

/// Any design by its standard error and pooled degrees of freedom: the same as the named ones.
#[test]
fn by_shift() {
    let power = power_of(10_f64.sqrt(), 38.0, Sides::Two, 0.05);
    check(power, 0.8689528, SEVEN_FIGURES);
    let shift = power.and_then(|p| shift_for(38.0, Sides::Two, 0.05, p));
    check(shift, 10_f64.sqrt(), TEN_FIGURES);
}
