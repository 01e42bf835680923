//! The answer in one sentence: how much, how sure, and what that is worth on the water.

use super::{counted, list, name, one_line};
use crate::analysis::{Analysis, Cell, Comparison, Verdict, Warning};
use crate::report::rounding::{
    NO_BREAK_SPACE, USUAL_RELATIVE_ERROR, fixed, percent_decimals, signed, span_in_words, speed_decimals,
    speed_with_unit, standard_error_of,
};
use crate::stats::Interval;
use crate::units::{Speed, SpeedUnit};

/// One answer: its claim, and what goes with it in the same sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The claim: a clause that can stand alone.
    pub claim: String,
    /// The rest of the sentence, beginning with a space or a mark, its full stop included.
    pub rest: String,
    /// A second sentence where the first could be misread.
    pub remark: Option<String>,
    /// The verdict it rests on; `None` where nothing could be compared.
    pub verdict: Option<Verdict>,
}

impl Answer {
    /// Claim and rest as one sentence.
    pub fn sentence(&self) -> String {
        format!("{}{}", self.claim, self.rest)
    }
}

/// The verdict in the table's words.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Faster => "faster",
        Verdict::Slower => "slower",
        Verdict::NotShown => "not shown",
        Verdict::TooFewRuns => "too few runs",
    }
}

/// `four blades against three blades`.
pub fn pair_title(comparison: &Comparison) -> String {
    format!(
        "{} against {}",
        name(&comparison.changed),
        name(&comparison.baseline)
    )
}

/// The answers, one for each changed configuration; one that says what was found where there is none.
pub fn answers(analysis: &Analysis) -> Vec<Answer> {
    let answers: Vec<Answer> = headline_comparisons(analysis)
        .into_iter()
        .map(|comparison| answer(analysis, comparison))
        .collect();
    if answers.is_empty() {
        vec![nothing_compared(analysis)]
    } else {
        answers
    }
}

/// For each pair the comparison to lead with: pooled over settings, or the only setting's.
fn headline_comparisons(analysis: &Analysis) -> Vec<&Comparison> {
    let mut chosen: Vec<&Comparison> = Vec::new();
    for comparison in &analysis.comparisons {
        let known = chosen
            .iter()
            .position(|other| same_pair(other, comparison));
        match known.and_then(|at| chosen.get_mut(at)) {
            None => chosen.push(comparison),
            Some(other) if comparison.setting.is_none() => *other = comparison,
            Some(_) => {}
        }
    }
    chosen
}

fn same_pair(one: &Comparison, other: &Comparison) -> bool {
    one.baseline == other.baseline && one.changed == other.changed
}

fn answer(analysis: &Analysis, comparison: &Comparison) -> Answer {
    let (changed, baseline) = (name(&comparison.changed), name(&comparison.baseline));
    let Some(value) = comparison.percent.value.filter(|value| value.is_finite()) else {
        return without_figures(comparison);
    };
    let decimals = percent_decimals(&comparison.percent);
    let s = NO_BREAK_SPACE;
    let size = fixed(value.abs(), decimals);
    let way = if value < 0.0 { "slower" } else { "faster" };
    let interval = interval_of(comparison);
    match comparison.verdict {
        Verdict::Faster | Verdict::Slower => {
            let range = interval.map_or_else(String::new, |interval| {
                let (least, most) = ends_in_size(interval);
                format!(
                    " (95{s}% interval {} to {}{s}%)",
                    fixed(least, decimals),
                    fixed(most, decimals)
                )
            });
            let worth = worth(analysis, comparison, value)
                .map_or_else(String::new, |worth| format!(": {worth}"));
            Answer {
                claim: format!("With {changed} the boat was {size}{s}% {way} than with {baseline}"),
                rest: format!("{range}{worth}."),
                remark: None,
                verdict: Some(comparison.verdict),
            }
        }
        Verdict::NotShown => {
            let range = interval.map_or_else(String::new, |interval| {
                format!(
                    ": the change lies between {} and {}{s}% (95{s}% interval; best estimate {}{s}%){}",
                    signed(interval.low, decimals),
                    signed(interval.high, decimals),
                    signed(value, decimals),
                    bounds_on_water(analysis, comparison, interval)
                )
            });
            Answer {
                claim: format!("No difference is shown between {changed} and {baseline}"),
                rest: format!("{range}."),
                remark: Some("That does not show that they are equal: a change inside that range would have passed unseen. More double runs would narrow it.".to_owned()),
                verdict: Some(comparison.verdict),
            }
        }
        Verdict::TooFewRuns => too_few(analysis, comparison, &format!("{size}{s}% {way}")),
    }
}

fn too_few(analysis: &Analysis, comparison: &Comparison, how_much: &str) -> Answer {
    let s = NO_BREAK_SPACE;
    let (changed, baseline) = (name(&comparison.changed), name(&comparison.baseline));
    let lower_bound = comparison
        .within_run_percent
        .filter(|interval| interval.low.is_finite() && interval.high.is_finite())
        .map(|interval| {
            let decimals = percent_decimals(&comparison.percent).max(1);
            format!(
                "The scatter within the legs alone allows {} to {}{s}%; the scatter from run to run comes on top of that, and it is not known.",
                signed(interval.low, decimals),
                signed(interval.high, decimals)
            )
        });
    let worth = comparison
        .percent
        .value
        .and_then(|value| worth(analysis, comparison, value))
        .map_or_else(String::new, |worth| format!(": {worth}"));
    Answer {
        claim: format!(
            "With {changed} the boat ran {how_much} than with {baseline}, but from so few double runs there is no telling whether that is chance"
        ),
        rest: format!("{worth}."),
        remark: lower_bound,
        verdict: Some(Verdict::TooFewRuns),
    }
}

fn without_figures(comparison: &Comparison) -> Answer {
    let why = comparison.reason.as_deref().map_or_else(
        || ": no figure could be had".to_owned(),
        |reason| format!(": {}", one_line(reason).trim_end_matches('.')),
    );
    Answer {
        claim: format!(
            "{} and {} could not be compared",
            super::capital(&name(&comparison.changed)),
            name(&comparison.baseline)
        ),
        rest: format!("{why}."),
        remark: None,
        verdict: Some(comparison.verdict),
    }
}

fn nothing_compared(analysis: &Analysis) -> Answer {
    let runs = counted(analysis.double_runs.len(), "double run", "double runs");
    let (claim, rest) = if analysis.double_runs.is_empty() {
        let said = analysis.warnings.iter().find_map(|warning| match warning {
            Warning::NoDoubleRuns { found } => Some(one_line(found)),
            _ => None,
        });
        let legs = said.unwrap_or_else(|| match analysis.legs.len() {
            0 => "no straight stretch on one steady heading either".to_owned(),
            1 => "one leg, but no way back on its line".to_owned(),
            legs => format!(
                "{legs}{NO_BREAK_SPACE}legs, but no two there and back on one line at one speed"
            ),
        });
        (
            "No double run was found, so there is nothing to compare".to_owned(),
            format!(": {legs}."),
        )
    } else {
        let speeds: Vec<String> = analysis.cells.iter().map(|cell| cell_speed(analysis, cell)).collect();
        let which = analysis
            .configurations
            .first()
            .filter(|_| analysis.configurations.len() == 1)
            .map_or_else(String::new, |only| format!(" with {}", name(&only.name)));
        let measured = if speeds.is_empty() {
            String::new()
        } else {
            format!(", and measured {}", list(&speeds))
        };
        (
            "Only one configuration was found, so there is nothing to compare".to_owned(),
            format!(": the boat made {runs}{which}{measured}."),
        )
    };
    Answer {
        claim,
        rest,
        remark: None,
        verdict: None,
    }
}

fn cell_speed(analysis: &Analysis, cell: &Cell) -> String {
    let error = cell.mean_interval_m_s.map(standard_error_of);
    let speed = speed_with_unit(cell.mean_m_s, error, analysis.units);
    if analysis.settings.len() > 1 {
        format!("{speed} at setting {}", name(&cell.setting))
    } else {
        speed
    }
}

/// The interval behind the percent: the proper one or, without it, the one within runs.
fn interval_of(comparison: &Comparison) -> Option<Interval> {
    match (comparison.percent.low, comparison.percent.high) {
        (Some(low), Some(high)) => Some(Interval { low, high }),
        _ => comparison.within_run_percent,
    }
    .filter(|interval| interval.low.is_finite() && interval.high.is_finite())
}

/// The interval of a change as sizes, the smaller first.
fn ends_in_size(interval: Interval) -> (f64, f64) {
    let (one, other) = (interval.low.abs(), interval.high.abs());
    (one.min(other), one.max(other))
}

/// Speeds of the baseline at the settings this comparison speaks of, slowest first.
fn baseline_speeds(analysis: &Analysis, comparison: &Comparison) -> Vec<f64> {
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
fn worth(analysis: &Analysis, comparison: &Comparison, percent: f64) -> Option<String> {
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
            worth_at(*speed, percent, spread, analysis.units, place == 0)
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn worth_at(
    baseline_m_s: f64,
    percent: f64,
    spread: Option<f64>,
    unit: SpeedUnit,
    in_full: bool,
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
    let gain = fixed(
        Speed::metres_per_second(gain_m_s).in_unit(unit),
        decimals,
    );
    let span = span_in_words(seconds, mile_m / baseline_m_s * (error_m_s / baseline_m_s));
    let s = NO_BREAK_SPACE;
    let at = speed_with_unit(baseline_m_s, None, unit);
    let less = if seconds < 0.0 { "more" } else { "less" };
    Some(if in_full {
        let mile = long_distance_word(unit);
        format!("at {at} that is {gain}{s}{unit}, or {span} {less} for each {mile}")
    } else {
        format!("at {at}, {gain}{s}{unit} or {span}")
    })
}

/// What the ends of an interval that holds zero mean at the slowest speed run.
fn bounds_on_water(analysis: &Analysis, comparison: &Comparison, interval: Interval) -> String {
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
    format!(
        ", which at {} is anything from {}{s}{unit} slower to {}{s}{unit} faster",
        speed_with_unit(speed, None, unit),
        size(interval.low),
        size(interval.high)
    )
}

fn long_distance_word(unit: SpeedUnit) -> &'static str {
    match unit {
        SpeedUnit::Knots => "nautical mile",
        SpeedUnit::MilesPerHour => "mile",
        SpeedUnit::KilometresPerHour | SpeedUnit::MetresPerSecond => "kilometre",
    }
}
