//! From the text of `notes.toml` to [`Notes`].

use toml::de::DeTable;

use super::energy::{PitchNote, read_draw, read_energy};
use super::error::{NotesError, Problem};
use super::nearest::nearest;
use super::section::{Section, Source};
use super::{ConfigurationNote, LegNote, Notes, SettingNote, WindNote};
use crate::trial::zone;
use crate::units::{METRES_PER_FOOT, parse_direction};

const TOP: &[&str] = &[
    "title",
    "timezone",
    "units",
    "clock",
    "wind",
    "configuration",
    "setting",
    "leg",
    "power",
    "battery",
    "motor",
    "home",
    "reading",
];
const WIND: &[&str] = &["from", "speed", "log"];
const CONFIGURATION: &[&str] = &["name", "from", "pitch"];
const SETTING: &[&str] = &["name", "percent", "step", "of"];
const LEG: &[&str] = &[
    "at",
    "exclude",
    "configuration",
    "setting",
    "watts",
    "volts",
    "amps",
];

/// Most steps a power knob may have: far above any, and safe to divide by.
const MOST_STEPS: f64 = 1000.0;

/// Longest pitch, m: no small boat's propeller goes further in a turn.
const LONGEST_PITCH_M: f64 = 10.0;

/// Reads the text of a `notes.toml`; `file` is its name for messages.
///
/// # Errors
/// [`NotesError`] with the line, for text that is not TOML, unknown keys (with the nearest known
/// one), values of the wrong kind or out of range, and names that are not listed.
///
/// # Example: a slip of the finger
/// ```
/// use thereback::trial::notes;
/// let error = notes::read("[[setting]]\nname = \"half\"\npercnt = 50\n", "notes.toml").unwrap_err();
/// assert!(error.to_string().starts_with(
///     "cannot read `notes.toml`: line 3: `percnt` is not a key of [[setting]]\n\
///      hint: did you mean `percent`?"
/// ));
/// ```
pub fn read(text: &str, file: &str) -> Result<Notes, NotesError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let source = Source { text, file };
    let document = DeTable::parse(text).map_err(|error| {
        let what = error.message().trim().replace('\n', ", ");
        source.error(error.span().unwrap_or_default(), Problem::Syntax { what })
    })?;
    let top = Section::new(source, "the notes", document.get_ref(), 0..0, TOP)?;
    let configurations = read_configurations(&top)?;
    let settings = read_settings(&top)?;
    let mut energy = {
        let configurations: Vec<&str> = configurations.iter().map(|c| c.name.as_str()).collect();
        let settings: Vec<&str> = settings.iter().map(|s| s.name.as_str()).collect();
        read_energy(&top, &configurations, &settings)?
    };
    let volts = energy.battery.and_then(|b| b.volts);
    energy.pitches = read_pitches(&top)?;
    Ok(Notes {
        file: file.to_owned(),
        title: top.text("title", "title = \"Three blades against four\"")?,
        timezone: read_zone(&top)?,
        units: top.quantity("units", "units = \"kn\"", str::parse)?,
        clock: top.quantity("clock", "clock = \"24h\"", str::parse)?,
        wind: read_wind(&top)?,
        legs: read_legs(&top, &configurations, &settings, volts)?,
        configurations,
        settings,
        energy,
    })
}

fn read_zone(top: &Section) -> Result<Option<String>, NotesError> {
    let Some(name) = top.text("timezone", "timezone = \"Europe/Stockholm\"")? else {
        return Ok(None);
    };
    let zone = zone::named(&name).map_err(|e| top.error("timezone", Problem::Zone(e)))?;
    Ok(Some(zone.iana_name().unwrap_or(&name).to_owned()))
}

fn read_wind(top: &Section) -> Result<WindNote, NotesError> {
    let Some(wind) = top.table("wind", "[wind]", WIND)? else {
        return Ok(WindNote::default());
    };
    Ok(WindNote {
        from: wind.quantity("from", "from = 235", parse_direction)?,
        speed: wind.quantity("speed", "speed = \"11 kn\"", str::parse)?,
        log: wind.text("log", "log = \"wind.csv\"")?,
    })
}

fn read_configurations(top: &Section) -> Result<Vec<ConfigurationNote>, NotesError> {
    top.tables("configuration", "[[configuration]]", CONFIGURATION)?
        .iter()
        .map(|section| {
            Ok(ConfigurationNote {
                name: section.required_text("name", "name = \"three blades\"")?,
                from: section.when("from", "from = \"09:12\"")?,
                line: section.line(),
            })
        })
        .collect()
}

/// Pitches stand with the configurations they belong to.
fn read_pitches(top: &Section) -> Result<Vec<PitchNote>, NotesError> {
    let mut pitches = Vec::new();
    for section in top.tables("configuration", "[[configuration]]", CONFIGURATION)? {
        let Some(text) = section.text("pitch", "pitch = \"10 in\"")? else {
            continue;
        };
        let pitch_m = pitch_metres(&text).ok_or_else(|| {
            let problem = Problem::Outside {
                key: "pitch",
                met: text.clone(),
                allowed: format!("(0 m, {LONGEST_PITCH_M} m], with its unit"),
                example: "pitch = \"10 in\"",
            };
            section.error("pitch", problem)
        })?;
        pitches.push(PitchNote {
            configuration: section.required_text("name", "name = \"three blades\"")?,
            pitch_m,
        });
    }
    Ok(pitches)
}

/// A length with its unit. The inch is 0.0254 m and the foot 0.3048 m, exactly (NIST SP 811, B.8).
fn pitch_metres(text: &str) -> Option<f64> {
    let split = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))?;
    let (number, unit) = text.split_at(split);
    let factor = match unit.trim() {
        "in" | "inch" | "inches" | "\"" => METRES_PER_FOOT / 12.0,
        "ft" | "feet" => METRES_PER_FOOT,
        "mm" => 1e-3,
        "cm" => 1e-2,
        "m" => 1.0,
        _ => return None,
    };
    let metres = number.replace(',', ".").parse::<f64>().ok()? * factor;
    (metres > 0.0 && metres <= LONGEST_PITCH_M).then_some(metres)
}

/// Percent of full power from a step of a knob: `step = 3`, `of = 10`.
fn step_percent(section: &Section) -> Result<Option<f64>, NotesError> {
    let step = section.number("step", "step = 3", MOST_STEPS)?;
    let of = section.number("of", "of = 10", MOST_STEPS)?;
    match (step, of) {
        (None, None) => Ok(None),
        (Some(step), Some(of)) if step <= of => Ok(Some(100.0 * step / of)),
        (Some(step), Some(of)) => Err(section.error(
            "step",
            Problem::Step {
                met: step.to_string(),
                allowed: format!("(0, {of}]"),
            },
        )),
        (Some(_), None) => Err(section.missing("of", "of = 10")),
        (None, Some(_)) => Err(section.missing("step", "step = 3")),
    }
}

fn read_settings(top: &Section) -> Result<Vec<SettingNote>, NotesError> {
    let mut settings: Vec<SettingNote> = Vec::new();
    for section in top.tables("setting", "[[setting]]", SETTING)? {
        let name = section.required_text("name", "name = \"half\"")?;
        let percent = match section.percent("percent")? {
            Some(percent) => Some(percent),
            None => step_percent(&section)?,
        };
        if settings.iter().any(|known| known.name == name) {
            return Err(section.error("name", Problem::Twice { name }));
        }
        let last = settings.iter().rev().find_map(|s| Some((s, s.percent?)));
        if let (Some(percent), Some((before, before_percent))) = (percent, last)
            && percent <= before_percent
        {
            let problem = Problem::Order {
                name,
                percent: percent.to_string(),
                before: before.name.clone(),
                before_percent: before_percent.to_string(),
            };
            return Err(section.error("percent", problem));
        }
        settings.push(SettingNote {
            name,
            percent,
            line: section.line(),
        });
    }
    Ok(settings)
}

fn read_legs(
    top: &Section,
    configurations: &[ConfigurationNote],
    settings: &[SettingNote],
    nominal: Option<f64>,
) -> Result<Vec<LegNote>, NotesError> {
    let configurations: Vec<&str> = configurations.iter().map(|c| c.name.as_str()).collect();
    let settings: Vec<&str> = settings.iter().map(|s| s.name.as_str()).collect();
    top.tables("leg", "[[leg]]", LEG)?
        .iter()
        .map(|section| {
            let leg = LegNote {
                at: section
                    .when("at", "at = \"09:47\"")?
                    .ok_or_else(|| section.missing("at", "at = \"09:47\""))?,
                exclude: section.text("exclude", "exclude = \"ferry wake\"")?,
                configuration: listed(section, "configuration", &configurations)?,
                setting: listed(section, "setting", &settings)?,
                draw: read_draw(section, nominal)?,
                line: section.line(),
            };
            if !leg.corrects() && leg.draw.is_empty() {
                return Err(section.error("at", Problem::NothingSaid));
            }
            Ok(leg)
        })
        .collect()
}

/// A name that must be among those listed, where any are: without a list it is one of those
/// the track suggests, which are not known yet.
pub(super) fn listed(
    section: &Section,
    key: &'static str,
    names: &[&str],
) -> Result<Option<String>, NotesError> {
    let example = if key == "setting" {
        "setting = \"half\""
    } else {
        "configuration = \"three blades\""
    };
    let Some(name) = section.text(key, example)? else {
        return Ok(None);
    };
    if names.is_empty() || names.contains(&name.as_str()) {
        return Ok(Some(name));
    }
    let mut listed: Vec<String> = names.iter().map(|&n| n.to_owned()).collect();
    listed.dedup();
    let problem = Problem::UnknownName {
        kind: key,
        nearest: nearest(&name, names.iter().copied()).map(str::to_owned),
        name,
        listed,
    };
    Err(section.error(key, problem))
}
