//! Wind and current: what they were, how the comparison took them out, what headings and circles show.

use super::{capital, each_day, headline_comparisons, list, name, one_line, pair_title};
use crate::compare::{Adjustment, NotAdjusted};
use crate::day::{HeadingFit, TurningCircle, Wind, WindSource};
use crate::report::clock::Clock;
use crate::report::rounding::{
    NO_BREAK_SPACE, degrees, fixed, percent_decimals, signed, speed_with_unit,
};
use crate::segmenter::WindLabel;
use crate::trial::{Day, Trial};
use crate::units::SpeedUnit;

/// The sixteen points of the compass, from north.
const POINTS: [&str; 16] = [
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
];

/// Where the wind blew from, how strong, and how that is known: a sentence for each day.
pub(crate) fn wind(trial: &Trial) -> String {
    each_day(trial, |day| Some(wind_of(&day.wind, trial.units))).join(" ")
}

fn wind_of(wind: &Wind, unit: SpeedUnit) -> String {
    let Some(from) = wind.from_deg.filter(|deg| deg.is_finite()) else {
        let remark = wind.remark.as_deref().map_or_else(String::new, |remark| {
            format!(" {}.", capital(one_line(remark).trim_end_matches('.')))
        });
        return format!("The wind is not known.{remark}");
    };
    let se = wind.from_se_deg.filter(|se| se.is_finite());
    let within = se.map_or_else(String::new, |se| {
        format!(", give or take {:.0}°", (2.0 * se).ceil())
    });
    // A wind is never known to more than a tenth of itself.
    let speed = wind.speed_m_s.map_or_else(String::new, |speed| {
        format!(" at {}", speed_with_unit(speed, Some(speed * 0.1), unit))
    });
    let source = match wind.source {
        WindSource::Given => "as noted",
        WindSource::Log => "by the wind log",
        WindSource::Drift => "read off the boat’s drift as it lay idle",
        WindSource::Legs => "read off legs on several headings",
        WindSource::None => "from an unnamed source",
    };
    format!(
        "The wind blew from {} ({}){within}{speed}, {source}.",
        compass_point(from),
        degrees(from)
    )
}

fn compass_point(from_deg: f64) -> &'static str {
    let sector = (from_deg.rem_euclid(360.0) / 22.5).round() as usize % POINTS.len();
    POINTS.get(sector).copied().unwrap_or("N")
}

/// The wind off the bow in the trade's words.
pub(crate) fn wind_label(label: WindLabel) -> &'static str {
    match label {
        WindLabel::Ahead => "ahead",
        WindLabel::StarboardBow => "starboard bow",
        WindLabel::StarboardBeam => "starboard beam",
        WindLabel::StarboardQuarter => "starboard quarter",
        WindLabel::Astern => "astern",
        WindLabel::PortQuarter => "port quarter",
        WindLabel::PortBeam => "port beam",
        WindLabel::PortBow => "port bow",
    }
}

/// What was done about wind and current, a few sentences; none where nothing was compared.
///
/// Without them a reader who puts the comparison beside the plain means finds two speeds for one
/// thing.
pub(crate) fn adjustment(trial: &Trial) -> Option<String> {
    let adjustment = trial.adjustment?;
    let s = NO_BREAK_SPACE;
    let compared = headline_comparisons(trial);
    let several = trial.configurations.len() > 2;
    let plain: Vec<String> = (compared.iter())
        .filter_map(|comparison| {
            let value = comparison.as_measured_percent.filter(|v| v.is_finite())?;
            let decimals = percent_decimals(&comparison.percent);
            let whose = if several {
                format!(" for {}", pair_title(comparison))
            } else {
                String::new()
            };
            Some(format!("{}{s}%{whose}", signed(value, decimals)))
        })
        .collect();
    if plain.is_empty() {
        return None;
    }
    let not_logged = each_day(trial, |day| {
        let reason = day.wind_covariate.as_ref()?.reason.as_deref()?;
        Some(format!(" The wind log is not used for this: {reason}."))
    });
    Some(format!(
        "{} By the plain means of the double runs the change would be {}.{}",
        taken_out(adjustment),
        list(&plain),
        not_logged.concat()
    ))
}

/// What the comparison takes out, in one sentence.
pub(super) fn taken_out_in_short(adjustment: Adjustment) -> &'static str {
    match adjustment {
        Adjustment::Wind { .. } | Adjustment::StillWater | Adjustment::Logged => {
            "What the wind changed by from run to run is taken out of the answer."
        }
        Adjustment::Current { .. } => {
            "The two directions differ as in a current, which their mean takes out."
        }
        Adjustment::Both { .. } => {
            "Whether wind or current made the two directions differ does not show; the answer allows for either."
        }
        Adjustment::None(_) => "The two directions were about equally fast.",
    }
}

/// What the comparison takes out, a sentence or two.
fn taken_out(adjustment: Adjustment) -> String {
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
            "The two legs of a double run differ as in a wind (probability {}); what the wind changed by from run to run is taken out.",
            sure(share)
        ),
        Adjustment::StillWater => "The water is known to be still, so what the two legs of a double run differ by is the wind’s; what the wind changed by from run to run is taken out.".to_owned(),
        Adjustment::Current { share } => format!(
            "The two legs of a double run differ as in a current (probability {}). The mean of the two takes a current out, and what it changed by between the two legs is taken out too. A wind behind a current does not show; the interval allows for it.",
            sure(share)
        ),
        Adjustment::Both { wind } => format!(
            "The two legs of a double run differ by a wind or by a current; the track does not show which (wind with a probability of {}). The comparison averages over both, each with its weight.",
            sure(wind)
        ),
        Adjustment::Logged => "The wind log says how it blew during each double run; what the wind changed by from run to run is taken out.".to_owned(),
        Adjustment::None(NotAdjusted::OneRun) => {
            "One double run has nothing to be compared with.".to_owned()
        }
        Adjustment::None(NotAdjusted::NoHalfDifference) => {
            "The two legs of each double run were about equally fast, so there is no wind and no current along the line to take out.".to_owned()
        }
    }
}

/// What legs on several headings and full circles show; none where there are neither.
pub(crate) fn headings(trial: &Trial) -> Vec<String> {
    let clock = Clock::of(trial);
    let of_day = |day: &Day| -> Vec<String> {
        let fits = day.headings.iter().map(|fit| heading_fit(fit, trial.units));
        fits.chain(
            day.circles
                .iter()
                .map(|circle| around(circle, &clock, trial.units)),
        )
        .collect()
    };
    trial.days.iter().flat_map(of_day).collect()
}

fn heading_fit(fit: &HeadingFit, unit: SpeedUnit) -> String {
    let s = NO_BREAK_SPACE;
    let which = format!(
        "{} at setting {}",
        name(&fit.configuration),
        name(&fit.setting)
    );
    let drift = speed_with_unit(fit.drift_m_s, Some(fit.drift_se_m_s), unit);
    let error = speed_with_unit(fit.drift_se_m_s, Some(fit.drift_se_m_s), unit);
    let legs = fit.legs.len();
    if fit.shown {
        format!(
            "With {which} the boat was carried toward {}{s}(±{}°) at {drift}{s}(±{error}), by {legs} legs on several headings; the sign ± gives the standard error.",
            degrees(fit.toward_deg),
            fixed(fit.toward_se_deg, 0),
        )
    } else {
        format!(
            "With {which} the {legs} legs on several headings show no drift: what they differ by with the heading, {drift}{s}(±{error}), may be chance."
        )
    }
}

fn around(circle: &TurningCircle, clock: &Clock, unit: SpeedUnit) -> String {
    let toward = circle
        .toward_deg
        .map_or_else(String::new, |toward| format!(" toward {}", degrees(toward)));
    format!(
        "From {} to {} the boat turned through {} full circles, and was carried{toward} at {} meanwhile (IMO MSC/Circ.1053).",
        clock.minute(circle.start),
        clock.minute(circle.end),
        fixed(circle.turns, 1),
        speed_with_unit(circle.drift_m_s, Some(circle.spread_m_s), unit)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_of_the_compass() {
        let of = [0.0, 11.24, 11.26, 235.0, 359.9, -45.0].map(compass_point);
        assert_eq!(of, ["N", "N", "NNE", "SW", "N", "NW"]);
    }
}
