//! From files to recordings.
//!
//! [`read`] takes bytes and looks at them, never at the file's ending, to
//! choose a reader. Each reader gives a [`Recording`] as the file has it:
//! nothing sorted, nothing joined. A point that cannot be used is set aside
//! and counted with its line; only a file without any usable point is an
//! error. [`open`] is the one place in the library that touches files.
//!
//! Every file comes piece by piece through one source, which unpacks and decodes it under bounds:
//! of a file of any size little more than the fixes is ever held. Tracks in tables (`fixes`) and
//! the logs of wind and power (`log`) share one reader of tables (`table`); all share one reader
//! of times (`time`), of numbers and units (`quantity`), and one tally of faults. A new format is
//! one more arm in `sniff::format_of` and one more module beside `gpx` and `nmea`.

mod error;
mod fixes;
mod gpx;
mod log;
mod nmea;
mod position;
pub mod quantity;
mod sniff;
mod source;
mod table;
mod tally;
pub(crate) mod time;
pub mod true_wind;

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use jiff::civil::Date;

pub use self::error::ReadError;
pub use self::log::{
    LogError, PowerLog, PowerRow, WindLog, WindRow, read_power_log, read_wind_log,
};
use self::source::Source;
use self::tally::Tally;
pub use self::time::Moment;
use crate::track::{RecordedTrack, Recording};

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
    let name = path.file_name().unwrap_or(path.as_os_str());
    read_from(open(path)?, &name.to_string_lossy(), options)
}

/// Opens a file that may be read: a track or a log.
///
/// # Errors
/// [`ReadError`] where there is none, it is a folder, or it is too large.
pub fn open(path: &Path) -> Result<File, ReadError> {
    let given = || path.display().to_string();
    let failed = |source: io::Error| match source.kind() {
        io::ErrorKind::NotFound => ReadError::Missing { file: given() },
        _ => ReadError::Unreadable {
            file: given(),
            source,
        },
    };
    let file = File::open(path).map_err(failed)?;
    let known = file.metadata().map_err(failed)?;
    if known.is_dir() {
        return Err(ReadError::Directory { file: given() });
    }
    if known.len() > MOST_BYTES {
        return Err(ReadError::TooLarge {
            file: given(),
            most_bytes: MOST_BYTES,
        });
    }
    Ok(file)
}

/// Reads one recorded track from bytes, also gzip-compressed ones; `file` is its name for messages
/// and results.
///
/// # Errors
/// [`ReadError`] where the bytes are too many, are no track, or hold no usable point.
pub fn read(bytes: &[u8], file: &str) -> Result<Recording, ReadError> {
    read_from(bytes, file, &Options::default())
}

/// Reads one recorded track from bytes, with what they leave out.
///
/// # Errors
/// As [`read`].
pub fn read_with(bytes: &[u8], file: &str, options: &Options) -> Result<Recording, ReadError> {
    read_from(bytes, file, options)
}

/// Reads one recorded track from a stream to its end, such as standard input; `file` is its name
/// for messages and results.
///
/// # Errors
/// As [`read`].
pub fn read_from(stream: impl Read, file: &str, options: &Options) -> Result<Recording, ReadError> {
    let mut source = Source::new(stream, file)?;
    source.skip_blanks()?;
    match sniff::format_of(source.piece(), file)? {
        sniff::Format::Gpx => gpx::read(source),
        sniff::Format::Nmea => nmea::read(source, options.date),
        sniff::Format::Table => fixes::read(source),
    }
}

/// What a reader found in a file: its tracks, what was set aside, and the remarks; `line_of` gives
/// the line of a place in the tally.
///
/// # Errors
/// Where there is no fix: what befell the points, or `empty` where none was met.
fn recording(
    source: &Source<'_>,
    tally: &Tally,
    line_of: impl Fn(usize) -> u64,
    tracks: Vec<RecordedTrack>,
    remarks: Vec<String>,
    empty: impl FnOnce(String) -> ReadError,
) -> Result<Recording, ReadError> {
    let file = source.file.clone();
    let segments = tracks.iter().flat_map(|track| &track.segments);
    let fixes: usize = segments.map(Vec::len).sum();
    if fixes == 0 {
        return Err(tally
            .all_lost(line_of, &file)
            .unwrap_or_else(|| empty(file)));
    }
    let of_source = source.remarks().into_iter();
    Ok(Recording {
        file,
        points_met: fixes + tally.lost(),
        set_aside: tally.set_aside(line_of),
        tracks,
        remarks: of_source.chain(remarks).chain(tally.remarks()).collect(),
        ..Recording::default()
    })
}
