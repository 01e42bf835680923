//! For the person on board, not for readers: what to correct, what is missing, what to do next time.

use super::{counted, list, name, one_line, sentence};
use crate::gain::{PowerSource, Why, WhyVerdict};
use crate::report::rounding::count;
use crate::trial::{Day, Trial, Warning};

/// The warnings as sentences, without those whose matter the answer itself says.
pub(crate) fn warnings(trial: &Trial) -> Vec<String> {
    let said = |warning: &&Warning| {
        matches!(
            warning,
            Warning::NoDoubleRuns { .. } | Warning::NothingToCompare | Warning::NoSharedSetting
        )
    };
    let warnings = trial.warnings.iter().filter(|warning| !said(warning));
    warnings
        .map(|warning| one_line(&warning.text_in(trial.units)))
        .collect()
}

/// What to do next time, most useful first; empty where the answer holds as it is.
pub(crate) fn next_time(trial: &Trial) -> Vec<&'static str> {
    let warned = |of: fn(&Warning) -> bool| trial.warnings.iter().any(of);
    let runs = !trial.double_runs.is_empty();
    let compared = !trial.comparisons.is_empty();
    let unclear = warned(|warning| matches!(warning, Warning::UnclearGroups { .. }));
    let short = warned(|warning| matches!(warning, Warning::ShortApproach { .. }));
    let mut advice = Vec::new();
    if !runs {
        advice.push("Choose one straight line of at least a quarter of a mile in open, deep water, along the wind or across it but always the same.");
        advice.push("Run it there and back at one power setting without touching the control, each way for three minutes or more, and hold the heading steady.");
        advice.push("Set the recorder to its shortest interval, one fix a second if it can.");
    }
    if unclear {
        advice.push("Look through notes.toml: it says what was fitted when, as the track was read. Correct what is wrong and run again with --notes; the comparison then follows.");
    } else if !compared {
        advice.push("Make three double runs at each setting with the old part, change it, and make three with the new one; better still, go back to the old part at the end.");
        if trial.configurations.len() == 1 {
            advice.push("If a part was in fact changed, write the time of the change into notes.toml and run again with --notes.");
        }
    }
    if short && runs && !compared {
        advice.push(
            "Make the legs longer: after a turn a boat needs a while to gather its speed again.",
        );
    }
    advice
}

/// What could not be said of power and reach, and what it takes; nothing where nothing was compared.
pub(crate) fn gain_missing(trial: &Trial) -> Vec<String> {
    let gain = &trial.gain;
    if trial.comparisons.is_empty() {
        return Vec::new();
    }
    let mut out: Vec<String> = gain
        .power
        .reason
        .iter()
        .chain(&gain.power.remarks)
        .cloned()
        .collect();
    let too_few = |why: &Why| why.verdict == WhyVerdict::TooFew;
    if gain.power.why.iter().any(too_few) {
        out.push("The draw was read too seldom for a verdict on power: read it twice or more at each setting with either part".to_owned());
    }
    out.extend(gain.equal_speed.reason.iter().cloned());
    out.extend(gain.reach.reason.iter().cloned());
    if let Some(reason) = gain
        .reach
        .home
        .as_ref()
        .and_then(|home| home.reason.as_ref())
    {
        out.push(format!("On the way home: {reason}"));
    }
    if gain.power.source != PowerSource::None {
        out.extend(gain.propeller.reason.iter().cloned());
    }
    out.iter().map(|clause| sentence(clause)).collect()
}

/// What was set aside: fixes by file and reason, legs of the trial by reason, runs that do not fit.
pub(crate) fn set_aside(trial: &Trial) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for track in &trial.tracks {
        let reasons = track
            .set_aside
            .iter()
            .map(|aside| format!("{} {}", count(aside.count), name(&aside.reason)));
        let reasons: Vec<String> = reasons.collect();
        let aside = if reasons.is_empty() {
            "none set aside".to_owned()
        } else {
            format!("set aside: {}", list(&reasons))
        };
        let remarks: Vec<String> = track
            .remarks
            .iter()
            .map(|remark| format!(" {}", sentence(remark)))
            .collect();
        out.push(format!(
            "{}: {} of {} fixes used; {aside}.{}",
            name(&track.file),
            count(track.fixes_used),
            count(track.fixes_read),
            remarks.concat()
        ));
    }
    let mut reasons: Vec<(&str, usize)> = Vec::new();
    for reason in trial
        .legs
        .iter()
        .filter(|leg| !leg.included)
        .map(|leg| leg.reason.as_deref().unwrap_or("no reason given"))
    {
        match reasons.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, legs)) => *legs += 1,
            None => reasons.push((reason, 1)),
        }
    }
    out.extend(reasons.into_iter().map(|(reason, legs)| {
        format!(
            "{} not counted: {}.",
            counted(legs, "leg", "legs"),
            one_line(reason).trim_end_matches('.')
        )
    }));
    for bad in trial.fit.iter().flat_map(|fit| &fit.bad_runs) {
        out.push(format!(
            "Double run {} has little weight: with a probability of {:.0} % something went wrong in it.",
            bad.double_run,
            100.0 * bad.probability
        ));
    }
    let reading = |day: &Day| {
        let reading = day.reading.as_ref()?;
        let other = reading.other.as_ref()?;
        Some(format!(
            "Day {} was read as it is shown with a probability of {:.0} %; the next reading ({:.0} %) has {} at {}.",
            day.day,
            100.0 * reading.probability,
            100.0 * other.probability,
            counted(other.configurations, "configuration", "configurations"),
            counted(other.settings, "setting", "settings"),
        ))
    };
    out.extend(trial.days.iter().filter_map(reading));
    out
}
