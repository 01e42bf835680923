//! The notes as the tool understood them, for a person to correct and pass back.

use std::fmt::{Display, Write};

use jiff::Timestamp;

use super::clock::{Clock, full_second};
use super::zone;
use super::{ConfigurationNote, Draw, EnergyNotes, LegName, LegNote, Notes, SettingNote, When};
use crate::analysis::{Analysis, Leg, WindSource, ZoneSource};
use crate::units::{Bearing, ClockFace, Speed};

/// The notes as understood, from what was found and from the notes that were `given`
/// (`Notes::default()` for none).
///
/// Reading them back gives the same configurations, settings and corrections. What was found
/// rather than given, such as the wind, is written in comments, so that passing the file back does
/// not turn a finding into a given.
pub fn write(analysis: &Analysis, given: &Notes) -> String {
    let clock = clock(analysis);
    let mut out = head(analysis);
    out.push_str(&wind(analysis, given));
    out.push_str(&match analysis.current.or(given.current) {
        Some(current) => format!("\n[water]\ncurrent = {}\n", quoted(current.word())),
        None => "\n[water]\n# current = \"none\" # is there a current here? none, river or tide\n"
            .to_owned(),
    });
    out.push_str(&configurations(analysis, given, &clock));
    out.push_str(&settings(analysis, given));
    out.push_str(&energy(&given.energy));
    out.push_str(&how_to_correct(analysis, &clock));
    for note in &given.legs {
        out.push_str(&leg(note));
    }
    out.push_str(&listed(analysis, &clock));
    out
}

/// The clock of the trial; times in notes are written in 24 hours.
fn clock(analysis: &Analysis) -> Clock {
    let from = analysis.tracks.iter().filter_map(|track| track.from).min();
    let to = analysis.tracks.iter().filter_map(|track| track.to).max();
    let track = from.zip(to).map(|(from, to)| [from, to]);
    let zone = zone::named(&analysis.timezone.name).unwrap_or(jiff::tz::TimeZone::UTC);
    Clock::new(zone, ClockFace::Hours24, track)
}

fn head(analysis: &Analysis) -> String {
    let zone = &analysis.timezone;
    let known = if zone.source == ZoneSource::None {
        "# "
    } else {
        ""
    };
    let title = analysis.title.as_ref().map_or_else(
        || "# title = \"What was compared\"".to_owned(),
        |title| format!("title = {}", quoted(title)),
    );
    format!(
        "# The notes as understood from the track. Correct what is wrong and pass them back:\n\
         #   thereback report TRACK --notes notes.toml\n\
         # Times are local ({}), in 24 hours. Every line may be left out.\n\n\
         {title}\n\
         {known}timezone = {}\n\
         units = {}\n\
         clock = {}\n",
        plain(&zone.name),
        quoted(&zone.name),
        quoted(analysis.units.symbol()),
        quoted(analysis.clock.symbol())
    )
}

fn wind(analysis: &Analysis, given: &Notes) -> String {
    let wind = &analysis.wind;
    let (remark, comment) = match wind.source {
        WindSource::Given => ("", ""),
        WindSource::Log => ("# The mean of the wind log over the trial.\n", "# "),
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
    let mut out = format!("\n[wind] # true wind\n{remark}");
    out.push_str(&match wind.from_deg.and_then(Bearing::new) {
        Some(from) => format!("{comment}from = {}\n", rounded(from.degrees(), 1)),
        None => "# from = \"SW\" # or degrees true\n".to_owned(),
    });
    let units = analysis.units;
    out.push_str(&match wind.speed_m_s.map(Speed::metres_per_second) {
        Some(speed) => format!(
            "{comment}speed = \"{} {units}\"\n",
            rounded(speed.in_unit(units), 3)
        ),
        None => format!("# speed = \"11 {units}\"\n"),
    });
    let log = given.wind.log.as_deref();
    out.push_str(&log.map_or_else(String::new, |name| log_elsewhere(name, "--wind-log")));
    out
}

/// A log was named relative to the notes it was in, which may lie in another folder.
fn log_elsewhere(name: &str, option: &str) -> String {
    format!(
        "# The log was {}: name it from this folder, or give it with {option}.\n# log = \"...\"\n",
        quoted(name)
    )
}

fn configurations(analysis: &Analysis, given: &Notes, clock: &Clock) -> String {
    let noted = &given.configurations;
    let found = found_configurations(analysis, given, clock);
    let known = |note: &ConfigurationNote| found.iter().any(|(f, _)| f.name == note.name);
    let timed = noted.iter().any(|note| note.from.is_some());
    let mut out = "\n# What was fitted, in order. `from` is a time, or the name of a waypoint \
                   marked on the plotter.\n"
        .to_owned();
    // Names without times get the times found, unless the names could not be used.
    if timed || !noted.iter().all(known) {
        out.extend(noted.iter().map(|note| configuration(note, "")));
    } else {
        out.extend(
            found
                .iter()
                .map(|(note, remark)| configuration(note, remark)),
        );
    }
    if noted.is_empty() && found.is_empty() {
        out.push_str("# [[configuration]]\n# name = \"three blades\"\n# from = \"09:12\"\n");
    }
    out.trim_end().to_owned() + "\n"
}

/// One entry for each stretch of legs in one configuration, so that one fitted twice comes twice,
/// each with a remark on the stop in which it was fitted.
fn found_configurations(
    analysis: &Analysis,
    given: &Notes,
    clock: &Clock,
) -> Vec<(ConfigurationNote, String)> {
    let mut legs: Vec<&Leg> = analysis.legs.iter().collect();
    legs.sort_by_key(|leg| leg.start);
    let mut found: Vec<(ConfigurationNote, String)> = Vec::new();
    // The longest time without a leg since the last run.
    let mut pause: Option<[&Leg; 2]> = None;
    let length = |[before, after]: [&Leg; 2]| after.start.duration_since(before.end);
    let mut before: Option<&Leg> = None;
    for leg in legs {
        if let Some(before) = before {
            let next = [before, leg];
            pause = pause.filter(|p| length(*p) >= length(next)).or(Some(next));
        }
        before = Some(leg);
        let Some(name) = &leg.configuration else {
            continue;
        };
        let same = found.last().is_some_and(|(note, _)| note.name == *name);
        if !same {
            let pitch = given.configurations.iter().find(|note| note.name == *name);
            let fitted = pause.filter(|_| !found.is_empty());
            let from =
                fitted.map(|[before, after]| clock.when(clock.between(before.end, after.start)));
            let remark = fitted.map_or_else(
                || "from the start".to_owned(),
                |[before, after]| {
                    let stop = clock.about([before.end, after.start]);
                    format!("between legs {} and {}, {stop}", before.leg, after.leg)
                },
            );
            let note = ConfigurationNote {
                name: name.clone(),
                from,
                pitch_m: pitch.and_then(|note| note.pitch_m),
                line: 0,
            };
            found.push((note, remark));
        }
        pause = None;
    }
    found
}

/// A `[[configuration]]` with a remark, and a blank line.
pub(crate) fn configuration(note: &ConfigurationNote, remark: &str) -> String {
    let mut out = table("configuration", remark);
    key(&mut out, "name", Some(quoted(&note.name)));
    let pitch = note
        .pitch_m
        .map(|m| format!("\"{} mm\"", rounded(m * 1e3, 3)));
    key(&mut out, "pitch", pitch);
    key(&mut out, "from", note.from.as_ref().map(time));
    out + "\n"
}

fn settings(analysis: &Analysis, given: &Notes) -> String {
    let mut out = "\n# Settings, slowest first.\n".to_owned();
    if given.settings.is_empty() {
        out.extend(analysis.settings.iter().map(|found| {
            setting(&SettingNote {
                name: found.name.clone(),
                percent: found.percent,
                line: 0,
            })
        }));
    } else {
        out.extend(given.settings.iter().map(setting));
    }
    if given.settings.is_empty() && analysis.settings.is_empty() {
        out.push_str("# [[setting]]\n# name = \"half\"\n# percent = 50\n");
    }
    out.trim_end().to_owned() + "\n"
}

/// A `[[setting]]`, and a blank line.
pub(crate) fn setting(note: &SettingNote) -> String {
    let mut out = table("setting", "");
    key(&mut out, "name", Some(quoted(&note.name)));
    match note.percent {
        Some(_) => key(&mut out, "percent", note.percent),
        None => out.push_str("# percent = ... # of full power\n"),
    }
    out + "\n"
}

/// The corrections there are, with this day's own numbers.
fn how_to_correct(analysis: &Analysis, clock: &Clock) -> String {
    let mut out =
        "\n# To correct a leg, name it by its number or by a time in it (`at = \"09:47\"`); \
                   take the # away:\n"
            .to_owned();
    let span = |leg: &Leg| clock.about([leg.start, leg.end]);
    let left_out = analysis.legs.iter().find(|leg| !leg.included);
    if let Some(leg) = left_out {
        let why = leg.reason.as_deref().unwrap_or("no reason given");
        let _ = write!(
            out,
            "# [[leg]] # leg {0}, {1}, was left out: {2}\n# leg = {0}\n# include = true\n\n",
            leg.leg,
            span(leg),
            plain(why)
        );
    }
    let counted: Vec<&Leg> = analysis.legs.iter().filter(|leg| leg.included).collect();
    if let Some(leg) = counted.first() {
        let _ = write!(
            out,
            "# [[leg]] # leg {0}, {1}, counts\n# leg = {0}\n# exclude = \"ferry wake\"\n\n",
            leg.leg,
            span(leg)
        );
    }
    let quoted_time = |at: Timestamp| time(&clock.when(full_second(at)));
    let (cut, start, end) = counted.first().map_or_else(
        || {
            (
                "\"09:49:30\"".to_owned(),
                "\"09:46\"".to_owned(),
                "\"09:52\"".to_owned(),
            )
        },
        |leg| {
            let middle = clock.between(leg.start, leg.end);
            (
                quoted_time(middle),
                quoted_time(leg.start),
                quoted_time(leg.end),
            )
        },
    );
    let run = analysis.double_runs.first();
    let pair = run.map_or(13, |run| run.legs[1]);
    let _ = write!(
        out,
        "# Or join = \"next\", cut = {cut}, start = {start}, end = {end},\n\
         # pair = {pair} (the leg back), configuration = \"...\", setting = \"...\", watts = 290.\n"
    );
    out
}

fn leg(note: &LegNote) -> String {
    let mut out = format!("\n{}", table("leg", ""));
    let named = |name: &LegName| match name {
        LegName::Number(number) => number.to_string(),
        LegName::At(when) => time(when),
    };
    let text = |text: &Option<String>| text.as_deref().map(quoted);
    let by = match note.leg {
        LegName::Number(_) => "leg",
        LegName::At(_) => "at",
    };
    key(&mut out, by, Some(named(&note.leg)));
    key(&mut out, "include", note.include.then_some(true));
    key(&mut out, "exclude", text(&note.exclude));
    key(&mut out, "join", note.join_next.then_some("\"next\""));
    key(&mut out, "cut", note.cut.as_ref().map(time));
    key(&mut out, "start", note.start.as_ref().map(time));
    key(&mut out, "end", note.end.as_ref().map(time));
    key(&mut out, "pair", note.pair.as_ref().map(named));
    key(&mut out, "configuration", text(&note.configuration));
    key(&mut out, "setting", text(&note.setting));
    draw(&mut out, note.draw);
    out
}

/// What was found, one line for each double run and each leg left out.
fn listed(analysis: &Analysis, clock: &Clock) -> String {
    let mut out = String::new();
    let at = |number: usize| analysis.legs.iter().find(|leg| leg.leg == number);
    if !analysis.double_runs.is_empty() {
        out.push_str("\n# Double runs:\n");
    }
    for run in &analysis.double_runs {
        let [one, other] = run.legs;
        let span = at(one)
            .zip(at(other))
            .map_or_else(String::new, |(one, other)| {
                clock.about([one.start.min(other.start), one.end.max(other.end)])
            });
        let speed = Speed::metres_per_second(run.mean_m_s).in_unit(analysis.units);
        let _ = writeln!(
            out,
            "# legs {one} and {other}, {span}, {speed:.2} {}: {} at {}{}",
            analysis.units,
            plain(&run.configuration),
            plain(&run.setting),
            if run.included { "" } else { ", does not count" }
        );
    }
    let mut left_out = analysis.legs.iter().filter(|leg| !leg.included).peekable();
    if left_out.peek().is_some() {
        out.push_str("\n# Legs left out:\n");
    }
    for leg in left_out {
        let _ = writeln!(
            out,
            "# leg {}, {}: {}",
            leg.leg,
            clock.about([leg.start, leg.end]),
            plain(leg.reason.as_deref().unwrap_or("no reason given"))
        );
    }
    out
}

/// The tables of [`EnergyNotes`] that hold anything; empty where none does.
fn energy(energy: &EnergyNotes) -> String {
    let mut out = String::new();
    let log = &energy.log;
    if log.log.is_some() || log.clock_offset.is_some() {
        out.push_str("\n[power]\n");
        let name = log.log.as_deref();
        out.push_str(&name.map_or_else(String::new, |name| log_elsewhere(name, "--power-log")));
        let offset = log
            .clock_offset
            .map(|offset| quoted(&format!("{offset:#}")));
        key(&mut out, "clock_offset", offset);
    }
    // Enough digits for any share a person would write, none of the rounding.
    let share = |value: Option<f64>| value.map(|v| format!("\"{} %\"", rounded(v * 100.0, 6)));
    if let Some(battery) = energy.battery {
        out.push_str("\n[battery]\n");
        key(&mut out, "amp_hours", battery.amp_hours);
        key(&mut out, "volts", battery.volts);
        key(&mut out, "watt_hours", battery.watt_hours);
        key(&mut out, "usable", share(battery.usable));
    }
    let motor = energy.motor;
    if motor.limit_watts.is_some() || motor.limit_amps.is_some() {
        out.push_str("\n[motor]\n");
        key(&mut out, "limit_watts", motor.limit_watts);
        key(&mut out, "limit_amps", motor.limit_amps);
    }
    if let Some(home) = energy.home {
        out.push_str("\n[home]\n");
        key(&mut out, "lat", Some(home.position.latitude()));
        key(&mut out, "lon", Some(home.position.longitude()));
        key(&mut out, "reserve", share(home.reserve));
    }
    for reading in &energy.readings {
        out.push('\n');
        out.push_str(&table("reading", ""));
        key(
            &mut out,
            "configuration",
            Some(quoted(&reading.configuration)),
        );
        key(&mut out, "setting", Some(quoted(&reading.setting)));
        draw(&mut out, reading.draw);
        key(&mut out, "rpm", reading.rpm);
    }
    out
}

fn draw(out: &mut String, draw: Draw) {
    key(out, "watts", draw.watts);
    key(out, "volts", draw.volts);
    key(out, "amps", draw.amps);
}

fn table(name: &str, remark: &str) -> String {
    match remark {
        "" => format!("[[{name}]]\n"),
        remark => format!("[[{name}]] # {}\n", plain(remark)),
    }
}

/// A line for what is known.
fn key(out: &mut String, key: &str, value: Option<impl Display>) {
    if let Some(value) = value {
        // Writing to a `String` cannot fail.
        let _ = writeln!(out, "{key} = {value}");
    }
}

fn time(when: &When) -> String {
    quoted(&when.to_string())
}

/// A number with at most so many decimals and no idle zeros.
fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

/// Untrusted text that must stay on one line of comment.
fn plain(text: &str) -> String {
    text.replace(char::is_control, " ").trim_end().to_owned()
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
