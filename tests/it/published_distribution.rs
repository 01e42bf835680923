//! Student's t and the normal distribution against published tables and 40-digit arithmetic.
#![expect(
    clippy::unreadable_literal,
    clippy::excessive_precision,
    reason = "published values stand digit for digit as printed"
)]

use thereback::stats::distribution::{
    normal_quantile, normal_upper_tail, t_critical, t_quantile, t_upper_tail,
};

use crate::published_check::{CERTIFIED, FOUR_FIGURES, ROUNDING, check};

/// 97.5 % points, recomputed with 40 digits; df 1 to 10 agree with the NIST/SEMATECH
/// e-Handbook table 1.3.6.7.2.
const CRITICAL: [(f64, f64); 13] = [
    (1.0, 12.7062047361747),
    (2.0, 4.30265272974946),
    (3.0, 3.18244630528371),
    (4.0, 2.77644510519779),
    (5.0, 2.57058183563632),
    (6.0, 2.44691185114497),
    (7.0, 2.36462425159279),
    (8.0, 2.30600413520417),
    (9.0, 2.26215716279821),
    (10.0, 2.22813885198627),
    (14.0, 2.1447866879178),
    (30.0, 2.04227245630124),
    (194.0, 1.97226753258214),
];

#[test]
fn critical_values() {
    for (df, want) in CRITICAL {
        check(t_quantile(0.975, df), want, CERTIFIED);
        check(t_critical(0.95, df), want, CERTIFIED);
    }
}

/// NIST/SEMATECH e-Handbook 1.3.6.7.2, printed to three decimals.
#[test]
fn printed_table() {
    let printed = [
        12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    ];
    for (df, want) in (1..).zip(printed) {
        check(t_quantile(0.975, f64::from(df)), want, FOUR_FIGURES);
    }
    check(t_quantile(0.975, 194.0), 1.9723, FOUR_FIGURES);
}

/// Degrees of freedom that are not whole, as Welch's are: Boost.Math `test_students_t.cpp`.
#[test]
fn fractional_degrees_of_freedom() {
    let quantiles = [
        (2.125, 0.875, 1.569_052_709_933_072_934_50),
        (2.125, 0.03125, -3.622_460_316_710_919_801_10),
        (2.00390625, 0.5625, 0.178_133_131_573_788_108_465),
        (3.0, 0.875, 1.422_625_281_461_809_318_69),
        (10.0, 0.03125, -2.095_961_364_751_093_509_26),
    ];
    for (df, p, want) in quantiles {
        check(t_quantile(p, df), want, CERTIFIED);
    }
}

/// Upper tails recomputed with mpmath 1.x at 40 digits: near the centre, far out, and
/// at many degrees of freedom.
#[rustfmt::skip]
const TAILS: [(f64, f64, f64); 24] = [
    (0.5, 1e-6, 0.49999973032369940),
    (0.5, 0.1, 0.47316581056430320),
    (0.5, 2.3, 0.20859589923441849),
    (0.5, 12.7, 0.08994908086743388),
    (2.125, 1e-6, 0.49999964406331931),
    (2.125, 0.1, 0.46449325696747574),
    (2.125, 2.3, 0.07034232297975604),
    (2.125, 12.7, 0.00242857374901808),
    (9.31, 1e-6, 0.49999961160811510),
    (9.31, 0.1, 0.46123235452589446),
    (9.31, 2.3, 0.02304100089496645),
    (9.31, 12.7, 1.7194351003043817e-7),
    (194.5, 1e-6, 0.49999960157016721),
    (194.5, 0.1, 0.46022366156750665),
    (194.5, 2.3, 0.01125472753830751),
    (194.5, 12.7, 1.3149217291819171e-27),
    (1000.0, 1e-6, 0.49999960115744268),
    (1000.0, 0.1, 0.46018218451180206),
    (1000.0, 2.3, 0.01082670992391979),
    (1000.0, 12.7, 1.1388800152483521e-34),
    (10000000.0, 1e-6, 0.49999960105772957),
    (10000000.0, 0.1, 0.46017216372527618),
    (10000000.0, 2.3, 0.01072412026685866),
    (10000000.0, 12.7, 2.9584325416388846e-37),
];

#[test]
fn tails() {
    for (df, t, want) in TAILS {
        check(t_upper_tail(t, df), want, CERTIFIED);
    }
}

/// Recomputed with 40 digits.
#[test]
fn normal() {
    check(normal_quantile(0.975), 1.959_963_984_540_054_2, ROUNDING);
    check(normal_quantile(0.75), 0.674_489_750_196_081_7, ROUNDING);
    check(normal_upper_tail(1.0), 0.158_655_253_931_457_05, ROUNDING);
    check(
        normal_upper_tail(12.0),
        1.776_482_112_077_679e-33,
        CERTIFIED,
    );
}
