//! Whether a changing wind was taken out of the comparison, and what that did to it.

use super::answer::headline_comparisons;
use super::{list, one_line, pair_title};
use crate::analysis::{Analysis, Comparison, WindCovariate};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, percent_decimals, signed};
use crate::units::{Speed, SpeedUnit};

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
    if analysis.gauge.beside_current.is_some() {
        return Some(beside_current(analysis));
    }
    if analysis.in_one_wind() {
        let otherwise = otherwise(analysis, "the wind");
        if let Some(logged) = analysis.wind_covariate.as_ref().filter(|c| c.applied) {
            return Some(format!(
                "The wind is taken out of the comparison. The wind log says how it blew during each double run{}; each run was brought to the mean of that, and configurations are compared in that one wind. So the speeds compared differ a little from the plain means of the double runs, which are as measured.{otherwise}",
                from_to(logged, analysis.units)
            ));
        }
        return Some(format!(
            "The wind is taken out of the comparison. It shows in how much the two legs of a double run differ; from that each run was brought to the mean wind of the trial, and configurations are compared in that one wind. So the speeds compared differ a little from the plain means of the double runs, which are as measured.{otherwise}{}",
            not_logged(analysis).unwrap_or_default()
        ));
    }
    let reason = analysis.gauge.reason.as_deref()?;
    let log = not_logged(analysis).unwrap_or_default();
    let hidden = hidden_wind(analysis).unwrap_or_else(|| {
        "The intervals are a little wider for the chance that it was wind all the same.".to_owned()
    });
    Some(format!(
        "A wind that was not the same for all runs is not taken out of the comparison: {}. {hidden}{log}",
        one_line(reason).trim_end_matches('.')
    ))
}

/// What was done where a current ran beside the wind.
fn beside_current(analysis: &Analysis) -> String {
    let left = most_hidden(analysis).map_or_else(String::new, |most| {
        format!(
            " What cannot be told apart may still have moved the change by some {most:.1}{NO_BREAK_SPACE}% either way; the intervals are wider for it. Running the configurations in turn would spare most of that."
        )
    });
    format!(
        "A current along the line was fitted beside the wind, because the runs alone do not show that there was none. A current carries the boat alike at every setting, a wind moves it more the slower it goes. Configurations are compared in the wind of the middle of the trial and in no current, so the speeds compared differ a little from the plain means of the double runs, which are as measured.{left}{}{}",
        otherwise(analysis, "both"),
        not_logged(analysis).unwrap_or_default()
    )
}

/// What the change would have been with `what` left in; begins with a space.
fn otherwise(analysis: &Analysis, what: &str) -> String {
    let changes: Vec<String> = headline_comparisons(analysis)
        .into_iter()
        .filter_map(|comparison| left_in(comparison, analysis.configurations.len() > 2))
        .collect();
    if changes.is_empty() {
        return String::new();
    }
    format!(
        " With {what} left in, the change would have been {}.",
        list(&changes)
    )
}

/// Why a log that there is was not used; begins with a space.
fn not_logged(analysis: &Analysis) -> Option<String> {
    let reason = analysis.wind_covariate.as_ref()?.reason.as_deref()?;
    Some(format!(" The wind log is not used for this: {reason}."))
}

/// `, from 3.1 to 4.8 m/s`.
fn from_to(logged: &WindCovariate, unit: SpeedUnit) -> String {
    let speeds = || logged.double_runs.iter().map(|run| run.speed_m_s);
    let shown = |m_s: f64| fixed(Speed::metres_per_second(m_s).in_unit(unit), 1);
    match (
        speeds().min_by(f64::total_cmp),
        speeds().max_by(f64::total_cmp),
    ) {
        (Some(least), Some(most)) => format!(
            ", from {} to {}{NO_BREAK_SPACE}{}",
            shown(least),
            shown(most),
            unit.symbol()
        ),
        _ => String::new(),
    }
}

/// What a wind that grew or fell unseen may have done, a sentence; none where none is hidden.
fn hidden_wind(analysis: &Analysis) -> Option<String> {
    let most = most_hidden(analysis)?;
    Some(format!(
        "Beside a current the track does not show whether the wind grew or fell between the configurations, and that may have moved the change by some {most:.1}{NO_BREAK_SPACE}% either way; the intervals are wider for it. Running the configurations in turn would spare that."
    ))
}

/// The most that what is hidden may have moved a change, percent.
fn most_hidden(analysis: &Analysis) -> Option<f64> {
    headline_comparisons(analysis)
        .into_iter()
        .filter_map(|comparison| comparison.hidden_wind_percent)
        .filter(|percent| percent.is_finite() && *percent >= WORTH_TELLING)
        .max_by(f64::total_cmp)
}

/// Below this a hidden wind would print as nothing, percent.
const WORTH_TELLING: f64 = 0.05;

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
