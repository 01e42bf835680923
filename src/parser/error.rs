//! Why a file gave no recording.

use std::io;

/// Why a file could not be read as a recorded track.
///
/// Points that could not be used are not here but in
/// [`Recording::set_aside`](crate::track::Recording::set_aside): one bad point
/// never costs the file.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// There is no such file.
    #[error("cannot read `{file}`: there is no such file\nhint: check the folder and the spelling")]
    Missing {
        /// The path as given.
        file: String,
    },
    /// The path leads to a folder.
    #[error("cannot read `{file}`: it is a folder\nhint: name the track files in it")]
    Directory {
        /// The path as given.
        file: String,
    },
    /// The system refused.
    #[error(
        "cannot read `{file}`: {source}\nhint: check that you may read it and that its disk or card is in place"
    )]
    Unreadable {
        /// The path as given.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// The file is larger than any day's track.
    #[error(
        "cannot read `{file}`: it has more than {most_bytes} bytes, the most taken\nhint: a day at one fix a second is about 5 MB; cut out the day of the trial"
    )]
    TooLarge {
        /// The path as given.
        file: String,
        /// The most bytes taken.
        most_bytes: u64,
    },
    /// A compressed file that unpacks to more than any track.
    #[error(
        "cannot read `{file}`: its {packed_bytes} bytes unpack to more than {most_bytes}, the most taken\nhint: no track packs so well; unpack it and look what is in it"
    )]
    UnpacksTooLarge {
        /// The file's name.
        file: String,
        /// How many bytes it has.
        packed_bytes: u64,
        /// The most bytes unpacked.
        most_bytes: u64,
    },
    /// A log with more rows than any.
    #[error(
        "cannot read `{file}`: it has more than {most} rows, the most taken\nhint: cut out the days of the trial"
    )]
    TooManyRows {
        /// The file's name.
        file: String,
        /// The most rows taken.
        most: usize,
    },
    /// A table whose header lacks something, or that has none.
    #[error(
        "cannot read `{file}`: line {line}: {what}\nhint: the first row must name the columns; looked for latitude (`lat`, `latitude`, `y`), longitude (`lon`, `lng`, `longitude`, `x`) and time (`time`, `timestamp`, `utc`, `epoch`, or `date` with `time`); found {found}"
    )]
    NoColumns {
        /// The file's name.
        file: String,
        /// Line of the header, or of the first row where there is none.
        line: u64,
        /// What is missing.
        what: String,
        /// The cells of that row.
        found: String,
    },
    /// Nothing is in the file.
    #[error(
        "cannot read `{file}`: {what}\nhint: export the track from the plotter again, and let it finish before the card is taken out"
    )]
    Empty {
        /// The file's name.
        file: String,
        /// In which way it is empty.
        what: &'static str,
    },
    /// Something other than a track.
    #[error("cannot read `{file}`: it looks like {looks_like}\nhint: {hint}")]
    NotATrack {
        /// The file's name.
        file: String,
        /// What it looks like, with its article.
        looks_like: String,
        /// What to do.
        hint: &'static str,
    },
    /// GPX without any track point.
    #[error(
        "cannot read `{file}`: it has no track points, only {found}\nhint: export the recorded track (in GPX, `trk`); routes and waypoints are plans and marks, not a record"
    )]
    NoTrack {
        /// The file's name.
        file: String,
        /// What was there instead.
        found: String,
    },
    /// An NMEA 0183 log without any sentence that gives a position.
    #[error(
        "cannot read `{file}`: its NMEA 0183 sentences give no position, only {found}\nhint: let the plotter or receiver put RMC or GGA sentences into the log"
    )]
    NoPositions {
        /// The file's name.
        file: String,
        /// What was there instead.
        found: String,
    },
    /// Times of day without a date.
    #[error(
        "cannot read `{file}`: line {line}: the times of its {fixes} fixes have no date (no RMC or ZDA sentence gives one)\nhint: give the day of the first fix in UTC, such as `--date 2031-06-04`"
    )]
    NoDate {
        /// The file's name.
        file: String,
        /// The first fix's line.
        line: u64,
        /// How many fixes there are.
        fixes: usize,
    },
    /// Points without times.
    #[error(
        "cannot read `{file}`: line {line}: none of the track points ({points} met) has a time, so no speed can be measured\nhint: plotters drop the times when a log is saved as a track; export the raw log of the day instead"
    )]
    NoTimes {
        /// The file's name.
        file: String,
        /// How many points there are.
        points: usize,
        /// The first one's line.
        line: u64,
    },
    /// Points, and not one of them usable.
    #[error(
        "cannot read `{file}`: line {line}: `{value}`: {reason}; none of the track points ({points} met) can be used\nhint: export the track from the plotter again, as GPX 1.1 with times"
    )]
    NoUsablePoint {
        /// The file's name.
        file: String,
        /// The line of the first point set aside for the commonest reason.
        line: u64,
        /// What was there.
        value: String,
        /// What is wrong with it.
        reason: &'static str,
        /// How many points there are.
        points: usize,
    },
}
