//! From bytes to text, and from a place in the text to its line.
//!
//! Order of evidence: byte order mark, then the XML declaration, then UTF-8,
//! and Windows-1252 where the bytes are none of these. Positions and times are
//! plain ASCII in every one of them; only names are at stake.

use std::borrow::Cow;

/// How many bytes of the head are searched for `encoding="..."`.
///
/// A declaration with all three of its attributes is under 60 bytes.
const DECLARATION_BYTES: usize = 200;

/// What Windows-1252 has in 0x80 to 0x9F; elsewhere it is Latin-1, byte for code point.
///
/// Source: WHATWG Encoding Standard, index windows-1252, which every label of
/// Latin-1 means there; the five unassigned bytes stay control characters.
const WINDOWS_1252: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8D}', 'Ž', '\u{8F}',
    '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9D}', 'ž', 'Ÿ',
];

/// How the bytes were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    /// UTF-8, or its part ASCII.
    Utf8,
    /// UTF-16 of either byte order.
    Utf16,
    /// Windows-1252, and with it Latin-1.
    Windows1252,
}

/// A file's text.
#[derive(Debug)]
pub(super) struct Decoded<'a> {
    /// The text, without byte order mark and trailing NUL bytes.
    pub(super) text: Cow<'a, str>,
    /// How it was read.
    pub(super) encoding: Encoding,
    /// What was odd.
    pub(super) remark: Option<String>,
}

/// Decodes a whole file.
pub(super) fn decode(bytes: &[u8]) -> Decoded<'_> {
    if let Some(big_endian) = utf16_order(bytes) {
        let text = decode_utf16(bytes, big_endian);
        return Decoded {
            text: Cow::Owned(text),
            encoding: Encoding::Utf16,
            remark: None,
        };
    }
    let marked = bytes.strip_prefix(b"\xEF\xBB\xBF");
    let bytes = without_trailing_nuls(marked.unwrap_or(bytes));
    let declared = declared_encoding(bytes);
    if marked.is_none() && declared == Some(Encoding::Windows1252) {
        return windows_1252(bytes, None);
    }
    utf8_if_valid(bytes)
}

/// Decodes the end of a file whose beginning [`utf8_head`] found to be in UTF-8.
pub(super) fn decode_end(bytes: &[u8]) -> Decoded<'_> {
    utf8_if_valid(without_trailing_nuls(bytes))
}

/// The head of a file without its byte order mark, where nothing in it speaks against UTF-8.
pub(super) fn utf8_head(head: &[u8]) -> Option<&[u8]> {
    if utf16_order(head).is_some() {
        return None;
    }
    let marked = head.strip_prefix(b"\xEF\xBB\xBF");
    let bytes = marked.unwrap_or(head);
    let other = marked.is_none() && declared_encoding(bytes) == Some(Encoding::Windows1252);
    (!other).then_some(bytes)
}

fn utf8_if_valid(bytes: &[u8]) -> Decoded<'_> {
    match std::str::from_utf8(bytes) {
        Ok(text) => utf8(text),
        // No error length: the last character is merely cut off.
        Err(error) if error.error_len().is_none() => {
            let whole = bytes.get(..error.valid_up_to()).unwrap_or_default();
            utf8(std::str::from_utf8(whole).unwrap_or_default())
        }
        Err(_) => windows_1252(
            bytes,
            Some("Not UTF-8, and no other encoding is declared: names were read as Windows-1252."),
        ),
    }
}

/// How many bytes of the file `text` stands for.
pub(super) fn bytes_in_file(text: &str, encoding: Encoding) -> usize {
    match encoding {
        Encoding::Utf8 => text.len(),
        Encoding::Utf16 => text.encode_utf16().count() * 2,
        Encoding::Windows1252 => text.chars().count(),
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

fn utf8(text: &str) -> Decoded<'_> {
    Decoded {
        text: Cow::Borrowed(text),
        encoding: Encoding::Utf8,
        remark: None,
    }
}

fn windows_1252<'a>(bytes: &'a [u8], remark: Option<&str>) -> Decoded<'a> {
    if bytes.is_ascii() {
        return utf8(std::str::from_utf8(bytes).unwrap_or_default());
    }
    let text: String = bytes
        .iter()
        .map(|&byte| {
            byte.checked_sub(0x80)
                .and_then(|high| WINDOWS_1252.get(usize::from(high)).copied())
                .unwrap_or(char::from(byte))
        })
        .collect();
    Decoded {
        text: Cow::Owned(text),
        encoding: Encoding::Windows1252,
        remark: remark.map(str::to_owned),
    }
}

/// Whether the bytes are UTF-16, and if so whether the high byte comes first.
fn utf16_order(bytes: &[u8]) -> Option<bool> {
    // Without a mark, the zero halves of the first two characters show it.
    let printed = |byte: u8| byte.is_ascii_graphic() || byte == b' ';
    match *bytes {
        [0xFE, 0xFF, ..] => Some(true),
        [0xFF, 0xFE, ..] => Some(false),
        [0, a, 0, b, ..] if printed(a) && printed(b) => Some(true),
        [a, 0, b, 0, ..] if printed(a) && printed(b) => Some(false),
        _ => None,
    }
}

fn decode_utf16(bytes: &[u8], big_endian: bool) -> String {
    let (pairs, _cut_off) = bytes.as_chunks::<2>();
    let units = pairs.iter().map(|&pair| {
        if big_endian {
            u16::from_be_bytes(pair)
        } else {
            u16::from_le_bytes(pair)
        }
    });
    let mut text: String = char::decode_utf16(units)
        .map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER))
        .filter(|&c| c != '\u{FEFF}')
        .collect();
    text.truncate(text.trim_end_matches('\0').len());
    text
}

fn without_trailing_nuls(bytes: &[u8]) -> &[u8] {
    let end = bytes
        .iter()
        .rposition(|&b| b != 0)
        .map_or(0, |last| last + 1);
    bytes.get(..end).unwrap_or(bytes)
}

/// What the XML declaration says, where it names an encoding known here.
fn declared_encoding(bytes: &[u8]) -> Option<Encoding> {
    let head = bytes.get(..DECLARATION_BYTES.min(bytes.len()))?;
    let head = String::from_utf8_lossy(head).to_ascii_lowercase();
    let declaration = head.trim_start().strip_prefix("<?xml")?;
    let declaration = declaration.split("?>").next()?;
    let (_, value) = declaration.split_once("encoding")?;
    let value = value.trim_start().strip_prefix('=')?.trim_start();
    let name = value.trim_start_matches(['"', '\'']);
    let name = name.split(['"', '\'', ' ']).next()?;
    match name {
        "iso-8859-1" | "iso8859-1" | "iso_8859-1" | "latin1" | "latin-1" | "windows-1252"
        | "cp1252" | "cp-1252" | "iso-8859-15" => Some(Encoding::Windows1252),
        "utf-8" | "utf8" | "us-ascii" | "ascii" => Some(Encoding::Utf8),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_utf8_mark_and_trailing_nuls_are_dropped() {
        let decoded = decode(b"\xEF\xBB\xBF<gpx/>\0\0\0");
        assert_eq!(decoded.text, "<gpx/>");
        assert!(matches!(decoded.text, Cow::Borrowed(_)));
    }

    #[test]
    fn utf16_is_read_in_both_orders_with_and_without_mark() {
        for (mark, big) in [(true, true), (true, false), (false, true), (false, false)] {
            let text = if mark { "\u{FEFF}<gpx>Ö" } else { "<gpx>Ö" };
            let bytes: Vec<u8> = text
                .encode_utf16()
                .flat_map(|u| {
                    if big {
                        u.to_be_bytes()
                    } else {
                        u.to_le_bytes()
                    }
                })
                .collect();
            let decoded = decode(&bytes);
            assert_eq!(decoded.text, "<gpx>Ö", "mark {mark}, big endian {big}");
            assert_eq!(bytes_in_file("<gpx>Ö", decoded.encoding), 12);
        }
    }

    #[test]
    fn a_declared_latin_1_is_obeyed_and_an_undeclared_one_is_told() {
        let declared = decode(b"<?xml version='1.0' encoding='ISO-8859-1'?><n>\xD6st \x80</n>");
        assert!(declared.text.contains("Öst €"));
        assert_eq!(declared.remark, None);
        let undeclared = decode(b"<n>\xD6st</n>");
        assert_eq!(undeclared.text, "<n>Öst</n>");
        assert!(undeclared.remark.is_some());
    }

    #[test]
    fn a_character_cut_in_two_at_the_end_is_not_taken_for_another_encoding() {
        let decoded = decode(b"<n>\xC3\x96st \xC3");
        assert_eq!(decoded.text, "<n>Öst ");
        assert_eq!(decoded.encoding, Encoding::Utf8);
    }

    #[test]
    fn clipped_text_has_no_control_characters() {
        assert_eq!(clipped("a\n\u{1b}b", 10), "a  b");
        assert_eq!(clipped("åäö", 2), "åä…");
    }
}
