//! The bytes of a file, a piece at a time: unpacked, in UTF-8, and under every bound.

use std::io::{self, BufReader, Read};

use encoding_rs::Decoder;
use flate2::bufread::MultiGzDecoder;

use super::lines::Lines;
use super::text::{self, Encoding};
use super::{MOST_BYTES, ReadError};

/// How much of a file is looked at where its first piece does not tell how it is written, bytes:
/// 64 MiB hold a week of a table, and half a day of a log, at one fix a second.
pub(super) const SURVEYED_BYTES: usize = 64 << 20;

/// How much is read at a time, bytes.
///
/// A piece stays in the processor's cache from reading to numbers; beyond a few megabytes it would
/// not, and below one the pieces cost more than they save (measured on our own days).
pub(super) const STEP_BYTES: usize = 1 << 20;

/// The first bytes of a gzip archive (RFC 1952, 2.3.1: ID1 and ID2).
const GZIP_MAGIC: &[u8] = b"\x1F\x8B";

/// Most bytes to unpack in any case: 64 MiB, ten days at one fix a second.
const ALWAYS_UNPACKED_BYTES: u64 = 64 << 20;

/// Most bytes to unpack for each byte packed, beyond [`ALWAYS_UNPACKED_BYTES`].
///
/// Deflate reaches 1032 to 1 on one byte repeated; tracks with a new time in every point reach 10
/// to 21 (our own simulated days). The bound stops a bomb long before it is unpacked.
const MOST_RATIO: u64 = 200;

/// A file on its way to a reader. Of its content only what no reader has used yet is held.
pub(super) struct Source<'a> {
    /// Its name, for messages and results.
    pub(super) file: String,
    /// How its text is written.
    pub(super) encoding: Encoding,
    /// Whether something was met that is not UTF-8, in a file said to be.
    is_not_utf8: bool,
    /// Why there is no more, where the archive is damaged or cut off.
    pub(super) remark: Option<String>,
    /// Whether all of it has been read.
    pub(super) ended: bool,
    stream: Stream<'a>,
    decoder: Option<Decoder>,
    held: Vec<u8>,
    /// How many of the bytes held have been used.
    used: usize,
    /// How many of the bytes held are known to be UTF-8, or not.
    checked: usize,
    /// How many bytes have come, unpacked.
    came: u64,
    place: usize,
    lines: Lines,
}

impl<'a> Source<'a> {
    /// Reads the first piece of a stream and finds out how it is packed and written.
    pub(super) fn new(stream: impl Read + 'a, file: &str) -> Result<Self, ReadError> {
        let mut source = Self {
            file: file.to_owned(),
            encoding: Encoding::Utf8,
            is_not_utf8: false,
            remark: None,
            ended: false,
            stream: Stream::Plain(Box::new(stream)),
            decoder: None,
            held: Vec::new(),
            used: 0,
            checked: 0,
            came: 0,
            place: 0,
            lines: Lines::default(),
        };
        let mut head = source.next_step()?;
        if head.starts_with(GZIP_MAGIC)
            && let Stream::Plain(rest) = std::mem::replace(&mut source.stream, Stream::Nothing)
        {
            let counted = Counted {
                stream: Box::new(io::Cursor::new(head).chain(rest)),
                bytes: 0,
            };
            source.stream = Stream::Packed(Box::new(MultiGzDecoder::new(BufReader::new(counted))));
            source.ended = false;
            source.came = 0;
            head = source.next_step()?;
            if head.is_empty() {
                return Err(ReadError::Empty {
                    file: file.to_owned(),
                    what: "it is a gzip archive from which nothing can be unpacked",
                });
            }
        }
        let mark;
        (source.encoding, mark) = text::encoding(&head);
        head.drain(..mark);
        source.decoder = source.encoding.decoder();
        source.add(head);
        Ok(source)
    }

    /// What is held and has not been used.
    pub(super) fn piece(&self) -> &[u8] {
        self.held.get(self.used..).unwrap_or_default()
    }

    /// Where the piece begins, bytes from the start of the text.
    pub(super) fn place(&self) -> usize {
        self.place
    }

    /// Marks the beginning of the piece as used; the lines of those `places` in it are remembered.
    pub(super) fn advance(&mut self, bytes: usize, places: impl IntoIterator<Item = usize>) {
        let held = self.held.get(self.used..).unwrap_or_default();
        let used = held.get(..bytes).unwrap_or(held);
        let bytes = used.len();
        self.lines.go_over(used, places);
        self.used += bytes;
        self.place += bytes;
    }

    /// What is to be said of the file itself.
    pub(super) fn remarks(&self) -> Vec<String> {
        let not_utf8 = self.is_not_utf8.then(|| text::NOT_UTF8.to_owned());
        self.remark.clone().into_iter().chain(not_utf8).collect()
    }

    /// The line of a place remembered; the last line for any other.
    pub(super) fn line_of(&self, place: usize) -> u64 {
        self.lines.line_of(place)
    }

    /// Adds what follows to the piece.
    pub(super) fn fill(&mut self) -> Result<(), ReadError> {
        self.held.drain(..self.used);
        self.checked = self.checked.saturating_sub(self.used);
        self.used = 0;
        if !self.ended {
            let step = self.next_step()?;
            self.add(step);
        }
        Ok(())
    }

    /// Fills the piece until it has so many bytes, or all.
    pub(super) fn fill_to(&mut self, bytes: usize) -> Result<(), ReadError> {
        while !self.ended && self.piece().len() < bytes {
            self.fill()?;
        }
        Ok(())
    }

    /// Passes over blanks and NUL bytes, of which the last one is left, until something else
    /// comes.
    pub(super) fn skip_blanks(&mut self) -> Result<(), ReadError> {
        let is_blank = |byte: &u8| byte.is_ascii_whitespace() || *byte == 0;
        while !self.ended && self.piece().iter().all(is_blank) {
            self.advance(self.piece().len().saturating_sub(1), []);
            self.fill()?;
        }
        Ok(())
    }

    fn next_step(&mut self) -> Result<Vec<u8>, ReadError> {
        let mut step = Vec::with_capacity(STEP_BYTES);
        let outcome = (&mut self.stream)
            .take(STEP_BYTES as u64)
            .read_to_end(&mut step);
        self.came += step.len() as u64;
        self.ended = step.len() < STEP_BYTES;
        match (outcome, &self.stream) {
            (Err(error), Stream::Packed(_)) if is_damage(error.kind()) => {
                let what = if error.kind() == io::ErrorKind::UnexpectedEof {
                    "is cut off"
                } else {
                    "is damaged"
                };
                self.ended = true;
                self.remark = Some(format!(
                    "The gzip archive {what}: {} bytes were unpacked before that and read.",
                    self.came
                ));
            }
            (Err(source), _) => {
                return Err(ReadError::Unreadable {
                    file: self.file.clone(),
                    source,
                });
            }
            (Ok(_), _) => {}
        }
        self.within_bounds()?;
        Ok(step)
    }

    fn within_bounds(&self) -> Result<(), ReadError> {
        let file = self.file.clone();
        if let Stream::Packed(packed) = &self.stream {
            let packed_bytes = packed.get_ref().get_ref().bytes;
            let by_ratio = ALWAYS_UNPACKED_BYTES + MOST_RATIO.saturating_mul(packed_bytes);
            let most_bytes = MOST_BYTES.min(by_ratio);
            if self.came > most_bytes {
                return Err(ReadError::UnpacksTooLarge {
                    file,
                    packed_bytes,
                    most_bytes,
                });
            }
        } else if self.came > MOST_BYTES {
            return Err(ReadError::TooLarge {
                file,
                most_bytes: MOST_BYTES,
            });
        }
        Ok(())
    }

    fn add(&mut self, step: Vec<u8>) {
        match &mut self.decoder {
            Some(decoder) => {
                let mut decoded = String::new();
                let most = decoder.max_utf8_buffer_length(step.len());
                decoded.reserve(most.unwrap_or(3 * step.len()));
                let _ = decoder.decode_to_string(&step, &mut decoded, self.ended);
                self.held.extend(decoded.into_bytes());
            }
            None if self.held.is_empty() => self.held = step,
            None => {
                self.held.reserve_exact(step.len());
                self.held.extend(step);
            }
        }
        if self.ended {
            // Space that was set aside on the card and never written to.
            if let Some(last) = self.held.iter().rposition(|&byte| byte != 0) {
                self.held.truncate(last + 1);
            }
        }
        let unchecked = self.held.get(self.checked..).unwrap_or_default();
        match std::str::from_utf8(unchecked) {
            Ok(_) => self.checked = self.held.len(),
            // No error length: the last character may merely not be here yet.
            Err(error) if error.error_len().is_none() => self.checked += error.valid_up_to(),
            Err(_) => {
                self.is_not_utf8 = true;
                self.checked = self.held.len();
            }
        }
    }
}

enum Stream<'a> {
    Plain(Box<dyn Read + 'a>),
    Packed(Box<MultiGzDecoder<BufReader<Counted<'a>>>>),
    Nothing,
}

impl Read for Stream<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(stream) => stream.read(into),
            Self::Packed(stream) => stream.read(into),
            Self::Nothing => Ok(0),
        }
    }
}

/// Counts what is read of an archive.
struct Counted<'a> {
    stream: Box<dyn Read + 'a>,
    bytes: u64,
}

impl Read for Counted<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.stream.read(into)?;
        self.bytes += read as u64;
        Ok(read)
    }
}

/// Whether an error is the archive's own, and not its file's.
fn is_damage(kind: io::ErrorKind) -> bool {
    use io::ErrorKind::{InvalidData, InvalidInput, UnexpectedEof};
    matches!(kind, UnexpectedEof | InvalidInput | InvalidData)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Write as _;

    use flate2::Compression;
    use flate2::write::GzEncoder;

    use super::*;

    fn packed(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap()
    }

    /// All that a source gives, and its remark.
    fn all(bytes: &[u8]) -> Result<(Vec<u8>, Option<String>), String> {
        let mut source = Source::new(bytes, "x").map_err(|error| error.to_string())?;
        source
            .fill_to(usize::MAX)
            .map_err(|error| error.to_string())?;
        Ok((source.piece().to_vec(), source.remark))
    }

    #[test]
    fn members_joined_end_to_end_are_one_file() {
        let joined = [packed(b"one, "), packed(b"two")].concat();
        assert_eq!(all(&joined), Ok((b"one, two".to_vec(), None)));
    }

    #[test]
    fn what_comes_before_damage_is_kept() {
        let text: Vec<u8> = (1..500_000_u32).flat_map(u32::to_le_bytes).collect();
        let whole = packed(&text);
        let (kept, remark) = all(&whole[..whole.len() / 2]).unwrap();
        assert!(text.starts_with(&kept) && kept.len() > text.len() / 4);
        assert!(remark.unwrap().contains("is cut off"));
        let padded = [packed(b"one"), b"rubbish".to_vec()].concat();
        assert_eq!(all(&padded).unwrap().0, b"one");
        for head in [packed(b""), packed(b"")[..10].to_vec(), GZIP_MAGIC.to_vec()] {
            assert!(all(&head).unwrap_err().contains("nothing can be unpacked"));
        }
    }

    #[test]
    fn a_bomb_is_stopped_long_before_it_is_unpacked() {
        let bomb = packed(&vec![b' '; ALWAYS_UNPACKED_BYTES as usize * 4]);
        let mut source = Source::new(bomb.as_slice(), "x").unwrap();
        let mut held = 0;
        let error = loop {
            held = held.max(source.piece().len());
            source.advance(source.piece().len(), []);
            if let Err(error) = source.fill() {
                break error.to_string();
            }
        };
        assert!(error.contains("unpack to more than"), "{error}");
        assert!(source.came < 2 * ALWAYS_UNPACKED_BYTES && held <= STEP_BYTES);
    }

    #[test]
    fn a_character_in_two_pieces_is_whole() {
        let text = "ö".repeat(STEP_BYTES);
        let marked = format!("\u{feff} {text}\0\0");
        let mut source = Source::new(marked.as_bytes(), "x").unwrap();
        source.fill_to(usize::MAX).unwrap();
        assert_eq!(source.piece(), format!(" {text}").as_bytes());
        assert!(!source.is_not_utf8);
    }
}
