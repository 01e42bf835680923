//! Files: the one place in the library that touches them.

use std::fs::File;
use std::io::{self, Read, Seek};
use std::path::Path;

use super::gzip::{self, Unpacking};
use super::{
    MOST_BYTES, Options, ReadError, gpx, nmea, not_unpacked, read_with, sniff, text, too_large,
};
use crate::track::Recording;

/// How much of a long document is read at a time, bytes.
///
/// The window stays in the processor's cache from reading to numbers; beyond a few
/// megabytes it would not, and below one the pieces cost more than they save (measured on
/// our own days).
const WINDOW_BYTES: usize = 1 << 20;

/// How short an archive is unpacked whole, bytes: at 21 to 1, the most that tracks reach, it has
/// little more than a window.
const SHORT_ARCHIVE_BYTES: u64 = 1 << 16;

/// Reads one recorded track from a file.
///
/// # Errors
/// [`ReadError`] where the file cannot be read, is too large, is no track, or
/// has no usable point.
pub fn read_file(path: &Path) -> Result<Recording, ReadError> {
    read_file_with(path, &Options::default())
}

/// Reads one recorded track from a file, with what the file itself leaves out.
///
/// # Errors
/// As [`read_file`].
pub fn read_file_with(path: &Path, options: &Options) -> Result<Recording, ReadError> {
    let given = || path.display().to_string();
    let name = path.file_name().unwrap_or(path.as_os_str());
    let name = name.to_string_lossy();
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::NotFound => ReadError::Missing { file: given() },
        io::ErrorKind::IsADirectory => ReadError::Directory { file: given() },
        io::ErrorKind::FileTooLarge => too_large(given()),
        _ => ReadError::Unreadable {
            file: given(),
            source,
        },
    };
    let (mut file, known_bytes) = open(path).map_err(failed)?;
    // A pipe has no length, and could not be read again from its start.
    if let Some(length) = known_bytes
        && let Some(outcome) = in_windows(&mut file, length, &name).map_err(failed)?
    {
        return outcome;
    }
    let bytes = all_bytes(file, known_bytes).map_err(failed)?;
    read_with(&bytes, &name, options)
}

/// The file, and its length where it is a regular one.
fn open(path: &Path) -> io::Result<(File, Option<u64>)> {
    let file = File::open(path)?;
    let known = file.metadata()?;
    if known.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    if known.len() > MOST_BYTES {
        return Err(io::ErrorKind::FileTooLarge.into());
    }
    Ok((file, known.is_file().then_some(known.len())))
}

/// The whole content from the start on; the length is not trusted but counted.
fn all_bytes(mut file: File, known_bytes: Option<u64>) -> io::Result<Vec<u8>> {
    if known_bytes.is_some() {
        file.rewind()?;
    }
    let expected = usize::try_from(known_bytes.unwrap_or(0)).unwrap_or(0);
    let mut bytes = Vec::with_capacity(expected);
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(io::ErrorKind::FileTooLarge.into());
    }
    Ok(bytes)
}

type Outcome = Result<Recording, ReadError>;

/// A long GPX document or NMEA 0183 log, packed or not; `None` where it is short, something else, or has to be seen
/// whole.
fn in_windows(file: &mut File, length: u64, name: &str) -> io::Result<Option<Outcome>> {
    if length <= SHORT_ARCHIVE_BYTES {
        return Ok(None);
    }
    let mut head = Vec::with_capacity(WINDOW_BYTES);
    let mut window = file.by_ref().take(WINDOW_BYTES as u64);
    window.read_to_end(&mut head)?;
    if gzip::is_gzip(&head) {
        file.rewind()?;
        return unpacked_in_windows(file, length, name);
    }
    if length <= WINDOW_BYTES as u64 {
        return Ok(None);
    }
    // One that grows meanwhile is read up to the bound.
    text_in_windows(&head, file.take(MOST_BYTES), name)
}

fn unpacked_in_windows(file: &mut File, length: u64, name: &str) -> io::Result<Option<Outcome>> {
    let mut unpacking = Unpacking::new(io::BufReader::new(file), length, MOST_BYTES);
    let mut head = Vec::with_capacity(WINDOW_BYTES);
    let mut window = unpacking.by_ref().take(WINDOW_BYTES as u64);
    window.read_to_end(&mut head)?;
    let Some(outcome) = text_in_windows(&head, &mut unpacking, name)? else {
        return Ok(None);
    };
    let finished = unpacking.finish();
    Ok(Some(match finished {
        Err(error) => Err(not_unpacked(&error, length, name)),
        Ok(remark) => outcome.map(|mut recording| {
            recording.remarks.splice(0..0, remark);
            recording
        }),
    }))
}

fn text_in_windows(head: &[u8], rest: impl Read, name: &str) -> io::Result<Option<Outcome>> {
    if sniff::refuse_binary(head, name).is_err() {
        return Ok(None);
    }
    if sniff::is_nmea_log(head) {
        return nmea::read_in_windows(head.to_vec(), rest, WINDOW_BYTES, name);
    }
    let Some(text) = text::utf8_head(head) else {
        return Ok(None);
    };
    if !sniff::begins_as_gpx(text) {
        return Ok(None);
    }
    let held = text.to_vec();
    gpx::read_in_windows(held, rest, WINDOW_BYTES, name)
}
