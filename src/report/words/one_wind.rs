//! How wind and current entered the comparison, and what could move the answer.

use super::answer::headline_comparisons;
use super::{counted, list, pair_title};
use crate::compare::{Adjustment, NotAdjusted};
use crate::compare::{Comparison, Doubt, DoubtKind};
use crate::day::WindCovariate;
use crate::report::rounding::{NO_BREAK_SPACE, fixed, percent_decimals, signed};
use crate::trial::Trial;
use crate::units::{Speed, SpeedUnit};

/// What was done about wind and current, a few sentences; none where nothing was compared.
///
/// Without them a reader who lays the comparison beside the plain means finds two speeds for one
/// thing.
pub fn one_wind(analysis: &Trial) -> Option<String> {
    let adjustment = analysis.adjustment?;
    let taken_out = headline_comparisons(analysis)
        .iter()
        .any(|comparison| comparison.percent.value.is_some());
    taken_out.then(|| {
        format!(
            "{} {}{}",
            what_was_done(analysis, adjustment),
            as_measured(analysis),
            not_logged(analysis)
        )
    })
}

fn what_was_done(analysis: &Trial, adjustment: Adjustment) -> String {
    let s = NO_BREAK_SPACE;
    let sure = |share: f64| {
        if share > 0.99 {
            format!("over 99{s}%")
        } else {
            format!("{}{s}%", fixed(100.0 * share, 0))
        }
    };
    match adjustment {
        Adjustment::Wind { share } => format!(
            "The two legs of a double run differ as in a wind (probability {}); what the wind changed by from run to run is taken out of the comparison.",
            sure(share)
        ),
        Adjustment::StillWater => "The water is known to be still, so what the two legs of a double run differ by is the wind’s; what the wind changed by from run to run is taken out of the comparison.".to_owned(),
        Adjustment::Current { share } => format!(
            "The two legs of a double run differ as in a current (probability {}). The mean of the two takes a current out, and what it changed by between the two legs is taken out too. A wind behind a current does not show; the interval allows for it.",
            sure(share)
        ),
        Adjustment::Both { wind } => format!(
            "The two legs of a double run differ by a wind or by a current; the track does not show which (wind with a probability of {}). The comparison averages over both, each with its weight.",
            sure(wind)
        ),
        Adjustment::Logged => {
            let covariate = analysis.day().and_then(|day| day.wind_covariate.as_ref());
            format!(
                "The wind log says how it blew during each double run{}; what the wind changed by from run to run is taken out of the comparison.",
                covariate.map_or_else(String::new, |logged| from_to(logged, analysis.units))
            )
        }
        Adjustment::None(NotAdjusted::OneRun) => {
            "One double run has nothing to be compared with.".to_owned()
        }
        Adjustment::None(NotAdjusted::NoHalfDifference) => {
            "The two legs of each double run were about equally fast, so there is no wind and no current along the line to take out.".to_owned()
        }
    }
}

/// What the change would be by the plain means of the double runs.
fn as_measured(analysis: &Trial) -> String {
    let named = analysis.configurations.len() > 2;
    let changes: Vec<String> = headline_comparisons(analysis)
        .into_iter()
        .filter_map(|comparison| plain(comparison, named))
        .collect();
    if changes.is_empty() {
        return String::new();
    }
    format!(
        "By the plain means of the double runs the change would be {}.",
        list(&changes)
    )
}

fn plain(comparison: &Comparison, named: bool) -> Option<String> {
    let value = comparison.as_measured_percent.filter(|v| v.is_finite())?;
    let whose = if named {
        format!(" for {}", pair_title(comparison))
    } else {
        String::new()
    };
    let decimals = percent_decimals(&comparison.percent);
    Some(format!(
        "{}{NO_BREAK_SPACE}%{whose}",
        signed(value, decimals)
    ))
}

/// Why a log that there is was not used; begins with a space.
fn not_logged(analysis: &Trial) -> String {
    let reason = analysis
        .day()
        .and_then(|day| day.wind_covariate.as_ref())
        .and_then(|c| c.reason.as_deref());
    reason.map_or_else(String::new, |reason| {
        format!(" The wind log is not used for this: {reason}.")
    })
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

/// What could move the answer most, a sentence for each compared pair; empty where nothing could.
pub fn doubts(analysis: &Trial) -> Vec<String> {
    let named = analysis.configurations.len() > 2;
    headline_comparisons(analysis)
        .into_iter()
        .filter(|comparison| !comparison.doubts.is_empty())
        .map(|comparison| {
            let each: Vec<String> = comparison.doubts.iter().map(doubt).collect();
            let whose = if named {
                format!(" ({})", pair_title(comparison))
            } else {
                String::new()
            };
            format!("What could move it most{whose}: {}.", each.join("; "))
        })
        .collect()
}

fn doubt(doubt: &Doubt) -> String {
    let s = NO_BREAK_SPACE;
    let by = fixed(doubt.could_move_percent, 1);
    let taken_out = doubt
        .taken_out_percent
        .filter(|percent| percent.abs() >= WORTH_SAYING_PERCENT)
        .map_or_else(String::new, |percent| {
            format!(" ({}{s}% is already taken out)", signed(percent, 1))
        });
    match doubt.kind {
        DoubtKind::Time => format!(
            "conditions that drifted through the day, such as battery, load, weeds or a wind that does not show, by up to {by} percentage points either way{taken_out}"
        ),
        DoubtKind::Wind => {
            format!("wind or current that was not the same for both, by up to {by}{taken_out}")
        }
        DoubtKind::DoubleRun(number) => {
            format!("without double run{s}{number} alone it would move by {by}")
        }
    }
}

/// Below this a figure would print as nothing, percentage points.
const WORTH_SAYING_PERCENT: f64 = 0.05;

/// How the days enter, a sentence or two; empty for one day.
pub fn across_days(analysis: &Trial) -> Vec<String> {
    let several = analysis.configurations.len() > 2;
    headline_comparisons(analysis)
        .into_iter()
        .filter_map(|comparison| Some((comparison, comparison.across_days.as_ref()?)))
        .map(|(comparison, across)| {
            let whose = if several {
                format!(" ({})", pair_title(comparison))
            } else {
                String::new()
            };
            format!(
                "One model holds the double runs of {}{whose}: each day has a speed of its own, and the change may differ a little from day to day.",
                counted(across.days.len(), "day", "days")
            )
        })
        .collect()
}
