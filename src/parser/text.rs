//! How a text is written, and pieces of it for people.
//!
//! Order of evidence: byte order mark, then the XML declaration, then UTF-8, and Windows-1252
//! where the bytes are none of these. Positions and times are plain ASCII in every one of them;
//! only names are at stake.

use std::borrow::Cow;

use encoding_rs::{Decoder, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// How many bytes of the head are searched for `encoding="..."`.
///
/// A declaration with all three of its attributes is under 60 bytes.
const DECLARATION_BYTES: usize = 200;

/// What is said of a file with bytes that are not UTF-8, where it declares no other encoding.
pub(super) const NOT_UTF8: &str =
    "Not UTF-8, and no other encoding is declared: names were read as Windows-1252.";

/// How bytes are to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    /// UTF-8, or its part ASCII.
    Utf8,
    Utf16LittleEndian,
    Utf16BigEndian,
    /// Windows-1252, and with it Latin-1 (WHATWG Encoding Standard).
    Windows1252,
}

impl Encoding {
    /// What turns it to UTF-8; `None` where nothing has to.
    pub(super) fn decoder(self) -> Option<Decoder> {
        let encoding = match self {
            Self::Utf8 => return None,
            Self::Utf16LittleEndian => UTF_16LE,
            Self::Utf16BigEndian => UTF_16BE,
            Self::Windows1252 => WINDOWS_1252,
        };
        Some(encoding.new_decoder_without_bom_handling())
    }

    /// How many bytes of the file a plain character takes.
    pub(super) fn bytes_a_character(self) -> usize {
        match self {
            Self::Utf8 | Self::Windows1252 => 1,
            Self::Utf16LittleEndian | Self::Utf16BigEndian => 2,
        }
    }
}

/// The encoding of a file that begins so, and the length of its byte order mark.
pub(super) fn encoding(head: &[u8]) -> (Encoding, usize) {
    // Without a mark, the zero halves of the first two characters show it.
    let printed = |byte: u8| byte.is_ascii_graphic() || byte == b' ';
    match *head {
        [0xFE, 0xFF, ..] => (Encoding::Utf16BigEndian, 2),
        [0xFF, 0xFE, ..] => (Encoding::Utf16LittleEndian, 2),
        [0xEF, 0xBB, 0xBF, ..] => (Encoding::Utf8, 3),
        [0, a, 0, b, ..] if printed(a) && printed(b) => (Encoding::Utf16BigEndian, 0),
        [a, 0, b, 0, ..] if printed(a) && printed(b) => (Encoding::Utf16LittleEndian, 0),
        _ if declares_windows_1252(head) => (Encoding::Windows1252, 0),
        _ => (Encoding::Utf8, 0),
    }
}

/// Whether the XML declaration names Windows-1252 or Latin-1.
fn declares_windows_1252(head: &[u8]) -> bool {
    let head = head.get(..DECLARATION_BYTES).unwrap_or(head);
    let head = String::from_utf8_lossy(head).to_ascii_lowercase();
    let declared = || {
        let declaration = head.trim_start().strip_prefix("<?xml")?;
        let (_, value) = declaration.split("?>").next()?.split_once("encoding")?;
        let value = value.trim_start().strip_prefix('=')?.trim_start();
        value
            .trim_start_matches(['"', '\''])
            .split(['"', '\'', ' '])
            .next()
    };
    declared().is_some_and(|name| {
        let name = name.replace('_', "-").replace("iso8859", "iso-8859");
        let latin = ["latin-1", "cp-1252", "iso-8859-15"].contains(&name.as_str());
        latin || encoding_rs::Encoding::for_label(name.as_bytes()) == Some(WINDOWS_1252)
    })
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
    let mut short: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(most)
        .collect();
    if text.chars().nth(most).is_some() {
        short.push('…');
    }
    short
}

/// `1 row`, `2 rows`.
pub(super) fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodings_are_known_by_marks_zeros_and_declarations() {
        for (head, expected) in [
            (
                &b"\xEF\xBB\xBF<?xml encoding='latin1'?>"[..],
                (Encoding::Utf8, 3),
            ),
            (b"\xFF\xFE<\0", (Encoding::Utf16LittleEndian, 2)),
            (b"\xFE\xFF\0<", (Encoding::Utf16BigEndian, 2)),
            (b"<\0g\0", (Encoding::Utf16LittleEndian, 0)),
            (b"\0<\0g", (Encoding::Utf16BigEndian, 0)),
            (b"<?xml encoding='ISO-8859-1'?>", (Encoding::Windows1252, 0)),
            (
                b"<?xml encoding = \"iso8859-1\"?>",
                (Encoding::Windows1252, 0),
            ),
            (b"<?xml encoding='cp1252' ?>", (Encoding::Windows1252, 0)),
            (b"<?xml encoding='utf-8'?>", (Encoding::Utf8, 0)),
            (b"<gpx encoding='latin1'>", (Encoding::Utf8, 0)),
            (b"", (Encoding::Utf8, 0)),
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
}
