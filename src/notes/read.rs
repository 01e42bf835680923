//! From the text of `notes.toml` to [`Notes`].

use toml::de::DeTable;

use super::energy::{Names, read_draw, read_energy};
use super::note::{ConfigurationNote, Correction, LegName, LegNote, Notes, SettingNote, WindNote};
use super::section::{NotesError, Section, Source};
use super::story::read_story;
use super::when::When;
use super::zone;
use crate::parser::quantity::{LENGTH, direction, speed};

/// Keys of a `[[leg]]` that cannot both be followed.
const EXCLUSIVE: &[(&str, &str)] = &[
    ("leg", "at"),
    ("include", "exclude"),
    ("exclude", "join"),
    ("exclude", "pair"),
    ("join", "cut"),
];

/// Tables that are written back as they were.
const KEPT: [&str; 9] = [
    "boat", "wind", "water", "power", "battery", "motor", "home", "reading", "leg",
];

/// Largest notes, bytes: corrections of a thousand legs, and no disk image given by mistake.
pub const MOST_BYTES: usize = 256 << 10;

/// Most legs that a number may name: far above any day.
const MOST_LEGS: usize = 1_000_000;

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
    if text.len() > MOST_BYTES {
        let what = "the notes have more than 256 KB\nhint: is this the file of notes?";
        return Err(source.error(&(0..0), what.to_owned()));
    }
    let document = DeTable::parse(text).map_err(|error| {
        let met = error.message().trim().replace('\n', ", ");
        let what = format!(
            "{met}\nhint: a line goes `key = value`, and text goes in double quotes: \
             `name = \"four blades\"`"
        );
        source.error(&error.span().unwrap_or_default(), what)
    })?;
    let top = Section::top(source, document.get_ref())?;
    let configurations = read_configurations(&top)?;
    let settings = read_settings(&top)?;
    let names = Names {
        configurations: configurations.iter().map(|c| c.name.as_str()).collect(),
        settings: settings.iter().map(|s| s.name.as_str()).collect(),
    };
    let energy = read_energy(&top, &names)?;
    let volts = energy.battery.and_then(|battery| battery.volts);
    let legs = top.tables("leg")?;
    let legs = legs.iter().map(|section| read_leg(section, &names, volts));
    let current = match top.table("water")? {
        Some(water) => water.parsed("current", str::parse)?,
        None => None,
    };
    let mut kept = vec![top.kept()];
    for name in KEPT {
        kept.extend(top.tables(name)?.iter().map(Section::kept));
    }
    Ok(Notes {
        file: file.to_owned(),
        title: top.text("title")?,
        timezone: top.parsed("timezone", zone::name_of)?,
        units: top.parsed("units", str::parse)?,
        clock: top.parsed("clock", str::parse)?,
        resolve_percent: top.percent("resolve", "0 % to 100 %", |p| p > 0.0 && p < 100.0)?,
        one_trial: top.only("one_trial")?,
        wind: read_wind(&top)?,
        current,
        legs: legs.collect::<Result<_, _>>()?,
        story: read_story(&top)?,
        configurations,
        settings,
        energy,
        kept,
    })
}

fn read_wind(top: &Section) -> Result<WindNote, NotesError> {
    let Some(wind) = top.table("wind")? else {
        return Ok(WindNote::default());
    };
    Ok(WindNote {
        from: wind.parsed("from", direction)?,
        speed: wind.parsed("speed", speed)?,
        log: wind.text("log")?,
    })
}

fn read_configurations(top: &Section) -> Result<Vec<ConfigurationNote>, NotesError> {
    let fits = |m: &f64| *m > 0.0 && *m <= LONGEST_PITCH_M;
    let read = |section: &Section| {
        Ok(ConfigurationNote {
            name: section.required_text("name")?,
            from: section.when("from")?,
            pitch_m: section.fitted("pitch", "(0 m, 10 m]", |text| LENGTH.read(text), fits)?,
            line: section.line(),
        })
    };
    top.tables("configuration")?.iter().map(read).collect()
}

fn read_settings(top: &Section) -> Result<Vec<SettingNote>, NotesError> {
    let mut settings: Vec<SettingNote> = Vec::new();
    for section in top.tables("setting")? {
        let name = section.required_text("name")?;
        let percent = match section.percent("percent", "(0, 100]", |p| p > 0.0 && p <= 100.0)? {
            Some(percent) => Some(percent),
            None => step_percent(&section)?,
        };
        if settings.iter().any(|known| known.name == name) {
            let what = format!(
                "setting `{name}` is there twice\nhint: list each setting once, slowest first"
            );
            return Err(section.error("name", what));
        }
        let mut slower = settings.iter().rev();
        if let (Some(percent), Some((before, least))) =
            (percent, slower.find_map(|s| Some((&s.name, s.percent?))))
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
    let leg = match leg_named(section, "leg")? {
        Some(leg) => leg,
        None => LegName::At(section.when("at")?.ok_or_else(|| section.missing("leg"))?),
    };
    let listed = |key, names| section.listed(key, names);
    let corrections = [
        section.only("include")?.then_some(Correction::Include),
        section.text("exclude")?.map(Correction::Exclude),
        section.only("join")?.then_some(Correction::JoinNext),
        section.when("cut")?.map(Correction::Cut),
        section.when("start")?.map(Correction::Start),
        section.when("end")?.map(Correction::End),
        leg_named(section, "pair")?.map(Correction::PairWith),
        listed("configuration", &names.configurations)?.map(Correction::Configuration),
        listed("setting", &names.settings)?.map(Correction::Setting),
    ];
    let note = LegNote {
        leg,
        corrections: corrections.into_iter().flatten().collect(),
        draw: read_draw(section, nominal_volts)?,
        line: section.line(),
    };
    if note.corrections.is_empty() && note.draw.is_empty() {
        let what = "this [[leg]] says nothing about the leg\nhint: add `include = true`, \
                    `exclude = \"the reason\"`, `setting = \"its name\"` or `watts = 290`";
        return Err(section.error("leg", what));
    }
    Ok(note)
}

/// A leg: its number, or a time in it.
fn leg_named(section: &Section, key: &str) -> Result<Option<LegName>, NotesError> {
    let allowed = format!("the whole numbers from 1 to {MOST_LEGS}");
    let read = |text: &str| match text.trim().parse() {
        Ok(number) => Ok(LegName::Number(number)),
        Err(_) => When::read(text).map(LegName::At),
    };
    section.fitted(key, &allowed, read, |leg| match leg {
        LegName::Number(number) => (1..=MOST_LEGS).contains(number),
        // No waypoint, but a number that is not whole.
        LegName::At(When::Mark(name)) => name.parse::<f64>().is_err(),
        LegName::At(_) => true,
    })
}
