//! The harmonic fitted through the legs of a cell: how wind or current carried the boat.

use crate::day::HeadingFit;
use crate::plotter::day::{self, Day};

/// Steps in which a curve is drawn, degrees.
const STEP: usize = 3;

/// The fits of a configuration that can be drawn.
pub(super) fn fits<'a>(day: &Day<'a>, configuration: &str) -> Vec<&'a HeadingFit> {
    let all = day.analysis.headings().iter();
    all.filter(|fit| fit.configuration == configuration)
        .filter(|fit| day::drawable(fit.mean_m_s) && day::drawable(fit.drift_m_s))
        .collect()
}

/// Courses all round with the fitted speed on each, degrees and m/s.
pub(super) fn points(fit: &HeadingFit) -> impl Iterator<Item = (f64, f64)> {
    (0..=360).step_by(STEP).map(|course| {
        let course = f64::from(course);
        let off = (course - fit.toward_deg).to_radians();
        (course, fit.mean_m_s + fit.drift_m_s * off.cos())
    })
}

/// What the captions say where there is a curve.
pub(super) const CAPTION: &str =
    "The curve through the legs is fastest where wind or current carried the boat.";
