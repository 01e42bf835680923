//! Reads the tracks that the arguments name: files, folders, standard input.

use std::fs;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use thereback::parser::{Options, read_file_with, read_from};
use thereback::track::Recording;

use super::say;

/// What stands for standard input among the tracks (POSIX Utility Syntax Guidelines, 13).
const STANDARD_INPUT: &str = "-";

/// Up to so many files are read before anyone looks for a bar.
const MOST_WITHOUT_BAR: usize = 3;

/// Where one recording comes from.
#[derive(Debug)]
enum Source {
    StandardInput,
    /// A file that was named.
    File(PathBuf),
    /// A file in a folder that was named; what is no track there is passed over.
    InFolder(PathBuf),
}

/// Reads all tracks, in parallel; their order is that of the arguments, and within a folder that of
/// the files' names.
///
/// What cannot be read is told and left out.
///
/// # Errors
/// Where standard input is named twice.
pub(crate) fn read(given: &[PathBuf], options: Options) -> Result<Vec<Recording>> {
    let standard = given.iter().filter(|path| is_standard_input(path)).count();
    if standard > 1 {
        bail!(
            "`{STANDARD_INPUT}` is given {standard} times, and standard input can be read once\nhint: name the files instead"
        );
    }
    let mut sources = Vec::new();
    for path in given {
        match sources_of(path) {
            Ok(found) => sources.extend(found),
            Err(error) => say::error(&error),
        }
    }
    let bar = bar(sources.len());
    let read: Vec<Result<Recording>> = sources
        .par_iter()
        .map(|source| {
            let recording = read_source(source, options);
            bar.inc(1);
            recording
        })
        .collect();
    bar.finish_and_clear();
    let mut recordings = Vec::with_capacity(read.len());
    for (source, recording) in sources.iter().zip(read) {
        match (recording, source) {
            (Ok(recording), _) => recordings.push(recording),
            (Err(error), Source::InFolder(_)) => say::warning(format!("{error:#}")),
            (Err(error), _) => say::error(&error),
        }
    }
    Ok(recordings)
}

/// The files that the tracks given stand for, so far as they can be told.
pub(crate) fn files(given: &[PathBuf]) -> Vec<PathBuf> {
    let sources = given.iter().filter_map(|path| sources_of(path).ok());
    sources
        .flatten()
        .filter_map(|source| match source {
            Source::StandardInput => None,
            Source::File(path) | Source::InFolder(path) => Some(path),
        })
        .collect()
}

fn read_source(source: &Source, options: Options) -> Result<Recording> {
    Ok(match source {
        Source::StandardInput => read_from(io::stdin().lock(), "standard input", &options)?,
        Source::File(path) | Source::InFolder(path) => read_file_with(path, &options)?,
    })
}

fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == STANDARD_INPUT
}

fn sources_of(path: &Path) -> Result<Vec<Source>> {
    if is_standard_input(path) {
        return Ok(vec![Source::StandardInput]);
    }
    if !path.is_dir() {
        return Ok(vec![Source::File(path.to_owned())]);
    }
    let shown = path.display();
    let files = files_in(path).map_err(|error| {
        anyhow!("cannot read the folder `{shown}`: {error}\nhint: check that you may read it")
    })?;
    if files.is_empty() {
        bail!(
            "cannot read `{shown}`: the folder holds no files\nhint: name the folder in which the track files lie; folders in it are not searched"
        );
    }
    Ok(files.into_iter().map(Source::InFolder).collect())
}

/// The files directly inside a folder, by name; hidden ones are not the user's.
fn files_in(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        let path = entry.path();
        if !hidden && path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// A bar on a terminal for the person who waits; nothing anywhere else.
fn bar(files: usize) -> ProgressBar {
    if files <= MOST_WITHOUT_BAR || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(files as u64);
    // A template that cannot be read leaves the usual style.
    if let Ok(style) = ProgressStyle::with_template("reading {wide_bar} {pos} of {len} files") {
        bar.set_style(style);
    }
    bar
}
