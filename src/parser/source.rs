//! The bytes of a file, a piece at a time: unpacked, in UTF-8, and under every bound.
//!
//! How a text is written is decided by its byte order mark, then the XML declaration, then UTF-8;
//! bytes that are none of these are Windows-1252. Positions and times are plain ASCII in every
//! one of them; only names are at stake.

use std::borrow::Cow;
use std::cell::Cell;
use std::io::{self, BufReader, Read};
use std::rc::Rc;

use encoding_rs::{Decoder, Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use flate2::bufread::MultiGzDecoder;
use memchr::memchr_iter;

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

/// How many bytes of the head are searched for `encoding="..."`.
///
/// A declaration with all three of its attributes is under 60 bytes.
const DECLARATION_BYTES: usize = 200;

/// A file on its way to a reader. Of its content only what no reader has used yet is held.
pub(super) struct Source<'a> {
    /// Its name, for messages and results.
    pub(super) file: String,
    /// Whether all of it has been read.
    pub(super) ended: bool,
    stream: Box<dyn Read + 'a>,
    /// How many bytes of a gzip archive have been read; `None` for any other file.
    packed_bytes: Option<Rc<Cell<u64>>>,
    /// Why there is no more, where the archive is damaged or cut off.
    damage: Option<String>,
    encoding: &'static Encoding,
    /// What turns the text to UTF-8, where something has to.
    decoder: Option<Decoder>,
    /// Whether what is not UTF-8 is worth a remark.
    pub(super) is_text: bool,
    /// Whether something was met that is not UTF-8, in a file said to be.
    is_not_utf8: bool,
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
    pub(super) fn new(mut stream: impl Read + 'a, file: &str) -> Result<Self, ReadError> {
        let mut magic = Vec::new();
        let outcome = (&mut stream).take(2).read_to_end(&mut magic);
        outcome.map_err(|source| ReadError::Unreadable {
            file: file.to_owned(),
            source,
        })?;
        let is_packed = magic == GZIP_MAGIC;
        let whole = io::Cursor::new(magic).chain(stream);
        let bytes = Rc::new(Cell::new(0));
        let mut source = Self {
            file: file.to_owned(),
            ended: false,
            packed_bytes: is_packed.then(|| Rc::clone(&bytes)),
            stream: if is_packed {
                let counted = Counted {
                    stream: whole,
                    bytes,
                };
                Box::new(MultiGzDecoder::new(BufReader::new(counted)))
            } else {
                Box::new(whole)
            },
            damage: None,
            encoding: UTF_8,
            decoder: None,
            is_text: true,
            is_not_utf8: false,
            held: Vec::new(),
            used: 0,
            checked: 0,
            came: 0,
            place: 0,
            lines: Lines::default(),
        };
        let mut head = source.next_step()?;
        if is_packed && head.is_empty() {
            return Err(ReadError::Empty {
                file: file.to_owned(),
                what: "it is a gzip archive from which nothing can be unpacked",
            });
        }
        let mark;
        (source.encoding, mark) = encoding(&head);
        head.drain(..mark);
        if source.encoding != UTF_8 {
            source.decoder = Some(source.encoding.new_decoder_without_bom_handling());
        }
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
        let not_utf8 = (self.is_text && self.is_not_utf8).then(|| {
            "Not UTF-8, and no other encoding is declared: names were read as Windows-1252."
                .to_owned()
        });
        self.damage.clone().into_iter().chain(not_utf8).collect()
    }

    /// How many bytes of the file a plain character takes.
    pub(super) fn bytes_a_character(&self) -> usize {
        let wide = self.encoding == UTF_16LE || self.encoding == UTF_16BE;
        if wide { 2 } else { 1 }
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
        use io::ErrorKind::{InvalidData, InvalidInput, UnexpectedEof};
        let mut step = Vec::with_capacity(STEP_BYTES);
        let outcome = (&mut self.stream)
            .take(STEP_BYTES as u64)
            .read_to_end(&mut step);
        self.came += step.len() as u64;
        self.ended = step.len() < STEP_BYTES;
        if let Err(source) = outcome {
            let what = match source.kind() {
                UnexpectedEof if self.packed_bytes.is_some() => "is cut off",
                InvalidInput | InvalidData if self.packed_bytes.is_some() => "is damaged",
                _ => {
                    return Err(ReadError::Unreadable {
                        file: self.file.clone(),
                        source,
                    });
                }
            };
            self.ended = true;
            self.damage = Some(format!(
                "The gzip archive {what}: {} bytes were unpacked before that and read.",
                self.came
            ));
        }
        self.within_bounds()?;
        Ok(step)
    }

    fn within_bounds(&self) -> Result<(), ReadError> {
        let file = self.file.clone();
        let packed_bytes = self.packed_bytes.as_ref().map(|bytes| bytes.get());
        let by_ratio = |bytes| ALWAYS_UNPACKED_BYTES + MOST_RATIO.saturating_mul(bytes);
        let most_bytes = packed_bytes.map_or(MOST_BYTES, |bytes| MOST_BYTES.min(by_ratio(bytes)));
        match packed_bytes {
            _ if self.came <= most_bytes => Ok(()),
            None => Err(ReadError::TooLarge { file, most_bytes }),
            Some(packed_bytes) => Err(ReadError::UnpacksTooLarge {
                file,
                packed_bytes,
                most_bytes,
            }),
        }
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

/// Counts what is read of an archive.
struct Counted<R> {
    stream: R,
    bytes: Rc<Cell<u64>>,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.stream.read(into)?;
        self.bytes.set(self.bytes.get() + read as u64);
        Ok(read)
    }
}

/// The encoding of a file that begins so, and the length of its byte order mark.
fn encoding(head: &[u8]) -> (&'static Encoding, usize) {
    if let Some(marked) = Encoding::for_bom(head) {
        return marked;
    }
    // Without a mark, the zero halves of the first two characters show it.
    let printed = |byte: u8| byte.is_ascii_graphic() || byte == b' ';
    let found = match *head {
        [0, a, 0, b, ..] if printed(a) && printed(b) => UTF_16BE,
        [a, 0, b, 0, ..] if printed(a) && printed(b) => UTF_16LE,
        // A declaration that can be read byte by byte is not in UTF-16, whatever it says.
        _ => declared(head)
            .filter(|encoding| encoding.is_ascii_compatible())
            .unwrap_or(UTF_8),
    };
    (found, 0)
}

/// The encoding that the XML declaration names.
fn declared(head: &[u8]) -> Option<&'static Encoding> {
    let head = String::from_utf8_lossy(head.get(..DECLARATION_BYTES).unwrap_or(head));
    let declaration = head.trim_start().strip_prefix("<?xml")?;
    let (_, value) = declaration.split("?>").next()?.split_once("encoding")?;
    let value = value.trim_start().strip_prefix('=')?.trim_start();
    let mut parts = value
        .trim_start_matches(['"', '\''])
        .split(['"', '\'', ' ']);
    Encoding::for_label(parts.next()?.as_bytes())
}

/// A piece as text: UTF-8, else Windows-1252.
pub(super) fn text(bytes: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => WINDOWS_1252.decode_without_bom_handling(bytes).0,
    }
}

/// A piece of untrusted text short enough for a message, without control characters.
pub(super) fn clipped(text: &str, most: usize) -> String {
    let plain = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    let mut short: String = plain.take(most).collect();
    if text.chars().nth(most).is_some() {
        short.push('…');
    }
    short
}

/// Line ends met.
#[derive(Debug, Clone, Copy, Default)]
struct Ends {
    feeds: usize,
    returns: usize,
}

impl Ends {
    fn of(text: &[u8]) -> Self {
        Self {
            feeds: memchr_iter(b'\n', text).count(),
            returns: memchr_iter(b'\r', text).count(),
        }
    }

    fn and(self, later: Self) -> Self {
        Self {
            feeds: self.feeds + later.feeds,
            returns: self.returns + later.returns,
        }
    }
}

/// From places in a text to their lines, where the text is met piece by piece.
///
/// A piece is gone over when it is read, because it is not kept; whoever
/// remembers places in it names them then.
#[derive(Debug, Default)]
struct Lines {
    /// Bytes gone over.
    at: usize,
    /// Line ends in them.
    met: Ends,
    /// Places and the line ends before them.
    known: Vec<(usize, Ends)>,
}

impl Lines {
    /// Goes over the next piece, and remembers the lines of those places that lie in it or at its
    /// end; places are bytes from the start of the text.
    fn go_over(&mut self, piece: &[u8], places: impl IntoIterator<Item = usize>) {
        for place in places {
            let before = place.checked_sub(self.at).and_then(|n| piece.get(..n));
            if let Some(before) = before {
                self.known.push((place, self.met.and(Ends::of(before))));
            }
        }
        self.at += piece.len();
        self.met = self.met.and(Ends::of(piece));
    }

    /// The line, counted from 1, of a place named before; the last line for any other.
    ///
    /// A text with carriage returns alone is counted by these.
    fn line_of(&self, place: usize) -> u64 {
        let known = self.known.iter().find(|(known, _)| *known == place);
        let before = known.map_or(self.met, |&(_, before)| before);
        let ends = if self.met.feeds == 0 {
            before.returns
        } else {
            before.feeds
        };
        ends as u64 + 1
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Write as _;

    use flate2::Compression;
    use flate2::write::GzEncoder;
    use proptest::prelude::*;

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
        Ok((source.piece().to_vec(), source.damage))
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

    #[test]
    fn encodings_are_known_by_marks_zeros_and_declarations() {
        for (head, expected) in [
            (&b"\xEF\xBB\xBF<?xml encoding='latin1'?>"[..], (UTF_8, 3)),
            (b"\xFF\xFE<\0", (UTF_16LE, 2)),
            (b"\xFE\xFF\0<", (UTF_16BE, 2)),
            (b"<\0g\0", (UTF_16LE, 0)),
            (b"\0<\0g", (UTF_16BE, 0)),
            (b"<?xml encoding='ISO-8859-1'?>", (WINDOWS_1252, 0)),
            (b"<?xml encoding = \"iso8859-1\"?>", (WINDOWS_1252, 0)),
            (b"<?xml encoding='cp1252' ?>", (WINDOWS_1252, 0)),
            (b"<?xml encoding='utf-16'?>", (UTF_8, 0)),
            (b"<?xml encoding='utf-8'?>", (UTF_8, 0)),
            (b"<gpx encoding='latin1'>", (UTF_8, 0)),
            (b"", (UTF_8, 0)),
        ] {
            assert_eq!(encoding(head), expected, "{head:?}");
        }
    }

    #[test]
    fn what_is_not_utf8_is_windows_1252() {
        assert_eq!(text("Öst €".as_bytes()), "Öst €");
        assert_eq!(text(b"\xD6st \x80"), "Öst €");
    }

    #[test]
    fn clipped_text_has_no_control_characters() {
        assert_eq!(clipped("a\n\u{1b}b", 10), "a  b");
        assert_eq!(clipped("åäö", 2), "åä…");
    }

    fn line_of(text: &str, place: usize) -> u64 {
        let mut lines = Lines::default();
        lines.go_over(text.as_bytes(), [place]);
        lines.line_of(place)
    }

    #[test]
    fn lines_are_counted_by_whatever_ends_them() {
        assert_eq!(line_of("a\nb\nc", 4), 3);
        assert_eq!(line_of("a\r\nb\r\nc", 6), 3);
        assert_eq!(line_of("a\rb\rc", 4), 3);
        assert_eq!(line_of("abc", 99), 1);
    }

    proptest! {
        #[test]
        fn pieces_give_the_lines_of_the_whole(
            pieces in prop::collection::vec("[a\n\r]{0,6}", 0..5),
            place in any::<prop::sample::Index>(),
        ) {
            let whole = pieces.concat();
            let place = place.index(whole.len() + 1);
            let mut lines = Lines::default();
            for piece in &pieces {
                lines.go_over(piece.as_bytes(), [place]);
            }
            prop_assert_eq!(lines.line_of(place), line_of(&whole, place));
        }
    }
}
