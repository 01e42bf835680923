//! From files to recordings.
//!
//! [`read`] takes bytes and looks at them, never at the file's ending, to
//! choose a reader. Each reader gives a [`Recording`] as the file has it:
//! nothing sorted, nothing joined. A point that cannot be used is set aside
//! and counted with its line; only a file without any usable point is an
//! error. [`read_file`] is the one place in the library that touches files; it
//! reads a long GPX document window by window, so that it is never held whole.
//!
//! A new format is one more arm in `sniff::format_of` and one more module
//! beside `gpx` and `nmea`; times, numbers, encodings and faults are shared.

mod error;
mod fault;
mod file;
mod gpx;
mod gzip;
mod lines;
mod nmea;
mod number;
mod position;
mod sniff;
mod table;
mod text;
mod time;
mod unit;

use std::io::Read;

use jiff::civil::Date;

pub use self::error::ReadError;
pub use self::file::{read_file, read_file_with};
use crate::track::Recording;

/// The most bytes read from one file: 2 GiB, about a year at one fix a second.
///
/// The bound keeps a disk image given by mistake out of the memory.
pub const MOST_BYTES: u64 = 2 << 30;

/// What a file may leave out and a person may know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Options {
    /// The day (UTC) of the first fix, for an NMEA 0183 log whose sentences hold times alone.
    /// A date in the file goes before it; years from 1980 to 2199 will do.
    pub date: Option<Date>,
}

/// Reads one recorded track from a stream to its end, such as standard input; `file` is its name
/// for messages and results.
///
/// # Errors
/// As [`read_file`].
pub fn read_from(stream: impl Read, file: &str, options: &Options) -> Result<Recording, ReadError> {
    let mut bytes = Vec::new();
    stream
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| ReadError::Unreadable {
            file: file.to_owned(),
            source,
        })?;
    read_with(&bytes, file, options)
}

/// Reads one recorded track from bytes, also gzip-compressed ones; `file` is its name for messages
/// and results.
///
/// # Errors
/// [`ReadError`] where the bytes are too many, are no track, or hold no usable point.
pub fn read(bytes: &[u8], file: &str) -> Result<Recording, ReadError> {
    read_with(bytes, file, &Options::default())
}

/// Reads one recorded track from bytes, with what they leave out.
///
/// # Errors
/// As [`read`].
pub fn read_with(bytes: &[u8], file: &str, options: &Options) -> Result<Recording, ReadError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(too_large(file.to_owned()));
    }
    if !gzip::is_gzip(bytes) {
        return read_plain(bytes, file, *options);
    }
    let unpacked = gzip::unpack(bytes, MOST_BYTES)
        .map_err(|error| not_unpacked(&error, bytes.len() as u64, file))?;
    let mut recording = read_plain(&unpacked.bytes, file, *options)?;
    if let Some(remark) = unpacked.remark {
        recording.remarks.insert(0, remark);
    }
    Ok(recording)
}

fn read_plain(bytes: &[u8], file: &str, options: Options) -> Result<Recording, ReadError> {
    sniff::refuse_binary(bytes, file)?;
    // Before decoding: checksums are over bytes, and rubbish between sentences has no encoding.
    if sniff::is_nmea_log(bytes) {
        return nmea::read(bytes, file, options.date);
    }
    let decoded = text::decode(bytes);
    // A terminal's output, redirected to a file, may be UTF-16.
    if decoded.encoding == text::Encoding::Utf16 && sniff::is_nmea_log(decoded.text.as_bytes()) {
        return nmea::read(decoded.text.as_bytes(), file, options.date);
    }
    match sniff::format_of(&decoded.text, file)? {
        sniff::Format::Gpx => gpx::read(&decoded, file),
        sniff::Format::Table => table::read(&decoded, file),
    }
}

fn too_large(file: String) -> ReadError {
    ReadError::TooLarge {
        file,
        most_bytes: MOST_BYTES,
    }
}

fn not_unpacked(error: &gzip::GzipError, packed_bytes: u64, file: &str) -> ReadError {
    let file = file.to_owned();
    match *error {
        gzip::GzipError::Nothing => ReadError::Empty {
            file,
            what: "it is a gzip archive from which nothing can be unpacked",
        },
        gzip::GzipError::TooLarge { most_bytes } => ReadError::UnpacksTooLarge {
            file,
            packed_bytes,
            most_bytes,
        },
    }
}
