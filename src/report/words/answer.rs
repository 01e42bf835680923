//! The answer in one sentence: how much, how sure, and what that is worth on the water.

use super::worth::{bounds_on_water, ends_in_size, interval_of, worth};
use super::{capital, counted, list, name, one_line};
use crate::compare::{Cell, Comparison, Verdict};
use crate::report::rounding::{
    NO_BREAK_SPACE, fixed, percent_decimals, signed, speed_with_unit, standard_error_of,
};
use crate::trial::{Trial, Warning};

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
        Verdict::NoLargerDifference => "no larger difference",
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
pub fn answers(analysis: &Trial) -> Vec<Answer> {
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
pub(crate) fn headline_comparisons(analysis: &Trial) -> Vec<&Comparison> {
    let mut chosen: Vec<&Comparison> = Vec::new();
    for comparison in &analysis.comparisons {
        let known = chosen.iter().position(|other| same_pair(other, comparison));
        match known.and_then(|at| chosen.get_mut(at)) {
            None => chosen.push(comparison),
            Some(other) if comparison.setting.is_none() => *other = comparison,
            Some(_) => {}
        }
    }
    chosen
}

pub(super) fn same_pair(one: &Comparison, other: &Comparison) -> bool {
    one.baseline == other.baseline && one.changed == other.changed
}

fn answer(analysis: &Trial, comparison: &Comparison) -> Answer {
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
            let worth = worth(analysis, comparison, value, "that is")
                .map_or_else(String::new, |worth| format!(": {worth}"));
            Answer {
                claim: format!("With {changed} the boat was {size}{s}% {way} than with {baseline}"),
                rest: format!("{range}{worth}."),
                remark: None,
                verdict: Some(comparison.verdict),
            }
        }
        Verdict::NotShown | Verdict::NoLargerDifference => {
            let range = interval.map_or_else(String::new, |interval| {
                format!(
                    ": the change lies between {} and {}{s}% (95{s}% interval; best estimate {}{s}%){}",
                    signed(interval.low, decimals),
                    signed(interval.high, decimals),
                    signed(value, decimals),
                    bounds_on_water(analysis, comparison, interval)
                )
            });
            let no_larger = analysis
                .resolve_percent
                .filter(|_| comparison.verdict == Verdict::NoLargerDifference);
            Answer {
                claim: match no_larger {
                    Some(x) => format!(
                        "{} and {baseline} differ by no more than {}{s}%, the change worth knowing",
                        capital(&changed),
                        exact(x)
                    ),
                    None => format!("No difference is shown between {changed} and {baseline}"),
                },
                rest: format!("{range}."),
                remark: no_larger.is_none().then(|| not_equal(comparison)),
                verdict: Some(comparison.verdict),
            }
        }
        Verdict::TooFewRuns => too_few(analysis, comparison, &format!("{size}{s}% {way}")),
    }
}

/// A percent as a person wrote it, without needless zeros.
fn exact(percent: f64) -> String {
    let text = fixed(percent, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// That no difference shown is not none: what may be ruled out.
fn not_equal(comparison: &Comparison) -> String {
    let s = NO_BREAK_SPACE;
    let beyond = comparison
        .no_change_beyond_percent
        .map_or_else(String::new, |x| {
            format!(
                " What can be said is that there is no change larger than {}{s}%, either way.",
                fixed(x, 1)
            )
        });
    format!(
        "That does not show that they are equal: a change inside that range would have passed unseen.{beyond} More double runs would narrow it."
    )
}

fn too_few(analysis: &Trial, comparison: &Comparison, how_much: &str) -> Answer {
    let s = NO_BREAK_SPACE;
    let (changed, baseline) = (name(&comparison.changed), name(&comparison.baseline));
    let range = interval_of(comparison).map_or_else(String::new, |interval| {
        let decimals = percent_decimals(&comparison.percent);
        format!(
            " By how far double runs usually differ, the change lies between {} and {}{s}% (95{s}% interval).",
            signed(interval.low, decimals),
            signed(interval.high, decimals)
        )
    });
    let worth = comparison
        .percent
        .value
        .and_then(|value| worth(analysis, comparison, value, "it is"))
        .map_or_else(String::new, |worth| {
            format!(" If the change is real, {worth}.")
        });
    Answer {
        claim: format!(
            "With {changed} the boat ran {how_much} than with {baseline}, but a single double run of either is too few to claim it"
        ),
        rest: ".".to_owned(),
        remark: Some(format!("{range}{worth}").trim().to_owned()).filter(|text| !text.is_empty()),
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
            capital(&name(&comparison.changed)),
            name(&comparison.baseline)
        ),
        rest: format!("{why}."),
        remark: None,
        verdict: Some(comparison.verdict),
    }
}

fn nothing_compared(analysis: &Trial) -> Answer {
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
    } else if let Some(what) = unclear(analysis) {
        (
            "It is not clear which double runs belong together, so nothing is compared".to_owned(),
            format!(": {what}."),
        )
    } else {
        let speeds: Vec<String> = analysis
            .cells
            .iter()
            .map(|cell| cell_speed(analysis, cell))
            .collect();
        let measured = if speeds.is_empty() {
            String::new()
        } else {
            format!(", which gave {}", list(&speeds))
        };
        if analysis.configurations.len() > 1 {
            return Answer {
                claim: "No setting was run with two configurations, so there is nothing to compare"
                    .to_owned(),
                rest: format!(": the boat made {runs}{measured}."),
                remark: None,
                verdict: None,
            };
        }
        let which = analysis
            .configurations
            .first()
            .filter(|_| analysis.configurations.len() == 1)
            .map_or_else(String::new, |only| format!(" with {}", name(&only.name)));
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

/// What makes the groups unclear, in the middle of a sentence.
fn unclear(analysis: &Trial) -> Option<String> {
    analysis.warnings.iter().find_map(|warning| match warning {
        Warning::UnclearGroups { what } => Some(uncapital(&one_line(what))),
        _ => None,
    })
}

fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

fn cell_speed(analysis: &Trial, cell: &Cell) -> String {
    let error = cell.mean_interval_m_s.map(standard_error_of);
    let speed = speed_with_unit(cell.mean_m_s, error, analysis.units);
    if analysis.settings.len() > 1 {
        format!("{speed} at setting {}", name(&cell.setting))
    } else {
        speed
    }
}
