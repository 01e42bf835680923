//! Reads what the arguments name.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use anyhow::{Context, Result, anyhow, bail};
use thereback::notes::photo::{Image, MOST_PHOTO_BYTES};
use thereback::notes::{self, Notes};
use thereback::parser::{self, Options, PowerLog, WindLog};
use thereback::trial::{Settings, Trial, analyse};

use super::args::TrialArgs;
use super::{say, tracks};

/// Largest notes or log taken, bytes: ten years of readings a minute apart, and no disk image
/// given by mistake.
const MOST_BYTES: u64 = 256 << 20;

/// A trial as analysed, and the notes that were given for it.
pub(crate) struct Analysed {
    pub(crate) analysis: Trial,
    pub(crate) given: Notes,
}

/// Reads and analyses a trial. A track that cannot be read is told and left out; `None` where none
/// is left.
pub(crate) fn analysed(args: &TrialArgs) -> Result<Option<Analysed>> {
    // The notes come first: a slip in them should not wait for 100 MB of track.
    let settings = settings(args)?;
    let recordings = tracks::read(&args.tracks, Options { date: args.date })?;
    if recordings.is_empty() {
        return Ok(None);
    }
    let analysis = analyse(recordings, &settings);
    let given = settings.notes.unwrap_or_default();
    Ok(Some(Analysed { analysis, given }))
}

fn settings(args: &TrialArgs) -> Result<Settings> {
    let notes = args.notes.as_deref().map(read_notes).transpose()?;
    let wind_log = match (&args.wind_log, &args.notes, &notes) {
        (Some(path), ..) => Some(read_wind_log(path)?),
        // A log is named relative to the notes that name it.
        (None, Some(path), Some(notes)) => (notes.wind.log.as_ref())
            .map(|name| read_wind_log(&path.with_file_name(name)))
            .transpose()?,
        _ => None,
    };
    let power_log = match (&args.power_log, &args.notes, &notes) {
        (Some(path), ..) => Some(read_power_log(path)?),
        (None, Some(path), Some(notes)) => (notes.energy.log.log.as_ref())
            .map(|name| read_power_log(&path.with_file_name(name)))
            .transpose()?,
        _ => None,
    };
    Ok(Settings {
        wind_from: args.wind_from,
        wind_speed: args.wind_speed,
        current: args.current,
        resolve_percent: args.resolve,
        units: args.units,
        clock: args.clock,
        timezone: args.timezone.clone(),
        notes,
        wind_log,
        power_log,
        ..Settings::default()
    })
}

fn read_notes(path: &Path) -> Result<Notes> {
    let text = text_of(
        path,
        "notes",
        read_bytes(path, "notes", notes::MOST_BYTES as u64)?,
    )?;
    let mut notes = notes::read(&text, &path.display().to_string())?;
    if let Some(photo) = &mut notes.story.photo {
        // It is named relative to the notes, as logs are.
        let path = path.with_file_name(&photo.file);
        let bytes = read_bytes(&path, "photo", MOST_PHOTO_BYTES as u64)?;
        let image = Image::read(&bytes);
        photo.image = Some(image.with_context(|| format!("cannot read `{}`", path.display()))?);
    }
    Ok(notes)
}

fn read_wind_log(path: &Path) -> Result<WindLog> {
    let log = parser::read_wind_log(parser::open(path)?, &path.display().to_string())?;
    for aside in &log.set_aside {
        let line = aside.first_line.unwrap_or_default();
        let (rows, verb) = if aside.count == 1 {
            ("row", "was")
        } else {
            ("rows", "were")
        };
        say::warning(format!(
            "`{}`: {} {rows} {verb} left out, the first on line {line}: {}",
            log.file, aside.count, aside.reason
        ));
    }
    Ok(log)
}

fn read_power_log(path: &Path) -> Result<PowerLog> {
    let log = parser::read_power_log(parser::open(path)?, &path.display().to_string())?;
    if log.signs_turned {
        say::note(format!(
            "`{}`: what leaves the battery is below zero there, so all signs were turned",
            log.file
        ));
    }
    Ok(log)
}

/// A text file, whole.
pub(crate) fn read_text(path: &Path, what: &str) -> Result<String> {
    text_of(path, what, read_bytes(path, what, MOST_BYTES)?)
}

/// The bytes of a file, whole, up to so many.
fn read_bytes(path: &Path, what: &str, most: u64) -> Result<Vec<u8>> {
    let shown = path.display();
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(|error| match error.kind() {
            ErrorKind::NotFound => anyhow!(
                "cannot read `{shown}`: there is no such file\nhint: check the folder and the spelling of the {what}"
            ),
            ErrorKind::IsADirectory => anyhow!(
                "cannot read `{shown}`: it is a folder\nhint: name the {what} in it"
            ),
            _ => anyhow!(
                "cannot read `{shown}`: {error}\nhint: check that you may read it"
            ),
        })?;
    if bytes.len() as u64 > most {
        bail!("cannot read `{shown}`: it has more than {most} bytes\nhint: is this the {what}?");
    }
    Ok(bytes)
}

fn text_of(path: &Path, what: &str, bytes: Vec<u8>) -> Result<String> {
    let shown = path.display();
    String::from_utf8(bytes).map_err(|error| {
        let before = error.as_bytes().get(..error.utf8_error().valid_up_to());
        let line = 1 + memchr::memchr_iter(b'\n', before.unwrap_or_default()).count();
        anyhow!(
            "cannot read `{shown}`: line {line}: this is not UTF-8 text\nhint: save the {what} as plain text in UTF-8"
        )
    })
}
