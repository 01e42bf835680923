//! What the gain buys: first the same speed for less, then the rest.

use super::cautions::{CLAMP, DISTANCES};
use super::headline::is_shown;
use super::worth::Change;
use super::{capital, headline_comparisons, list, name};
use crate::compare::Percent;
use crate::gain::{EqualSetting, Gain, HomeAnswer, HomeAt, PowerSource, Ranged, Reach, WayHome};
use crate::report::rounding::{
    NO_BREAK_SPACE, decimals, degrees, fixed, signed, speed_with_unit, standard_error_of,
};
use crate::trial::Trial;

/// 1 W h is 3600 J (NIST SP 811, B.8).
const JOULES_PER_WATT_HOUR: f64 = 3600.0;

/// Whether there is anything to say at all.
pub(crate) fn has_gain(trial: &Trial) -> bool {
    let gain = &trial.gain;
    *gain != Gain::default() && !trial.double_runs.is_empty()
}

/// What the gain buys, for the article: at the old top speed, and at equal setting. Nothing where nothing
/// was compared.
pub(crate) fn savings(trial: &Trial) -> Vec<String> {
    let compared = headline_comparisons(trial);
    compared
        .iter()
        .flat_map(|c| saving(trial, &c.baseline, &c.changed))
        .collect()
}

fn saving(trial: &Trial, baseline: &str, changed: &str) -> Vec<String> {
    let gain = &trial.gain;
    let several = trial.configurations.len() > 2;
    let whose = if several {
        format!(" with {}", name(changed))
    } else {
        String::new()
    };
    let same = |own: [&String; 2]| own == [baseline, changed];
    let mut out = Vec::new();
    let top = (gain.equal_speed.settings.iter())
        .filter(|s| same([&s.baseline, &s.changed]) && s.changed_percent.value.is_some())
        .max_by(|a, b| a.percent.total_cmp(&b.percent));
    out.extend(top.map(|top| {
        format!(
            "At the old speed of {}{whose} the lever is at {} instead of {}.",
            speed_with_unit(top.speed_m_s, None, trial.units),
            percent_of_power(top.changed_percent),
            percent_words(top.percent)
        )
    }));
    let draw = |at: &str, power: &Percent, energy: &Percent, from| {
        let change = Change::of(power, ["less", "more"])?;
        let [size, interval] = [&change.size, &change.in_brackets()];
        Some(format!(
            "At equal {at} it takes {size} power{interval}{}.",
            farther(energy, from)
        ))
    };
    let equal = gain
        .power
        .equal_speed
        .iter()
        .find(|e| same([&e.baseline, &e.changed]));
    out.extend(equal.and_then(|e| draw("speed", &e.percent, &e.percent, at_top(trial, baseline))));
    let mut pooled = gain
        .power
        .comparisons
        .iter()
        .filter(|c| c.setting.is_none());
    let setting = pooled.find(|c| same([&c.baseline, &c.changed]));
    out.extend(setting.and_then(|c| draw("setting", &c.power_percent, &c.energy_percent, None)));
    out
}

/// How far the usable charge takes the baseline at its highest setting, in the mean wind of the day, in
/// the unit's long distance.
fn at_top(trial: &Trial, baseline: &str) -> Option<(f64, &'static str)> {
    let gain = &trial.gain;
    let own = gain
        .power
        .cells
        .iter()
        .filter(|c| c.configuration == baseline);
    let top = own.max_by(|a, b| a.speed_m_s.total_cmp(&b.speed_m_s))?;
    let (mile, metres) = trial.units.long_distance();
    Some((
        gain.reach.usable_j? / top.energy_j_per_m.value? / metres,
        mile,
    ))
}

/// By how much farther a charge takes a boat whose energy over distance changes by so much.
pub(crate) fn farther_percent(energy: &Percent) -> Percent {
    let far = |percent: Option<f64>| percent.map(|p| 100.0 / (1.0 + p / 100.0) - 100.0);
    Percent {
        value: far(energy.value),
        low: far(energy.high),
        high: far(energy.low),
    }
}

/// `, so a charge lasts 14 % farther (95 % interval 8 to 25 %): 15.5 nmi instead of 13.6`; empty
/// where the change of energy is not known.
fn farther(energy: &Percent, from: Option<(f64, &str)>) -> String {
    let s = NO_BREAK_SPACE;
    let percent = farther_percent(energy);
    let Some(change) = Change::of(&percent, ["less far", "farther"]) else {
        return String::new();
    };
    let miles = from.zip(percent.value).filter(|_| is_shown(&percent));
    let miles = miles.map_or_else(String::new, |((far, mile), p)| {
        format!(
            ": {}{s}{mile} instead of {}",
            fixed(far * (1.0 + p / 100.0), 1),
            fixed(far, 1)
        )
    });
    format!(
        ", so a charge lasts {}{}{miles}",
        change.size,
        change.in_brackets()
    )
}

/// All that can be said of power and reach, the one thing people ask first.
pub(crate) fn gain(trial: &Trial) -> Vec<String> {
    let gain = &trial.gain;
    let mut out = Vec::new();
    if !trial.comparisons.is_empty() {
        out.extend(savings(trial));
        let beyond = gain.equal_speed.settings.iter();
        out.extend(beyond.filter_map(|found| no_equal_setting(trial, found)));
    }
    out.extend(
        gain.reach
            .home
            .as_ref()
            .map(|home| home_sentence(trial, home)),
    );
    out.extend(charge_sentence(&gain.reach));
    out.iter().map(|line| capital(line)).collect()
}

/// The cautions that belong beside the numbers; none where there are no numbers.
pub(crate) fn gain_cautions(trial: &Trial) -> Vec<&'static str> {
    let gain = &trial.gain;
    let mut out = Vec::new();
    if gain.power.source != PowerSource::None {
        out.push(CLAMP);
    }
    if !gain.reach.cells.is_empty() || gain.reach.home.is_some() {
        out.push(DISTANCES);
    }
    out
}

fn no_equal_setting(trial: &Trial, found: &EqualSetting) -> Option<String> {
    let reason = found.reason.as_ref()?;
    Some(format!(
        "No setting of {} has the speed of {} at {} ({}): {reason}.",
        name(&found.changed),
        name(&found.baseline),
        name(&found.setting),
        speed_with_unit(found.speed_m_s, None, trial.units)
    ))
}

fn percent_words(percent: f64) -> String {
    format!(
        "{}{NO_BREAK_SPACE}%",
        fixed(percent, usize::from(percent.fract() != 0.0))
    )
}

/// `89 % of full power (95 % interval 83 to 95 %)`; an end beyond the settings run is not known.
fn percent_of_power(ranged: Ranged) -> String {
    let s = NO_BREAK_SPACE;
    let places = ranged
        .interval()
        .map_or(0, |i| decimals(standard_error_of(i), 1));
    let shown = |v: f64| format!("{}{s}%", fixed(v, places));
    let interval = match (ranged.low, ranged.high) {
        (Some(low), Some(high)) => format!("{} to {}", fixed(low, places), shown(high)),
        (Some(low), None) => format!("{} or more", shown(low)),
        (None, Some(high)) => format!("{} or less", shown(high)),
        (None, None) => "beyond the settings run".to_owned(),
    };
    let value = ranged
        .value
        .map_or_else(|| "a setting beyond those run".to_owned(), shown);
    format!("{value} (95{s}% interval {interval})")
}

/// Draws above the motor's limit.
pub(crate) fn over_limit(trial: &Trial) -> Option<String> {
    let s = NO_BREAK_SPACE;
    let power = &trial.gain.power;
    let whole = |value: f64, unit: &str| format!("{}{s}{unit}", fixed(value, 0));
    let over = power.cells.iter().filter(|c| c.over_limit == Some(true));
    let over: Vec<String> = over
        .map(|c| {
            let amps = c
                .amps
                .map_or_else(String::new, |a| format!(" and {}", whole(a, "A")));
            let watts = c.watts.value.map_or_else(String::new, |w| whole(w, "W"));
            format!(
                "{} at {} ({watts}{amps})",
                name(&c.configuration),
                name(&c.setting)
            )
        })
        .collect();
    let limits = [
        power.limit_w.map(|w| whole(w, "W")),
        power.limit_a.map(|a| whole(a, "A")),
    ];
    let limits: Vec<String> = limits.into_iter().flatten().collect();
    (!over.is_empty()).then(|| {
        format!(
            "Above the motor’s stated limit of {}: {}. A motor held there overheats; throttle back, or take a propeller of less pitch.",
            list(&limits),
            list(&over)
        )
    })
}

/// The cells with an answer about the way home; all of them together in a word.
fn home_cells(home: &WayHome, answer: HomeAnswer) -> Vec<String> {
    let own: Vec<&HomeAt> = home
        .cells
        .iter()
        .filter(|c| c.answer == Some(answer))
        .collect();
    if own.len() == home.cells.len() && own.len() > 1 {
        return vec!["every setting that was run".to_owned()];
    }
    let words = own
        .iter()
        .map(|c| format!("{} at {}", name(&c.configuration), name(&c.setting)));
    words.collect()
}

/// That the way home cannot be reached, in these words; none where it can, or is not asked for.
pub(crate) fn home_out_of_reach(trial: &Trial) -> Option<String> {
    let home = &trial.gain.reach.home.as_ref()?;
    let cells = home_cells(home, HomeAnswer::DoesNotReach);
    (!cells.is_empty()).then(|| {
        format!(
            "The charge does not reach for the way home with {}.",
            list(&cells)
        )
    })
}

fn home_sentence(trial: &Trial, home: &WayHome) -> String {
    let s = NO_BREAK_SPACE;
    let (mile, metres) = trial.units.long_distance();
    let course = home
        .course_deg
        .map_or_else(String::new, |deg| format!(", on {}", degrees(deg)));
    let reserve = home.reserve_share.map_or_else(String::new, |reserve| {
        format!(
            " with the reserve of {}{s}% left",
            fixed(100.0 * reserve, 0)
        )
    });
    let mut out = format!(
        "Home is {}{s}{mile} away{course}, from the middle of the trial’s line, estimated {}.",
        fixed(home.distance_m / metres, 2),
        home.wind
    );
    let answers = [
        (HomeAnswer::Kept, "The charge gets there"),
        (
            HomeAnswer::NotSure,
            "It is not sure that the charge gets there",
        ),
    ];
    for (answer, words) in answers {
        let cells = home_cells(home, answer);
        if !cells.is_empty() {
            out = format!("{out} {words}{reserve} with {}.", list(&cells));
        }
    }
    out
}

/// What charge the reach and the way home are for.
fn charge_sentence(reach: &Reach) -> Option<String> {
    let s = NO_BREAK_SPACE;
    let has_home = reach
        .home
        .as_ref()
        .is_some_and(|home| !home.cells.is_empty());
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

/// What the figures rest on: the log's clock, the balance, the cube law.
pub(crate) fn gain_basis(trial: &Trial) -> Vec<String> {
    let s = NO_BREAK_SPACE;
    let gain = &trial.gain;
    let mut out: Vec<String> = Vec::new();
    if let Some(clock) = &gain.power.clock {
        let moved = format!(
            "The clock of the power log was moved by {}{s}s",
            signed(clock.offset_s, 0)
        );
        out.push(match (clock.correlation, clock.margin) {
            (Some(r), Some(margin)) => format!(
                "{moved}, where its draw best follows the boat’s speed (correlation {r:.2}; any other offset is {margin:.2} or more below)."
            ),
            _ => format!("{moved}, as the notes say."),
        });
    }
    if let Some(volts) = gain.power.nominal_volts {
        out.push(format!(
            "Where the current alone was read, watts are nominal: amps times the battery’s stated {}{s}V. A battery under load gives less, so the true power may be some percent lower and a charge last that much longer; a comparison of like draws is hardly touched.",
            fixed(volts, usize::from(volts.fract() != 0.0))
        ));
    }
    if !gain.power.cells.is_empty() {
        out.push("Energy over distance is power over the speed that the comparison has corrected, in the mean wind of the setting.".to_owned());
    }
    for equal in &gain.power.equal_speed {
        let how = match equal.method {
            Some("cube law") => "by the cube law; draws at two settings or more would show how power goes with speed on this boat".to_owned(),
            Some(_) => format!("power going with the power {} of speed", range(equal.exponent, 1)),
            None => continue,
        };
        out.push(format!(
            "Power of {} at equal speed follows from the changes of power and of corrected speed at equal setting, {how}.",
            name(&equal.changed)
        ));
    }
    if gain.equal_speed.settings.iter().any(|s| s.reason.is_none()) {
        out.push("Settings of equal speed are read off the smooth rising curve through the corrected speeds; how it runs between the settings that were run is not measured.".to_owned());
    }
    out
}

/// `4.2 (3.9 to 4.5)`, to so many decimals at most.
fn range(ranged: Ranged, most: usize) -> String {
    let places = ranged
        .interval()
        .map_or(most, |i| decimals(standard_error_of(i), most));
    let shown = |v: f64| fixed(v, places);
    let interval = ranged.interval().map_or_else(String::new, |i| {
        format!(" ({} to {})", shown(i.low), shown(i.high))
    });
    format!("{}{interval}", shown(ranged.value.unwrap_or(f64::NAN)))
}
