//! What a change is worth on the water: speed, and time for each mile.

use super::answer::same_pair;
use crate::compare::Comparison;
use crate::report::rounding::{
    NO_BREAK_SPACE, USUAL_RELATIVE_ERROR, fixed, span_in_words, speed_decimals, speed_with_unit,
    standard_error_of,
};
use crate::stats::interval::Interval;
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// The interval of a change, percent.
pub(super) fn interval_of(comparison: &Comparison) -> Option<Interval> {
    let (low, high) = comparison.percent.low.zip(comparison.percent.high)?;
    (low.is_finite() && high.is_finite()).then_some(Interval { low, high })
}

/// The interval of a change as sizes, the smaller first.
pub(super) fn ends_in_size(interval: Interval) -> (f64, f64) {
    let (one, other) = (interval.low.abs(), interval.high.abs());
    (one.min(other), one.max(other))
}

/// Speeds of the baseline at the settings this comparison speaks of, slowest first.
fn baseline_speeds(analysis: &Trial, comparison: &Comparison) -> Vec<f64> {
    let mut speeds: Vec<f64> = analysis
        .comparisons
        .iter()
        .filter(|other| same_pair(other, comparison))
        .filter(|other| comparison.setting.is_none() || other.setting == comparison.setting)
        .filter_map(|other| other.baseline_m_s)
        .filter(|speed| speed.is_finite() && *speed > 0.0)
        .collect();
    speeds.sort_by(f64::total_cmp);
    speeds
}

/// What the change is worth at each speed: `at 3.05 kn that is 0.16 kn, or 1 min 2 s less for each nautical mile`.
pub(super) fn worth(
    analysis: &Trial,
    comparison: &Comparison,
    percent: f64,
    it_is: &str,
) -> Option<String> {
    let speeds = baseline_speeds(analysis, comparison);
    let spread = interval_of(comparison).map(standard_error_of);
    // Three settings can be told one by one; of more, the slowest and the fastest.
    let shown: Vec<f64> = match speeds.as_slice() {
        [first, .., last] if speeds.len() > 3 => vec![*first, *last],
        all => all.to_vec(),
    };
    let parts: Vec<String> = shown
        .iter()
        .enumerate()
        .filter_map(|(place, speed)| {
            let it_is = (place == 0).then_some(it_is);
            worth_at(*speed, percent, spread, analysis.units, it_is)
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn worth_at(
    baseline_m_s: f64,
    percent: f64,
    spread: Option<f64>,
    unit: SpeedUnit,
    it_is: Option<&str>,
) -> Option<String> {
    let factor = 1.0 + percent / 100.0;
    if !(factor.is_finite() && factor > 0.0) {
        return None;
    }
    let (_, mile_m) = unit.long_distance();
    let seconds = mile_m / baseline_m_s - mile_m / (baseline_m_s * factor);
    let gain_m_s = baseline_m_s * percent.abs() / 100.0;
    let error_m_s = spread.map_or(baseline_m_s * USUAL_RELATIVE_ERROR, |s| {
        baseline_m_s * s / 100.0
    });
    let decimals = speed_decimals(baseline_m_s, Some(error_m_s), unit);
    let gain = fixed(Speed::metres_per_second(gain_m_s).in_unit(unit), decimals);
    let span = span_in_words(seconds, mile_m / baseline_m_s * (error_m_s / baseline_m_s));
    let s = NO_BREAK_SPACE;
    let at = speed_with_unit(baseline_m_s, None, unit);
    let less = if seconds < 0.0 { "more" } else { "less" };
    Some(it_is.map_or_else(
        || format!("at {at}, {gain}{s}{unit} or {span}"),
        |it_is| {
            let mile = long_distance_word(unit);
            format!("at {at} {it_is} {gain}{s}{unit}, or {span} {less} for each {mile}")
        },
    ))
}

/// What the ends of an interval that holds zero mean at the slowest speed run.
pub(super) fn bounds_on_water(
    analysis: &Trial,
    comparison: &Comparison,
    interval: Interval,
) -> String {
    let Some(&speed) = baseline_speeds(analysis, comparison).first() else {
        return String::new();
    };
    let unit = analysis.units;
    let s = NO_BREAK_SPACE;
    let error_m_s = speed * standard_error_of(interval) / 100.0;
    let decimals = speed_decimals(speed, Some(error_m_s), unit);
    let size = |percent: f64| {
        fixed(
            Speed::metres_per_second(speed * percent.abs() / 100.0).in_unit(unit),
            decimals,
        )
    };
    // An end that rounds to nothing is no change.
    let end = |percent: f64, way: &str| {
        let size = size(percent);
        if size.bytes().any(|digit| matches!(digit, b'1'..=b'9')) {
            format!("{size}{s}{unit} {way}")
        } else {
            "no change".to_owned()
        }
    };
    format!(
        ", which at {} is anything from {} to {}",
        speed_with_unit(speed, None, unit),
        end(interval.low, "slower"),
        end(interval.high, "faster")
    )
}

fn long_distance_word(unit: SpeedUnit) -> &'static str {
    match unit {
        SpeedUnit::Knots => "nautical mile",
        SpeedUnit::MilesPerHour => "mile",
        SpeedUnit::KilometresPerHour | SpeedUnit::MetresPerSecond => "kilometre",
    }
}
