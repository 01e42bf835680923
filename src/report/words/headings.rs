//! What legs on several headings and full circles tell of wind and current.

use super::name;
use crate::day::{HeadingFit, TurningCircle};
use crate::report::clock::Clock;
use crate::report::rounding::{NO_BREAK_SPACE, degrees, fixed, speed_with_unit};
use crate::trial::Trial;
use crate::units::SpeedUnit;

/// A sentence for each fitted curve and each circle; none where there are neither.
pub fn headings(analysis: &Trial) -> Vec<String> {
    let clock = Clock::of(analysis);
    let fits = analysis.headings().iter();
    let circles = analysis.circles().iter();
    let first = fits.clone().position(|fit| fit.shown);
    fits.enumerate()
        .map(|(place, fit)| told(fit, Some(place) == first, analysis.units))
        .chain(circles.map(|circle| around(circle, &clock, analysis.units)))
        .collect()
}

fn told(fit: &HeadingFit, first: bool, unit: SpeedUnit) -> String {
    let s = NO_BREAK_SPACE;
    let which = format!(
        "{} at setting {}",
        name(&fit.configuration),
        name(&fit.setting)
    );
    let drift = speed_with_unit(fit.drift_m_s, Some(fit.drift_se_m_s), unit);
    let error = speed_with_unit(fit.drift_se_m_s, Some(fit.drift_se_m_s), unit);
    if fit.shown {
        format!(
            "With {which} the speed over the ground went once round with the heading: fastest toward {}{s}(±{}°), by {drift}{s}(±{error}) more than the mean of all headings, from {} legs{}.",
            degrees(fit.toward_deg),
            fixed(fit.toward_se_deg, 0),
            fit.legs.len(),
            // Said once; the others read alike.
            if first {
                "; that is where, and how fast, wind or current carried the boat, and the sign ± gives the standard error"
            } else {
                ""
            }
        )
    } else {
        format!(
            "With {which} the {} legs on several headings show no set: what they differ by with the heading, {drift}{s}(±{error}), may be chance.",
            fit.legs.len()
        )
    }
}

fn around(circle: &TurningCircle, clock: &Clock, unit: SpeedUnit) -> String {
    let toward = circle
        .toward_deg
        .map_or_else(String::new, |toward| format!(" toward {}", degrees(toward)));
    format!(
        "From {} to {} the boat turned through {} full circles, and was carried{toward} at {} meanwhile (IMO MSC/Circ.1053).",
        clock.minute(circle.start),
        clock.minute(circle.end),
        fixed(circle.turns, 1),
        speed_with_unit(circle.drift_m_s, Some(circle.spread_m_s), unit)
    )
}
