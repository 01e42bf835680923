//! How sure the reading of the day is, and what another one would answer.

use super::result::{OtherAnswer, Reading, Trial};
use super::warning::Warning;
use crate::compare::{Comparison, Verdict};
use crate::segmenter::Assigned;

/// Below this probability a reading is held against the next, `[0, 1]`: four to one is what people
/// call likely (common practice, no source).
const SURE: f64 = 0.8;

/// How sure the reading is, and what the next would answer; `compared` compares by a reading.
pub(super) fn reading(
    assigned: &Assigned,
    own: &[Comparison],
    compared: impl FnOnce(&Assigned) -> Option<Vec<Comparison>>,
) -> Option<Reading> {
    let probability = assigned.probability?;
    let other = assigned.other.as_ref().zip(assigned.as_other());
    let other = other.and_then(|(other, assigned)| {
        Some(OtherAnswer {
            probability: other.probability,
            configurations: other.configurations,
            settings: other.settings,
            double_runs: other.double_runs,
            parts: (other.runs.iter())
                .map(|run| (!run.left_out).then_some(run.configuration + 1))
                .collect(),
            comparisons: compared(&assigned)?,
        })
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

/// Where two readings of a day are near and disagree, neither is claimed.
pub(super) fn claim_nothing_unclear(trial: &mut Trial) {
    let mut readings = trial.days.iter().filter_map(|day| day.reading.as_ref());
    if readings.any(|reading| reading.unclear) {
        for comparison in &mut trial.comparisons {
            if !matches!(comparison.verdict, Verdict::NotShown | Verdict::TooFewRuns) {
                comparison.verdict = Verdict::NotShown;
            }
        }
    }
}

/// A warning for each unclear reading, with both answers.
pub(super) fn unclear(trial: &Trial) -> impl Iterator<Item = Warning> {
    let answer = |comparisons: &[Comparison]| {
        let pooled = comparisons.iter().find(|c| c.setting.is_none());
        let ends = pooled.and_then(|c| Some([c.percent.value?, c.percent.low?, c.percent.high?]));
        ends.map_or_else(
            || "nothing".to_owned(),
            |[v, l, h]| format!("{v:+.1} % ({l:+.1} to {h:+.1} %)"),
        )
    };
    let readings = trial.days.iter().filter_map(|day| day.reading.as_ref());
    readings.filter(|reading| reading.unclear).filter_map(move |reading| {
        let other = reading.other.as_ref()?;
        Some(Warning::UnclearGroups {
            what: format!(
                "The day reads in two ways. As taken, with a probability of {:.0} %, it answers {}; as {} configurations at {} settings in {} double runs, with {:.0} %, it answers {}",
                100.0 * reading.probability,
                answer(&trial.comparisons),
                other.configurations,
                other.settings,
                other.double_runs,
                100.0 * other.probability,
                answer(&other.comparisons),
            ),
        })
    })
}
