//! The notes as the tool understood them, for a person to correct and pass back.

use std::fmt::{Display, Write};

use super::clock::{Clock, full_second};
use super::{ConfigurationNote, Draw, EnergyNotes, LegName, LegNote, Notes, zone};
use crate::day::{Leg, WindSource};
use crate::trial::{Trial, ZoneSource};
use crate::units::{Bearing, ClockFace, Current, Speed};

/// The notes as understood, from what was found and from the notes that were `given`
/// (`Notes::default()` for none).
///
/// Reading them back gives the same configurations, settings and corrections. What was found
/// rather than given, such as the wind, is written in comments, so that passing the file back does
/// not turn a finding into a given.
pub fn write(analysis: &Trial, given: &Notes) -> String {
    let clock = clock(analysis);
    [
        head(analysis),
        wind(analysis, given),
        water(analysis.current.or(given.current)),
        configurations(analysis, given, &clock),
        settings(analysis, given),
        energy(&given.energy),
        how_to_correct(analysis, &clock),
        given.legs.iter().map(leg).collect(),
        listed(analysis, &clock),
    ]
    .concat()
}

/// The clock of the trial; times in notes are written in 24 hours.
fn clock(analysis: &Trial) -> Clock {
    let from = analysis.tracks.iter().filter_map(|track| track.from).min();
    let to = analysis.tracks.iter().filter_map(|track| track.to).max();
    let track = from.zip(to).map(|(from, to)| [from, to]);
    let zone = zone::named(&analysis.timezone.name).unwrap_or(jiff::tz::TimeZone::UTC);
    Clock::new(zone, ClockFace::Hours24, track)
}

fn head(analysis: &Trial) -> String {
    let zone = &analysis.timezone;
    let known = zone.source != ZoneSource::None;
    let title = analysis.title.as_deref();
    format!(
        "# The notes as understood from the track. Correct what is wrong and pass them back:\n\
         #   thereback report TRACK --notes notes.toml\n\
         # Times are local ({}), in 24 hours. Every line may be left out.\n\n\
         {}title = {}\n{}timezone = {}\nunits = \"{}\"\nclock = \"{}\"\n\
         {}resolve = \"{} %\" # the smallest change worth knowing\n",
        plain(&zone.name),
        if title.is_some() { "" } else { "# " },
        quoted(title.unwrap_or("What was compared")),
        if known { "" } else { "# " },
        quoted(&zone.name),
        analysis.units.symbol(),
        analysis.clock.symbol(),
        if analysis.resolve_percent.is_some() {
            ""
        } else {
            "# "
        },
        analysis.resolve_percent.unwrap_or(5.0)
    )
}

fn wind(analysis: &Trial, given: &Notes) -> String {
    let (wind, units) = (&analysis.wind, analysis.units);
    let remark = match wind.source {
        WindSource::Given => "",
        WindSource::Log => "; here the mean of the log over the trial",
        WindSource::Drift => "; read off the boat's drift. Take the # away to hold it fixed",
        WindSource::Legs => "; read off legs on several headings. Take the # away to hold it fixed",
        WindSource::None => "; not known. Give it here, if you know it",
    };
    let from = wind.from_deg.and_then(Bearing::new);
    let speed = wind
        .speed_m_s
        .map(|v| Speed::metres_per_second(v).in_unit(units));
    let comment = |known: bool| {
        if known && wind.source == WindSource::Given {
            ""
        } else {
            "# "
        }
    };
    format!(
        "\n[wind] # true wind{remark}\n{}from = {}\n{}speed = \"{} {units}\"\n{}",
        comment(from.is_some()),
        from.map_or("\"SW\"".to_owned(), |from| rounded(from.degrees(), 1)
            .to_string()),
        comment(speed.is_some()),
        rounded(speed.unwrap_or(11.0), 3),
        log_elsewhere(given.wind.log.as_deref(), "--wind-log")
    )
}

/// A log was named relative to the notes it was in, which may lie in another folder.
fn log_elsewhere(name: Option<&str>, option: &str) -> String {
    name.map_or_else(String::new, |name| {
        format!(
            "# log = {} # name it from this folder, or give it with {option}\n",
            quoted(name)
        )
    })
}

/// `[water]`, in comments where it is not known.
pub(crate) fn water(current: Option<Current>) -> String {
    let (comment, current) = match current {
        Some(current) => ("", current),
        None => ("# ", Current::None),
    };
    format!(
        "\n[water]\n{comment}current = \"{}\" # is there a current here? none, river or tide\n",
        current.word()
    )
}

fn configurations(analysis: &Trial, given: &Notes, clock: &Clock) -> String {
    let noted = &given.configurations;
    let found = found_configurations(analysis, given, clock);
    let known = |note: &ConfigurationNote| found.iter().any(|(f, _)| f.name == note.name);
    let timed = noted.iter().any(|note| note.from.is_some());
    // Names without times get the times found, unless the names could not be used.
    let entries: String = if timed || !noted.iter().all(known) {
        noted.iter().map(|note| configuration(note, "")).collect()
    } else if found.is_empty() {
        "\n# [[configuration]]\n# name = \"three blades\"\n# from = \"09:12\"\n".to_owned()
    } else {
        found
            .iter()
            .map(|(note, remark)| configuration(note, remark))
            .collect()
    };
    format!(
        "\n# What was fitted, in order. `from` is a time, or the name of a waypoint marked on the \
         plotter.{entries}"
    )
}

/// One entry for each stretch of legs in one configuration, so that one fitted twice comes twice,
/// each with a remark on the longest time without a leg before it.
fn found_configurations(
    analysis: &Trial,
    given: &Notes,
    clock: &Clock,
) -> Vec<(ConfigurationNote, String)> {
    let mut legs: Vec<&Leg> = analysis.legs.iter().collect();
    legs.sort_by_key(|leg| leg.start);
    let mut found: Vec<(ConfigurationNote, String)> = Vec::new();
    let length = |[before, after]: [&Leg; 2]| after.start.duration_since(before.end);
    let mut pause: Option<[&Leg; 2]> = None;
    let mut before: Option<&Leg> = None;
    for leg in legs {
        let next = before.replace(leg).map(|before| [before, leg]);
        pause = pause
            .into_iter()
            .chain(next)
            .max_by_key(|pause| length(*pause));
        let Some(name) = &leg.configuration else {
            continue;
        };
        let fitted = pause.take().filter(|_| !found.is_empty());
        if found.last().is_some_and(|(note, _)| note.name == *name) {
            continue;
        }
        let remark = fitted.map_or("from the start".to_owned(), |[before, after]| {
            let stop = clock.about([before.end, after.start]);
            format!("between legs {} and {}, {stop}", before.leg, after.leg)
        });
        let noted = given.configurations.iter().find(|note| note.name == *name);
        let note = ConfigurationNote {
            name: name.clone(),
            from: fitted.map(|[a, b]| clock.when(clock.between(a.end, b.start))),
            pitch_m: noted.and_then(|note| note.pitch_m),
            line: 0,
        };
        found.push((note, remark));
    }
    found
}

/// A `[[configuration]]` with a remark.
pub(crate) fn configuration(note: &ConfigurationNote, remark: &str) -> String {
    let pitch = note
        .pitch_m
        .map(|m| format!("\"{} mm\"", rounded(m * 1e3, 3)));
    Table::new("configuration", remark)
        .text("name", Some(&note.name))
        .key("pitch", pitch)
        .text("from", note.from.as_ref())
        .0
}

fn settings(analysis: &Trial, given: &Notes) -> String {
    let found = analysis
        .settings
        .iter()
        .map(|s| setting(&s.name, s.percent));
    let noted = given.settings.iter().map(|s| setting(&s.name, s.percent));
    let entries: String = if given.settings.is_empty() {
        found.collect()
    } else {
        noted.collect()
    };
    let none = "\n# [[setting]]\n# name = \"half\"\n# percent = 50\n";
    let entries = if entries.is_empty() { none } else { &entries };
    format!("\n# Settings, slowest first.{entries}")
}

/// A `[[setting]]`.
pub(crate) fn setting(name: &str, percent: Option<f64>) -> String {
    let table = Table::new("setting", "").text("name", Some(name));
    match percent {
        Some(_) => table.key("percent", percent).0,
        None => table.0 + "# percent = ... # of full power\n",
    }
}

/// The corrections there are, with this day's own numbers.
fn how_to_correct(analysis: &Trial, clock: &Clock) -> String {
    let mut out = "\n# To correct a leg, name it by its number or by a time in it \
                   (`at = \"09:47\"`); take the # away:\n"
        .to_owned();
    let mut example = |included: bool, said: &str, key: &str| {
        let leg = analysis.legs.iter().find(|leg| leg.included == included)?;
        let (number, span) = (leg.leg, clock.about([leg.start, leg.end]));
        let reason = leg.reason.as_deref().map_or_else(String::new, plain);
        // Writing to a `String` cannot fail.
        let _ = writeln!(
            out,
            "# [[leg]] # leg {number}, {span}, {said}{reason}\n# leg = {number}\n# {key}\n"
        );
        Some(leg)
    };
    example(false, "was left out: ", "include = true");
    let leg = example(true, "counts", "exclude = \"ferry wake\"");
    let ends = leg.map(|leg| [clock.between(leg.start, leg.end), leg.start, leg.end]);
    let ends = ends.map(|ends| ends.map(|at| clock.when(full_second(at)).to_string()));
    let [cut, start, end] = ends.unwrap_or(["09:49", "09:46", "09:52"].map(str::to_owned));
    let pair = analysis.double_runs.first().map_or(13, |run| run.legs[1]);
    let _ = writeln!(
        out,
        "# Or join = \"next\", cut = \"{cut}\", start = \"{start}\", end = \"{end}\",\n\
         # pair = {pair} (the leg back), configuration = \"...\", setting = \"...\", watts = 290."
    );
    out
}

fn leg(note: &LegNote) -> String {
    let table = Table::new("leg", "");
    let table = match &note.leg {
        LegName::Number(number) => table.key("leg", Some(number)),
        LegName::At(when) => table.text("at", Some(when)),
    };
    let pair = note.pair.as_ref().map(|pair| match pair {
        LegName::Number(number) => number.to_string(),
        LegName::At(when) => quoted(&when.to_string()),
    });
    table
        .key("include", note.include.then_some(true))
        .text("exclude", note.exclude.as_ref())
        .text("join", note.join_next.then_some("next"))
        .text("cut", note.cut.as_ref())
        .text("start", note.start.as_ref())
        .text("end", note.end.as_ref())
        .key("pair", pair)
        .text("configuration", note.configuration.as_ref())
        .text("setting", note.setting.as_ref())
        .draw(note.draw)
        .0
}

/// What was found, one line for each double run and each leg left out.
fn listed(analysis: &Trial, clock: &Clock) -> String {
    let span = |numbers: &[usize]| {
        let own = || {
            analysis
                .legs
                .iter()
                .filter(|leg| numbers.contains(&leg.leg))
        };
        let ends = own()
            .map(|leg| leg.start)
            .min()
            .zip(own().map(|leg| leg.end).max());
        ends.map_or_else(String::new, |(start, end)| clock.about([start, end]))
    };
    let mut lines = Vec::new();
    if !analysis.double_runs.is_empty() {
        lines.push("\n# Double runs:".to_owned());
    }
    lines.extend(analysis.double_runs.iter().map(|run| {
        let [one, other] = run.legs;
        let speed = Speed::metres_per_second(run.mean_m_s).in_unit(analysis.units);
        format!(
            "# legs {one} and {other}, {}, {speed:.2} {}: {} at {}",
            span(&run.legs),
            analysis.units,
            plain(&run.configuration),
            plain(&run.setting)
        )
    }));
    let mut left_out = analysis.legs.iter().filter(|leg| !leg.included).peekable();
    if left_out.peek().is_some() {
        lines.push("\n# Legs left out:".to_owned());
    }
    lines.extend(left_out.map(|leg| {
        let reason = leg.reason.as_deref().map_or_else(String::new, plain);
        format!("# leg {}, {}: {reason}", leg.leg, span(&[leg.leg]))
    }));
    lines.join("\n") + "\n"
}

/// The tables of [`EnergyNotes`] that hold anything; empty where none does.
fn energy(energy: &EnergyNotes) -> String {
    let mut out = String::new();
    let log = &energy.log;
    if log.log.is_some() || log.clock_offset.is_some() {
        let name = log_elsewhere(log.log.as_deref(), "--power-log");
        let offset = log.clock_offset.map(|offset| format!("{offset:#}"));
        out += &Table(format!("\n[power]\n{name}"))
            .text("clock_offset", offset)
            .0;
    }
    // Enough digits for any share a person would write, none of the rounding.
    let share = |value: Option<f64>| value.map(|v| format!("{} %", rounded(v * 100.0, 6)));
    if let Some(battery) = energy.battery {
        out += &Table("\n[battery]\n".to_owned())
            .key("amp_hours", battery.amp_hours)
            .key("volts", battery.volts)
            .key("watt_hours", battery.watt_hours)
            .text("usable", share(battery.usable))
            .0;
    }
    let motor = energy.motor;
    if motor.limit_watts.is_some() || motor.limit_amps.is_some() {
        out += &Table("\n[motor]\n".to_owned())
            .key("limit_watts", motor.limit_watts)
            .key("limit_amps", motor.limit_amps)
            .0;
    }
    if let Some(home) = energy.home {
        out += &Table("\n[home]\n".to_owned())
            .key("lat", Some(home.position.latitude()))
            .key("lon", Some(home.position.longitude()))
            .text("reserve", share(home.reserve))
            .0;
    }
    for reading in &energy.readings {
        out += &Table::new("reading", "")
            .text("configuration", Some(&reading.configuration))
            .text("setting", Some(&reading.setting))
            .draw(reading.draw)
            .key("rpm", reading.rpm)
            .0;
    }
    out
}

/// A table being written.
struct Table(String);

impl Table {
    fn new(name: &str, remark: &str) -> Self {
        let remark = match remark {
            "" => String::new(),
            remark => format!(" # {}", plain(remark)),
        };
        Self(format!("\n[[{name}]]{remark}\n"))
    }

    /// A line for a value that is known.
    fn key(mut self, key: &str, value: Option<impl Display>) -> Self {
        if let Some(value) = value {
            let _ = writeln!(self.0, "{key} = {value}");
        }
        self
    }

    /// The same for a text.
    fn text(self, key: &str, value: Option<impl Display>) -> Self {
        self.key(key, value.map(|value| quoted(&value.to_string())))
    }

    fn draw(self, draw: Draw) -> Self {
        self.key("watts", draw.watts)
            .key("volts", draw.volts)
            .key("amps", draw.amps)
    }
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
