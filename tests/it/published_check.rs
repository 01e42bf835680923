//! One way to compare a result with a published value, and every tolerance used.

/// Results that should be right to rounding, relative.
pub(crate) const ROUNDING: f64 = 1e-14;
/// Certified and high-precision values: what an f64 keeps after a few hundred operations, relative.
pub(crate) const CERTIFIED: f64 = 1e-12;
/// Values printed with ten significant figures.
pub(crate) const TEN_FIGURES: f64 = 5e-10;
/// Values printed with eight significant figures.
pub(crate) const EIGHT_FIGURES: f64 = 5e-8;
/// Values printed with seven significant figures.
pub(crate) const SEVEN_FIGURES: f64 = 5e-7;
/// Values printed with six significant figures.
pub(crate) const SIX_FIGURES: f64 = 5e-6;
/// Values printed with four significant figures.
pub(crate) const FOUR_FIGURES: f64 = 5e-4;
/// Distances printed to a tenth of a micrometre, metres.
pub(crate) const GEODESIC_M: f64 = 1e-7;
/// Distances printed to a millimetre, metres.
pub(crate) const MILLIMETRE: f64 = 0.5e-3;
/// Azimuths printed to a hundredth of a second of arc, degrees.
pub(crate) const HUNDREDTH_SECOND: f64 = 0.005 / 3600.0;
/// A maneuvering-board plot, read by eye: degrees.
pub(crate) const PLOT_DEGREES: f64 = 1.0;
/// A maneuvering-board plot, read by eye: knots.
pub(crate) const PLOT_KNOTS: f64 = 0.2;

/// Asserts that a result is known and within `tolerance` of `want`, relative to `want`
/// (absolute where `want` is zero).
#[track_caller]
pub(crate) fn check(got: impl Into<Option<f64>>, want: f64, tolerance: f64) {
    let scale = if want == 0.0 { 1.0 } else { want.abs() };
    check_within(got, want, tolerance * scale);
}

/// Asserts that a result is known and within `tolerance` of `want`, in their own unit.
#[track_caller]
pub(crate) fn check_within(got: impl Into<Option<f64>>, want: f64, tolerance: f64) {
    let got = got.into();
    assert!(
        got.is_some_and(|got| (got - want).abs() <= tolerance),
        "got {got:?}, want {want} within {tolerance:e}"
    );
}
