//! How sure the reading of the day is, and what another one would answer.

use super::result::{Analysis, Comparison, OtherAnswer, Reading, Verdict};
use super::warning::Warning;
use crate::segmenter::Assigned;

/// Below this probability a reading is held against the next, `[0, 1]`: four to one is what people
/// call likely (common practice, no source).
const SURE: f64 = 0.8;

/// How sure the reading is, and what the next would answer; `compared` compares by a reading.
pub(super) fn reading(
    assigned: &Assigned,
    own: &[Comparison],
    compared: impl FnOnce(&Assigned) -> Vec<Comparison>,
) -> Option<Reading> {
    let probability = assigned.probability?;
    let other = assigned.other.as_ref().zip(assigned.as_other());
    let other = other.map(|(other, assigned)| OtherAnswer {
        probability: other.probability,
        configurations: other.configurations,
        settings: other.settings,
        double_runs: other.double_runs,
        comparisons: compared(&assigned),
    });
    // A reading without a change says nothing against one: a person knows whether there was one.
    let verdicts = |comparisons: &[Comparison]| -> Vec<(String, Verdict)> {
        let pooled = comparisons.iter().filter(|c| c.setting.is_none());
        pooled.map(|c| (c.changed.clone(), c.verdict)).collect()
    };
    let own = verdicts(own);
    let others = other.as_ref().map(|o| verdicts(&o.comparisons));
    // A part that one of them has and the other does not, such as the old one come back under a
    // name of its own, speaks against none of those that both have.
    let shared = |others: &[(String, Verdict)]| {
        let of = |(part, verdict): &(String, Verdict)| {
            let same = others.iter().find(|(other, _)| other == part)?;
            Some(same.1 == *verdict)
        };
        own.iter().filter_map(of).collect::<Vec<bool>>()
    };
    let disagree = others.is_some_and(|others| {
        let shared = shared(&others);
        !others.is_empty() && (shared.is_empty() || shared.contains(&false))
    });
    Some(Reading {
        probability,
        other,
        unclear: probability < SURE && disagree && !assigned.configurations_noted,
    })
}

/// Where two readings are near and disagree, neither is claimed.
pub(super) fn claim_nothing_unclear(analysis: &mut Analysis) {
    let Some(reading) = analysis.reading.as_ref().filter(|reading| reading.unclear) else {
        return;
    };
    let answer = |comparisons: &[Comparison]| {
        let pooled = comparisons.iter().find(|c| c.setting.is_none());
        let ends = pooled.and_then(|c| Some([c.percent.value?, c.percent.low?, c.percent.high?]));
        ends.map_or_else(
            || "nothing".to_owned(),
            |[v, l, h]| format!("{v:+.1} % ({l:+.1} to {h:+.1} %)"),
        )
    };
    let what = format!(
        "The day reads in two ways. As taken, with a probability of {:.0} %, it answers {}; {} answers {}",
        100.0 * reading.probability,
        answer(&analysis.comparisons),
        reading.other.as_ref().map_or_else(String::new, |o| format!(
            "as {} configurations at {} settings in {} double runs, with {:.0} %, it",
            o.configurations,
            o.settings,
            o.double_runs,
            100.0 * o.probability
        )),
        reading
            .other
            .as_ref()
            .map_or_else(String::new, |o| answer(&o.comparisons)),
    );
    for comparison in &mut analysis.comparisons {
        if !matches!(comparison.verdict, Verdict::NotShown | Verdict::TooFewRuns) {
            comparison.verdict = Verdict::NotShown;
        }
    }
    analysis.warnings.push(Warning::UnclearGroups { what });
}
