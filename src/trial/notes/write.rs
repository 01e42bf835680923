//! The notes as the tool understood them, for a person to correct and pass back.

use std::fmt::Write;

use super::clock::Clock;
use super::resolve::{ConfigurationMark, LegMark, Resolved, SettingMark};
use super::write_energy;
use crate::analysis::{Analysis, Leg, WindSource, ZoneSource};
use crate::units::{Bearing, Speed};

/// The notes as understood, from what was found and from the notes that were `given`
/// (`Resolved::default()` for none).
///
/// Reading them back gives the same configurations, settings and corrections. A wind that was
/// found rather than told stands in comments, so that passing the file back does not turn a
/// finding into a given.
pub fn write(analysis: &Analysis, given: &Resolved) -> String {
    let clock = Clock::of(analysis);
    let mut out = [
        head(analysis, &clock),
        wind(analysis),
        configurations(analysis, given, &clock),
        settings(analysis, given),
        corrections(analysis, given, &clock),
        legs(analysis, &clock),
    ]
    .join("\n");
    out.push_str(&write_energy::sections(&given.energy, &clock));
    out
}

fn head(analysis: &Analysis, clock: &Clock) -> String {
    let mut out = String::new();
    line(
        &mut out,
        "# The notes as understood from the track. Correct what is wrong and pass them back:",
    );
    line(&mut out, "#   thereback report TRACK --notes notes.toml");
    line(
        &mut out,
        &format!(
            "# Times are local ({}), written in 24 hours. Every line may be left out.\n",
            plain(&clock.name)
        ),
    );
    line(
        &mut out,
        &match &analysis.title {
            Some(title) => format!("title = {}", quoted(title)),
            None => "# title = \"What was compared\"".to_owned(),
        },
    );
    let known = analysis.timezone.source != ZoneSource::None;
    line(
        &mut out,
        &format!(
            "{}timezone = {}",
            if known { "" } else { "# " },
            quoted(&clock.name)
        ),
    );
    line(
        &mut out,
        &format!("units = {}", quoted(analysis.units.symbol())),
    );
    line(
        &mut out,
        &format!("clock = {}", quoted(analysis.clock.symbol())),
    );
    out
}

fn wind(analysis: &Analysis) -> String {
    let wind = &analysis.wind;
    let (remark, comment) = match wind.source {
        WindSource::Given => ("", ""),
        WindSource::Log => ("# The mean of the wind log over the trial.\n", ""),
        WindSource::Drift => (
            "# Read off the boat's drift while it lay idle. Take the # away to hold it fixed.\n",
            "# ",
        ),
        WindSource::Legs => (
            "# Read off the legs on several headings. Take the # away to hold it fixed.\n",
            "# ",
        ),
        WindSource::None => ("# Not known. Give it here, if you know it.\n", "# "),
    };
    let from = wind.from_deg.and_then(Bearing::new);
    let speed = wind.speed_m_s.map(Speed::metres_per_second);
    let mut out = format!("[wind] # true wind\n{remark}");
    line(
        &mut out,
        &match from {
            Some(from) => format!("{comment}from = {}", decimals(from.degrees(), 1)),
            None => "# from = \"...\" # degrees true, or a compass point such as \"SW\"".to_owned(),
        },
    );
    line(
        &mut out,
        &match speed {
            Some(speed) => format!(
                "{comment}speed = \"{} {}\"",
                decimals(speed.in_unit(analysis.units), 3),
                analysis.units
            ),
            None => format!(
                "# speed = \"...\" # with its unit, such as \"11 {}\"",
                analysis.units
            ),
        },
    );
    out
}

fn configurations(analysis: &Analysis, given: &Resolved, clock: &Clock) -> String {
    let found = found_configurations(analysis, clock);
    let known = |mark: &ConfigurationMark| found.iter().any(|found| found.name == mark.name);
    let timed = given.configurations.iter().any(|mark| mark.from.is_some());
    // Names without times get the times found, unless the names could not be used.
    let marks = if timed || !given.configurations.iter().all(known) {
        &given.configurations
    } else {
        &found
    };
    let mut out = "# Configurations in the order they were fitted. `from` is a time, or the name of a waypoint\n\
                   # marked on the plotter.\n"
        .to_owned();
    for mark in marks {
        line(&mut out, "[[configuration]]");
        line(&mut out, &format!("name = {}", quoted(&mark.name)));
        out.push_str(&write_energy::pitch(&given.energy, &mark.name));
        line(
            &mut out,
            &match mark.from {
                Some(from) => format!("from = {}\n", quoted(&clock.text(from))),
                None => "# from = \"09:12\"\n".to_owned(),
            },
        );
    }
    if marks.is_empty() {
        line(
            &mut out,
            "# [[configuration]]\n# name = \"three blades\"\n# from = \"09:12\"\n",
        );
    }
    out.pop();
    out
}

/// One entry for each stretch of legs in one configuration, so that one fitted twice comes twice.
fn found_configurations(analysis: &Analysis, clock: &Clock) -> Vec<ConfigurationMark> {
    let mut found: Vec<ConfigurationMark> = Vec::new();
    let mut last_end = None;
    for leg in &analysis.legs {
        let Some(name) = &leg.configuration else {
            continue;
        };
        if found.last().map(|mark| &mark.name) != Some(name) {
            found.push(ConfigurationMark {
                name: name.clone(),
                from: Some(clock.at_or_before(leg.start, last_end)),
            });
        }
        last_end = Some(leg.end);
    }
    found
}

fn settings(analysis: &Analysis, given: &Resolved) -> String {
    let found: Vec<SettingMark> = analysis
        .settings
        .iter()
        .map(|setting| SettingMark {
            name: setting.name.clone(),
            percent: setting.percent,
        })
        .collect();
    let marks = if given.settings.is_empty() {
        &found
    } else {
        &given.settings
    };
    let mut out = "# Settings, slowest first.\n".to_owned();
    for setting in marks {
        line(&mut out, "[[setting]]");
        line(&mut out, &format!("name = {}", quoted(&setting.name)));
        line(
            &mut out,
            &match setting.percent {
                Some(percent) => format!("percent = {percent}\n"),
                None => "# percent = 50\n".to_owned(),
            },
        );
    }
    if marks.is_empty() {
        line(
            &mut out,
            "# [[setting]]\n# name = \"half\"\n# percent = 50\n",
        );
    }
    out.pop();
    out
}

fn corrections(analysis: &Analysis, given: &Resolved, clock: &Clock) -> String {
    let mut out = "# Corrections of single legs, each named by any time inside it.\n".to_owned();
    let example = analysis.legs.iter().find(|leg| leg.included);
    let at = example.map_or_else(|| "09:47".to_owned(), |leg| clock.text(clock.inside(leg)));
    line(&mut out, "# [[leg]]");
    line(&mut out, &format!("# at = {}", quoted(&at)));
    line(
        &mut out,
        "# exclude = \"ferry wake\" # or configuration = \"...\", or setting = \"...\"",
    );
    for mark in &given.legs {
        out.push_str(&correction(mark, clock));
    }
    out
}

fn correction(mark: &LegMark, clock: &Clock) -> String {
    let mut out = format!("\n[[leg]]\nat = {}\n", quoted(&clock.text(mark.at)));
    for (key, value) in [
        ("exclude", &mark.exclude),
        ("configuration", &mark.configuration),
        ("setting", &mark.setting),
    ] {
        if let Some(value) = value {
            line(&mut out, &format!("{key} = {}", quoted(value)));
        }
    }
    out
}

fn legs(analysis: &Analysis, clock: &Clock) -> String {
    let describe = |leg: &Leg| {
        let course = Bearing::new(leg.course_deg).map_or_else(String::new, |b| b.to_string());
        let speed = leg.speed_m_s.map_or_else(
            || "speed not known".to_owned(),
            |v| {
                let speed = Speed::metres_per_second(v).in_unit(analysis.units);
                format!("{speed:.2} {}", analysis.units)
            },
        );
        let (start, end) = (clock.second(leg.start), clock.second(leg.end));
        format!("# leg {:>2}: {start} to {end}, {course}, {speed}", leg.leg)
    };
    let mut out = "# Legs that count:\n".to_owned();
    for leg in analysis.legs.iter().filter(|leg| leg.included) {
        let unknown = || "not known".to_owned();
        line(
            &mut out,
            &format!(
                "{}, configuration {}, setting {}",
                describe(leg),
                leg.configuration.as_deref().map_or_else(unknown, plain),
                leg.setting.as_deref().map_or_else(unknown, plain),
            ),
        );
    }
    line(&mut out, "# Legs left out:");
    for leg in analysis.legs.iter().filter(|leg| !leg.included) {
        let reason = leg.reason.as_deref().unwrap_or("no reason given");
        line(&mut out, &format!("{} ({})", describe(leg), plain(reason)));
    }
    out
}

fn line(out: &mut String, text: &str) {
    // Writing to a `String` cannot fail.
    let _ = writeln!(out, "{text}");
}

/// A number with at most so many decimals and no idle zeros.
fn decimals(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

/// Untrusted text that must stay on one line of comment.
fn plain(text: &str) -> String {
    text.replace(char::is_control, " ")
}

/// A TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => {
                out.push('\\');
                out.push(letter);
            }
            letter if letter.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}
