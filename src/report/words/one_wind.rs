//! Whether a changing wind was taken out of the comparison, and what that did to it.

use super::answer::headline_comparisons;
use super::{list, one_line, pair_title};
use crate::analysis::{Analysis, Comparison};
use crate::report::rounding::{NO_BREAK_SPACE, percent_decimals, signed};

/// What was done about a wind that was not the same for all runs, a few sentences; none where the
/// question does not arise.
///
/// Without them a reader who lays the comparison beside the plain means finds two speeds for one thing.
pub fn one_wind(analysis: &Analysis) -> Option<String> {
    if analysis.comparisons.is_empty() {
        return None;
    }
    if !analysis.days.is_empty() {
        return super::days::one_wind_of_days(analysis);
    }
    if analysis.gauge.applied {
        let otherwise: Vec<String> = headline_comparisons(analysis)
            .into_iter()
            .filter_map(|comparison| left_in(comparison, analysis.configurations.len() > 2))
            .collect();
        let otherwise = if otherwise.is_empty() {
            String::new()
        } else {
            format!(
                " With the wind left in, the change would have been {}.",
                list(&otherwise)
            )
        };
        return Some(format!(
            "The wind is taken out of the comparison. It shows in how much the two legs of a double run differ; from that each run was brought to the mean wind of the trial, and configurations are compared in that one wind. So the speeds compared differ a little from the plain means of the double runs, which are as measured.{otherwise}"
        ));
    }
    let reason = analysis.gauge.reason.as_deref()?;
    Some(format!(
        "A wind that was not the same for all runs is not taken out of the comparison: {}. The intervals are a little wider for the chance that it was wind all the same.",
        one_line(reason).trim_end_matches('.')
    ))
}

/// The change as it would have been: `+5.9 % (95 % interval +3.7 to +8.1 %)`.
fn left_in(comparison: &Comparison, named: bool) -> Option<String> {
    let plain = comparison.unadjusted_percent?;
    let decimals = percent_decimals(&plain);
    let s = NO_BREAK_SPACE;
    let value = signed(plain.value.filter(|v| v.is_finite())?, decimals);
    let interval = plain
        .low
        .zip(plain.high)
        .filter(|(low, high)| low.is_finite() && high.is_finite())
        .map_or_else(String::new, |(low, high)| {
            format!(
                " (95{s}% interval {} to {}{s}%)",
                signed(low, decimals),
                signed(high, decimals)
            )
        });
    let whose = if named {
        format!(" for {}", pair_title(comparison))
    } else {
        String::new()
    };
    Some(format!("{value}{s}%{interval}{whose}"))
}
