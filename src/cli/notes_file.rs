//! Keeps a person's notes: `notes.toml` is replaced only where it is as the program wrote it.
//!
//! The first line of the file carries a checksum of the rest, so that no other memory is needed.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use anyhow::{Result, bail};

/// What the first line says before the checksum.
const STAMP: &str = "# written by thereback, unedited: ";

/// More spare names than anyone keeps edited versions.
const MOST_NAMES: usize = 100;

/// Where the notes go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Place {
    /// Name of the file.
    pub(crate) name: String,
    /// Edited files that were passed over.
    pub(crate) kept: Vec<String>,
}

/// The first of `notes.toml`, `notes.found.toml`, `notes.found-2.toml`, … in `folder` that is not
/// there or is as the program wrote it.
pub(crate) fn place(folder: &Path) -> Result<Place> {
    let mut kept = Vec::new();
    for number in 0..MOST_NAMES {
        let name = match number {
            0 => "notes.toml".to_owned(),
            1 => "notes.found.toml".to_owned(),
            more => format!("notes.found-{more}.toml"),
        };
        let free = match fs::read(folder.join(&name)) {
            Ok(content) => is_unedited(&content),
            // With no folder, or a file in its place, there are no notes; making it tells the rest.
            Err(error) => matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory),
        };
        if free {
            return Ok(Place { name, kept });
        }
        kept.push(name);
    }
    bail!(
        "cannot write the notes: `{}` holds {MOST_NAMES} edited notes\nhint: move some of them away, or choose another folder with --output",
        folder.display()
    )
}

/// The notes below their stamp.
pub(crate) fn stamped(body: &str) -> String {
    format!("{STAMP}{:016x}\n{body}", checksum(body.as_bytes()))
}

fn is_unedited(content: &[u8]) -> bool {
    let Some(rest) = content.strip_prefix(STAMP.as_bytes()) else {
        return false;
    };
    let mut parts = rest.splitn(2, |byte| *byte == b'\n');
    let (Some(stamp), Some(body)) = (parts.next(), parts.next()) else {
        return false;
    };
    stamp == format!("{:016x}", checksum(body)).as_bytes()
}

/// FNV-1a, 64 bit (Fowler, Noll & Vo): tells an edit, and is meant for nothing more.
fn checksum(bytes: &[u8]) -> u64 {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0100_0000_01b3;
    bytes.iter().fold(OFFSET, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(PRIME)
    })
}

#[cfg(test)]
mod tests {
    use super::{checksum, is_unedited, stamped};

    /// Test vectors of FNV-1a 64 (Fowler, Noll, Vo & Eastlake, "The FNV Non-Cryptographic Hash
    /// Algorithm", test vectors; from memory).
    #[test]
    fn checksum_has_the_published_values() {
        assert_eq!(checksum(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(checksum(b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(checksum(b"foobar"), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn tells_an_edit() {
        let written = stamped("title = \"å\"\n");
        assert!(is_unedited(written.as_bytes()));
        assert!(!is_unedited(written.replace('å', "ä").as_bytes()));
        assert!(!is_unedited(format!("{written}\n").as_bytes()));
        assert!(!is_unedited(b"title = \"mine\"\n"));
        assert!(!is_unedited(b""));
        assert!(!is_unedited(super::STAMP.as_bytes()));
    }
}
