//! The title, and the answer in one sentence: how much, and how sure.

use super::worth::{Change, same_pair};
use super::{capital, counted, list, name, one_line};
use crate::compare::{Cell, Comparison, Percent, Verdict};
use crate::report::document::{Part, Text, Tone};
use crate::report::rounding::{NO_BREAK_SPACE, fixed, speed_with_unit, standard_error_of};
use crate::trial::{GroupSource, Trial, Warning};

/// What an article is called whose author has not said what was changed.
const ASK_FOR_TITLE: &str = "What was changed? Name it in the notes";

/// The title from the notes; else what was changed; else, where nobody said, the question.
pub(crate) fn title(trial: &Trial) -> String {
    if let Some(title) = trial.title.as_deref().filter(|t| !t.trim().is_empty()) {
        return name(title);
    }
    if let Some(change) = &trial.story.change {
        return capital(&name(change));
    }
    match trial.comparisons.first() {
        Some(first) if is_named(trial, &first.changed) => capital(&pair_title(first)),
        Some(_) => ASK_FOR_TITLE.to_owned(),
        None => "Speed trial".to_owned(),
    }
}

/// `four blades against three blades`.
pub(crate) fn pair_title(comparison: &Comparison) -> String {
    let [changed, baseline] = [&comparison.changed, &comparison.baseline].map(|raw| name(raw));
    format!("{changed} against {baseline}")
}

/// Whether the notes name a configuration; else its name is a letter.
fn is_named(trial: &Trial, configuration: &str) -> bool {
    let mut own = trial
        .configurations
        .iter()
        .filter(|c| c.name == configuration);
    own.all(|c| c.source == GroupSource::Notes)
}

/// A configuration in a sentence: `three blades`, or `configuration B` where nobody named it.
fn part(trial: &Trial, configuration: &str) -> String {
    if is_named(trial, configuration) {
        name(configuration)
    } else {
        format!("configuration{NO_BREAK_SPACE}{}", name(configuration))
    }
}

/// One answer: its claim, and what goes with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Answer {
    /// The claim: a clause that can stand alone.
    pub(crate) claim: String,
    /// The rest of the sentence, its full stop included.
    pub(crate) rest: String,
    /// A second sentence where the first could be misread.
    pub(crate) remark: Option<String>,
    /// How it is marked.
    pub(crate) tone: Tone,
}

impl Answer {
    /// Claim and rest as one sentence.
    pub(crate) fn sentence(&self) -> String {
        format!("{}{}", self.claim, self.rest)
    }

    /// The answer as parts of a document.
    pub(crate) fn parts(&self) -> impl Iterator<Item = Part> {
        let text = Text::default().strong(&self.claim).plain(&self.rest);
        let answer = Part::Answer {
            tone: self.tone,
            text,
        };
        std::iter::once(answer).chain(self.remark.as_deref().map(Part::paragraph))
    }
}

/// The verdict in the table's words.
pub(crate) fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Faster => "faster",
        Verdict::Slower => "slower",
        Verdict::NotShown => "not shown",
        Verdict::NoLargerDifference => "no larger difference",
        Verdict::TooFewRuns => "too few runs",
    }
}

/// The answers, one for each changed configuration; one that says what was found where there is none.
pub(crate) fn answers(trial: &Trial) -> Vec<Answer> {
    let compared = headline_comparisons(trial);
    if compared.is_empty() {
        return vec![nothing_compared(trial)];
    }
    compared
        .into_iter()
        .map(|comparison| answer(trial, comparison))
        .collect()
}

/// For each pair the comparison to lead with: pooled over settings, or the only setting's.
pub(crate) fn headline_comparisons(trial: &Trial) -> Vec<&Comparison> {
    let mut chosen: Vec<&Comparison> = Vec::new();
    for comparison in &trial.comparisons {
        match chosen.iter_mut().find(|other| same_pair(other, comparison)) {
            None => chosen.push(comparison),
            Some(other) if comparison.setting.is_none() => *other = comparison,
            Some(_) => {}
        }
    }
    chosen
}

fn answer(trial: &Trial, comparison: &Comparison) -> Answer {
    let s = NO_BREAK_SPACE;
    let [changed, baseline] =
        [&comparison.changed, &comparison.baseline].map(|raw| part(trial, raw));
    let Some(change) = Change::of(&comparison.percent, ["slower", "faster"]) else {
        let reason = comparison
            .reason
            .as_deref()
            .unwrap_or("no figure could be had");
        return Answer {
            claim: format!("{} and {baseline} could not be compared", capital(&changed)),
            rest: format!(": {}.", one_line(reason).trim_end_matches('.')),
            remark: None,
            tone: Tone::Open,
        };
    };
    let between = change.between().map_or_else(String::new, |between| {
        format!(": the change lies {between} (95{s}% interval)")
    });
    let size = &change.size;
    match comparison.verdict {
        Verdict::Faster | Verdict::Slower => Answer {
            claim: format!("With {changed} the boat was {size} than with {baseline}"),
            rest: format!("{}.", change.in_brackets()),
            remark: None,
            tone: if comparison.verdict == Verdict::Faster { Tone::Faster } else { Tone::Slower },
        },
        Verdict::NotShown => Answer {
            claim: format!("No difference between {changed} and {baseline} is shown"),
            rest: format!("{between}; the best estimate is {size}."),
            remark: Some(not_equal(comparison)),
            tone: Tone::NotShown,
        },
        Verdict::NoLargerDifference => Answer {
            claim: format!(
                "{} and {baseline} differ by no more than {}{s}%, the change worth knowing",
                capital(&changed),
                exact(trial.resolve_percent.unwrap_or_default())
            ),
            rest: format!("{between}."),
            remark: None,
            tone: Tone::NotShown,
        },
        Verdict::TooFewRuns => Answer {
            claim: format!(
                "With {changed} the boat ran {size} than with {baseline}, but a single double run of either is too few to claim it"
            ),
            rest: ".".to_owned(),
            remark: change.between().map(|between| format!(
                "By how far double runs usually differ, the change lies {between} (95{s}% interval)."
            )),
            tone: Tone::Open,
        },
    }
}

/// A percent as a person wrote it, without needless zeros.
fn exact(percent: f64) -> String {
    let text = fixed(percent, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// That no difference shown is not none: what may be ruled out.
fn not_equal(comparison: &Comparison) -> String {
    let ruled_out = comparison
        .no_change_beyond_percent
        .map_or_else(String::new, |x| {
            format!(
                ", only that a change of more than {}{NO_BREAK_SPACE}% either way is unlikely",
                fixed(x, 1)
            )
        });
    format!("That does not show that they are equal{ruled_out}.")
}

fn nothing_compared(trial: &Trial) -> Answer {
    let runs = counted(trial.double_runs.len(), "double run", "double runs");
    let warned = |of: fn(&Warning) -> Option<&String>| trial.warnings.iter().find_map(of);
    let no_runs = warned(|warning| match warning {
        Warning::NoDoubleRuns { found } => Some(found),
        _ => None,
    });
    let unclear = warned(|warning| match warning {
        Warning::UnclearGroups { what } => Some(what),
        _ => None,
    });
    let speeds: Vec<String> = trial
        .cells
        .iter()
        .map(|cell| cell_speed(trial, cell))
        .collect();
    let measured = if speeds.is_empty() {
        format!("the boat made {runs}")
    } else {
        format!("the boat made {runs}, which gave {}", list(&speeds))
    };
    let (claim, why) = if trial.double_runs.is_empty() {
        let found = no_runs.map_or_else(
            || "no leg has a way back on its line".to_owned(),
            |f| one_line(f),
        );
        (
            "No double run was found, so there is nothing to compare",
            found,
        )
    } else if let Some(what) = unclear {
        let why = one_line(what);
        (
            "It is not clear which double runs belong together, so nothing is compared",
            uncapital(&why),
        )
    } else if trial.configurations.len() > 1 {
        (
            "No setting was run with two configurations, so there is nothing to compare",
            measured,
        )
    } else {
        (
            "Only one configuration was found, so there is nothing to compare",
            measured,
        )
    };
    Answer {
        claim: claim.to_owned(),
        rest: format!(": {}.", why.trim_end_matches('.')),
        remark: None,
        tone: Tone::Open,
    }
}

fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

fn cell_speed(trial: &Trial, cell: &Cell) -> String {
    let error = cell.mean_interval_m_s.map(standard_error_of);
    let speed = speed_with_unit(cell.mean_m_s, error, trial.units);
    let mut out = speed;
    if trial.configurations.len() > 1 {
        out = format!("{out} with {}", name(&cell.configuration));
    }
    if trial.settings.len() > 1 {
        out = format!("{out} at setting {}", name(&cell.setting));
    }
    out
}

/// Whether a change is shown, one way or the other.
pub(super) fn is_shown(percent: &Percent) -> bool {
    percent.low.is_some_and(|low| low > 0.0) || percent.high.is_some_and(|high| high < 0.0)
}
