//! Writes files so that none is ever seen half-written: all beside their places first, then renamed.

use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Error, Result, anyhow, bail};
use tempfile::{Builder, NamedTempFile};
use thereback::report::OutputFile;

use super::tracks;

const TEMPORARY_PREFIX: &str = ".thereback-";
const TEMPORARY_SUFFIX: &str = ".part";

/// A temporary file older than this was left by a run that was killed: no run takes an hour.
const STALE: Duration = Duration::from_secs(3600);

/// Writes the files below `folder`, which is made where there is none. None may take the place of
/// one of `inputs`.
///
/// Where one cannot be written, none is replaced, and neither temporary files nor new empty folders
/// stay behind.
pub(crate) fn write(folder: &Path, files: &[OutputFile], inputs: &[PathBuf]) -> Result<()> {
    spare_inputs(folder, files, inputs)?;
    let mut made = Vec::new();
    let written = stage(folder, files, &mut made).and_then(put_in_place);
    if written.is_err() {
        for folder in made.iter().rev() {
            // One that is not empty any more is in use by somebody else.
            let _ = fs::remove_dir(folder);
        }
    }
    written
}

/// A track that happens to be called `legs.gpx` must not be lost to the legs found in it.
fn spare_inputs(folder: &Path, files: &[OutputFile], inputs: &[PathBuf]) -> Result<()> {
    let inputs: Vec<PathBuf> = tracks::files(inputs)
        .iter()
        .filter_map(|path| path.canonicalize().ok())
        .collect();
    for file in files {
        let target = folder.join(&file.path);
        if target
            .canonicalize()
            .is_ok_and(|there| inputs.contains(&there))
        {
            bail!(
                "`{}` is one of the tracks and would be replaced\nhint: choose another folder with --output",
                target.display()
            );
        }
    }
    Ok(())
}

/// A file written in full, beside the place it is meant for.
struct Staged {
    file: NamedTempFile,
    target: PathBuf,
}

fn stage(folder: &Path, files: &[OutputFile], made: &mut Vec<PathBuf>) -> Result<Vec<Staged>> {
    let mut swept: Vec<PathBuf> = Vec::new();
    let mut staged = Vec::new();
    for file in files {
        let target = folder.join(&file.path);
        let parent = match target.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        if !swept.iter().any(|folder| folder == parent) {
            make_folder(parent, made).map_err(|e| cannot("make the folder", parent, &e))?;
            sweep(parent);
            swept.push(parent.to_owned());
        }
        if target.is_dir() {
            let error = io::Error::from(ErrorKind::IsADirectory);
            return Err(cannot("write", &target, &error));
        }
        let file = write_beside(parent, &file.bytes).map_err(|e| cannot("write", &target, &e))?;
        staged.push(Staged { file, target });
    }
    Ok(staged)
}

fn write_beside(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(TEMPORARY_PREFIX).suffix(TEMPORARY_SUFFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // What any new file asks for; the user's mask takes its share.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.flush()?;
    Ok(file)
}

fn put_in_place(staged: Vec<Staged>) -> Result<()> {
    for Staged { file, target } in staged {
        file.persist(&target)
            .map_err(|failed| cannot("write", &target, &failed.error))?;
    }
    Ok(())
}

/// Makes a folder and those above it; `made` learns of each that was not there.
fn make_folder(folder: &Path, made: &mut Vec<PathBuf>) -> io::Result<()> {
    let missing: Vec<&Path> = folder
        .ancestors()
        .take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists())
        .collect();
    for folder in missing.into_iter().rev() {
        match fs::create_dir(folder) {
            Ok(()) => made.push(folder.to_owned()),
            Err(error) if error.kind() == ErrorKind::AlreadyExists && folder.is_dir() => {}
            Err(error) => return Err(error),
        }
    }
    if folder.is_dir() {
        Ok(())
    } else {
        Err(ErrorKind::NotADirectory.into())
    }
}

/// Removes what killed runs left. Failing to is no reason not to write.
fn sweep(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let ours = name.starts_with(TEMPORARY_PREFIX) && name.ends_with(TEMPORARY_SUFFIX);
        let age = || entry.metadata().ok()?.modified().ok()?.elapsed().ok();
        if ours && age().is_some_and(|age| age > STALE) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn cannot(what: &str, path: &Path, error: &io::Error) -> Error {
    let hint = match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "choose a folder you may write to with --output"
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "free some space, or choose another folder with --output"
        }
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists => {
            "there is a file where a folder should be; choose another folder with --output"
        }
        ErrorKind::IsADirectory => {
            "there is a folder where a file should be; choose another folder with --output"
        }
        _ => "check the folder given with --output",
    };
    anyhow!("cannot {what} `{}`: {error}\nhint: {hint}", path.display())
}
