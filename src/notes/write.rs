//! The notes as the tool understood them, for a person to correct and pass back.

use std::borrow::Cow;
use std::fmt::Write;

use jiff::Unit;

use super::note::{ConfigurationNote, Notes};
use super::section::{keys_of, place};
use super::when::{Clock, floor};
use super::zone;
use crate::day::{Leg, WindSource};
use crate::trial::{Trial, ZoneSource};
use crate::units::{Bearing, ClockFace, Current, Speed};

/// The notes as understood, from what was found and from the notes that were `given`
/// (`Notes::default()` for none).
///
/// Reading them back gives the same configurations, settings and corrections. What was found
/// rather than given, such as the wind, is written in comments, so that passing the file back does
/// not turn a finding into a given.
pub fn write(trial: &Trial, given: &Notes) -> String {
    let clock = clock(trial);
    let boat = keys_of("boat")
        .into_iter()
        .map(|key| kept_line(given, "boat", key.name));
    [
        head(trial, given),
        format!("\n[boat] # for the article\n{}", boat.collect::<String>()),
        wind(trial, given),
        water(trial.current.or(given.current)),
        kept_line(given, "water", "place"),
        kept_line(given, "water", "kind"),
        configurations(trial, given, &clock),
        settings(trial, given),
        kept_tables(given, &["power", "battery", "motor", "home", "reading"]),
        how_to_correct(trial, &clock),
        kept_tables(given, &["leg"]),
        listed(trial, &clock),
    ]
    .concat()
}

/// The clock of the trial; times in notes are written in 24 hours.
fn clock(trial: &Trial) -> Clock {
    let from = trial.tracks.iter().filter_map(|track| track.from).min();
    let to = trial.tracks.iter().filter_map(|track| track.to).max();
    let track = from.zip(to).map(|(from, to)| [from, to]);
    let zone = zone::named(&trial.timezone.name).unwrap_or(jiff::tz::TimeZone::UTC);
    Clock::new(zone, ClockFace::Hours24, track)
}

fn head(trial: &Trial, given: &Notes) -> String {
    let zone = &trial.timezone;
    let place = Some(&zone.name).filter(|_| zone.source != ZoneSource::None);
    let percent = trial.resolve_percent;
    [
        format!(
            "# The notes as understood from the track. Correct what is wrong and pass them back:\n\
             #   thereback report TRACK --notes notes.toml\n\
             # Times are local ({}), in 24 hours. Every line may be left out.\n\n",
            plain(&zone.name)
        ),
        line("", "title", trial.title.as_ref().map(|title| quoted(title))),
        kept_line(given, "", "change"),
        line("", "timezone", place.map(|name| quoted(name))),
        line("", "units", Some(quoted(trial.units.symbol()))),
        line("", "clock", Some(quoted(trial.clock.symbol()))),
        line(
            "",
            "resolve",
            percent.map(|percent| format!("\"{percent} %\"")),
        ),
        kept_line(given, "", "one_trial"),
        kept_line(given, "", "photo"),
        kept_line(given, "", "text"),
    ]
    .concat()
}

/// A line for a value, or its example in a comment.
fn line(table: &str, name: &str, value: Option<String>) -> String {
    let key = keys_of(table).into_iter().find(|key| key.name == name);
    match (value, key) {
        (Some(value), _) => format!("{name} = {value}\n"),
        (None, Some(key)) if key.remark.is_empty() => format!("# {}\n", key.example),
        (None, Some(key)) => format!("# {} # {}\n", key.example, key.remark),
        (None, None) => String::new(),
    }
}

/// A line as it was in the notes, or its example in a comment.
fn kept_line(given: &Notes, table: &str, name: &str) -> String {
    let own = given.kept.iter().filter(|kept| kept.table == table);
    let kept = own
        .flat_map(|kept| &kept.lines)
        .find(|(key, _)| *key == name);
    kept.map_or_else(|| line(table, name, None), |(_, line)| line.clone())
}

/// Tables as they were in the notes.
fn kept_tables(given: &Notes, names: &[&str]) -> String {
    let mut out = String::new();
    for name in names {
        let own = given.kept.iter().filter(|kept| kept.table == *name);
        for kept in own.filter(|kept| !kept.lines.is_empty()) {
            let _ = writeln!(out, "\n{}", place(name));
            out.extend(kept.lines.iter().map(|(_, line)| line.as_str()));
        }
    }
    out
}

fn wind(trial: &Trial, given: &Notes) -> String {
    let (wind, units) = (&trial.wind, trial.units);
    let (comment, remark) = match wind.source {
        WindSource::Given => ("", ""),
        WindSource::Log => ("# ", "; here the mean of the log over the trial"),
        WindSource::Drift => (
            "# ",
            "; from the boat's drift. Take the # away to hold it fixed",
        ),
        WindSource::Legs => (
            "# ",
            "; from legs on several headings. Take the # away to hold it fixed",
        ),
        WindSource::None => ("# ", "; not known. Give it here, if you know it"),
    };
    let from = match wind.from_deg.and_then(Bearing::new) {
        Some(from) => format!("{comment}from = {}", rounded(from.degrees(), 1)),
        None => "# from = \"SW\"".to_owned(),
    };
    let speed = wind
        .speed_m_s
        .map(|v| Speed::metres_per_second(v).in_unit(units));
    let speed = match speed {
        Some(speed) => format!("{comment}speed = \"{} {units}\"", rounded(speed, 3)),
        None => format!("# speed = \"11 {units}\""),
    };
    let log = kept_line(given, "wind", "log");
    format!("\n[wind] # true wind{remark}\n{from}\n{speed}\n{log}")
}

/// `[water]`, in comments where it is not known.
pub(crate) fn water(current: Option<Current>) -> String {
    let current = current.map(|current| quoted(current.word()));
    format!("\n[water]\n{}", line("water", "current", current))
}

fn configurations(trial: &Trial, given: &Notes, clock: &Clock) -> String {
    let noted = &given.configurations;
    let found = found_configurations(trial, given, clock);
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
    trial: &Trial,
    given: &Notes,
    clock: &Clock,
) -> Vec<(ConfigurationNote, String)> {
    let mut legs: Vec<&Leg> = trial.legs.iter().collect();
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
            from: fitted.map(|[a, b]| clock.when(Clock::between(a.end, b.start))),
            pitch_m: noted.and_then(|note| note.pitch_m),
            line: 0,
        };
        found.push((note, remark));
    }
    found
}

/// A `[[configuration]]` with a remark.
pub(crate) fn configuration(note: &ConfigurationNote, remark: &str) -> String {
    let mut out = "\n[[configuration]]".to_owned();
    if !remark.is_empty() {
        let _ = write!(out, " # {}", plain(remark));
    }
    let _ = writeln!(out, "\nname = {}", quoted(&note.name));
    if let Some(pitch_m) = note.pitch_m {
        let _ = writeln!(out, "pitch = \"{} mm\"", rounded(pitch_m * 1e3, 3));
    }
    if let Some(from) = &note.from {
        let _ = writeln!(out, "from = {}", quoted(&from.to_string()));
    }
    out
}

fn settings(trial: &Trial, given: &Notes) -> String {
    let noted: Vec<_> = given
        .settings
        .iter()
        .map(|s| (&s.name, s.percent))
        .collect();
    let found: Vec<_> = trial
        .settings
        .iter()
        .map(|s| (&s.name, s.percent))
        .collect();
    let settings = if noted.is_empty() { found } else { noted };
    let entries: String = settings
        .iter()
        .map(|(name, percent)| setting(name, *percent))
        .collect();
    let none = "\n# [[setting]]\n# name = \"half\"\n# percent = 50\n";
    let entries = if entries.is_empty() { none } else { &entries };
    format!("\n# Settings, slowest first.{entries}")
}

/// A `[[setting]]`.
pub(crate) fn setting(name: &str, percent: Option<f64>) -> String {
    let percent = line(
        "setting",
        "percent",
        percent.map(|percent| percent.to_string()),
    );
    format!("\n[[setting]]\nname = {}\n{percent}", quoted(name))
}

/// The corrections there are, with this day's own numbers.
fn how_to_correct(trial: &Trial, clock: &Clock) -> String {
    let mut out = "\n# To correct a leg, name it by its number or by a time in it \
                   (`at = \"09:47\"`); take the # away:\n"
        .to_owned();
    let mut example = |included: bool, said: &str, key: &str| {
        let leg = trial.legs.iter().find(|leg| leg.included == included)?;
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
    let ends = leg.map(|leg| [Clock::between(leg.start, leg.end), leg.start, leg.end]);
    let ends = ends.map(|ends| ends.map(|at| clock.when(floor(at, Unit::Second)).to_string()));
    let [cut, start, end] = ends.unwrap_or(["09:49", "09:46", "09:52"].map(str::to_owned));
    let pair = trial.double_runs.first().map_or(13, |run| run.legs[1]);
    let _ = writeln!(
        out,
        "# Or join = \"next\", cut = \"{cut}\", start = \"{start}\", end = \"{end}\",\n\
         # pair = {pair} (the leg back), configuration = \"...\", setting = \"...\", watts = 290."
    );
    out
}

/// What was found, one line for each double run and each leg left out.
fn listed(trial: &Trial, clock: &Clock) -> String {
    let mut out = String::new();
    let legs = |numbers: [usize; 2]| numbers.map(|n| trial.legs.iter().find(|leg| leg.leg == n));
    for (index, run) in trial.double_runs.iter().enumerate() {
        let [one, other] = run.legs;
        let span = match legs(run.legs) {
            [Some(a), Some(b)] => clock.about([a.start.min(b.start), a.end.max(b.end)]),
            _ => String::new(),
        };
        let speed = Speed::metres_per_second(run.mean_m_s).in_unit(trial.units);
        let cell = format!("{} at {}", plain(&run.configuration), plain(&run.setting));
        let head = if index == 0 { "\n# Double runs:\n" } else { "" };
        let units = trial.units;
        let _ = writeln!(
            out,
            "{head}# legs {one} and {other}, {span}, {speed:.2} {units}: {cell}"
        );
    }
    let left_out = trial.legs.iter().filter(|leg| !leg.included);
    for (index, leg) in left_out.enumerate() {
        let head = if index == 0 {
            "\n# Legs left out:\n"
        } else {
            ""
        };
        let reason = leg.reason.as_deref().map_or_else(String::new, plain);
        let span = clock.about([leg.start, leg.end]);
        let _ = writeln!(out, "{head}# leg {}, {span}: {reason}", leg.leg);
    }
    out
}

/// A number with at most so many decimals and no idle zeros.
fn rounded(value: f64, places: i32) -> f64 {
    let scale = 10_f64.powi(places);
    (value * scale).round() / scale
}

/// Untrusted text that must stay on one line of comment.
fn plain(text: &str) -> String {
    let line = text.replace(char::is_control, " ");
    escaped(line.trim_end()).into_owned()
}

/// A TOML basic string.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", escaped_toml(text))
}

/// The inside of a TOML basic string, with hidden characters shown.
fn escaped_toml(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if is_hidden(letter) => {
                // Writing to a `String` cannot fail.
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out
}

/// Text whose hidden characters are shown as escapes: those that move the cursor, and those that
/// turn the direction of what is around them (Unicode Standard Annex 9, 2).
pub fn escaped(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let shown = |letter: char| match letter {
        letter if is_hidden(letter) => letter.escape_unicode().to_string(),
        letter => letter.to_string(),
    };
    Cow::Owned(text.chars().map(shown).collect())
}

fn is_hidden(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}')
}
