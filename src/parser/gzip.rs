//! Files compressed with gzip (RFC 1952), unpacked under a bound.

use std::io::{self, BufRead, ErrorKind, Read};

use flate2::bufread::MultiGzDecoder;

/// The first bytes of every member (RFC 1952, 2.3.1: ID1 and ID2).
const MAGIC: &[u8] = b"\x1F\x8B";

/// Most bytes to unpack in any case: 64 MiB, ten days at one fix a second.
const ALWAYS_BYTES: u64 = 64 << 20;

/// Most bytes to unpack for each byte packed, beyond [`ALWAYS_BYTES`].
///
/// Deflate reaches 1032 to 1 on one byte repeated; tracks with a new time in
/// every point reach 10 to 21 (our own simulated days). The bound keeps a bomb
/// of a few megabytes from filling the memory.
const MOST_RATIO: u64 = 200;

/// What unpacking gave.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Unpacked {
    /// All that could be unpacked.
    pub(super) bytes: Vec<u8>,
    /// Why there is no more, where the archive is damaged or cut off.
    pub(super) remark: Option<String>,
}

/// Why nothing was unpacked.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum GzipError {
    /// Not one byte came out of it.
    Nothing,
    /// More than the bound came out of it.
    TooLarge {
        /// The bound.
        most_bytes: u64,
    },
}

/// Whether the bytes are an archive of this kind.
pub(super) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(MAGIC)
}

/// Unpacks on demand; damage ends the stream, and is told afterwards.
#[derive(Debug)]
pub(super) struct Unpacking<R> {
    members: io::Take<MultiGzDecoder<R>>,
    most_bytes: u64,
    unpacked: u64,
    error: Option<ErrorKind>,
}

impl<R: BufRead> Unpacking<R> {
    /// Of an archive of so many bytes; at most `most_bytes` come out of it, and one more that shows
    /// that there are more.
    pub(super) fn new(packed: R, packed_bytes: u64, most_bytes: u64) -> Self {
        let by_ratio = ALWAYS_BYTES.saturating_add(MOST_RATIO.saturating_mul(packed_bytes));
        let most_bytes = most_bytes.min(by_ratio);
        Self {
            members: MultiGzDecoder::new(packed).take(most_bytes.saturating_add(1)),
            most_bytes,
            unpacked: 0,
            error: None,
        }
    }

    /// Once all is read: why there is no more, where the archive is damaged or cut off.
    ///
    /// # Errors
    /// [`GzipError`] where nothing came out, or too much.
    pub(super) fn finish(self) -> Result<Option<String>, GzipError> {
        if self.unpacked > self.most_bytes {
            return Err(GzipError::TooLarge {
                most_bytes: self.most_bytes,
            });
        }
        if self.unpacked == 0 {
            return Err(GzipError::Nothing);
        }
        Ok(self.error.map(|kind| {
            let what = if kind == ErrorKind::UnexpectedEof {
                "is cut off"
            } else {
                "is damaged"
            };
            let bytes = self.unpacked;
            format!("The gzip archive {what}: {bytes} bytes were unpacked before that and read.")
        }))
    }
}

impl<R: BufRead> Read for Unpacking<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.error.is_some() {
            return Ok(0);
        }
        match self.members.read(into) {
            Ok(read) => {
                self.unpacked += read as u64;
                Ok(read)
            }
            Err(error) if is_damage(error.kind()) => {
                self.error = Some(error.kind());
                Ok(0)
            }
            Err(error) => Err(error),
        }
    }
}

/// Whether an error is the archive's own, and not its file's.
fn is_damage(kind: ErrorKind) -> bool {
    matches!(
        kind,
        ErrorKind::UnexpectedEof | ErrorKind::InvalidInput | ErrorKind::InvalidData
    )
}

/// Unpacks all members, of which there may be several, joined end to end (RFC 1952, 2.2).
///
/// An archive that is cut off or damaged gives what stands before the damage.
pub(super) fn unpack(packed: &[u8], most_bytes: u64) -> Result<Unpacked, GzipError> {
    let mut unpacking = Unpacking::new(packed, packed.len() as u64, most_bytes);
    let mut bytes = Vec::new();
    // Damage ends the stream without an error, and memory has none to give.
    let _ = unpacking.read_to_end(&mut bytes);
    let remark = unpacking.finish()?;
    Ok(Unpacked { bytes, remark })
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use flate2::Compression;
    use flate2::write::GzEncoder;

    use super::*;

    fn packed(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes)?;
        encoder.finish()
    }

    #[test]
    fn members_joined_end_to_end_are_one_file() -> std::io::Result<()> {
        let joined = [packed(b"one, ")?, packed(b"two")?].concat();
        let unpacked = unpack(&joined, 100);
        let whole = Unpacked {
            bytes: b"one, two".to_vec(),
            remark: None,
        };
        assert_eq!(unpacked, Ok(whole));
        Ok(())
    }

    #[test]
    fn what_stands_before_a_cut_is_kept() -> std::io::Result<()> {
        let text: Vec<u8> = (0..20_000_u32).flat_map(u32::to_le_bytes).collect();
        let whole = packed(&text)?;
        let cut = whole.get(..whole.len() / 2).unwrap_or_default();
        let unpacked = unpack(cut, 1 << 20);
        assert!(unpacked.is_ok_and(|u| {
            text.starts_with(&u.bytes) && u.remark.is_some_and(|r| r.contains("cut off"))
        }));
        Ok(())
    }

    #[test]
    fn rubbish_behind_a_member_is_told_and_the_member_kept() -> std::io::Result<()> {
        let padded = [packed(b"one")?, b"rubbish".to_vec()].concat();
        let unpacked = unpack(&padded, 100);
        assert!(unpacked.is_ok_and(|u| u.bytes == b"one"));
        Ok(())
    }

    #[test]
    fn a_head_alone_holds_nothing() -> std::io::Result<()> {
        let empty = packed(b"")?;
        assert_eq!(unpack(&empty, 100), Err(GzipError::Nothing));
        let head = empty.get(..10).unwrap_or_default();
        assert_eq!(unpack(head, 100), Err(GzipError::Nothing));
        assert_eq!(unpack(MAGIC, 100), Err(GzipError::Nothing));
        Ok(())
    }

    #[test]
    fn a_bomb_is_stopped_at_the_bound() -> std::io::Result<()> {
        let bomb = packed(&vec![b' '; 1 << 20])?;
        let most_bytes = 1000;
        let expected = Err(GzipError::TooLarge { most_bytes });
        assert_eq!(unpack(&bomb, most_bytes), expected);
        // A thousand to one, beyond what is always unpacked.
        let bomb = packed(&vec![b' '; (ALWAYS_BYTES as usize) * 2])?;
        let stopped = unpack(&bomb, u64::MAX);
        assert!(
            matches!(stopped, Err(GzipError::TooLarge { most_bytes }) if most_bytes < 2 * ALWAYS_BYTES)
        );
        Ok(())
    }
}
