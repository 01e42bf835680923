//! The day in words: when it was, what was found in it, the wind, the files, and what to do next time.

use super::{capital, counted, list, name, one_line, pair_title};
use crate::day::WindSource;
use crate::report::clock::{Clock, span};
use crate::report::rounding::{NO_BREAK_SPACE, axis, count, degrees, speed_with_unit};
use crate::trial::{Trial, Warning};

/// The sixteen points of the compass, from north.
const POINTS: [&str; 16] = [
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
];

/// The title from the notes; else what was compared, where the notes named it; else that it is a trial.
pub fn title(analysis: &Trial) -> String {
    if let Some(title) = analysis.title.as_deref().filter(|t| !t.trim().is_empty()) {
        return name(title);
    }
    analysis.comparisons.first().map_or_else(
        || "Speed trial".to_owned(),
        |first| capital(&pair_title(first)),
    )
}

/// `4 June 2025, 09:12 to 13:05 (Europe/Stockholm)`.
pub fn day_line(analysis: &Trial) -> String {
    let clock = Clock::of(analysis);
    span(analysis).map_or_else(
        || "No time was recorded".to_owned(),
        |(from, to)| {
            let range = format!("{} ({})", clock.range(from, to), name(clock.zone_name()));
            match analysis.days.len() {
                0 | 1 => range,
                days => format!("{}, {range}", counted(days, "day", "days")),
            }
        },
    )
}

/// `24 legs and 12 double runs on one course line (072°/252°), …`: a sentence.
pub fn found(analysis: &Trial) -> String {
    let legs = match analysis.legs.len() {
        0 => "no leg".to_owned(),
        some => counted(some, "leg", "legs"),
    };
    if analysis.double_runs.is_empty() {
        return format!("Found {legs} and no double run.");
    }
    let runs = counted(analysis.double_runs.len(), "double run", "double runs");
    let mut axes: Vec<String> = analysis
        .lines
        .iter()
        .filter(|line| analysis.double_runs.iter().any(|run| run.line == line.line))
        .map(|line| axis(line.axis_deg))
        .collect();
    if analysis.days.len() > 1 {
        // One line on several days is found on each of them.
        axes.sort_unstable();
        axes.dedup();
    }
    let days = match analysis.days.len() {
        0 | 1 => String::new(),
        several => format!(" on {several} days"),
    };
    let lines = match axes.len() {
        0 => String::new(),
        1 => format!(" on one course line ({})", list(&axes)),
        several @ 2..=4 => format!(" on {several} course lines ({})", list(&axes)),
        several => format!(" on {several} course lines"),
    };
    let paired = 2 * analysis.double_runs.len();
    format!(
        "Of {legs} found, {paired} make {runs}{lines}{days}: {} at {}.",
        counted(
            analysis.configurations.len(),
            "configuration",
            "configurations"
        ),
        counted(analysis.settings.len(), "setting", "settings")
    )
}

/// Where the wind stood, how strong, and how that is known: a sentence or two.
pub fn wind(analysis: &Trial) -> String {
    if analysis.days.len() > 1 {
        return super::days::winds(analysis);
    }
    let remark = analysis
        .wind
        .remark
        .as_deref()
        .map_or_else(String::new, |remark| {
            format!(" {}.", capital(one_line(remark).trim_end_matches('.')))
        });
    format!("{}{remark}", wind_stood(analysis))
}

/// The same without what a known wind was read off: one sentence where there are several days.
pub(super) fn wind_in_short(analysis: &Trial) -> String {
    if analysis.wind.from_deg.is_some() {
        wind_stood(analysis)
    } else {
        wind(analysis)
    }
}

fn wind_stood(analysis: &Trial) -> String {
    let wind = &analysis.wind;
    let Some(from) = wind.from_deg.filter(|deg| deg.is_finite()) else {
        return "The wind is not known.".to_owned();
    };
    let s = NO_BREAK_SPACE;
    let within = wind
        .from_se_deg
        .filter(|se| se.is_finite())
        .map_or_else(String::new, |se| {
            format!(", give or take {:.0}°", (2.0 * se).ceil())
        });
    let speed = wind.speed_m_s.map_or_else(String::new, |speed| {
        // A wind is never known to more than a tenth of itself.
        format!(
            ", {}",
            speed_with_unit(speed, Some(speed * 0.1), analysis.units)
        )
    });
    let source = match wind.source {
        WindSource::Given => "as given",
        WindSource::Log => "from the wind log",
        WindSource::Drift => "read off the boat’s drift as it lay idle",
        WindSource::Legs => "read off legs on several headings",
        WindSource::None => "from an unnamed source",
    };
    format!(
        "Wind from {}{s}({}){within}{speed}, {source}.",
        degrees(from),
        compass_point(from)
    )
}

/// One line a file: fixes read, used, set aside and why.
pub fn file_lines(analysis: &Trial) -> Vec<String> {
    analysis
        .tracks
        .iter()
        .map(|track| {
            let reasons: Vec<String> = track
                .set_aside
                .iter()
                .map(|aside| format!("{} {}", count(aside.count), name(&aside.reason)))
                .collect();
            let aside = if reasons.is_empty() {
                "none set aside".to_owned()
            } else {
                format!("set aside: {}", list(&reasons))
            };
            format!(
                "{}: {} of {} fixes used; {aside}.",
                name(&track.file),
                count(track.fixes_used),
                count(track.fixes_read)
            )
        })
        .collect()
}

/// The warnings as sentences, without those whose matter the answer itself tells.
pub fn warnings(analysis: &Trial) -> Vec<String> {
    analysis
        .warnings
        .iter()
        .filter(|warning| {
            !matches!(
                warning,
                Warning::NoDoubleRuns { .. } | Warning::NothingToCompare | Warning::NoSharedSetting
            )
        })
        .map(|warning| one_line(&warning.text_in(analysis.units)))
        .collect()
}

/// What to do next time, most useful first; empty where the answer stands as it is.
pub fn next_time(analysis: &Trial) -> Vec<String> {
    let mut advice: Vec<String> = Vec::new();
    if analysis.double_runs.is_empty() {
        advice.push("Choose one straight line of at least a quarter of a mile in open, deep water, along the wind or across it but always the same.".to_owned());
        advice.push("Run it there and back at one power setting without touching the control, each way for three minutes or more, and hold the heading steady.".to_owned());
        advice.push(
            "Set the recorder to its shortest interval, one fix a second if it can.".to_owned(),
        );
    }
    let unclear = analysis
        .warnings
        .iter()
        .any(|warning| matches!(warning, Warning::UnclearGroups { .. }));
    if unclear {
        advice.push("Look through notes.toml beside this page: it says what was fitted when, as the track was read. Correct what is wrong and run again with --notes; the comparison then follows.".to_owned());
    } else if analysis.comparisons.is_empty() {
        advice.push("Make three double runs at each setting with the old part, change it, and make three with the new one; better still, go back to the old part at the end.".to_owned());
        if analysis.configurations.len() == 1 {
            advice.push("If a part was in fact changed, write the time of the change into notes.toml and run again with --notes.".to_owned());
        }
    }
    let short = analysis
        .warnings
        .iter()
        .any(|warning| matches!(warning, Warning::ShortApproach { .. }));
    if short && !analysis.double_runs.is_empty() && analysis.comparisons.is_empty() {
        advice.push(
            "Make the legs longer: after a turn a boat needs a while to gather its speed again."
                .to_owned(),
        );
    }
    advice
}

fn compass_point(from_deg: f64) -> &'static str {
    let sector = (from_deg.rem_euclid(360.0) / 22.5).round() as usize % POINTS.len();
    POINTS.get(sector).copied().unwrap_or("N")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_of_the_compass() {
        assert_eq!(compass_point(0.0), "N");
        assert_eq!(compass_point(11.24), "N");
        assert_eq!(compass_point(11.26), "NNE");
        assert_eq!(compass_point(235.0), "SW");
        assert_eq!(compass_point(359.9), "N");
        assert_eq!(compass_point(-45.0), "NW");
    }
}
