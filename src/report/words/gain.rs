//! What the gain buys, in sentences.

use std::fmt::Write as _;

use super::worth::ends_in_size;
use super::{capital, list, name};
use crate::compare::Percent;
use crate::gain::{
    EqualSetting, EqualSpeedDraw, Gain, HomeAnswer, HomeAt, PowerSource, Ranged, Reach, WayHome,
    Why, WhyVerdict,
};
use crate::report::rounding::{
    NO_BREAK_SPACE, decimals, degrees, fixed, percent_decimals, signed, speed_with_unit,
    standard_error_of,
};
use crate::stats::interval::Interval;
use crate::trial::Trial;

/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;

/// Whether there is anything to say at all.
pub fn has_gain(analysis: &Trial) -> bool {
    analysis.gain != Gain::default()
}

/// The sentences that answer, most wanted first: why it is faster, which setting goes as fast as before,
/// draws above the limit, how far and home.
pub fn gain(analysis: &Trial) -> Vec<String> {
    let buys = &analysis.gain;
    let mut out: Vec<String> = buys
        .power
        .why
        .iter()
        .filter(|why| why.setting.is_none())
        .map(|why| why_sentence(analysis, why))
        .collect();
    out.extend(
        buys.equal_speed
            .settings
            .iter()
            .map(|found| equal_sentence(analysis, found)),
    );
    out.extend(over_limit(analysis));
    let home = buys.reach.home.as_ref();
    out.extend(home.map(|home| home_sentence(analysis, home)));
    out.extend(charge_sentence(&buys.reach));
    out.iter().map(|line| capital(line)).collect()
}

/// What could not be said, and what it takes.
pub fn gain_missing(analysis: &Trial) -> Vec<String> {
    let buys = &analysis.gain;
    if analysis.days.len() > 1 {
        return vec!["What the gain buys differs from day to day, so there is none for all days together: a report on the file of one day has it.".to_owned()];
    }
    // With one configuration there is no old part and no new one.
    let compared = analysis.configurations.len() > 1;
    let mut out: Vec<String> = (buys.power.reason.iter())
        .filter(|_| compared)
        .cloned()
        .collect();
    out.extend(buys.power.remarks.iter().cloned());
    out.extend(buys.equal_speed.reason.iter().filter(|_| compared).cloned());
    if let Some(reason) = &buys.calm.reason {
        out.push(format!("The speed in a calm is not known: {reason}."));
    }
    out.extend(buys.reach.reason.iter().cloned());
    if let Some(reason) = buys.reach.home.as_ref().and_then(|h| h.reason.as_ref()) {
        out.push(format!("On the way home: {reason}."));
    }
    if buys.power.source != PowerSource::None {
        out.extend(buys.propeller.reason.iter().cloned());
    }
    out
}

/// The cautions that stand where the numbers stand; none where there are no numbers.
pub fn gain_cautions(analysis: &Trial) -> Vec<String> {
    let buys = &analysis.gain;
    let mut out = Vec::new();
    if buys.power.source != PowerSource::None {
        out.push("Disconnect the battery before you swap a propeller or open the circuit; a clamp meter goes round the cable and opens nothing. Keep the draw below what maker, cable and fuse allow.");
    }
    if !buys.reach.cells.is_empty() || buys.reach.home.is_some() {
        out.push("Time, distance and the way home are estimates for the wind and the load of this day. A rising wind, waves, cold and an aged battery all take more: keep a reserve, turn back early, and put local rules and licensed practice first.");
    }
    out.into_iter().map(str::to_owned).collect()
}

/// `4.2 (3.9 to 4.5)`, to so many decimals at most.
pub fn range(ranged: Ranged, most: usize) -> String {
    let places = ranged
        .interval()
        .map_or(most, |i| decimals(standard_error_of(i), most));
    let shown = |v: f64| fixed(v, places);
    match (ranged.value, ranged.low, ranged.high) {
        (None, ..) => crate::report::rounding::UNKNOWN.to_owned(),
        (Some(value), Some(low), Some(high)) => {
            format!("{} ({} to {})", shown(value), shown(low), shown(high))
        }
        (Some(value), Some(low), None) => format!("{} ({} or more)", shown(value), shown(low)),
        (Some(value), None, Some(high)) => format!("{} ({} or less)", shown(value), shown(high)),
        (Some(value), None, None) => shown(value),
    }
}

/// A change as a size: `6.2 % less power (95 % interval 4.1 to 8.3 % less)`.
fn change_of(percent: &Percent, what: &str) -> Option<String> {
    let s = NO_BREAK_SPACE;
    let value = percent.value?;
    let places = percent_decimals(percent);
    let more = if value < 0.0 { "less" } else { "more" };
    let interval = match (percent.low, percent.high) {
        // Of one sign, they read in the direction of the sentence.
        (Some(low), Some(high)) if low * high > 0.0 => {
            let (least, most) = ends_in_size(Interval { low, high });
            format!(
                " (95{s}% interval {} to {}{s}%)",
                fixed(least, places),
                fixed(most, places)
            )
        }
        (Some(low), Some(high)) => format!(
            " (95{s}% interval {} to {}{s}%)",
            signed(low, places),
            signed(high, places)
        ),
        _ => String::new(),
    };
    Some(format!(
        "{}{s}% {more} {what}{interval}",
        fixed(value.abs(), places)
    ))
}

fn why_sentence(analysis: &Trial, why: &Why) -> String {
    let (baseline, changed) = (name(&why.baseline), name(&why.changed));
    let power = &analysis.gain.power;
    let at_speed = power
        .equal_speed
        .iter()
        .find(|e: &&EqualSpeedDraw| e.changed == why.changed)
        .and_then(|e| change_of(&e.percent, "power"))
        .map(|words| format!("at equal speed it takes {words}"));
    let at_setting = power
        .comparisons
        .iter()
        .find(|c| c.changed == why.changed && c.setting == why.setting)
        .and_then(|c| change_of(&c.power_percent, "power"))
        .map(|words| format!("at equal setting it draws {words}"));
    let both: Vec<String> = [at_speed, at_setting].into_iter().flatten().collect();
    let told = list(&both);
    match why.verdict {
        WhyVerdict::MoreEfficient => {
            format!("{changed} is more efficient than {baseline}: {told}.")
        }
        WhyVerdict::WorksHarder => format!(
            "{changed} works the motor harder than {baseline}: {told}. Compare the draw with the maker’s rating."
        ),
        WhyVerdict::Both => format!(
            "{changed} is more efficient than {baseline} and also works the motor harder: {told}."
        ),
        WhyVerdict::LessEfficient => {
            format!("{changed} is less efficient than {baseline}: {told}.")
        }
        WhyVerdict::TooFew => format!(
            "There are too few readings for a verdict on the power of {changed} against {baseline}: read the draw twice or more at each setting with either part."
        ),
        WhyVerdict::NotShown => format!(
            "Whether {changed} is more efficient than {baseline} or works the motor harder is not shown: {told}."
        ),
    }
}

fn equal_sentence(analysis: &Trial, found: &EqualSetting) -> String {
    let s = NO_BREAK_SPACE;
    let (baseline, changed) = (name(&found.baseline), name(&found.changed));
    let speed = speed_with_unit(found.speed_m_s, None, analysis.units);
    let percent = fixed(found.percent, usize::from(found.percent.fract() != 0.0));
    let at = format!(
        "{baseline} at {} ({percent}{s}%, {speed})",
        name(&found.setting)
    );
    match &found.reason {
        None => format!(
            "{changed} goes as fast at {} as {at}.",
            percent_of_power(found.changed_percent)
        ),
        Some(reason) => format!("No setting of {changed} has the speed of {at}: {reason}."),
    }
}

/// `89 % of full power (95 % interval 83 to 95 %)`; an end beyond the settings run is not known.
fn percent_of_power(ranged: Ranged) -> String {
    let s = NO_BREAK_SPACE;
    let places = ranged
        .interval()
        .map_or(1, |i| decimals(standard_error_of(i), 1));
    let shown = |v: f64| format!("{}{s}%", fixed(v, places));
    let interval = match (ranged.low, ranged.high) {
        (Some(low), Some(high)) => format!("{} to {}", fixed(low, places), shown(high)),
        (Some(low), None) => format!("{} or more", shown(low)),
        (None, Some(high)) => format!("{} or less", shown(high)),
        (None, None) => "beyond the settings run".to_owned(),
    };
    match ranged.value {
        Some(value) => format!(
            "{} of full power (95{s}% interval {interval})",
            shown(value)
        ),
        None => format!("a setting beyond those run (95{s}% interval {interval} of full power)"),
    }
}

fn over_limit(analysis: &Trial) -> Option<String> {
    let s = NO_BREAK_SPACE;
    let power = &analysis.gain.power;
    let over: Vec<String> = power
        .cells
        .iter()
        .filter(|c| c.over_limit == Some(true))
        .map(|c| {
            let amps = c
                .amps
                .map_or_else(String::new, |a| format!(" and {}{s}A", fixed(a, 0)));
            format!(
                "{} at {} ({}{s}W{amps})",
                name(&c.configuration),
                name(&c.setting),
                fixed(c.watts.value.unwrap_or(f64::NAN), 0)
            )
        })
        .collect();
    let limits: Vec<String> = [
        power.limit_w.map(|w| format!("{}{s}W", fixed(w, 0))),
        power.limit_a.map(|a| format!("{}{s}A", fixed(a, 0))),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!over.is_empty()).then(|| {
        format!(
            "Above the motor’s stated limit of {}: {}. A motor held there overheats; throttle back, or take a propeller of less pitch.",
            list(&limits),
            list(&over)
        )
    })
}

fn home_sentence(analysis: &Trial, home: &WayHome) -> String {
    let s = NO_BREAK_SPACE;
    let (mile, metres) = analysis.units.long_distance();
    let course = home
        .course_deg
        .map_or_else(String::new, |deg| format!(", on {}", degrees(deg)));
    let of = |answer: HomeAnswer| -> Vec<String> {
        let is = |c: &&HomeAt| c.answer == Some(answer);
        let own = || home.cells.iter().filter(is);
        if own().count() == home.cells.len() && home.cells.len() > 1 {
            return vec!["every setting that was run".to_owned()];
        }
        own()
            .map(|c| format!("{} at {}", name(&c.configuration), name(&c.setting)))
            .collect()
    };
    let reserve = home.reserve_share.map_or_else(String::new, |reserve| {
        format!(
            " with the reserve of {}{s}% left",
            fixed(100.0 * reserve, 0)
        )
    });
    let mut out = format!(
        "Home lies {}{s}{mile} away{course}, from the middle of the trial’s line, estimated {}.",
        fixed(home.distance_m / metres, 2),
        home.wind
    );
    let answers = [
        (of(HomeAnswer::Kept), "The charge gets there"),
        (
            of(HomeAnswer::NotSure),
            "It is not sure that the charge gets there",
        ),
        (of(HomeAnswer::DoesNotReach), "The charge does not reach"),
    ];
    for (cells, answer) in answers.iter().filter(|(cells, _)| !cells.is_empty()) {
        let _ = write!(out, " {answer}{reserve} with {}.", list(cells));
    }
    out
}

/// What charge the reach and the way home are for.
fn charge_sentence(reach: &Reach) -> Option<String> {
    let s = NO_BREAK_SPACE;
    let has_home = reach.home.as_ref().is_some_and(|h| !h.cells.is_empty());
    if reach.cells.is_empty() && !has_home {
        return None;
    }
    Some(match reach.used_j {
        Some(used) => format!(
            "Time and distance are for a full charge. By the log the ride out and the runs took {}{s}Wh: for the way home that is off the charge, which is assumed to have been full at the first fix.",
            fixed(used / JOULES_PER_WATT_HOUR, 0)
        ),
        None => "Time, distance and the way home assume a full charge: no log covers all of the ride out and the runs, so what they took is not known and not taken off.".to_owned(),
    })
}
