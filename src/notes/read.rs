//! From the text of `notes.toml` to [`Notes`].

use toml::de::DeTable;

use super::energy::{read_draw, read_energy};
use super::error::{NotesError, quoted_list};
use super::nearest::nearest;
use super::section::{Keys, Section, Source};
use super::{ConfigurationNote, LegName, LegNote, Notes, SettingNote, Story, WindNote, zone};
use crate::units::{METRES_PER_FOOT, parse_direction};

const TOP: Keys = &[
    ("title", "title = \"Three blades against four\""),
    ("timezone", "timezone = \"Europe/Stockholm\""),
    ("units", "units = \"kn\""),
    ("clock", "clock = \"24h\""),
    ("resolve", "resolve = \"5 %\""),
    ("wind", "[wind]"),
    ("water", "[water]"),
    ("configuration", "[[configuration]]"),
    ("setting", "[[setting]]"),
    ("leg", "[[leg]]"),
    ("power", "[power]"),
    ("battery", "[battery]"),
    ("motor", "[motor]"),
    ("home", "[home]"),
    ("reading", "[[reading]]"),
];
const WIND: Keys = &[
    ("from", "from = 235"),
    ("speed", "speed = \"11 kn\""),
    ("log", "log = \"wind.csv\""),
];
const WATER: Keys = &[("current", "current = \"none\"")];
const CONFIGURATION: Keys = &[
    ("name", "name = \"three blades\""),
    ("from", "from = \"09:12\""),
    ("pitch", "pitch = \"10 in\""),
];
const SETTING: Keys = &[
    ("name", "name = \"half\""),
    ("percent", "percent = 50"),
    ("step", "step = 3"),
    ("of", "of = 10"),
];
const LEG: Keys = &[
    ("leg", "leg = 12"),
    ("at", "at = \"09:47\""),
    ("include", "include = true"),
    ("exclude", "exclude = \"ferry wake\""),
    ("join", "join = \"next\""),
    ("cut", "cut = \"09:49:30\""),
    ("start", "start = \"09:46:10\""),
    ("end", "end = \"09:51:40\""),
    ("pair", "pair = 13"),
    ("configuration", "configuration = \"three blades\""),
    ("setting", "setting = \"half\""),
    ("watts", "watts = 290"),
    ("volts", "volts = 12.6"),
    ("amps", "amps = 23.5"),
];

/// Keys of a `[[leg]]` that cannot both be followed.
const EXCLUSIVE: &[(&str, &str)] = &[
    ("leg", "at"),
    ("include", "exclude"),
    ("exclude", "join"),
    ("exclude", "pair"),
    ("join", "cut"),
];

/// Most steps a power knob may have: far above any, and safe to divide by.
const MOST_STEPS: f64 = 1000.0;

/// Longest pitch, m: no small boat's propeller goes further in a turn.
const LONGEST_PITCH_M: f64 = 10.0;

/// Reads the text of a `notes.toml`; `file` is its name for messages.
///
/// # Errors
/// [`NotesError`] with the line, for text that is not TOML, unknown keys (with the nearest known
/// one), values of the wrong kind or out of range, names that are not listed, and two corrections
/// of a leg that exclude each other.
///
/// # Example: a slip of the finger
/// ```
/// use thereback::notes;
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
        let met = error.message().trim().replace('\n', ", ");
        let what = format!(
            "{met}\nhint: a line goes `key = value`, and text goes in double quotes: \
             `name = \"four blades\"`"
        );
        source.error(&error.span().unwrap_or_default(), what)
    })?;
    let top = Section::new(source, "the notes", document.get_ref(), 0..0, TOP)?;
    let configurations = read_configurations(&top)?;
    let settings = read_settings(&top)?;
    let names = Names {
        configurations: configurations.iter().map(|c| c.name.as_str()).collect(),
        settings: settings.iter().map(|s| s.name.as_str()).collect(),
    };
    let energy = read_energy(&top, &names)?;
    let nominal_volts = energy.battery.and_then(|battery| battery.volts);
    let legs = top.tables("leg", LEG)?;
    let legs = legs
        .iter()
        .map(|section| read_leg(section, &names, nominal_volts))
        .collect::<Result<_, _>>()?;
    let water = top.table("water", WATER)?;
    let current = water.map(|water| water.parsed("current", str::parse));
    Ok(Notes {
        file: file.to_owned(),
        title: top.text("title")?,
        timezone: read_zone(&top)?,
        units: top.parsed("units", str::parse)?,
        clock: top.parsed("clock", str::parse)?,
        resolve_percent: top
            .share("resolve", "0 % to 100 %", |p| p > 0.0 && p < 100.0)?
            .map(|share| 100.0 * share),
        wind: read_wind(&top)?,
        current: current.transpose()?.flatten(),
        legs,
        configurations,
        settings,
        energy,
        story: Story::default(),
        one_trial: false,
    })
}

fn read_zone(top: &Section) -> Result<Option<String>, NotesError> {
    top.text("timezone")?;
    top.parsed("timezone", |name| {
        let zone = zone::named(name)?;
        Ok::<_, zone::ZoneError>(zone.iana_name().unwrap_or(name).to_owned())
    })
}

fn read_wind(top: &Section) -> Result<WindNote, NotesError> {
    let Some(wind) = top.table("wind", WIND)? else {
        return Ok(WindNote::default());
    };
    Ok(WindNote {
        from: wind.parsed("from", parse_direction)?,
        speed: wind.parsed("speed", str::parse)?,
        log: wind.text("log")?,
    })
}

fn read_configurations(top: &Section) -> Result<Vec<ConfigurationNote>, NotesError> {
    top.tables("configuration", CONFIGURATION)?
        .iter()
        .map(|section| {
            Ok(ConfigurationNote {
                name: section.required_text("name")?,
                from: section.when("from")?,
                pitch_m: section.fitted("pitch", "(0 m, 10 m], with its unit", pitch_metres)?,
                line: section.line(),
            })
        })
        .collect()
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

fn read_settings(top: &Section) -> Result<Vec<SettingNote>, NotesError> {
    let mut settings: Vec<SettingNote> = Vec::new();
    for section in top.tables("setting", SETTING)? {
        let name = section.required_text("name")?;
        let percent = match section.number("percent", 100.0)? {
            Some(percent) => Some(percent),
            None => step_percent(&section)?,
        };
        if settings.iter().any(|known| known.name == name) {
            let what = format!(
                "setting `{name}` is there twice\nhint: list each setting once, slowest first"
            );
            return Err(section.error("name", what));
        }
        let last = settings
            .iter()
            .rev()
            .find_map(|s| Some((&s.name, s.percent?)));
        if let (Some(percent), Some((before, least))) = (percent, last)
            && percent <= least
        {
            let what = format!(
                "setting `{name}` ({percent} %) comes after `{before}` ({least} %)\n\
                 hint: list the settings slowest first"
            );
            return Err(section.error("percent", what));
        }
        settings.push(SettingNote {
            name,
            percent,
            line: section.line(),
        });
    }
    Ok(settings)
}

/// Percent of full power from a step of a knob: `step = 3`, `of = 10`.
fn step_percent(section: &Section) -> Result<Option<f64>, NotesError> {
    let step = section.number("step", MOST_STEPS)?;
    let of = section.number("of", MOST_STEPS)?;
    match (step, of) {
        (None, None) => Ok(None),
        (Some(step), Some(of)) if step <= of => Ok(Some(100.0 * step / of)),
        (Some(step), Some(of)) => {
            let what = format!(
                "`step`: `{step}` is outside (0, {of}]\nhint: write `step = 3` and `of = 10`"
            );
            Err(section.error("step", what))
        }
        (Some(_), None) => Err(section.missing("of")),
        (None, Some(_)) => Err(section.missing("step")),
    }
}

fn read_leg(
    section: &Section,
    names: &Names<'_>,
    nominal_volts: Option<f64>,
) -> Result<LegNote, NotesError> {
    for (one, other) in EXCLUSIVE {
        if section.has(one) && section.has(other) {
            let what = format!(
                "`{one}` and `{other}` exclude each other in one [[leg]]\nhint: take one of them out"
            );
            return Err(section.error(other, what));
        }
    }
    let leg = match section.count("leg")? {
        Some(number) => LegName::Number(number),
        None => LegName::At(section.when("at")?.ok_or_else(|| section.missing("leg"))?),
    };
    let note = LegNote {
        leg,
        include: section.only("include")?,
        exclude: section.text("exclude")?,
        join_next: section.only("join")?,
        cut: section.when("cut")?,
        start: section.when("start")?,
        end: section.when("end")?,
        pair: section.leg("pair")?,
        configuration: names.listed(section, "configuration")?,
        setting: names.listed(section, "setting")?,
        draw: read_draw(section, nominal_volts)?,
        line: section.line(),
    };
    if !LEG.iter().skip(2).any(|(key, _)| section.has(key)) {
        let what = "this [[leg]] says nothing about the leg\nhint: add `include = true`, \
                    `exclude = \"the reason\"`, `setting = \"its name\"` or `watts = 290`";
        return Err(section.error("leg", what.to_owned()));
    }
    Ok(note)
}

/// The names that the notes list.
pub(super) struct Names<'a> {
    configurations: Vec<&'a str>,
    settings: Vec<&'a str>,
}

impl Names<'_> {
    /// A name that must be among those listed, where any are: without a list it is one of those
    /// that the track suggests, which are not known yet.
    pub(super) fn listed(
        &self,
        section: &Section,
        key: &str,
    ) -> Result<Option<String>, NotesError> {
        let names = if key == "setting" {
            &self.settings
        } else {
            &self.configurations
        };
        let Some(name) = section.text(key)? else {
            return Ok(None);
        };
        if names.is_empty() || names.contains(&name.as_str()) {
            return Ok(Some(name));
        }
        let mut listed = names.clone();
        listed.dedup();
        let listed = quoted_list(&listed);
        let hint = match nearest(&name, names.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`? listed are {listed}"),
            None => format!("listed are {listed}; add a [[{key}]] of that name"),
        };
        let what = format!("there is no {key} `{name}` in these notes\nhint: {hint}");
        Err(section.error(key, what))
    }
}
