//! `notes.toml`: the notes as the tool understood them, for a person to correct and pass back.

use std::fmt::Write;

use jiff::Unit;

use crate::day::{Leg, WindSource};
use crate::notes::{
    self, Clock, ConfigurationNote, Notes, configuration, floor, kept_line, kept_tables, line,
    plain, quoted, rounded, setting, water, zone,
};
use crate::trial::{Trial, ZoneSource};
use crate::units::{Bearing, ClockFace, Speed};

/// The notes as understood, from what was found and from the notes that were `given`
/// (`Notes::default()` for none).
///
/// Reading them back gives the same configurations, settings and corrections. What was found
/// rather than given, such as the wind, is written in comments, so that passing the file back does
/// not turn a finding into a given.
pub fn notes_toml(trial: &Trial, given: &Notes) -> String {
    let clock = clock(trial);
    let boat = notes::keys_of("boat").into_iter();
    let boat = boat.map(|key| kept_line(given, "boat", key.name));
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
